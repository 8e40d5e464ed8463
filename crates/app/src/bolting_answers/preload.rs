//! How hard does a joint clamp: at a share of yield with the torque for it, or at a torque that is given.
//!
//! **Method.** `bolting::torque`, long form and assembly preload of VDI 2230. With one friction there is one preload and
//! one torque. With a range of friction there is a range of each, and besides them the torque that keeps to the share
//! however slippery the joint turns out to be, with the preloads which that torque may leave.
//!
//! **Worked example.** M12, 8.8, friction 0.14, 90 % of yield: 42.0 kN at 92.8 N·m.

use super::friction::StatedFriction;
use super::read::BearingSeat;
use super::{AnswerGrounds, BoltingError, FigureRange, FrictionUsed, figures, friction, read};
use bolting::scatter::{self, TighteningMethod};
use bolting::{BearingHead, BoltSection, BoltSectionError, Edition, Friction, PropertyClass, Thread, torque};
use serde::{Deserialize, Serialize};
use units::{Force, Length, Torque};

/// The usual share of yield.
pub const USUAL_YIELD_FRACTION: f64 = 0.9;
/// Below this friction the wider scatter of a torque wrench applies: lower end of VDI 2230 class B.
const CLASS_B_FROM_RATIO: f64 = 0.08;

/// The question, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct PreloadRequest {
    /// Thread: `M10x1.25`.
    pub thread: String,
    /// Property class: `10.9`; may be left out where a torque is given.
    pub class: Option<String>,
    /// Friction in the thread and, unless it is given apart, under the head: `0.12` or `0.10 to 0.16`.
    pub friction: Option<String>,
    /// Friction under the head.
    pub friction_head: Option<String>,
    /// State of lubrication instead of a coefficient: `oiled`.
    pub lubrication: Option<String>,
    /// Surface of thread and head: `zinc`.
    pub surface: Option<String>,
    /// Share of yield: `90 %`.
    pub share: Option<String>,
    /// A torque instead of a share of yield.
    pub torque: Option<String>,
    /// Running torque of a self-locking thread, which makes no preload.
    pub prevailing: Option<String>,
    /// Form of the head: `hexagon`, `hexagon-on-washer`, `flange`, `small-flange`, `cylinder`, `countersunk`.
    pub head: Option<String>,
    /// Mean diameter of the bearing face, instead of a form of head.
    pub bearing: Option<String>,
    /// Diameter of a shank that is waisted below the thread: `7 mm`.
    pub waist: Option<String>,
    /// Diameter of a hole along the axis: `4 mm`.
    pub bore: Option<String>,
    /// Edition: `2001` (and later) or `1986`.
    pub edition: Option<String>,
}

/// The scatter of preload when one joint is tightened repeatedly to one torque.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PreloadScatter {
    /// How it is tightened.
    pub method: TighteningMethod,
    /// Greatest over least preload.
    pub factor: FigureRange,
    /// Preloads to allow for.
    pub preload_n: FigureRange,
    /// Who says so.
    pub source: String,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PreloadAnswer {
    /// Thread.
    pub thread: String,
    /// Property class.
    pub class: Option<PropertyClass>,
    /// Edition of VDI 2230.
    pub edition: Edition,
    /// Friction used.
    pub friction: FrictionUsed,
    /// Form of the head; none where the bearing diameter was given.
    pub head: Option<BearingHead>,
    /// Mean bearing diameter.
    pub bearing_diameter_mm: f64,
    /// Preload, where friction is one figure.
    pub preload_n: Option<f64>,
    /// Torque, prevailing torque included, where it is one figure.
    pub torque_n_m: Option<f64>,
    /// Preloads over the range of friction.
    pub preload_range_n: FigureRange,
    /// Torques over the range of friction.
    pub torque_range_n_m: FigureRange,
    /// Torque that makes no preload.
    pub prevailing_n_m: f64,
    /// Share of yield used up by tension and torsion together.
    pub of_yield_fraction: Option<FigureRange>,
    /// Preload over proof load.
    pub of_proof_fraction: Option<FigureRange>,
    /// Proof load of the bolt.
    pub proof_load_n: Option<f64>,
    /// With a range of friction and a share of yield: the torque that keeps to the share throughout.
    pub safe_torque_n_m: Option<f64>,
    /// Preloads that the safe torque may leave.
    pub safe_preload_n: Option<FigureRange>,
    /// With one friction: what a torque wrench may leave.
    pub scatter: Option<PreloadScatter>,
    /// Whether the bolt breaks at the slippery end, so that the upper preload is its breaking load.
    pub may_break: bool,
    /// Load at which a strong bolt of its class breaks under the slipperiest friction, for a picture; left out of the answer.
    #[serde(skip)]
    pub breaks_at_n: f64,
    /// What it rests on.
    pub why: AnswerGrounds,
}

