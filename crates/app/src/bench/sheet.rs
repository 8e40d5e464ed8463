//! One step of the bench as a sheet: what, where, with which stack, into which slot, and what the next three are.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{DutyLine, JobPhase, Plan, Step, StepKind, StepSequence};
use model::{Act, Book, Caution, FastenerState, SlotAddress, Store};
use record::{PlanStepView, PlanStepsView, StepStanding, Visit, VisitBody, steps_of};

use super::button::{SheetButton, main_button};
use super::done_step::{self, HoleMarkBack};
use super::facts::{duty_facts, duty_notes};
use super::figure::{MissingFigure, missing_figures, sentence_with_figures};
use super::fold::{FoldedSteps, folded_steps};
use super::hole_picture::hole_picture;
use super::measures::step_measures;
use super::set_figure::{SetFigure, set_figure};
use super::settings::effect_words;
use super::spoken::spoken_words;
use super::tools::{ToolLine, tool_lines};
use super::waits::{WaitClock, clocks_of_step};
use super::whereabouts::{StepPlace, place_of_step};
use super::{DrawingRoom, EventButton};
use crate::evidence::readings::ReadingBoard;
use crate::{draw, text, titles};

/// Steps shown beneath the one in hand.
const AHEAD: usize = 3;

/// One step of the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct StepSheet {
    /// Number in the plan.
    pub number: u32,
    /// Its lasting name, the same in every plan of the visit.
    pub name: String,
    /// Steps in all.
    pub of: u32,
    /// The sequence that it belongs to.
    pub phase: JobPhase,
    /// Its state.
    pub standing: StepStanding,
    /// What to mind, before the step.
    pub cautions: Vec<Caution>,
    /// Where it is done.
    pub place: StepPlace,
    /// What to do, in the imperative.
    pub sentence: String,
    /// The last step that the large button does: where a part comes off or goes on in the same tap, that of a later number.
    pub last_number: u32,
    /// What is read at arm's length: what the hand sets, or how many are left; empty where the sentence says it all.
    pub figure: SetFigure,
    /// What changes the work of the hand: new fasteners, a tip.
    pub facts: Vec<String>,
    /// What is looked up: the order of the holes, where the figure comes from, the size.
    pub notes: Vec<String>,
    /// Every stack of the step, in the order of the work.
    pub tools: Vec<ToolLine>,
    /// What it measures.
    pub measures: Vec<ReadingBoard>,
    /// Where the fasteners go or come from.
    pub slot: Option<SlotAddress>,
    /// The wait that the step itself is, once it has begun by the record.
    pub own_wait: Option<WaitClock>,
    /// Other waits that have begun.
    pub waits: Vec<WaitClock>,
    /// Needs a second pair of hands.
    pub helper: bool,
    /// Whether something is tightened to a figure.
    pub tightens: bool,
    /// The stack in its corridor.
    pub drawing: Option<String>,
    /// The layout of the holes, to be tapped.
    pub pattern: Option<String>,
    /// The one main button; `None` when there is nothing left, or something prevents it.
    pub tick: Option<EventButton>,
    /// What prevents it.
    pub against: Option<String>,
    /// Fixings of the step that the book has no tightening figure for.
    pub missing_figures: Vec<MissingFigure>,
    /// Fixings of the step, key and title, for which a happening may be recorded.
    pub fixings: Vec<(String, String)>,
    /// Part of the step.
    pub part: Option<String>,
    /// Task of the step.
    pub task: Option<String>,
    /// Fasteners with something left: fixing and hole.
    pub left: Vec<(String, String)>,
    /// All fasteners of it: fixing and hole.
    pub fasteners: Vec<(String, String)>,
    /// Holes that have their mark while others have not, with what a tap goes back to; keyed "fixing hole".
    pub marks_back: BTreeMap<String, HoleMarkBack>,
    /// Passes that fasteners have had while they are not tight; keyed "fixing hole".
    pub passes: BTreeMap<String, u8>,
    /// What takes the step back once it is done; empty where nothing can, or work has gone on from it.
    pub take_back: Vec<VisitBody>,
    /// The next steps, one line each.
    pub next: Vec<String>,
    /// Names of the steps before and after.
    pub around: (Option<String>, Option<String>),
    /// About how long the rest of the plan takes.
    pub time_left: String,
    /// What is read aloud.
    pub spoken: String,
}

