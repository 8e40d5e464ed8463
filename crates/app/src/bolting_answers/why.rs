//! Why this figure: the reasons for the figures of a tightening step of a plan.
//!
//! The figure is the book's and is not changed. It is shown with its source, what the torque does to this thread, class and
//! surface (`bolting::clamp`: the book's allowed deviation, friction as a range, settling), how near the thread in the hole
//! is to stripping (`bolting::thread_strip`), what an angle adds (`bolting::angle`), the one verdict with all that speaks against
//! the figure (`bolting::verdict`), and what the wrench is set to and why that differs.
//!
//! **Worked example.** M8, 8.8, 25 N·m ± 4 %, oiled: 12 to 28 kN, up to 130 % of proof load; a range of friction is why.

use super::passes::{PassSources, pass_reasons_of_fixing};
use super::strip_margin::{self, EngagedThread, FirstFailure};
use super::tightening_verdict::{self, PreloadEnd, VerdictGround};
use super::{AnswerGrounds, BoltingError, FigureRange, FrictionUsed, read};
use bolting::angle::{self, MakersReuseRule, ReuseVerdict, TighteningControl, YieldReach, range_in_order};
use bolting::clamp::{self, TorqueTightening};
use bolting::pipe_thread::PipeThread;
use bolting::verdict::GroundWeight;
use bolting::{Edition, FastenerThread, PropertyClass, Thread, torque};
use model::plan::{Plan, StepKind, StepSequence};
use model::{Book, Fixing, Store, bearing_head, greatest_pass, is_solid_fastener};
use serde::Serialize;
use units::{Force, Torque};

pub use super::lever::{LeverDoubt, PassLever};
pub use super::passes::PassReasons;

/// What an angle after the last torque does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AngleReasons {
    /// Sum of the angles.
    pub angle_deg: f64,
    /// Preload after the turn.
    pub preload_n: FigureRange,
    /// Turn after the last torque at which the first bolts yield.
    pub first_yield_deg: f64,
    /// Torque felt at the end of the turn.
    pub end_torque_n_m: FigureRange,
    /// How far it takes the bolt.
    pub reach: YieldReach,
}

/// A load at which something gives way, for a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadLimit {
    /// What gives way: "proof load".
    pub name: &'static str,
    /// At which load.
    pub load_n: f64,
}

/// The reasons for the figure of one fixing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FixingReasons {
    /// Fixing key.
    pub fixing: String,
    /// Its title.
    pub title: String,
    /// Thread, length and class: `M6 × 25, 8.8`.
    pub size: String,
    /// The book's source of the figure.
    pub source: String,
    /// Passes of this step.
    pub passes: Vec<PassReasons>,
    /// Greatest torque of the stages.
    pub torque_n_m: Option<f64>,
    /// Deviation that the book allows.
    pub allowed_fraction: f64,
    /// Friction used.
    pub friction: FrictionUsed,
    /// Preload that the last torque leaves, settled at the low end and at most what breaks the bolt; none where it breaks for certain.
    pub preload_n: Option<FigureRange>,
    /// It over the proof load.
    pub of_proof_fraction: Option<FigureRange>,
    /// Greatest share of yield under tension and torsion.
    pub of_yield_fraction: Option<f64>,
    /// What an angle adds.
    pub angle: Option<AngleReasons>,
    /// Stripping load over the breaking load of a strong bolt of its class.
    pub strip_margin_ratio: Option<f64>,
    /// What gives way first.
    pub gives_way: Option<FirstFailure>,
    /// Torque at which the weaker thread strips.
    pub strips_at_n_m: Option<FigureRange>,
    /// The band of torques of this thread, class and material.
    pub plausible_n_m: Option<FigureRange>,
    /// The verdict by the heaviest ground: plausible, unusual, or cannot be meant.
    pub plausible: Option<&'static str>,
    /// What speaks about the figure, heaviest first.
    pub grounds: Vec<VerdictGround>,
    /// Where the preload ends: at its upper figure, or in breaking.
    pub preload_end: PreloadEnd,
    /// Loads at which something gives way, lowest first; left out of the answer.
    #[serde(skip)]
    pub limits: Vec<LoadLimit>,
    /// Renewed, used again, or to be asked: in words.
    pub reuse: Option<&'static str>,
    /// What makes a pipe thread tight, of which no load is worked out; none of a screw thread.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seal: Option<&'static str>,
    /// Looked at a second time, and never finished by a driver.
    pub is_critical: bool,
}

