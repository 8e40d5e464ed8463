//! One step of the bench as a sheet: what, where, with which stack, into which slot, and what the next three are.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{DutyLine, JobPhase, Plan, Step, StepKind, StepSequence};
use model::{Act, Book, Caution, FastenerState, HoleOrderOrigin, SlotAddress, Store};
use record::{
    PlanStepView, PlanStepsView, Refusal, RefusalReason, StepStanding, Visit, VisitBody, VisitCommand,
    decide, steps_of,
};

use super::EventButton;
use super::done_step::{self, HoleMarkBack, is_old_and_out};
use super::figure::{MissingFigure, missing_figures, sentence_with_figures};
use super::label::capitalise_first;
use super::measures::{StepMeasure, step_measures};
use super::set_figure::{SetFigure, set_figure};
use super::settings::effect_words;
use super::tools::{ToolLine, tool_lines};
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
    /// What to do, in the imperative.
    pub sentence: String,
    /// What is read at arm's length: what the hand sets, or how many are left; empty where the sentence says it all.
    pub figure: SetFigure,
    /// What changes the work of the hand: new fasteners, a tip.
    pub facts: Vec<String>,
    /// What is looked up: the order of the holes, where the figure comes from, the size.
    pub notes: Vec<String>,
    /// Every stack of the step, in the order of the work.
    pub tools: Vec<ToolLine>,
    /// What it measures.
    pub measures: Vec<StepMeasure>,
    /// Where the fasteners go or come from.
    pub slot: Option<SlotAddress>,
    /// Working position.
    pub station: String,
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

/// The sheet of a step; `None` where the plan has no such step.
#[must_use]
pub fn step_sheet(book: &Book, store: &Store, plan: &Plan, visit: &Visit, number: u32) -> Option<StepSheet> {
    let steps: Vec<&Step> = steps_of(plan).collect();
    let at = steps.iter().position(|s| s.number == number)?;
    let step = steps[at];
    let views = PlanStepsView::of_plan(visit, book, plan);
    let view = views.step_numbered(number)?;
    let left: Vec<(String, String)> =
        view.remaining_fasteners().into_iter().map(|f| (f.fixing.clone(), f.hole.clone())).collect();
    let (tick, against) = main_button(book, plan, visit, step, view.standing);
    let written = tick.as_ref().map_or(&[][..], |tick| tick.bodies.as_slice());
    let duty = duty_in_hand(plan, step, view.left.first());
    let missing_figures = missing_figures(book, visit, tightened_fixings(step));
    let tightened = duty.filter(|(_, line)| line.act == Act::Tighten);
    let figure = told_figure(&missing_figures, duty)
        .or_else(|| set_figure(book, store, plan, step, tightened?))
        .unwrap_or_else(|| count_left(plan, step, left.len()));
    let fasteners = done_step::fasteners_of_step(plan, step);
    let is_done = view.standing == StepStanding::Done;
    let ahead = views.steps_ahead().filter(|v| v.number != number).take(AHEAD);
    let line = |n: u32| steps.iter().find(|s| s.number == n).map(|s| format!("{n}  {}", s.text));
    let mut sheet = StepSheet {
        number,
        name: name_of_step(step),
        of: u32::try_from(steps.len()).unwrap_or(u32::MAX),
        phase: phase_of_step(plan, number),
        standing: view.standing,
        cautions: step.cautions.clone(),
        sentence: sentence_with_figures(&step.text, &missing_figures),
        facts: duty_facts(book, plan, duty).into_iter().chain(effect_words(book, step)).collect(),
        notes: duty_notes(book, plan, step, duty),
        tools: tool_lines(plan, step, tightened.and_then(|(_, line)| line.stage)),
        measures: step_measures(book, step, visit),
        slot: step.slot.clone(),
        station: titles::station_title(book, &step.station),
        helper: step.helper,
        tightens: step.kind == StepKind::Tighten,
        drawing: duty.and_then(|(index, _)| draw::duty_on_bench(book, store, plan, index)),
        pattern: draw::pattern_on_bench(book, plan, step, &|fixing, hole| fastener_mark(visit, fixing, hole)),
        fasteners: fasteners.into_iter().map(|(fixing, hole)| (fixing.to_owned(), hole.to_owned())).collect(),
        marks_back: done_step::marks_back(plan, step, visit, written),
        passes: done_step::passes_done(plan, step, visit),
        take_back: if is_done { done_step::take_back_bodies(book, plan, step, visit) } else { Vec::new() },
        tick,
        against,
        missing_figures,
        fixings: fixing_titles(book, step),
        part: step.part.clone(),
        task: step.task.clone(),
        left,
        next: ahead.filter_map(|v| line(v.number)).collect(),
        around: (previous_step(&steps, at), steps.get(at + 1).map(|s| name_of_step(s))),
        time_left: text::table::spoken_time(views.left_s),
        spoken: String::new(),
        figure,
    };
    sheet.spoken = spoken_words(&sheet);
    Some(sheet)
}

/// The fixings that a step tightens.
fn tightened_fixings(step: &Step) -> &[String] {
    if step.kind == StepKind::Tighten { &step.fixings } else { &[] }
}