/// The sheet of a step, drawn for a room; `None` where the plan has no such step.
#[must_use]
pub fn step_sheet(
    book: &Book,
    store: &Store,
    plan: &Plan,
    visit: &Visit,
    number: u32,
    room: DrawingRoom,
) -> Option<StepSheet> {
    let steps: Vec<&Step> = steps_of(plan).collect();
    let at = steps.iter().position(|s| s.number == number)?;
    let views = PlanStepsView::of_plan(visit, book, plan);
    let asked = Asked { book, store, plan, visit, views: &views, steps: &steps };
    Some(asked.sheet_at(at, views.step_numbered(number)?, room))
}

/// What a sheet is made from.
struct Asked<'p> {
    book: &'p Book,
    store: &'p Store,
    plan: &'p Plan,
    visit: &'p Visit,
    views: &'p PlanStepsView,
    steps: &'p [&'p Step],
}

impl Asked<'_> {
    fn is_open(&self, number: u32) -> bool {
        self.views.step_numbered(number).is_some_and(|view| view.standing != StepStanding::Done)
    }

    fn sheet_at(&self, at: usize, view: &PlanStepView, room: DrawingRoom) -> StepSheet {
        let Self { book, store, plan, visit, views, steps } = *self;
        let first = steps[at];
        let folded = folded_steps(book, plan, first, |number| self.is_open(number));
        let SheetButton { steps: folded, tick, against } =
            main_button(book, plan, visit, &folded, view.standing);
        let step = folded.lead();
        let last = at + folded.in_order().len() - 1;
        let left = self.left_of(step);
        let written = tick.as_ref().map_or(&[][..], |tick| tick.bodies.as_slice());
        let duty = duty_in_hand(plan, step, views.step_numbered(step.number).and_then(|v| v.left.first()));
        let missing_figures = missing_figures(book, visit, tightened_fixings(step));
        let tightened = duty.filter(|(_, line)| line.act == Act::Tighten);
        let figure = told_figure(&missing_figures, duty)
            .or_else(|| set_figure(book, store, plan, step, tightened?))
            .unwrap_or_else(|| count_left(plan, step, left.len()));
        let is_done = view.standing == StepStanding::Done;
        let own = |number: u32| folded.in_order().iter().any(|step| step.number == number);
        let ahead = views.steps_ahead().filter(|v| !own(v.number)).take(AHEAD);
        let line = |n: u32| steps.iter().find(|s| s.number == n).map(|s| format!("{n}  {}", s.text));
        let tools =
            tool_lines(book, store, plan, folded.in_order(), tightened.and_then(|(_, line)| line.stage));
        let effects = folded.in_order().iter().flat_map(|step| effect_words(book, step));
        let sentence = without_sizes(book, step, &tools, sentence_of_steps(&folded, &missing_figures));
        let (own_wait, waits) = clocks_of_step(book, visit, step, view.standing);
        // Where the clock runs, the time that the plan reckoned with would be a second one.
        let sentence = own_wait.as_ref().map_or(sentence, |wait| format!("Wait: {}.", wait.title));
        let mut sheet = StepSheet {
            number: first.number,
            last_number: folded.last_number(),
            name: name_of_step(first),
            of: u32::try_from(steps.len()).unwrap_or(u32::MAX),
            phase: phase_of_step(plan, first.number),
            standing: view.standing,
            cautions: folded.in_order().iter().flat_map(|step| step.cautions.clone()).collect(),
            place: place_of_step(book, plan, visit, first),
            facts: facts_besides(&sentence, duty_facts(book, plan, duty).into_iter().chain(effects)),
            sentence,
            notes: duty_notes(book, plan, step, duty),
            tools,
            measures: step_measures(book, step, visit),
            slot: folded.in_order().iter().find_map(|step| step.slot.clone()),
            own_wait,
            waits,
            helper: folded.in_order().iter().any(|step| step.helper),
            tightens: step.kind == StepKind::Tighten,
            drawing: duty.and_then(|(index, _)| draw::duty_in_room(book, store, plan, index, room)),
            pattern: hole_picture(book, plan, step, visit, room),
            fasteners: owned_pairs(done_step::fasteners_of_step(plan, step)),
            marks_back: done_step::marks_back(plan, step, visit, written),
            passes: done_step::passes_done(plan, step, visit),
            take_back: if is_done {
                done_step::take_back_bodies(book, plan, step, visit)
            } else {
                Vec::new()
            },
            tick,
            against,
            missing_figures,
            fixings: fixing_titles(book, step),
            part: step.part.clone(),
            task: step.task.clone(),
            left,
            next: ahead.filter_map(|v| line(v.number)).collect(),
            around: (previous_step(steps, at), steps.get(last + 1).map(|s| name_of_step(s))),
            time_left: text::table::spoken_time(views.left_s),
            spoken: String::new(),
            figure,
        };
        sheet.spoken = spoken_words(&sheet);
        sheet
    }

    /// The fasteners of a step with something left.
    fn left_of(&self, step: &Step) -> Vec<(String, String)> {
        let view = self.views.step_numbered(step.number);
        let left = view.map_or_else(Vec::new, PlanStepView::remaining_fasteners);
        left.into_iter().map(|f| (f.fixing.clone(), f.hole.clone())).collect()
    }
}

