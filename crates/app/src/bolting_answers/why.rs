//! Why this figure: the reasons for the figures of a tightening step of a plan.
//!
//! The figure is the book's and is not changed. It is shown with its source, what the torque does to this thread, class and
//! surface (`bolting::clamp`: the book's allowed deviation, friction as a range, settling), how near the thread in the hole
//! is to stripping (`bolting::thread_strip`), what an angle adds (`bolting::angle`), the one verdict with all that speaks against
//! the figure (`bolting::verdict`), and what the wrench is set to and why that differs.
//!
//! **Worked example.** M8, 8.8, 25 N·m ± 4 %, oiled: 12 to 28 kN, up to 130 % of proof load; a range of friction is why.

use super::strip_margin::{self, EngagedThread, FirstFailure};
use super::tightening_verdict::{self, PreloadEnd, VerdictGround};
use super::{AnswerGrounds, BoltingError, FigureRange, FrictionUsed, read};
use bolting::angle::{
    self, AngleTightening, JointSprings, MakersReuseRule, ReuseVerdict, TighteningControl, YieldReach,
};
use bolting::clamp::{self, TorqueTightening};
use bolting::stiffness::{self, BoltCounterpart, ClampedLayer, ClampedParts, JointMaterial};
use bolting::verdict::{GroundWeight, TurnAfterTorque};
use bolting::{BearingHead, Edition, PropertyClass, TappedIn, Thread, torque};
use model::plan::{Plan, Step, StepAction, StepKind, StepSequence};
use model::{Act, Book, Drive, DriveForm, Fixing};
use serde::Serialize;
use units::{Angle, Force, Range, Torque, Unit};

/// Width of the clamped parts round a hole over the bearing face (assumption).
const PARTS_OVER_FACE_RATIO: f64 = 2.0;
/// Error of an angle by gauge or degree wheel (assumption: half a mark of a wheel in 10° steps).
const ANGLE_ERROR_DEG: f64 = 5.0;

/// One pass with one stack.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassReasons {
    /// Pass, from 1.
    pub pass: u32,
    /// The figure as the book writes it.
    pub figure: String,
    /// Torque at the fastener.
    pub torque_n_m: Option<f64>,
    /// What the torque tool is set to.
    pub setting_n_m: Option<f64>,
    /// Why the setting differs, or that it does not.
    pub correction: String,
    /// The stack in words.
    pub stack: String,
}

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
    /// Last torque of the stages.
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
    /// Renewed, used again, or to be asked: in words.
    pub reuse: Option<&'static str>,
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
        Ok(reasons_of_fixing(book, book.fixing(id), plan, step))
    };
    let fixings = step.fixings.iter().map(one).collect::<Result<Vec<_>, BoltingError>>()?;
    let why = step_grounds(&fixings);
    Ok(StepReasons { step: step.number, text: step.text.clone(), fixings, why })
}

fn reasons_of_fixing(book: &Book, fixing: &Fixing, plan: &Plan, step: &Step) -> FixingReasons {
    let friction = FrictionUsed::of_lubrication(fixing.lubrication);
    let torque = last_torque(fixing);
    let mut answer = FixingReasons {
        fixing: fixing.key.clone(),
        title: fixing.title.clone(),
        size: fixing.size_or_drive_words(),
        source: fixing.tightening.source.clone(),
        passes: pass_reasons_of_fixing(fixing, plan, step),
        torque_n_m: torque.map(Torque::as_n_m),
        allowed_fraction: fixing.tightening.tolerance_fraction,
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
        reuse: None,
        is_critical: fixing.critical,
    };
    if let Some((thread, torque)) = fixing.thread.zip(torque).filter(|_| is_solid(fixing)) {
        add_clamp_figures(&mut answer, fixing, thread, torque);
        add_angle_figures(&mut answer, fixing, thread, torque);
        add_verdict(&mut answer, book, fixing, thread, torque);
        if let Some(class) = fixing.class {
            add_strip_figures(&mut answer, fixing, thread, class, friction);
        }
    }
    answer.reuse = Some(reuse_words(fixing, answer.angle.as_ref().map(|a| a.reach)));
    answer
}

/// Whether the rules of a solid bolt hold: plugs, sensors and unions are hollow or seal on thin seats.
pub(super) const fn is_solid(fixing: &Fixing) -> bool {
    use model::FastenerKind as Kind;
    matches!(fixing.kind, Kind::Bolt | Kind::Nut | Kind::Stud | Kind::Screw)
}

/// The last torque of the stages; what an angle adds comes on top.
fn last_torque(fixing: &Fixing) -> Option<Torque> {
    fixing.tightening.stages.iter().filter_map(|s| s.target.torque()).next_back()
}