/// What was said at the bench of the figure in hand.
fn told_figure(missing: &[MissingFigure], duty: Option<(usize, &DutyLine)>) -> Option<SetFigure> {
    let (_, line) = duty?;
    let large = missing.iter().find(|m| m.fixing == line.fixing)?.word.clone()?;
    Some(SetFigure { large, beside: String::new() })
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

/// What the main button writes, with new fasteners where the book requires them; or what prevents it. Where a step is done,
/// the second look that its dangerous fasteners are owed.
fn main_button(
    book: &Book,
    plan: &Plan,
    visit: &Visit,
    step: &Step,
    standing: StepStanding,
) -> (Option<EventButton>, Option<String>) {
    if standing == StepStanding::Done {
        let looks = done_step::second_look_bodies(book, plan, step, visit);
        return ((!looks.is_empty()).then(|| EventButton::new(book, looks)), None);
    }
    let mut bodies = Vec::new();
    let mut then = visit.clone();
    if step.kind == StepKind::RunIn {
        for (fixing, holes) in holes_to_renew(book, plan, step, visit) {
            if let Ok(new) = decide(&then, book, plan, VisitCommand::Renew { fixing, holes }) {
                record::apply_pretended_events(&mut then, &new);
                bodies.extend(new);
            }
        }
    }
    match decide(&then, book, plan, VisitCommand::Tick { step: step.number }) {
        Ok(more) => {
            bodies.extend(more);
            let all = done_step::fasteners_of_step(plan, step).len();
            (Some(EventButton::of_rest(book, bodies, all)), None)
        }
        Err(refusal) => (None, Some(shorten_refusal(&refusal))),
    }
}

/// The holes of a step whose fasteners are renewed each time and are not yet new, by fixing: those of this step alone.
fn holes_to_renew(
    book: &Book,
    plan: &Plan,
    step: &Step,
    visit: &Visit,
) -> BTreeMap<String, BTreeSet<String>> {
    let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (fixing, hole) in done_step::fasteners_of_step(plan, step) {
        let is_one_time = book.fixing_by_key(fixing).is_some_and(|id| book.fixing(id).one_time);
        if is_one_time && visit.fasteners.get(fixing, hole).is_some_and(is_old_and_out) {
            all.entry(fixing.to_owned()).or_default().insert(hole.to_owned());
        }
    }
    all
}

/// What prevents it: the first of each group that closes the same way, and how many more there are; the ledger
/// lists all.
fn shorten_refusal(refusal: &Refusal) -> String {
    let mut told: Vec<(&RefusalReason, usize)> = Vec::new();
    for against in &refusal.against {
        match told.iter_mut().find(|(first, _)| first.closes == against.closes) {
            Some((_, more)) => *more += 1,
            None => told.push((against, 0)),
        }
    }
    let line = |(first, more): &(&RefusalReason, usize)| match more {
        0 => format!("{}: {}", first.what, first.closes),
        more => format!("{}, and {more} more: {}", first.what, first.closes),
    };
    told.iter().map(line).collect::<Vec<_>>().join("; ")
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

fn duty_facts(book: &Book, plan: &Plan, duty: Option<(usize, &DutyLine)>) -> Vec<String> {
    let mut facts = Vec::new();
    let Some((_, line)) = duty else { return facts };
    if plan.slots.iter().any(|s| s.fixing == line.fixing && s.renewed) {
        facts.push(String::from("renewed each time: fit new ones"));
    }
    let fixing = book.fixing_by_key(&line.fixing).map(|id| book.fixing(id));
    let is_strip = matches!(line.act, Act::Free | Act::RunOut);
    let tip = |part: &model::Part| if is_strip { part.tip.clone() } else { part.refit_tip.clone() };
    facts.extend(fixing.and_then(|f| tip(book.part(f.part))));
    facts
}

fn duty_notes(book: &Book, plan: &Plan, step: &Step, duty: Option<(usize, &DutyLine)>) -> Vec<String> {
    let mut notes = Vec::new();
    let Some((index, line)) = duty else { return notes };
    if line.act == Act::Tighten {
        let order = step.actions.iter().find(|a| a.duty == index).filter(|a| a.holes.len() > 1);
        let ids = step.fixings.iter().filter_map(|key| book.fixing_by_key(key));
        let fixings: Vec<&model::Fixing> = ids.map(|id| book.fixing(id)).collect();
        let origin = HoleOrderOrigin::of_fixings(&fixings);
        notes.extend(order.map(|a| match origin {
            HoleOrderOrigin::Unrelated | HoleOrderOrigin::NotKnown => origin.words().to_owned(),
            HoleOrderOrigin::MakersSequence | HoleOrderOrigin::Positions => {
                format!("in the order {}; {}", a.holes.join(" "), origin.words())
            }
        }));
        let fixing = book.fixing_by_key(&line.fixing).map(|id| book.fixing(id));
        let source = fixing.map(|f| f.tightening.source.as_str()).filter(|source| !source.is_empty());
        notes.extend(source.map(|source| format!("source: {source}")));
    }
    notes.extend(plan.slots.iter().find(|s| s.fixing == line.fixing).map(|s| s.size.clone()));
    notes
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

/// The step for reading aloud, units spelt out: what is dangerous first, then what to do, with what, to which figure, where to.
fn spoken_words(sheet: &StepSheet) -> String {
    let mut words: Vec<String> =
        sheet.cautions.iter().map(|caution| format!("{}: {}", caution.word, caution.text)).collect();
    words.push(capitalise_first(&sheet.sentence));
    for tool in &sheet.tools {
        words.push(format!("{} {} {}", tool.act, tool.holes, tool.words).trim().to_owned());
    }
    if !sheet.figure.large.is_empty() {
        words.push(format!("{}, {}", sheet.figure.large, sheet.figure.beside));
    }
    if let (Some(slot), JobPhase::Strip) = (&sheet.slot, sheet.phase) {
        words.push(format!("into {}", slot.to_string().replace('-', " ")));
    }
    let told: Vec<&str> = words
        .iter()
        .map(|line| line.trim().trim_end_matches(['.', ',', ' ']))
        .filter(|line| !line.is_empty())
        .collect();
    told.join(". ").replace("N·m", "newton metres").replace('°', " degrees")
}