/// A sentence without the drive's size in brackets, where the size stands large beside the tool.
fn without_sizes(book: &Book, step: &Step, tools: &[ToolLine], sentence: String) -> String {
    if tools.iter().all(|tool| tool.size.is_empty()) {
        return sentence;
    }
    let fixings = step.fixings.iter().filter_map(|key| book.fixing_by_key(key)).map(|id| book.fixing(id));
    fixings.fold(sentence, |told, fixing| told.replace(&format!(" ({})", fixing.drive), ""))
}

fn owned_pairs(pairs: Vec<(&str, &str)>) -> Vec<(String, String)> {
    pairs.into_iter().map(|(fixing, hole)| (fixing.to_owned(), hole.to_owned())).collect()
}

/// What the sentence of a sheet does not say already.
fn facts_besides(sentence: &str, facts: impl Iterator<Item = String>) -> Vec<String> {
    facts.filter(|fact| !sentence.contains(fact.trim_end_matches('.'))).collect()
}

/// The sentences of the steps of a sheet, in the order of the work, with what was said of figures.
fn sentence_of_steps(folded: &FoldedSteps<'_>, missing: &[MissingFigure]) -> String {
    let sentence = |step: &&Step| {
        let text = sentence_with_figures(&step.text, missing);
        let text = text.trim_end();
        if folded.in_order().len() > 1 && !text.ends_with('.') { format!("{text}.") } else { text.to_owned() }
    };
    folded.in_order().iter().map(sentence).collect::<Vec<_>>().join(" ")
}

/// The fixings that a step tightens.
fn tightened_fixings(step: &Step) -> &[String] {
    if step.kind == StepKind::Tighten { &step.fixings } else { &[] }
}

/// What was said at the bench of the figure in hand.
fn told_figure(missing: &[MissingFigure], duty: Option<(usize, &DutyLine)>) -> Option<SetFigure> {
    let (_, line) = duty?;
    let word = missing.iter().find(|m| m.fixing == line.fixing)?.word.clone()?;
    // The figure is what the hand sets; where it is from stands beside it.
    let (large, beside) = match word.split_once(" (") {
        Some((figure, source)) => (figure.to_owned(), source.trim_end_matches(')').to_owned()),
        None => word.split_once(", ").map_or_else(
            || (word.clone(), String::new()),
            |(none, name)| (none.to_owned(), format!("{name} answers for it")),
        ),
    };
    Some(SetFigure { large, beside })
}

