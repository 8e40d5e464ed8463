//! One step of the bench as a sheet: what, where, with which stack, into which slot, and what the next three are.

use std::collections::BTreeSet;

use model::plan::{DutyLine, JobPhase, Plan, Step, StepKind, StepSequence};
use model::{Act, Book, Caution, FastenerState, HoleOrderOrigin, ReachVerdict, SlotAddress, Store};
use record::{PlanStepsView, Refusal, RefusalReason, StepStanding, Visit, VisitCommand, decide, steps_of};

use super::EventButton;
use super::figure::{MissingFigure, missing_figures, sentence_with_figures};
use super::label::capitalise_first;
use super::settings::effect_words;
use crate::{draw, text, titles};

/// Steps shown beneath the one in hand.
const AHEAD: usize = 3;

/// One step of the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct StepSheet {
    /// Number in the plan.
    pub number: u32,
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
    /// What is read at arm's length: the figure of the pass in hand, or the count.
    pub figure: String,
    /// What changes the work of the hand: what the wrench is set to, new fasteners, a tip.
    pub facts: Vec<String>,
    /// What is looked up: the order of the holes, where the figure comes from, the size.
    pub notes: Vec<String>,
    /// The stack in words.
    pub stack: String,
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
    /// Fasteners with something left: fixing and hole.
    pub left: Vec<(String, String)>,
    /// The next steps, one line each.
    pub next: Vec<String>,
    /// Number of the step before and after.
    pub around: (Option<u32>, Option<u32>),
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
    let duty = duty_in_hand(plan, step, view.left.first());
    let missing_figures = missing_figures(book, visit, tightened_fixings(step));
    let figure =
        told_figure(&missing_figures, duty).unwrap_or_else(|| figure_in_hand(plan, step, duty, left.len()));
    let ahead = views.steps_ahead().filter(|v| v.number != number).take(AHEAD);
    let line = |n: u32| steps.iter().find(|s| s.number == n).map(|s| format!("{n}  {}", s.text));
    let mut sheet = StepSheet {
        number,
        of: u32::try_from(steps.len()).unwrap_or(u32::MAX),
        phase: phase_of_step(plan, number),
        standing: view.standing,
        cautions: step.cautions.clone(),
        sentence: sentence_with_figures(&step.text, &missing_figures),
        facts: duty_facts(book, plan, duty).into_iter().chain(effect_words(book, step)).collect(),
        notes: duty_notes(book, plan, step, duty),
        stack: stack_words(plan, step, duty),
        slot: step.slot.clone(),
        station: titles::station_title(book, &step.station),
        helper: step.helper,
        tightens: step.kind == StepKind::Tighten,
        drawing: duty.and_then(|(index, _)| draw::duty_on_bench(book, store, plan, index)),
        pattern: draw::pattern_on_bench(book, plan, step, &|fixing, hole| fastener_mark(visit, fixing, hole)),
        tick,
        against,
        missing_figures,
        fixings: fixing_titles(book, step),
        part: step.part.clone(),
        left,
        next: ahead.filter_map(|v| line(v.number)).collect(),
        around: (previous_step(&steps, at), steps.get(at + 1).map(|s| s.number)),
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
fn told_figure(missing: &[MissingFigure], duty: Option<(usize, &DutyLine)>) -> Option<String> {
    let (_, line) = duty?;
    missing.iter().find(|m| m.fixing == line.fixing)?.word.clone()
}

fn previous_step(steps: &[&Step], at: usize) -> Option<u32> {
    at.checked_sub(1).map(|i| steps[i].number)
}

fn phase_of_step(plan: &Plan, number: u32) -> JobPhase {
    let has = |s: &StepSequence| s.steps.iter().any(|step| step.number == number);
    plan.sequences().into_iter().find(|(_, s)| has(s)).map_or(JobPhase::Refit, |(phase, _)| phase)
}

fn fixing_titles(book: &Book, step: &Step) -> Vec<(String, String)> {
    step.fixings.iter().map(|key| (key.clone(), titles::fixing_title(book, key))).collect()
}

/// What the main button writes, with new fasteners where the book requires them; or what prevents it.
fn main_button(
    book: &Book,
    plan: &Plan,
    visit: &Visit,
    step: &Step,
    standing: StepStanding,
) -> (Option<EventButton>, Option<String>) {
    if standing == StepStanding::Done {
        return (None, None);
    }
    let mut bodies = Vec::new();
    let mut then = visit.clone();
    if step.kind == StepKind::RunIn {
        for key in one_time_fixings(book, step) {
            let renew = VisitCommand::Renew { fixing: key, holes: BTreeSet::new() };
            if let Ok(new) = decide(&then, book, plan, renew) {
                record::apply_pretended_events(&mut then, &new);
                bodies.extend(new);
            }
        }
    }
    match decide(&then, book, plan, VisitCommand::Tick { step: step.number }) {
        Ok(more) => {
            bodies.extend(more);
            (Some(EventButton::new(book, bodies)), None)
        }
        Err(refusal) => (None, Some(shorten_refusal(&refusal))),
    }
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

fn one_time_fixings(book: &Book, step: &Step) -> Vec<String> {
    let ids = step.fixings.iter().filter_map(|key| book.fixing_by_key(key));
    ids.map(|id| book.fixing(id)).filter(|f| f.one_time).map(|f| f.key.clone()).collect()
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

/// The pass's figure where something is tightened, else how many are left.
fn figure_in_hand(plan: &Plan, step: &Step, duty: Option<(usize, &DutyLine)>, left: usize) -> String {
    let tightens = duty.filter(|(_, line)| line.act == Act::Tighten);
    let written = tightens
        .and_then(|(index, _)| step.actions.iter().find(|a| a.duty == index).and_then(|a| a.figure.clone()));
    if let Some(written) = written {
        return written;
    }
    let total: BTreeSet<(&str, &str)> = step
        .actions
        .iter()
        .filter_map(|a| plan.duties.get(a.duty).map(|d| (d, a)))
        .flat_map(|(d, a)| a.holes.iter().map(move |h| (d.fixing.as_str(), h.as_str())))
        .collect();
    match (total.len(), left) {
        (0, _) => String::new(),
        (all, left) if left == all || left == 0 => format!("{all} pcs"),
        (all, left) => format!("{left} of {all}"),
    }
}

fn duty_facts(book: &Book, plan: &Plan, duty: Option<(usize, &DutyLine)>) -> Vec<String> {
    let mut facts = Vec::new();
    let Some((_, line)) = duty else { return facts };
    if line.act == Act::Tighten
        && let (Some(set), Some(torque)) = (line.setting_n_m, line.torque_n_m)
        && (set - torque).abs() > 1e-9
    {
        facts.push(format!(
            "wrench set to {} N·m: the adapter changes the lever arm",
            units::significant(set, 3)
        ));
    }
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

fn stack_words(plan: &Plan, step: &Step, duty: Option<(usize, &DutyLine)>) -> String {
    let id = duty.and_then(|(index, line)| {
        let own = step.actions.iter().find(|a| a.duty == index).and_then(|a| a.stack.as_ref());
        own.or(line.stack.as_ref())
    });
    match (id.and_then(|id| plan.stacks.iter().find(|s| s.id == *id)), duty) {
        (Some(stack), Some((_, line))) if line.sure != ReachVerdict::Proven => format!("~ {}", stack.words),
        (Some(stack), _) => stack.words.clone(),
        (None, Some((_, line))) if line.sure != ReachVerdict::No => {
            format!("not known yet: {}", line.rests_on.join(", "))
        }
        (None, Some(_)) => String::from("no suitable tool at hand; see Before you start"),
        (None, None) => String::new(),
    }
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

/// The step in eight to ten words for reading aloud, units spelt out.
fn spoken_words(sheet: &StepSheet) -> String {
    let mut words = vec![capitalise_first(&sheet.sentence)];
    if !sheet.figure.is_empty() {
        words.push(
            sheet.figure.replace("N·m", "newton metres").replace("pcs", "pieces").replace('°', " degrees"),
        );
    }
    if let (Some(slot), JobPhase::Strip) = (&sheet.slot, sheet.phase) {
        words.push(format!("into {}", slot.to_string().replace('-', " ")));
    }
    words.join(". ")
}
