//! Will the bolt break before its thread, or the one in the hole, shears off?
//!
//! **Method.** `bolting::thread_strip`: shear areas of FED-STD-H28/2B at least material, 6g/6H or 2A/2B. The margin is the load at
//! which the weaker thread strips over the load at which a strong bolt of its class breaks (1.2 times the least); above 1 the bolt
//! goes first, which can be seen and repaired. Torques follow for the range of friction: the slipperiest strips at the lowest torque.
//!
//! **Worked example.** M10 in cast aluminium, 15 mm engaged: the hole's thread holds 42 kN.

use super::friction::StatedFriction;
use super::{AnswerGrounds, BoltingError, FigureRange, FrictionUsed, figures, friction, read};
use bolting::engage::{TappedGrade, recommended_engagement};
use bolting::thread_strip::StrippingLoads;
use bolting::torque::{bearing_diameter, torque_for_preload};
use bolting::{PropertyClass, TappedIn, Thread, insert, thread_strip};
use serde::{Deserialize, Serialize};
use units::{Length, Torque};

/// The question, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct StripMarginRequest {
    /// Thread.
    pub thread: String,
    /// Property class of the bolt.
    pub class: String,
    /// Length of thread engaged: `15 mm`.
    pub engagement: String,
    /// What the hole is tapped into: `cast-aluminium`.
    pub material: String,
    /// Length of a wire insert in the hole, instead of bare threads: `12 mm`.
    pub insert: Option<String>,
    /// Torque that the joint is tightened to.
    pub torque: Option<String>,
    /// Friction in the thread and, unless it is given apart, under the head.
    pub friction: Option<String>,
    /// Friction under the head.
    pub friction_head: Option<String>,
    /// State of lubrication instead of a coefficient: `oiled`.
    pub lubrication: Option<String>,
    /// Surface of thread and head: `zinc`.
    pub surface: Option<String>,
}

/// What gives way first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FirstFailure {
    /// The bolt breaks.
    BoltBreaks,
    /// The thread in the hole shears off.
    HoleStrips,
    /// The bolt's own thread shears off.
    BoltStrips,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StripMarginAnswer {
    /// Thread.
    pub thread: String,
    /// Property class of the bolt.
    pub class: PropertyClass,
    /// What the hole is tapped into.
    pub material: TappedIn,
    /// Length of thread engaged.
    pub engagement_mm: f64,
    /// Stripping load over the breaking load of a strong bolt of its class; above 1 the bolt goes first.
    pub margin_ratio: f64,
    /// Breaking load of a strong bolt over that of the weakest allowed.
    pub strength_factor: f64,
    /// What gives way first.
    pub gives_way: FirstFailure,
    /// Load at which the hole's thread strips.
    pub hole_strips_n: f64,
    /// Load at which the bolt's thread strips.
    pub bolt_strips_n: f64,
    /// Load at which a strong bolt of its class breaks.
    pub bolt_breaks_n: f64,
    /// Engagement at which the bolt breaks just before a thread strips.
    pub needed_mm: f64,
    /// Published trial value for this material and class, where there is one.
    pub recommended_mm: Option<f64>,
    /// Length of the wire insert in the hole, where there is one.
    pub insert_mm: Option<f64>,
    /// Length of wire insert at which the bolt breaks just before it tears out.
    pub insert_needed_mm: f64,
    /// The stock length of insert that holds more than the bolt, up to three diameters.
    pub insert_stock_mm: Option<f64>,
    /// Friction used.
    pub friction: FrictionUsed,
    /// Torque at which the weaker thread strips.
    pub strips_at_n_m: FigureRange,
    /// Torque that the joint is tightened to.
    pub torque_n_m: Option<f64>,
    /// Stripping torque over it.
    pub torque_margin_ratio: Option<FigureRange>,
    /// What it rests on.
    pub why: AnswerGrounds,
}