/// The step to be done next: the first that is not done, or whose dangerous fasteners are owed a second look.
#[must_use]
pub fn step_in_hand(visit: &Visit, book: &Book, plan: &Plan) -> Option<u32> {
    let views = PlanStepsView::of_plan(visit, book, plan);
    views.steps.iter().find(|view| is_step_owed(visit, book, plan, view)).map(|view| view.number)
}

/// Whether a step is not done, or its dangerous fasteners are owed a second look.
pub(super) fn is_step_owed(visit: &Visit, book: &Book, plan: &Plan, view: &PlanStepView) -> bool {
    let step = || steps_of(plan).find(|step| step.number == view.number);
    view.standing != StepStanding::Done
        || step().is_some_and(|step| !done_step::second_look_bodies(book, plan, step, visit).is_empty())
}

fn previous_step(steps: &[&Step], at: usize) -> Option<String> {
    at.checked_sub(1).map(|i| name_of_step(steps[i]))
}

fn name_of_step(step: &Step) -> String {
    step.name.to_string()
}

/// The number in this plan of a step that is named, by its lasting name or by its number; `None` where the plan has no such step.
#[must_use]
pub fn number_of_named_step(plan: &Plan, name: &str) -> Option<u32> {
    let named = steps_of(plan).find(|step| name_of_step(step) == name).map(|step| step.number);
    named.or_else(|| name.parse().ok().filter(|number| steps_of(plan).any(|step| step.number == *number)))
}

/// The names of all steps, to tell what a new plan changes.
#[must_use]
pub fn step_names(plan: &Plan) -> BTreeSet<String> {
    steps_of(plan).map(name_of_step).collect()
}

fn phase_of_step(plan: &Plan, number: u32) -> JobPhase {
    let has = |s: &StepSequence| s.steps.iter().any(|step| step.number == number);
    plan.sequences().into_iter().find(|(_, s)| has(s)).map_or(JobPhase::Refit, |(phase, _)| phase)
}

fn fixing_titles(book: &Book, step: &Step) -> Vec<(String, String)> {
    step.fixings.iter().map(|key| (key.clone(), titles::fixing_title(book, key))).collect()
}

/// The duty of what is left first, else the first of the step: position and line.
fn duty_in_hand<'p>(
    plan: &'p Plan,
    step: &Step,
    left: Option<&record::RemainingStepAct>,
) -> Option<(usize, &'p DutyLine)> {
    let lines = step.actions.iter().filter_map(|a| Some((a, a.duty, plan.duties.get(a.duty)?)));
    let fits = |(action, _, line): &(&model::plan::StepAction, usize, &DutyLine)| {
        left.is_some_and(|l| {
            let pass = line.stage.map(|s| s + 1);
            line.fixing == l.fastener.fixing
                && line.act == l.act
                && action.holes.contains(&l.fastener.hole)
                && (l.pass.is_none() || pass.is_none() || pass == l.pass)
        })
    };
    let mut all = lines.clone();
    lines.clone().find(fits).or_else(|| all.next()).map(|(_, index, line)| (index, line))
}

/// How many fasteners are left of a step that is half done.
fn count_left(plan: &Plan, step: &Step, left: usize) -> SetFigure {
    let all = done_step::fasteners_of_step(plan, step).len();
    let is_between = left > 0 && left < all;
    let large = if is_between { format!("{left} of {all} left") } else { String::new() };
    SetFigure { large, beside: String::new() }
}

/// The mark of a fastener, and whether it is a new one.
pub(crate) fn fastener_mark(visit: &Visit, fixing: &str, hole: &str) -> (FastenerState, bool) {
    let fastener = visit.fasteners.get(fixing, hole);
    let state = visit.fastener_state(fixing, hole);
    (state, fastener.is_some_and(record::visit::VisitFastener::is_renewed))
}

/// The mark of a state as a drawing of its own, to be shown beside a word.
#[must_use]
pub fn state_sign_svg(state: FastenerState) -> String {
    let shapes = print::mark_svg(state);
    format!(r#"<svg class="sign" viewBox="-1.5 -1.5 3 3" aria-hidden="true">{shapes}</svg>"#)
}