impl PreloadAnswer {
    /// The preload in words; where the slippery end breaks the bolt, no load is named for it.
    #[must_use]
    pub fn preload_words(&self, digits: u32) -> String {
        let range = self.preload_range_n;
        if self.may_break {
            let from = FigureRange::from_ends(range.low, range.low);
            format!(
                "from {}; where it is slippery the bolt BREAKS",
                figures::format_force_range(from, digits)
            )
        } else {
            figures::format_force_range(range, digits)
        }
    }
}

/// The joint that a question is about.
struct BoltedJoint {
    thread: Thread,
    section: BoltSection,
    class: Option<PropertyClass>,
    friction: FrictionUsed,
    seat: BearingSeat,
    prevailing: Torque,
    edition: Edition,
}

/// The weakest section of a bolt whose waist and bore are given as texts.
fn parse_section(asked: &PreloadRequest, thread: Thread) -> Result<BoltSection, BoltingError> {
    let length = |field: &'static str, text: Option<&String>| {
        read::given_text(text).map(|t| read::parse_length(field, t)).transpose()
    };
    let waist = length("waist", asked.waist.as_ref())?;
    let bore = length("bore", asked.bore.as_ref())?;
    BoltSection::of_shank(thread, waist, bore).map_err(|error| {
        let field = match error {
            BoltSectionError::Waist { .. } => "waist",
            BoltSectionError::Bore { .. } => "bore",
        };
        read::field_error(field, error.to_string())
    })
}

impl BoltedJoint {
    fn at_friction_ends(&self, of: impl Fn(Friction) -> f64) -> FigureRange {
        let (low, high) = self.friction.ends();
        FigureRange::from_ends(of(low), of(high))
    }

    /// Loads at which even a strong bolt of its class breaks, of 12.9 where the class is not known.
    fn breaking_range_n(&self) -> FigureRange {
        let class = self.class.unwrap_or(PropertyClass::C12_9);
        let breaks = |f: Friction| self.section.breaking_preload(class, f.mu_g(), self.edition).as_n();
        self.at_friction_ends(breaks).scaled_by(bolting::thread_strip::STRENGTH_FACTOR)
    }
}

/// Answers the question.
///
/// # Errors
/// [`BoltingError::Field`] with the field that cannot be used and what to write.
pub fn compute_preload(asked: &PreloadRequest) -> Result<PreloadAnswer, BoltingError> {
    let thread = read::parse_thread(&asked.thread)?;
    let joint = BoltedJoint {
        thread,
        section: parse_section(asked, thread)?,
        class: read::parse_class(asked.class.as_ref())?,
        friction: friction::resolve_friction(&StatedFriction {
            friction: asked.friction.as_ref(),
            friction_head: asked.friction_head.as_ref(),
            lubrication: asked.lubrication.as_ref(),
            surface: asked.surface.as_ref(),
        })?,
        seat: read::parse_seat(asked.head.as_ref(), asked.bearing.as_ref(), thread)?,
        prevailing: read::parse_torque_or_zero("prevailing", asked.prevailing.as_ref())?,
        edition: read::parse_edition(asked.edition.as_ref())?,
    };
    match (read::given_text(asked.torque.as_ref()), read::given_text(asked.share.as_ref())) {
        (Some(_), Some(_)) => {
            Err(read::field_error("share", "give either a share of yield or a torque, not both"))
        }
        (Some(text), None) => preload_at_torque(&joint, read::parse_torque("torque", text)?.0),
        (None, text) => {
            let share =
                text.map_or(Ok(USUAL_YIELD_FRACTION), |t| read::parse_share_fraction("share", t, 1.0))?;
            preload_at_share(&joint, share)
        }
    }
}