/// The reasons for the figures of a tightening step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepReasons {
    /// Number of the step.
    pub step: u32,
    /// The step in words.
    pub text: String,
    /// Its fixings.
    pub fixings: Vec<FixingReasons>,
    /// What it rests on.
    pub why: AnswerGrounds,
}

/// The reasons for the figures of a tightening step of a plan.
///
/// # Errors
/// [`BoltingError::Field`] for a step that is not there or tightens nothing, and where book and plan do not go together.
pub fn explain_step(book: &Book, plan: &Plan, step_number: u32) -> Result<StepReasons, BoltingError> {
    explain_step_with_tools(book, plan, None, step_number)
}

/// As [`explain_step`], and with the store that the plan was made from also the marks to set, and the lever behind a setting.
///
/// # Errors
/// As [`explain_step`].
pub fn explain_step_with_tools(
    book: &Book,
    plan: &Plan,
    store: Option<&Store>,
    step_number: u32,
) -> Result<StepReasons, BoltingError> {
    if plan.book != book.key {
        // Two books may well have fixings of one name, with other figures.
        let words = format!(
            "the plan belongs to the book `{}`, not to `{}`; give the book that the plan was made from",
            plan.book, book.key
        );
        return Err(read::field_error("book", words));
    }
    let steps = |s: &StepSequence| s.steps.clone();
    let all = [&plan.strip, &plan.work, &plan.refit].map(steps).concat();
    let Some(step) = all.iter().find(|s| s.number == step_number) else {
        return Err(read::field_error(
            "step",
            format!("the plan has no step {step_number}; its steps are 1 to {}", all.len()),
        ));
    };
    if step.kind != StepKind::Tighten {
        let tighten: Vec<String> =
            all.iter().filter(|s| s.kind == StepKind::Tighten).map(|s| s.number.to_string()).collect();
        let words = format!(
            "step {step_number} is not a tightening step; the tightening steps are {}",
            tighten.join(" ")
        );
        return Err(read::field_error("step", words));
    }
    let one = |key: &String| {
        let id = book.fixing_by_key(key).ok_or_else(|| {
            read::field_error(
                "book",
                format!("the plan has a fixing `{key}` that the book does not have; give the book that the plan was made from"),
            )
        })?;
        Ok(reasons_of_fixing(book, book.fixing(id), PassSources { plan, step, store }))
    };
    let fixings = step.fixings.iter().map(one).collect::<Result<Vec<_>, BoltingError>>()?;
    let why = step_grounds(&fixings);
    Ok(StepReasons { step: step.number, text: step.text.clone(), fixings, why })
}

fn reasons_of_fixing(book: &Book, fixing: &Fixing, from: PassSources<'_>) -> FixingReasons {
    let friction = FrictionUsed::of_lubrication(fixing.lubrication);
    let torque = greatest_pass(fixing).map(|(_, torque)| torque);
    let mut answer = FixingReasons {
        fixing: fixing.key.clone(),
        title: fixing.title.clone(),
        size: fixing.size_or_drive_words(),
        source: fixing.tightening.source.clone(),
        passes: pass_reasons_of_fixing(fixing, from),
        torque_n_m: torque.map(Torque::as_n_m),
        allowed_fraction: model::allowed_deviation_fraction(fixing),
        friction: friction.clone(),
        preload_n: None,
        of_proof_fraction: None,
        of_yield_fraction: None,
        angle: None,
        strip_margin_ratio: None,
        gives_way: None,
        strips_at_n_m: None,
        plausible_n_m: None,
        plausible: None,
        grounds: Vec::new(),
        preload_end: PreloadEnd::Stated,
        limits: Vec::new(),
        reuse: None,
        seal: fixing.thread.and_then(FastenerThread::pipe).map(PipeThread::seal_words),
        is_critical: fixing.critical,
    };
    if let Some((thread, torque)) = fixing.screw_thread().zip(torque).filter(|_| is_solid_fastener(fixing)) {
        add_clamp_figures(&mut answer, fixing, thread, torque);
        add_angle_figures(&mut answer, fixing, thread, torque);
        if let Some(class) = fixing.class {
            add_strip_figures(&mut answer, fixing, thread, class, friction);
        }
        add_limits(&mut answer, fixing, thread);
    }
    add_verdict(&mut answer, book, fixing);
    answer.reuse = Some(reuse_words(fixing, answer.angle.as_ref().map(|a| a.reach)));
    answer
}