/// Answers the question.
///
/// # Errors
/// [`BoltingError::Field`] with the field that cannot be used and what to write.
pub fn compute_strip_margin(asked: &StripMarginRequest) -> Result<StripMarginAnswer, BoltingError> {
    let thread = read::parse_thread(&asked.thread)?;
    let Some(class) = read::parse_class(Some(&asked.class))? else {
        return Err(read::field_error("class", "give the property class of the bolt, as `8.8`"));
    };
    let engagement = read::parse_length("engagement", &asked.engagement)?;
    let Some(material) = read::parse_material(Some(&asked.material))? else {
        return Err(read::field_error(
            "material",
            "name the material that the hole is tapped into, such as `cast-aluminium`",
        ));
    };
    let friction = friction::resolve_friction(&StatedFriction {
        friction: asked.friction.as_ref(),
        friction_head: asked.friction_head.as_ref(),
        lubrication: asked.lubrication.as_ref(),
        surface: asked.surface.as_ref(),
    })?;
    let torque =
        read::given_text(asked.torque.as_ref()).map(|t| read::parse_torque("torque", t)).transpose()?;
    let insert =
        read::given_text(asked.insert.as_ref()).map(|t| read::parse_length("insert", t)).transpose()?;
    let joint = EngagedThread { thread, class, length: engagement, material, insert };
    Ok(margin_of_engaged_thread(&joint, friction, torque.map(|t| t.0)))
}

/// A bolt in its hole.
pub(super) struct EngagedThread {
    /// Thread.
    pub thread: Thread,
    /// Property class of the bolt.
    pub class: PropertyClass,
    /// Length of thread engaged.
    pub length: Length,
    /// What the hole is tapped into.
    pub material: TappedIn,
    /// Length of a wire insert.
    pub insert: Option<Length>,
}

impl EngagedThread {
    /// Loads at which the hole's thread, or the insert in it, and the bolt's thread strip.
    fn stripping_loads(&self) -> StrippingLoads {
        match self.insert {
            None => thread_strip::stripping_load(self.thread, Some(self.class), self.length, self.material),
            // The bolt turns in the insert's steel; what tears out is the insert.
            Some(insert) => {
                // No more of it carries than the bolt engages.
                let length = insert.min(self.length);
                StrippingLoads {
                    internal: insert::insert_pull_out_load(self.thread, length, self.material),
                    ..thread_strip::stripping_load(self.thread, Some(self.class), length, TappedIn::Steel)
                }
            }
        }
    }

    fn recommended_length(&self) -> Option<Length> {
        let grade = match self.material {
            TappedIn::Steel => TappedGrade::Steel500,
            TappedIn::GreyIron => TappedGrade::GreyIron220,
            // The published row for aluminium is one of pure metal, which no casting is.
            TappedIn::CastAluminium | TappedIn::Plastic => return None,
        };
        recommended_engagement(self.thread, self.class, grade)
    }
}

/// The margin of a joint in values.
pub(super) fn margin_of_engaged_thread(
    joint: &EngagedThread,
    friction: FrictionUsed,
    torque: Option<Torque>,
) -> StripMarginAnswer {
    let &EngagedThread { thread, class, length, material, .. } = joint;
    let loads = joint.stripping_loads();
    // A bolt may be stronger than the least of its class; only above that it surely breaks first.
    let breaks = thread_strip::breaking_load(thread, class) * thread_strip::STRENGTH_FACTOR;
    let (slippery, rough) = friction.ends();
    let strips = |f| torque_for_preload(thread, loads.least_load(), f, bearing_diameter(thread)).as_n_m();
    let strips_at = FigureRange::from_ends(strips(slippery), strips(rough));
    let gives_way = if loads.least_load() >= breaks {
        FirstFailure::BoltBreaks
    } else if loads.internal <= loads.external {
        FirstFailure::HoleStrips
    } else {
        FirstFailure::BoltStrips
    };
    let mut answer = StripMarginAnswer {
        thread: thread.to_string(),
        class,
        material,
        engagement_mm: length.as_mm(),
        margin_ratio: loads.least_load() / breaks,
        strength_factor: thread_strip::STRENGTH_FACTOR,
        gives_way,
        hole_strips_n: loads.internal.as_n(),
        bolt_strips_n: loads.external.as_n(),
        bolt_breaks_n: breaks.as_n(),
        needed_mm: (thread_strip::needed_engagement(thread, class, material) * thread_strip::STRENGTH_FACTOR)
            .as_mm(),
        recommended_mm: joint.recommended_length().map(Length::as_mm),
        insert_mm: joint.insert.map(Length::as_mm),
        insert_needed_mm: (insert::needed_insert_length(thread, class, material)
            * thread_strip::STRENGTH_FACTOR)
            .as_mm(),
        insert_stock_mm: insert::stock_insert_length(thread, class, material).map(Length::as_mm),
        friction,
        strips_at_n_m: strips_at,
        torque_n_m: torque.map(Torque::as_n_m),
        torque_margin_ratio: torque.map(|t| strips_at.scaled_by(1.0 / t.as_n_m())),
        why: AnswerGrounds::new(&[], "", &[]),
    };
    answer.why = strip_margin_grounds(thread, &answer);
    answer
}