/// Preload and torque at a share of yield.
fn preload_at_share(joint: &BoltedJoint, share_fraction: f64) -> Result<PreloadAnswer, BoltingError> {
    let Some(class) = joint.class else {
        return Err(read::field_error(
            "class",
            "a share of yield needs the property class, such as `8.8`; or give a torque",
        ));
    };
    let preload =
        |f: Friction| joint.section.assembly_preload(class, f.mu_g(), share_fraction, joint.edition);
    let net = |f: Friction| torque::torque_for_preload(joint.thread, preload(f), f, joint.seat.diameter);
    let torques = joint.at_friction_ends(|f| (net(f) + joint.prevailing).as_n_m());
    let mut answer = blank_preload_answer(joint, joint.at_friction_ends(|f| preload(f).as_n()), torques);
    answer.of_yield_fraction = Some(FigureRange::from_ends(share_fraction, share_fraction));
    if let Some(one) = answer.preload_range_n.single_figure() {
        let factor = tightening_method(joint).tightening_factor();
        answer.scatter = Some(PreloadScatter {
            method: tightening_method(joint),
            factor: FigureRange::from_ends(factor.low_ratio, factor.high_ratio),
            preload_n: FigureRange::from_ends(
                scatter::least_preload(Force::from_n(one), factor.high_ratio).as_n(),
                one,
            ),
            source: factor.source.to_owned(),
        });
    } else {
        let safe = Torque::from_n_m(torques.low - joint.prevailing.as_n_m());
        let left =
            |f: Friction| torque::preload_for_torque(joint.thread, safe, f, joint.seat.diameter).as_n();
        answer.safe_torque_n_m = Some(torques.low);
        answer.safe_preload_n = Some(joint.at_friction_ends(left));
    }
    answer.why = preload_grounds(joint, Some((class, share_fraction)), &answer);
    Ok(answer)
}

/// Preload that a torque makes.
fn preload_at_torque(joint: &BoltedJoint, torque: Torque) -> Result<PreloadAnswer, BoltingError> {
    let net = torque - joint.prevailing;
    if net <= Torque::ZERO {
        let words = format!(
            "the prevailing torque of {} leaves nothing of {torque} to make preload",
            joint.prevailing
        );
        return Err(read::field_error("prevailing", words));
    }
    let preload = |f: Friction| torque::preload_for_torque(joint.thread, net, f, joint.seat.diameter);
    let torque_n_m = torque.as_n_m();
    let preloads = joint.at_friction_ends(|f| preload(f).as_n());
    let breaks_n = joint.breaking_range_n();
    if preloads.low >= breaks_n.low {
        let words = format!(
            "{torque} breaks {}: it carries at most {} under this friction; check figure, unit and thread",
            joint.thread,
            figures::format_force_range(breaks_n, figures::COARSE)
        );
        return Err(read::field_error("torque", words));
    }
    // Where only the slippery end breaks, the range ends at the breaking load and says so.
    let may_break = preloads.high > breaks_n.high;
    let preloads = FigureRange::from_ends(preloads.low, preloads.high.min(breaks_n.high));
    let mut answer = blank_preload_answer(joint, preloads, FigureRange::from_ends(torque_n_m, torque_n_m));
    answer.may_break = may_break;
    answer.of_yield_fraction = joint.class.map(|class| {
        let full = |f: Friction| joint.section.assembly_preload(class, f.mu_g(), 1.0, joint.edition);
        joint.at_friction_ends(|f| preload(f) / full(f))
    });
    if may_break {
        answer.of_yield_fraction = None;
        answer.of_proof_fraction = None;
    }
    if let Some(one) = preloads.single_figure() {
        let factor = tightening_method(joint).tightening_factor();
        let off = scatter::deviation_fraction(factor.high_ratio);
        answer.scatter = Some(PreloadScatter {
            method: tightening_method(joint),
            factor: FigureRange::from_ends(factor.low_ratio, factor.high_ratio),
            preload_n: FigureRange::from_ends(one * (1.0 - off), one * (1.0 + off)),
            source: factor.source.to_owned(),
        });
    }
    answer.why = preload_grounds(joint, None, &answer);
    Ok(answer)
}

/// The scatter of a torque wrench whose friction was estimated and not tested.
fn tightening_method(joint: &BoltedJoint) -> TighteningMethod {
    if joint.friction.low.mu_g < CLASS_B_FROM_RATIO {
        TighteningMethod::TorqueClassA
    } else {
        TighteningMethod::TorqueClassB
    }
}

