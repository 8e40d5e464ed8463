//! What a vehicle has of the workshop for a while: the lift, a beam or stands below the engine, a lock or pin that stays in; and how many
//! of each there are.

use std::collections::{BTreeMap, BTreeSet};

use calendar::{BenchHolder, HeldStretch, HolderKind, OpenVisit};
use model::plan::{Plan, Step, StepKind};
use model::{Book, Setting, SettingKind, SettingWay, Store};
use record::Visit;
use record::visit::SettingStanding;

/// Something of the workshop that one vehicle has at a time.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum HeldThing {
    /// The lift.
    Lift,
    /// A piece, by its key in the tool store.
    Piece(String),
    /// What no piece at hand answers to, by what it is called.
    Called(String),
}

/// What it is called and how many there are.
#[derive(Debug, Clone, PartialEq, Eq)]
struct HeldSort {
    title: String,
    count: u32,
    /// Nobody has said how many there are.
    is_assumed: bool,
}

/// A stretch over items, before holders have their places.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct HeldSpan {
    pub(super) thing: HeldThing,
    pub(super) from: Option<usize>,
    pub(super) to: usize,
}

/// The settings of a book that hold something of the workshop, and where they stand.
pub(super) struct HoldWatch<'a> {
    settings: Vec<(&'a Setting, Vec<HeldThing>)>,
    values: BTreeMap<&'a str, String>,
}

impl<'a> HoldWatch<'a> {
    pub(super) fn new(book: &'a Book, store: &Store, visit: &Visit) -> Self {
        let things = |setting: &'a Setting| (setting, things_of_setting(book, store, setting));
        let settings: Vec<_> =
            book.settings.iter().map(things).filter(|(_, things)| !things.is_empty()).collect();
        let value = |(setting, _): &(&'a Setting, Vec<HeldThing>)| {
            (setting.key.as_str(), SettingStanding::of_setting(visit, setting).value.to_owned())
        };
        let values = settings.iter().map(value).collect();
        Self { settings, values }
    }

    /// What the vehicle has: of each setting that is not as it is at hand-over.
    pub(super) fn held(&self) -> BTreeSet<HeldThing> {
        let away = |(setting, _): &&(&Setting, Vec<HeldThing>)| {
            let place = self.values.get(setting.key.as_str()).and_then(|word| setting.value_by_word(word));
            place.is_some_and(|at| setting.end >> at & 1 == 0)
        };
        self.settings.iter().filter(away).flat_map(|(_, things)| things).cloned().collect()
    }

    pub(super) fn follow(&mut self, step: &Step) {
        for change in &step.sets {
            if let Some((setting, _)) = self.settings.iter().find(|(s, _)| s.key == change.setting) {
                self.values.insert(&setting.key, change.value.clone());
            }
        }
    }
}

/// What a setting takes: the lift, the tools that its ways away from hand-over name, or itself by its title where it supports the
/// engine or is put in and names none.
fn things_of_setting(book: &Book, store: &Store, setting: &Setting) -> Vec<HeldThing> {
    if setting.kind == SettingKind::Lift {
        return vec![HeldThing::Lift];
    }
    let away = setting.ways.iter().filter(|way| setting.end >> way.to & 1 == 0);
    let tools: BTreeSet<_> = away.flat_map(|way| &way.special_tools).collect();
    if !tools.is_empty() {
        let named = |tool: &model::SpecialTool| piece_that_answers(store, tool).0;
        return tools.into_iter().map(|tool| named(&book.special_tools[tool.index()])).collect();
    }
    match setting.kind {
        SettingKind::Support | SettingKind::PutIn => vec![HeldThing::Called(setting.title.to_lowercase())],
        SettingKind::Lift | SettingKind::Other => Vec::new(),
    }
}

/// The first piece at hand that answers to a special tool, and how many there are of all that do.
fn piece_that_answers(store: &Store, tool: &model::SpecialTool) -> (HeldThing, u32) {
    let answering = || store.pieces.iter().filter(|p| p.at_hand() > 0 && p.answers.contains(&tool.key));
    match answering().next() {
        Some(piece) => {
            let count = answering().map(|piece| u32::from(piece.at_hand())).sum();
            (HeldThing::Piece(piece.key.clone()), count)
        }
        None => (HeldThing::Called(tool.title.to_lowercase()), 1),
    }
}