/// The form of the head, inferred from its drive; a head much wider than its hexagon is a flange.
pub(super) fn head_form(fixing: &Fixing) -> BearingHead {
    let drive: Drive = fixing.drive;
    let wide = fixing.head.diameter.as_mm();
    match drive.form() {
        DriveForm::HexSocket | DriveForm::Hexalobular => BearingHead::Cylinder,
        DriveForm::Hexagon if wide > FLANGE_OVER_FLATS_RATIO * drive.size() => BearingHead::Flange,
        DriveForm::Hexagon
        | DriveForm::BiHexagon
        | DriveForm::ExternalHexalobular
        | DriveForm::CrossRecess
        | DriveForm::CrossRecessZ
        | DriveForm::Slot
        | DriveForm::SpringClamp
        | DriveForm::PushClip
        | DriveForm::Latch
        | DriveForm::NotKnown
        | DriveForm::Hand => BearingHead::Hexagon,
    }
}

/// A hexagon's own corners reach 1.155 of its flats; beyond 1.25 there is a flange (assumption).
const FLANGE_OVER_FLATS_RATIO: f64 = 1.25;

/// A range round a torque by the deviation allowed.
fn deviation_range(torque: Torque, fraction: f64) -> Range<Torque> {
    let fraction = fraction.clamp(0.0, 0.9);
    ordered_range(torque * (1.0 - fraction), torque * (1.0 + fraction))
}

fn ordered_range<Q: Copy + PartialOrd + core::fmt::Debug>(a: Q, b: Q) -> Range<Q> {
    let (low, high) = if b < a { (b, a) } else { (a, b) };
    Range::new(low, high).expect("the ends were put in order")
}

fn add_clamp_figures(answer: &mut FixingReasons, fixing: &Fixing, thread: Thread, torque: Torque) {
    let found = clamp::clamp_load(&TorqueTightening {
        thread,
        class: fixing.class,
        bearing: head_form(fixing).bearing_face(thread).friction_diameter(),
        friction: fixing.lubrication.friction_range(),
        torque: deviation_range(torque, fixing.tightening.tolerance_fraction),
        prevailing: ordered_range(Torque::ZERO, Torque::ZERO),
        edition: Edition::default(),
    });
    answer.preload_n = Some(FigureRange::from_ends(found.low.as_n(), found.high.as_n()));
    answer.of_proof_fraction = found.proof_share.map(|(low, high)| FigureRange::from_ends(low, high));
    answer.of_yield_fraction = found.yield_share;
}

/// The one verdict, and no load above the one that breaks the bolt.
fn add_verdict(answer: &mut FixingReasons, book: &Book, fixing: &Fixing, thread: Thread, torque: Torque) {
    let turns = fixing.tightening.stages.iter().any(|stage| stage.target.angle().is_some());
    let turn = match &answer.angle {
        Some(angle) => Some(TurnAfterTorque::Known {
            reach: angle.reach,
            first_yield: Angle::from_deg(angle.first_yield_deg),
        }),
        None => turns.then_some(TurnAfterTorque::NotWorkedOut),
    };
    let verdict = tightening_verdict::judge_fixing(book, fixing, thread, (torque, turn));
    let range = verdict.window.range;
    answer.plausible_n_m = Some(FigureRange::from_ends(range.low().as_n_m(), range.high().as_n_m()));
    answer.plausible = Some(tightening_verdict::standing_words(verdict.standing()));
    answer.grounds = verdict.grounds.iter().map(VerdictGround::of_ground).collect();
    let Some(preload) = answer.preload_n else { return };
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
    let margin = strip_margin::margin_of_engaged_thread(&joint, friction, last_torque(fixing));
    if length > units::Length::ZERO {
        // Under the head that it has, as in the verdict.
        let load = Force::from_n(margin.hole_strips_n.min(margin.bolt_strips_n));
        let bearing = head_form(fixing).bearing_face(thread).friction_diameter();
        let strips = |f| torque::torque_for_preload(thread, load, f, bearing).as_n_m();
        answer.strip_margin_ratio = Some(margin.margin_ratio);
        answer.gives_way = Some(margin.gives_way);
        answer.strips_at_n_m = Some(FigureRange::from_ends(strips(slippery), strips(rough)));
    }
}