fn add_clamp_figures(answer: &mut FixingReasons, fixing: &Fixing, thread: Thread, torque: Torque) {
    let found = clamp::clamp_load(&TorqueTightening {
        thread,
        class: fixing.class,
        bearing: bearing_head(fixing).bearing_face(thread).friction_diameter(),
        friction: fixing.lubrication.friction_range(),
        torque: model::allowed_torques(fixing, torque),
        prevailing: range_in_order(Torque::ZERO, Torque::ZERO),
        edition: Edition::default(),
    });
    answer.preload_n = Some(FigureRange::from_ends(found.low.as_n(), found.high.as_n()));
    answer.of_proof_fraction = found.proof_share.map(|(low, high)| FigureRange::from_ends(low, high));
    answer.of_yield_fraction = found.yield_share;
}

/// The one verdict, and no load above the one that breaks the bolt.
fn add_verdict(answer: &mut FixingReasons, book: &Book, fixing: &Fixing) {
    let Some(verdict) = model::tightening_verdict(book, fixing) else { return };
    let range = verdict.window.range;
    answer.plausible_n_m = Some(FigureRange::from_ends(range.low().as_n_m(), range.high().as_n_m()));
    answer.plausible = Some(verdict.standing().spoken_word());
    answer.grounds = verdict.grounds.iter().map(VerdictGround::of_ground).collect();
    let Some((preload, thread)) = answer.preload_n.zip(fixing.screw_thread()) else { return };
    let breaks_n = tightening_verdict::breaking_load(fixing, thread).as_n();
    answer.preload_end = tightening_verdict::preload_end(fixing, &verdict, preload.high >= breaks_n);
    if answer.preload_end == PreloadEnd::Stated {
        return;
    }
    // No bolt carries more than it breaks at.
    let carried = FigureRange::from_ends(preload.low.min(breaks_n), preload.high.min(breaks_n));
    answer.preload_n = Some(carried).filter(|_| answer.preload_end != PreloadEnd::Breaks);
    answer.of_yield_fraction = None;
    answer.of_proof_fraction = fixing
        .class
        .zip(answer.preload_n)
        .map(|(class, carried)| carried.scaled_by(1.0 / class.proof_load(thread).as_n()));
}

/// The loads that a picture of the preload shows, where the class is known.
fn add_limits(answer: &mut FixingReasons, fixing: &Fixing, thread: Thread) {
    let Some(class) = fixing.class else { return };
    answer.limits.push(LoadLimit { name: "proof load", load_n: class.proof_load(thread).as_n() });
    let breaks_n = tightening_verdict::breaking_load(fixing, thread).as_n();
    answer.limits.push(LoadLimit { name: "a strong bolt breaks", load_n: breaks_n });
    answer.limits.sort_by(|a, b| a.load_n.total_cmp(&b.load_n));
}