/// The pieces that a step is done with: those of its stacks, and what its task or part names.
pub(super) fn pieces_of_step(book: &Book, plan: &Plan, step: &Step) -> BTreeSet<String> {
    let ids = step.actions.iter().filter_map(|action| action.stack.as_ref());
    let stacks = ids.filter_map(|id| plan.stacks.iter().find(|stack| stack.id == *id));
    let mut pieces: BTreeSet<String> =
        stacks.flat_map(|stack| stack.pieces.iter().chain(&stack.hold)).cloned().collect();
    let task = step.task.as_ref().and_then(|key| book.task_by_key(key)).map(|id| book.task(id));
    let part = step.part.as_ref().and_then(|key| book.part_by_key(key)).map(|id| book.part(id));
    let mut tools: BTreeSet<_> = task
        .iter()
        .flat_map(|task| &task.special_tools)
        .chain(part.iter().flat_map(|p| &p.special_tools))
        .collect();
    if step.kind == StepKind::Set {
        let leads = |setting: &Setting, way: &SettingWay| {
            step.sets.iter().any(|s| s.setting == setting.key && setting.word(way.to) == s.value)
        };
        for setting in &book.settings {
            tools.extend(
                setting.ways.iter().filter(|way| leads(setting, way)).flat_map(|way| &way.special_tools),
            );
        }
    }
    for tool in tools {
        let key = &book.special_tools[tool.index()].key;
        let answer = plan.kit.special.iter().find(|(named, _)| named == key);
        pieces.extend(answer.map(|(_, piece)| piece.clone()));
    }
    pieces
}

/// All that the open visits have or take, in order, with how many there are.
#[derive(Debug, Default)]
pub(super) struct HeldThings {
    sorts: BTreeMap<HeldThing, HeldSort>,
    /// The spans and the pieces by item of each visit.
    visits: Vec<(Vec<HeldSpan>, Vec<BTreeSet<String>>)>,
}

impl HeldThings {
    /// Takes a visit in; what its store says last counts.
    pub(super) fn take_visit(
        &mut self,
        (book, store): (&Book, &Store),
        spans: Vec<HeldSpan>,
        pieces: Vec<BTreeSet<String>>,
    ) {
        for thing in spans.iter().map(|span| &span.thing) {
            self.sorts.insert(thing.clone(), sort_of_thing(book, store, thing));
        }
        self.visits.push((spans, pieces));
    }

    /// The key of the piece that each holder is, in their order.
    pub(super) fn pieces(&self) -> Vec<Option<String>> {
        let key = |thing: &HeldThing| match thing {
            HeldThing::Piece(key) => Some(key.clone()),
            HeldThing::Lift | HeldThing::Called(_) => None,
        };
        self.sorts.keys().map(key).collect()
    }

    /// The holders, the stretches of each visit written into it, and what had to be assumed.
    pub(super) fn into_holders(self, visits: &mut [OpenVisit]) -> (Vec<BenchHolder>, Vec<String>) {
        let (mut holders, mut notices) = (Vec::new(), Vec::new());
        for (at, (thing, sort)) in self.sorts.iter().enumerate() {
            let (mut now, mut wanting) = (0, Vec::new());
            for (visit, (spans, pieces)) in visits.iter_mut().zip(&self.visits) {
                let stretches = stretches_of_thing(at, thing, spans, pieces);
                now += stretches.iter().filter(|stretch| stretch.from.is_none()).count() as u32;
                wanting.extend((!stretches.is_empty()).then(|| visit.letter.to_string()));
                visit.stretches.extend(stretches);
            }
            let kind = if *thing == HeldThing::Lift { HolderKind::Place } else { HolderKind::StaysOn };
            if sort.is_assumed && wanting.len() > 1 && now < 2 {
                let words = format!(
                    "{} want the {}; that there is one is assumed, the tool store names none",
                    wanting.join(" and "),
                    sort.title
                );
                notices.push(words);
            }
            holders.push(BenchHolder { name: sort.title.clone(), count: sort.count.max(now), kind });
        }
        (holders, notices)
    }
}

/// What it is called, and how many there are by this store.
fn sort_of_thing(book: &Book, store: &Store, thing: &HeldThing) -> HeldSort {
    match thing {
        HeldThing::Lift => HeldSort { title: String::from("lift"), count: 1, is_assumed: false },
        HeldThing::Called(title) => HeldSort { title: title.clone(), count: 1, is_assumed: true },
        HeldThing::Piece(key) => {
            let found = book
                .special_tools
                .iter()
                .map(|tool| (tool, piece_that_answers(store, tool)))
                .find(|(_, (answer, _))| answer == thing);
            let (title, count) =
                found.map_or((key.clone(), 1), |(tool, (_, count))| (tool.title.clone(), count));
            HeldSort { title, count, is_assumed: false }
        }
    }
}

/// The stretches of one thing in one visit: while it stays on, and while an item beside that is done with it.
fn stretches_of_thing(
    holder: usize,
    thing: &HeldThing,
    spans: &[HeldSpan],
    pieces: &[BTreeSet<String>],
) -> Vec<HeldStretch> {
    let own: Vec<&HeldSpan> = spans.iter().filter(|span| span.thing == *thing).collect();
    let is_held = |item: usize| own.iter().any(|span| span.from.unwrap_or(0) <= item && item <= span.to);
    let is_used = |item: &usize| matches!(thing, HeldThing::Piece(key) if pieces[*item].contains(key));
    let uses = (0..pieces.len()).filter(is_used).filter(|item| !is_held(*item));
    let stretch = |from, to| HeldStretch { holder, amount: 1, from, to };
    own.iter()
        .map(|span| stretch(span.from, span.to))
        .chain(uses.map(|item| stretch(Some(item), item)))
        .collect()
}