/// What the angle stages add, where the bolt's length and class are known.
fn add_angle_figures(answer: &mut FixingReasons, fixing: &Fixing, thread: Thread, snug: Torque) {
    let sum: Angle = fixing.tightening.stages.iter().filter_map(|s| s.target.angle()).sum();
    let known = fixing.class.zip(joint_springs(fixing, thread));
    let (Some((class, springs)), true) = (known, sum > Angle::ZERO) else { return };
    let error = Angle::from_deg(ANGLE_ERROR_DEG);
    let found = angle::preload_after_turn(&AngleTightening {
        thread,
        class,
        bearing: head_form(fixing).bearing_face(thread).friction_diameter(),
        friction: fixing.lubrication.friction_range(),
        snug: deviation_range(snug, fixing.tightening.tolerance_fraction),
        turned: ordered_range((sum - error).max(Angle::ZERO), sum + error),
        springs,
        edition: Edition::default(),
    });
    answer.angle = Some(AngleReasons {
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

/// The joint's springs: the clamped length threaded throughout, the parts of what the hole is tapped into (assumptions).
fn joint_springs(fixing: &Fixing, thread: Thread) -> Option<JointSprings> {
    let material = match fixing.tapped_in {
        TappedIn::Steel => JointMaterial::Steel,
        TappedIn::GreyIron => JointMaterial::GreyIron,
        TappedIn::CastAluminium => JointMaterial::Aluminium,
        TappedIn::Plastic => JointMaterial::Plastic,
    };
    let clamped = fixing.clamped?;
    let into = BoltCounterpart::Tapped(material);
    let bearing = head_form(fixing).bearing_face(thread);
    let bolt = stiffness::ClampingBolt {
        thread,
        shank: units::Length::ZERO,
        shank_diameter: None,
        free_thread: clamped,
        into,
    };
    let parts = ClampedParts {
        layers: vec![ClampedLayer { thickness: clamped, modulus_mpa: material.modulus_mpa() }],
        face: bearing.outer_diameter(),
        hole: bearing.hole_diameter(),
        outer: bearing.outer_diameter() * PARTS_OVER_FACE_RATIO,
    };
    Some(JointSprings {
        pitch: units::Length::from_mm(thread.pitch_mm()),
        bolt_mm_per_n: bolt.compliance_mm_per_n(),
        parts_mm_per_n: parts.compliance_mm_per_n(into).ok()?,
    })
}

fn reuse_words(fixing: &Fixing, reach: Option<YieldReach>) -> &'static str {
    let turns = fixing.tightening.stages.iter().any(|s| s.target.angle().is_some());
    let control = if turns { TighteningControl::TorqueAngle } else { TighteningControl::Torque };
    let word = if fixing.one_time { MakersReuseRule::OneUse } else { MakersReuseRule::Silent };
    match angle::judge_reuse(control, word, reach) {
        ReuseVerdict::Again => "reuse if clean and undamaged",
        ReuseVerdict::MeasureFirst => "measure against the maker's length before reuse",
        ReuseVerdict::Ask => "ask the maker: it may be permanently stretched",
        ReuseVerdict::Renew => "renew each time",
    }
}

/// The passes of a step on one fixing; one line for each pass and stack.
fn pass_reasons_of_fixing(fixing: &Fixing, plan: &Plan, step: &Step) -> Vec<PassReasons> {
    let mut found: Vec<PassReasons> = Vec::new();
    for action in &step.actions {
        let Some(pass) = pass_of_action(fixing, plan, action) else { continue };
        if !found.contains(&pass) {
            found.push(pass);
        }
    }
    found
}

fn pass_of_action(fixing: &Fixing, plan: &Plan, action: &StepAction) -> Option<PassReasons> {
    let duty = plan.duties.get(action.duty).filter(|d| d.fixing == fixing.key && d.act == Act::Tighten)?;
    let stack = action.stack.as_ref().and_then(|id| plan.stacks.iter().find(|s| s.id == *id));
    let stage = duty.stage.and_then(|s| fixing.tightening.stages.get(usize::from(s)));
    let is_torque = stage.is_some_and(|s| s.target.torque().is_some());
    let torque_n_m = duty.torque_n_m.filter(|_| is_torque);
    let setting_n_m = duty.setting_n_m.filter(|_| is_torque);
    Some(PassReasons {
        pass: u32::from(duty.stage.unwrap_or(0)) + 1,
        figure: action.figure.clone().or_else(|| stage.map(|s| s.as_written.clone())).unwrap_or_default(),
        torque_n_m,
        setting_n_m,
        correction: correction_words(torque_n_m, setting_n_m),
        stack: stack.map_or_else(|| String::from("no tool at hand"), |s| s.words.clone()),
    })
}

/// Settings closer than this to the torque need no correction.
const SAME_FRACTION: f64 = 1.0e-9;

fn correction_words(torque_n_m: Option<f64>, setting_n_m: Option<f64>) -> String {
    let n_m: &Unit = &Torque::UNITS[0];
    match torque_n_m.zip(setting_n_m) {
        None => String::new(),
        Some((torque, setting)) if (setting / torque - 1.0).abs() < SAME_FRACTION => {
            String::from("none: the tool is in line with the fastener")
        }
        Some((torque, setting)) => {
            let ratio = units::significant(setting / torque, 3);
            let (lever, off) = if setting < torque { ("lengthens", "much") } else { ("shortens", "little") };
            let torque = Torque::from_n_m(torque).show_in(n_m, 3);
            format!(
                "times {ratio}, because the offset {lever} the lever; a setting of {torque} would apply too {off} torque"
            )
        }
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