/// An answer with all that follows from preload and torque alone.
fn blank_preload_answer(
    joint: &BoltedJoint,
    preloads_n: FigureRange,
    torques_n_m: FigureRange,
) -> PreloadAnswer {
    let proof_n = joint.class.map(|class| joint.section.proof_load(class).as_n());
    let one = joint.friction.is_single();
    PreloadAnswer {
        thread: joint.thread.to_string(),
        class: joint.class,
        edition: joint.edition,
        friction: joint.friction.clone(),
        head: joint.seat.head,
        bearing_diameter_mm: joint.seat.diameter.as_mm(),
        preload_n: preloads_n.single_figure().filter(|_| one),
        torque_n_m: torques_n_m.single_figure(),
        preload_range_n: preloads_n,
        torque_range_n_m: torques_n_m,
        prevailing_n_m: joint.prevailing.as_n_m(),
        of_yield_fraction: None,
        of_proof_fraction: proof_n.map(|proof_n| preloads_n.scaled_by(1.0 / proof_n)),
        proof_load_n: proof_n,
        safe_torque_n_m: None,
        safe_preload_n: None,
        scatter: None,
        may_break: false,
        breaks_at_n: joint.breaking_range_n().high,
        why: AnswerGrounds::new(&[], "", &[]),
    }
}

const LONG_FORM: &str = "T  = F·(P/2π + d2·µG/(2·cos 30°) + DKm/2·µK)";
const ASSEMBLY: &str = "FM = As·ν·Rp0.2 / √(1 + 3·[t·(d2/ds)·(P/(π·d2) + 1.155·µG)]²)";
const SHANK_ASSEMBLY: &str = "FM = A0·ν·Rp0.2 / √(1 + 3·[t·(d2/d0)·h·(P/(π·d2) + 1.155·µG)]²)";
const VDI: &str = "VDI 2230 (equations from memory, checked against published tables of both editions)";

fn preload_grounds(
    joint: &BoltedJoint,
    class_and_share: Option<(PropertyClass, f64)>,
    answer: &PreloadAnswer,
) -> AnswerGrounds {
    let holds = "up to yield; joint stiffness and settling (2 to 10 %) are not included";
    let assembly = if joint.section.is_plain() { ASSEMBLY } else { SHANK_ASSEMBLY };
    let formula: &[&str] = if class_and_share.is_some() { &[assembly, LONG_FORM] } else { &[LONG_FORM] };
    let mut grounds = AnswerGrounds::new(formula, holds, &[VDI]);
    add_thread_inputs(&mut grounds, joint.thread, &joint.seat);
    add_shank_inputs(&mut grounds, &joint.section);
    joint.friction.add_to_grounds(&mut grounds);
    if let Some((class, share_fraction)) = class_and_share {
        let yield_mpa = joint.edition.yield_mpa(class, joint.thread.d_mm());
        let (edition, factor) = edition_words(joint.edition);
        grounds.add_input(
            "ν",
            figures::format_percent_range(FigureRange::from_ends(share_fraction, share_fraction)),
            "share of yield",
            "as asked",
        );
        let strength = format!("{} MPa", units::significant(yield_mpa, 4));
        grounds.add_input("Rp0.2", strength, "yield strength", class.source());
        grounds.add_input("t", factor.to_owned(), "torsion factor", edition);
        grounds.add_caution(other_edition(joint, class, share_fraction));
    }
    if joint.prevailing > Torque::ZERO {
        grounds.add_input("Tp", joint.prevailing.to_string(), "prevailing torque, part of T", "as given");
        grounds.add_source("prevailing torque is added: MIL-HDBK-60, 110.3; NASA-STD-5020B, A.2");
    }
    add_preload_cautions(&mut grounds, answer);
    grounds
}

/// What the other edition makes of the same words.
fn other_edition(joint: &BoltedJoint, class: PropertyClass, share_fraction: f64) -> String {
    let (other, name) = match joint.edition {
        Edition::E1986 => (Edition::E2001, "editions of 2001 and later give"),
        Edition::E2001 => (Edition::E1986, "1986 edition gives"),
    };
    let preload = |f: Friction| joint.section.assembly_preload(class, f.mu_g(), share_fraction, other);
    let shown =
        figures::format_force_range(joint.at_friction_ends(|f| preload(f).as_n()), joint.friction.digits());
    let share = figures::format_percent_range(FigureRange::from_ends(share_fraction, share_fraction));
    format!("For the same wording, \"{share} of yield\", the {name} {shown}.")
}

/// The edition in words, and its torsion factor.
const fn edition_words(edition: Edition) -> (&'static str, &'static str) {
    match edition {
        Edition::E1986 => ("VDI 2230:1986", "2.0"),
        Edition::E2001 => ("VDI 2230:2001 and later", "1.5"),
    }
}