/// Below this the thread has too little margin for dirt and earlier use (assumption, as in the mix-up rules).
const RESERVE_RATIO: f64 = 1.25;

fn strip_margin_grounds(thread: Thread, answer: &StripMarginAnswer) -> AnswerGrounds {
    let formula = [
        "ASn = π·n·LE·dmin ·[1/(2n) + 0.57735·(dmin − D2max)]",
        "ASs = π·n·LE·D1max·[1/(2n) + 0.57735·(d2min − D1max)]",
        "margin = min(ASn·τn, ASs·τs) / (f·As·Rm)",
    ];
    let source = "FED-STD-H28/2B, appendix B, equations (2a) and (4a); limits of size ISO 965-1 6g/6H or ASME B1.1 2A/2B";
    let holds = "clean, undamaged threads at least material; no allowance for dirt, damage or earlier use";
    let mut grounds = AnswerGrounds::new(&formula, holds, &[source]);
    let limits = thread_strip::ThreadLimits::of_medium_fit(thread);
    let mm = |mm: f64| figures::with_unit(mm, 4, "mm");
    let of_limits =
        if thread.is_metric() { "ISO 965-1, 6g/6H (from memory)" } else { "ASME B1.1, 2A/2B (from memory)" };
    grounds.add_input("LE", mm(answer.engagement_mm), "length of engagement", "as given");
    grounds.add_input("1/n = P", mm(thread.pitch_mm()), "pitch", "the thread");
    grounds.add_input("dmin", mm(limits.d_min_mm), "least major diameter, bolt", of_limits);
    grounds.add_input("D2max", mm(limits.d2_internal_max_mm), "greatest pitch diameter, hole", of_limits);
    grounds.add_input("D1max", mm(limits.d1_max_mm), "greatest minor diameter, hole", of_limits);
    grounds.add_input("d2min", mm(limits.d2_min_mm), "least pitch diameter, bolt", of_limits);
    let shear = answer.material.shear_strength();
    let rm_mpa = answer.class.rm_min_mpa(thread.d_mm());
    grounds.add_input("τn", format!("{} MPa", shear.tau_mpa), "shear strength, hole", shear.source);
    grounds.add_input(
        "τs",
        figures::with_unit(0.6 * rm_mpa, 3, "MPa"),
        "shear strength, bolt",
        "0.6 of Rm, VDI 2230 (from memory)",
    );
    let strength = format!("{} MPa", units::significant(rm_mpa, 4));
    grounds.add_input("Rm", strength, "tensile strength, bolt", answer.class.source());
    grounds.add_input(
        "f",
        thread_strip::STRENGTH_FACTOR.to_string(),
        "a bolt may be this much stronger than the least of its class",
        "VDI 2230, 5.5.5 (from memory)",
    );
    answer.friction.add_to_grounds(&mut grounds);
    grounds.add_caution(
        "Published rules for such a joint differ by almost a factor of two; the rule used is named above.",
    );
    if answer.torque_margin_ratio.is_some_and(|m| m.low < RESERVE_RATIO) {
        grounds.add_caution("At the lowest friction the thread strips at less than 1.25 times this torque.");
    }
    grounds
}