fn add_strip_figures(
    answer: &mut FixingReasons,
    fixing: &Fixing,
    thread: Thread,
    class: PropertyClass,
    friction: FrictionUsed,
) {
    let Some((length, _)) = fixing.engagement.ends() else { return };
    let material = fixing.tapped_in;
    let joint = EngagedThread { thread, class, length, material, insert: None };
    let (slippery, rough) = friction.ends();
    let torque = greatest_pass(fixing).map(|(_, torque)| torque);
    let margin = strip_margin::margin_of_engaged_thread(&joint, friction, torque);
    if length > units::Length::ZERO {
        // Under the head that it has, as in the verdict.
        let load = Force::from_n(margin.hole_strips_n.min(margin.bolt_strips_n));
        let bearing = bearing_head(fixing).bearing_face(thread).friction_diameter();
        let strips = |f| torque::torque_for_preload(thread, load, f, bearing).as_n_m();
        answer.limits.push(LoadLimit { name: "the thread strips", load_n: load.as_n() });
        answer.strip_margin_ratio = Some(margin.margin_ratio);
        answer.gives_way = Some(margin.gives_way);
        answer.strips_at_n_m = Some(FigureRange::from_ends(strips(slippery), strips(rough)));
    }
}

/// What the angle stages add, where the bolt's length and class are known.
fn add_angle_figures(answer: &mut FixingReasons, fixing: &Fixing, thread: Thread, snug: Torque) {
    let turned = model::turned_angle(fixing).zip(model::turned_preload(fixing, thread, snug));
    answer.angle = turned.map(|(sum, found)| AngleReasons {
        angle_deg: sum.as_deg(),
        preload_n: FigureRange::from_ends(found.preload.low().as_n(), found.preload.high().as_n()),
        first_yield_deg: found.first_yield.as_deg(),
        end_torque_n_m: FigureRange::from_ends(
            found.end_torque.low().as_n_m(),
            found.end_torque.high().as_n_m(),
        ),
        reach: found.reach,
    });
}

fn reuse_words(fixing: &Fixing, reach: Option<YieldReach>) -> &'static str {
    let control = if model::turned_angle(fixing).is_some() {
        TighteningControl::TorqueAngle
    } else {
        TighteningControl::Torque
    };
    let word = if fixing.one_time { MakersReuseRule::OneUse } else { MakersReuseRule::Silent };
    match angle::judge_reuse(control, word, reach) {
        ReuseVerdict::Again => "reuse if clean and undamaged",
        ReuseVerdict::MeasureFirst => "measure against the maker's length before reuse",
        ReuseVerdict::Ask => "ask the maker: it may be permanently stretched",
        ReuseVerdict::Renew => "renew each time",
    }
}

fn step_grounds(fixings: &[FixingReasons]) -> AnswerGrounds {
    let formula = [
        "F low = T·(1 − e)/lever(µ high)·(1 − 5 %)     F high = T·(1 + e)/lever(µ low)",
        "lever = P/2π + d2·µG/(2·cos 30°) + DKm/2·µK",
    ];
    let sources = [
        "long form and combined stress: VDI 2230, editions of 2001 and later; settling 5 %: NASA-STD-5020B, table 1",
        "stripping: FED-STD-H28/2B, appendix B",
    ];
    let holds = "worst case of torque and friction combined; the form of the head is inferred from its drive";
    let mut grounds = AnswerGrounds::new(&formula, holds, &sources);
    for fixing in fixings {
        if !fixing.source.is_empty() {
            grounds.add_source(&format!("figure of {}: {}", fixing.fixing, fixing.source));
        }
        if fixing.of_yield_fraction.is_some_and(|share| share > 1.0) {
            grounds.add_caution(format!(
                "{}: at the lowest friction assumed, the bolt would yield; use the surface condition that the figure is for.",
                fixing.fixing
            ));
        }
        for ground in fixing.grounds.iter().filter(|g| g.weight > GroundWeight::Note) {
            grounds.add_caution(format!("{}: {}.", fixing.fixing, ground.words));
        }
        if fixing.is_critical {
            grounds.add_caution(format!(
                "{}: critical; finish with the torque wrench and look again.",
                fixing.fixing
            ));
        }
        if fixing.angle.is_some() {
            grounds.add_source("angle: stiffness after VDI 2230, parts twice as wide as the head (assumption), ± 5° (assumption)");
        }
    }
    grounds
}
