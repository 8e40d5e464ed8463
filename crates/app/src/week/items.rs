//! What is left of a plan as items in its order, the waits between, and the stretches over which the vehicle has the lift.
//!
//! An item is half an hour or so at one station. It ends where a wait begins, where something has still to come, where a second pair of
//! hands is wanted or no longer, and where the vehicle goes up or comes down. Steps between which nobody turns away, as a part on its last
//! screws or a joint between its passes, are one item that is not set aside at closing time.

use std::collections::BTreeMap;

use calendar::{BenchItem, HeldStretch, ItemHands, ItemLink, ItemPace, PartDate};
use model::plan::{Plan, Step, StepKind};
use model::{Book, Setting, SettingKind};
use record::visit::SettingStanding;
use record::{PlanStepView, PlanStepsView, StepStanding, Visit};

use super::item_name::ItemName;
use super::things::{ComingThing, find_last_coming};
use crate::bench::holds_on;

/// Longest item before it is cut, s.
const ITEM_S: f64 = 1_800.0;

/// Steps that hang together are an item of their own from this long on; shorter ones are finished without a word. (Assumption.)
const MIN_PIECE_S: f64 = 300.0;
/// What takes longer can be broken off with care: no shop is open long enough to promise that it is not. (Assumption.)
const MAX_PIECE_S: f64 = 3_600.0;

/// Spread of one item's time about its estimate, apart from what all share. (Assumption, until visits tell better.)
pub(crate) const ITEM_SPREAD_RATIO: f64 = 0.35;

/// Place of the lift among the holders.
pub(super) const LIFT: usize = 0;

/// What is left of one visit.
#[derive(Debug, Default)]
pub(super) struct WorkLeft {
    pub(super) items: Vec<BenchItem>,
    pub(super) links: Vec<ItemLink>,
    pub(super) stretches: Vec<HeldStretch>,
}

/// Now, by the calendar and by the clock of those who write events.
#[derive(Debug, Clone, Copy)]
pub(super) struct WorkNow {
    pub(super) now_s: u32,
    pub(super) now_ms: i64,
}

/// What is left of a visit's plan.
pub(super) fn lay_out_plan(
    (book, plan): (&Book, &Plan),
    visit: &Visit,
    coming: &[ComingThing],
    now: WorkNow,
) -> WorkLeft {
    let steps = PlanStepsView::of_plan(visit, book, plan);
    let mut row = ItemRow::new(book, visit, now);
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
pub(super) fn is_on_lift(book: &Book, visit: &Visit) -> bool {
    LiftWatch::new(book, visit).is_raised()
}

/// Where the settings stand that are the lift.
struct LiftWatch<'a> {
    lifts: Vec<&'a Setting>,
    values: BTreeMap<&'a str, String>,
}

impl<'a> LiftWatch<'a> {
    fn new(book: &'a Book, visit: &Visit) -> Self {
        let lifts: Vec<&Setting> = book.settings.iter().filter(|s| s.kind == SettingKind::Lift).collect();
        let value =
            |s: &&'a Setting| (s.key.as_str(), SettingStanding::of_setting(visit, s).value.to_owned());
        let values = lifts.iter().map(value).collect();
        Self { lifts, values }
    }

    /// Off the ground is every value that is not right at hand-over.
    fn is_raised(&self) -> bool {
        self.lifts.iter().any(|setting| {
            let place = self.values.get(setting.key.as_str()).and_then(|word| setting.value_by_word(word));
            place.is_some_and(|at| setting.end >> at & 1 == 0)
        })
    }

    fn follow(&mut self, step: &Step) {
        for change in &step.sets {
            if let Some(setting) = self.lifts.iter().find(|s| s.key == change.setting) {
                self.values.insert(&setting.key, change.value.clone());
            }
        }
    }
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
    lift: LiftWatch<'a>,
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
    /// Since which item the vehicle has the lift; `None` inside: it has it now.
    held: Option<Option<usize>>,
}

impl<'a> ItemRow<'a> {
    fn new(book: &'a Book, visit: &'a Visit, now: WorkNow) -> Self {
        let lift = LiftWatch::new(book, visit);
        let held = lift.is_raised().then_some(None);
        Self {
            left: WorkLeft::default(),
            lift,
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
        let was_raised = self.lift.is_raised();
        self.lift.follow(step);
        let is_raised = self.lift.is_raised();
        let part = find_last_coming(coming, step).filter(|coming| coming.at_s > self.now.now_s);
        let hands = if step.helper { ItemHands::Two } else { ItemHands::One };
        let takes = !was_raised && is_raised;
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
        if takes {
            self.held = Some(Some(at));
        } else if was_raised && !is_raised {
            self.give_lift_back(at);
        }
        self.is_cut = was_raised && !is_raised;
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
    }

    fn give_lift_back(&mut self, to: usize) {
        if let Some(from) = self.held.take() {
            self.left.stretches.push(HeldStretch { holder: LIFT, amount: 1, from, to });
        }
    }

    /// Behind a wait at the end stands an item without work; who is up then has the lift to the end.
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
            self.give_lift_back(last);
        }
        self.left
    }
}

fn plain_item(step: &Step, expected_s: u32, hands: ItemHands) -> BenchItem {
    BenchItem {
        name: String::new(),
        place: step.station.clone(),
        expected_s,
        spread_ratio: ITEM_SPREAD_RATIO,
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
