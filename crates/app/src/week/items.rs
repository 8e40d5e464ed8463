//! What is left of a plan as items in its order, the waits between, and the stretches over which the vehicle has the lift, a beam, a lock.
//!
//! An item is half an hour or so at one station. It ends where a wait begins, where something has still to come, where a second pair of
//! hands is wanted or no longer, and where the vehicle goes up or comes down, or something that stays on it is put in or taken out. Steps between which nobody turns away, as a part on its last
//! screws or a joint between its passes, are one item that is not set aside at closing time.

use std::collections::{BTreeMap, BTreeSet};

use calendar::{BenchItem, ItemHands, ItemLink, ItemPace, PartDate};
use model::plan::{Plan, Step, StepKind};
use model::{Book, Store};
use record::{PlanStepView, PlanStepsView, StepStanding, Visit};
use times::PIECE_SPREAD_RATIO;

use super::held::{HeldSpan, HeldThing, HoldWatch, pieces_of_step};
use super::item_name::ItemName;
use super::things::{ComingThing, find_last_coming};
use crate::bench::holds_on;

/// Longest item before it is cut, s.
const ITEM_S: f64 = 1_800.0;

/// Steps that hang together are an item of their own from this long on; shorter ones are finished without a word. (Assumption.)
const MIN_PIECE_S: f64 = 300.0;
/// What takes longer can be broken off with care: no shop is open long enough to promise that it is not. (Assumption.)
const MAX_PIECE_S: f64 = 3_600.0;

/// What is left of one visit.
#[derive(Debug, Default)]
pub(super) struct WorkLeft {
    pub(super) items: Vec<BenchItem>,
    pub(super) links: Vec<ItemLink>,
    /// What the vehicle has over stretches of items.
    pub(super) spans: Vec<HeldSpan>,
    /// The numbers of each item's steps, in order.
    pub(super) steps: Vec<Vec<u32>>,
    /// The pieces that each item is done with.
    pub(super) pieces: Vec<BTreeSet<String>>,
}

/// Now, by the calendar and by the clock of those who write events.
#[derive(Debug, Clone, Copy)]
pub(super) struct WorkNow {
    pub(super) now_s: u32,
    pub(super) now_ms: i64,
}

/// What is left of a visit's plan.
pub(super) fn lay_out_plan(
    (book, store, plan): (&Book, &Store, &Plan),
    visit: &Visit,
    coming: &[ComingThing],
    now: WorkNow,
) -> WorkLeft {
    let steps = PlanStepsView::of_plan(visit, book, plan);
    let mut row = ItemRow::new((book, store, plan), visit, now);
    let left: Vec<(&Step, &PlanStepView)> =
        plan.all_steps().zip(&steps.steps).filter(|(_, view)| view.standing != StepStanding::Done).collect();
    for ((step, view), piece) in left.iter().zip(pieces_of_work(&left)) {
        row.push_step(step, view, piece, coming);
    }
    row.finish()
}

/// For each step the first one of those that it hangs together with; `None`: one may turn away after it.
fn pieces_of_work(left: &[(&Step, &PlanStepView)]) -> Vec<Option<usize>> {
    let mut pieces = vec![None; left.len()];
    let mut from = 0;
    for at in 0..left.len() {
        let next = left.get(at + 1);
        let goes_on = next.is_some_and(|(next, _)| {
            let step = left[at].0;
            holds_on(step, next) && step.station == next.station && !step.helper && !next.helper
        });
        if goes_on {
            continue;
        }
        let work_s: f64 = left[from..=at].iter().map(|(_, view)| view.left_s).sum();
        if at > from && (MIN_PIECE_S..=MAX_PIECE_S).contains(&work_s) {
            pieces[from..=at].fill(Some(from));
        }
        from = at + 1;
    }
    pieces
}

/// Whether the vehicle stands on the lift now.
pub(super) fn is_on_lift((book, store): (&Book, &Store), visit: &Visit) -> bool {
    HoldWatch::new(book, store, visit).held().contains(&HeldThing::Lift)
}

/// A wait before an item, and what for.
#[derive(Debug, Default)]
struct WaitBefore {
    wait_s: f64,
    words: String,
}

/// Items as they are laid one behind the other.
struct ItemRow<'a> {
    left: WorkLeft,
    book: &'a Book,
    plan: &'a Plan,
    watch: HoldWatch<'a>,
    visit: &'a Visit,
    now: WorkNow,
    /// A wait that the next item has before it.
    wait: Option<WaitBefore>,
    /// The next step begins an item.
    is_cut: bool,
    /// The piece that the last item is, which is not set aside.
    piece: Option<usize>,
    /// The name of the last item.
    name: ItemName<'a>,
    /// What the vehicle has, and since which item; `None`: it has it now.
    held: BTreeMap<HeldThing, Option<usize>>,
}

impl<'a> ItemRow<'a> {
    fn new((book, store, plan): (&'a Book, &Store, &'a Plan), visit: &'a Visit, now: WorkNow) -> Self {
        let watch = HoldWatch::new(book, store, visit);
        let held = watch.held().into_iter().map(|thing| (thing, None)).collect();
        Self {
            left: WorkLeft::default(),
            book,
            plan,
            watch,
            visit,
            now,
            wait: None,
            is_cut: true,
            piece: None,
            name: ItemName::new(book),
            held,
        }
    }