/// Pitch, diameters and stress area of a thread, and the bearing diameter, as inputs.
pub(super) fn add_thread_inputs(grounds: &mut AnswerGrounds, thread: Thread, seat: &BearingSeat) {
    let series = if thread.is_metric() { "ISO 261" } else { "ASME B1.1" };
    let profile = if thread.is_metric() { "ISO 724" } else { "ASME B1.1" };
    let stress = if thread.is_metric() { "ISO 898-1" } else { "FED-STD-H28" };
    let mm = |mm: f64| figures::with_unit(mm, 4, "mm");
    grounds.add_input("P", mm(thread.pitch_mm()), "pitch", series);
    grounds.add_input("d2", mm(thread.d2_mm()), "pitch diameter", profile);
    grounds.add_input("ds", mm(thread.stress_diameter_mm()), "diameter of the stress area", stress);
    grounds.add_input("As", figures::with_unit(thread.stress_area_mm2(), 3, "mm²"), "stress area", stress);
    grounds.add_input("DKm", mm(seat.diameter.as_mm()), "mean bearing diameter", seat.source);
}

/// The weakest section of a waisted or hollow bolt, as inputs; nothing of a plain one.
fn add_shank_inputs(grounds: &mut AnswerGrounds, section: &BoltSection) {
    if section.is_plain() {
        return;
    }
    let mm = |length: Length| figures::with_unit(length.as_mm(), 3, "mm");
    grounds.add_input("d0", mm(section.diameter()), "weakest section of the shank", "as given");
    if section.bore() > Length::ZERO {
        grounds.add_input("b", mm(section.bore()), "hole along the axis; h is its factor", "as given");
    }
    let area = figures::with_unit(section.area_mm2(), 3, "mm²");
    grounds.add_input("A0", area, "area of the weakest section", "d0 and b");
    grounds.add_source("weakest section: VDI 2230, 5.4.1 (from memory); tube in torsion, as in any text");
    grounds.add_caution(
        "A cross hole in the thread, or a notch at the end of the waist, weakens the bolt further.",
    );
}

fn add_preload_cautions(grounds: &mut AnswerGrounds, answer: &PreloadAnswer) {
    if answer.may_break {
        grounds.add_caution("At the slipperiest friction this torque BREAKS the bolt.");
    }
    if answer.of_yield_fraction.is_some_and(|share| share.high > 1.0) {
        grounds
            .add_caution("At the lowest friction this torque exceeds yield: the bolt stretches permanently.");
    }
    if answer.class.is_some_and(PropertyClass::is_stainless) {
        grounds.add_caution("The proof load of stainless steel is taken as 0.9 of yield (assumption).");
    }
    if answer.friction.is_single() {
        grounds.add_caution(
            "Friction is rarely known to within 10 %; the scatter shows what preload the same torque may give.",
        );
    } else {
        grounds.add_caution("Friction is a range here; a measured coefficient narrows the answer.");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(waist: Option<&str>, bore: Option<&str>) -> PreloadRequest {
        PreloadRequest {
            thread: String::from("M10"),
            class: Some(String::from("10.9")),
            friction: Some(String::from("0.12")),
            waist: waist.map(str::to_owned),
            bore: bore.map(str::to_owned),
            ..PreloadRequest::default()
        }
    }

    /// Worked by hand in `bolting::shank`: 27.4 kN on a waist of 7 mm; half a digit.
    #[test]
    fn a_waisted_bolt_is_reckoned_by_its_waist() {
        let waisted = compute_preload(&asked(Some("7 mm"), None)).expect("a waist");
        assert!((waisted.preload_range_n.high / 1000.0 - 27.4).abs() < 0.05, "{waisted:?}");
        assert!(waisted.why.inputs.iter().any(|input| input.symbol == "d0"));
        let bored = compute_preload(&asked(Some("7 mm"), Some("3 mm"))).expect("a waist with a bore");
        assert!(bored.preload_range_n.high < waisted.preload_range_n.high);
        let (thick, plain) =
            (compute_preload(&asked(Some("10 mm"), None)), compute_preload(&asked(None, None)));
        assert_eq!(thick.expect("no waist at all"), plain.expect("a plain bolt"));
    }

    #[test]
    fn a_shank_that_is_none_names_its_field() {
        for (waist, bore, wanted) in
            [(Some("12 mm"), None, "waist"), (None, Some("9 mm"), "bore"), (Some("-7 mm"), None, "waist")]
        {
            match compute_preload(&asked(waist, bore)) {
                Err(BoltingError::Field { field, words }) => assert_eq!(field, wanted, "{words}"),
                other => panic!("{waist:?} {bore:?}: {other:?}"),
            }
        }
    }
}