    fn push_step(&mut self, step: &Step, view: &PlanStepView, piece: Option<usize>, coming: &[ComingThing]) {
        let wait_s = self.wait_left_s(step, view);
        if wait_s > 0.0 {
            // A wait behind a wait adds to it.
            let before_s = self.wait.as_ref().map_or(0.0, |before| before.wait_s);
            self.wait = Some(WaitBefore { wait_s: before_s + wait_s, words: wait_words(&step.text) });
            self.is_cut = true;
        }
        if step.kind == StepKind::Wait {
            return;
        }
        self.watch.follow(step);
        let held = self.watch.held();
        let taken: Vec<HeldThing> =
            held.iter().filter(|thing| !self.held.contains_key(thing)).cloned().collect();
        let given: Vec<HeldThing> = self.held.keys().filter(|thing| !held.contains(thing)).cloned().collect();
        // A moment not to stop is not parted by what is put in or taken out meanwhile.
        let parts = |things: &[HeldThing]| {
            !things.is_empty()
                && (things.contains(&HeldThing::Lift) || piece.is_none() || piece != self.piece)
        };
        let (takes, gives) = (parts(&taken), parts(&given));
        let part = find_last_coming(coming, step).filter(|coming| coming.at_s > self.now.now_s);
        let hands = if step.helper { ItemHands::Two } else { ItemHands::One };
        let goes_on = !self.is_cut && !takes && part.is_none() && self.fits_last(step, hands, piece);
        self.piece = piece;
        let work_s = (view.left_s - step.wait_s.min(view.left_s)).max(1.0).ceil() as u32;
        if goes_on {
            let last = self.left.items.last_mut().expect("nothing goes on before the first");
            last.expected_s = last.expected_s.saturating_add(work_s);
            self.name.add(step);
            last.name = self.name.to_words();
        } else {
            let part = part.map(|coming| PartDate { part: coming.thing.title.clone(), at_s: coming.at_s });
            let pace = if piece.is_some() { ItemPace::OnePiece } else { ItemPace::MayStop };
            self.name.begin(step);
            let name = self.name.to_words();
            let item = BenchItem { name, pace, ..plain_item(step, work_s, hands) };
            self.push_item(item, part);
        }
        let at = self.left.items.len() - 1;
        self.left.steps[at].push(step.number);
        self.left.pieces[at].extend(pieces_of_step(self.book, self.plan, step));
        self.held.extend(taken.into_iter().map(|thing| (thing, Some(at))));
        given.iter().for_each(|thing| self.give_back(thing, at));
        self.is_cut = gives;
    }

    fn fits_last(&self, step: &Step, hands: ItemHands, piece: Option<usize>) -> bool {
        self.left.items.last().is_some_and(|item| {
            let has_room = piece.is_some() || f64::from(item.expected_s) < ITEM_S;
            item.hands == hands && self.piece == piece && has_room && item.place == step.station
        })
    }

    /// What is left of a wait, by when it began where somebody has said so.
    fn wait_left_s(&self, step: &Step, view: &PlanStepView) -> f64 {
        let planned_s = step.wait_s.min(view.left_s).max(0.0);
        if step.kind != StepKind::Wait {
            return planned_s;
        }
        let title = wait_words(&step.text);
        let running = self.visit.waits.values().filter(|w| w.over.is_none() && w.waiting.what == title);
        let ends_ms = running.filter_map(|w| w.ends_ms).max();
        ends_ms.map_or(planned_s, |ends_ms| {
            let left_ms = ends_ms.saturating_sub(self.now.now_ms).max(0);
            (left_ms as f64 / 1_000.0).min(planned_s)
        })
    }

    /// Puts an item behind the last; a wait before the first counts from now.
    fn push_item(&mut self, mut item: BenchItem, part: Option<PartDate>) {
        let at = self.left.items.len();
        let WaitBefore { wait_s, words } = self.wait.take().unwrap_or_default();
        let wait_s = wait_s.ceil() as u32;
        item.part = part;
        match at.checked_sub(1) {
            Some(from) => {
                self.left.links.push(ItemLink { from, to: at, wait_s, most_s: None, words });
            }
            None if wait_s > 0 => {
                let over_s = self.now.now_s.saturating_add(wait_s);
                if item.part.as_ref().is_none_or(|part| part.at_s < over_s) {
                    item.part = Some(PartDate { part: words, at_s: over_s });
                }
            }
            None => {}
        }
        self.left.items.push(item);
        self.left.steps.push(Vec::new());
        self.left.pieces.push(BTreeSet::new());
    }

    fn give_back(&mut self, thing: &HeldThing, to: usize) {
        if let Some((thing, from)) = self.held.remove_entry(thing) {
            self.left.spans.push(HeldSpan { thing, from, to });
        }
    }

    /// Behind a wait at the end stands an item without work; what the vehicle has then it has to the end.
    fn finish(mut self) -> WorkLeft {
        if let Some(WaitBefore { words, .. }) = &self.wait {
            let item = BenchItem {
                name: words.clone(),
                place: String::new(),
                expected_s: 0,
                spread_ratio: 0.0,
                hands: ItemHands::None,
                pace: ItemPace::MayStop,
                part: None,
                start_by_s: None,
            };
            self.push_item(item, None);
        }
        if let Some(last) = self.left.items.len().checked_sub(1) {
            let held: Vec<HeldThing> = self.held.keys().cloned().collect();
            held.iter().for_each(|thing| self.give_back(thing, last));
        }
        self.left
    }
}

fn plain_item(step: &Step, expected_s: u32, hands: ItemHands) -> BenchItem {
    BenchItem {
        name: String::new(),
        place: step.station.clone(),
        expected_s,
        spread_ratio: PIECE_SPREAD_RATIO,
        hands,
        pace: ItemPace::MayStop,
        part: None,
        start_by_s: None,
    }
}

/// What a wait is for: "Wait 40 min: sealant skins over." is "sealant skins over".
fn wait_words(text: &str) -> String {
    text.split_once(": ").map_or(text, |(_, title)| title).trim_end_matches('.').to_owned()
}
