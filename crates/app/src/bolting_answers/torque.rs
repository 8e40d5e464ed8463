//! Which torque makes a wanted preload, or a wanted share of the proof load?
//!
//! **Method.** `bolting::torque`, long form; the short form `T = K·d·F` where a factor `K` is given. Prevailing torque is
//! added. With a range of friction the answer is a range: the low end is enough where the joint is slippery, the high end
//! is needed where it is rough, and the answer says what the high end makes of a slippery joint.
//!
//! **Worked example.** M12, 42.0 kN, friction 0.14: 42.0·(0.279 + 0.878 + 1.055) = 92.8 N·m.
//!
//! symbol: k = factor of the short form

use super::friction::StatedFriction;
use super::preload::add_thread_inputs;
use super::read::BearingSeat;
use super::{AnswerGrounds, BoltingError, FigureRange, FrictionUsed, figures, friction, read};
use bolting::{Friction, PropertyClass, Thread, thread_strip, torque};
use serde::{Deserialize, Serialize};
use units::{Force, Length, Torque};

/// Greatest share of proof load that may be requested (assumption: beyond it the bolt has yielded).
const MAX_PROOF_FRACTION: f64 = 1.2;

/// The question, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct TorqueRequest {
    /// Thread: `M10x1.25`.
    pub thread: String,
    /// Property class: `8.8`; needed for a share of proof.
    pub class: Option<String>,
    /// Preload wanted: `20 kN`.
    pub preload: Option<String>,
    /// Share of the proof load wanted: `75 %`.
    pub proof: Option<String>,
    /// Friction in the thread and, unless it is given apart, under the head.
    pub friction: Option<String>,
    /// Friction under the head.
    pub friction_head: Option<String>,
    /// State of lubrication instead of a coefficient: `oiled`.
    pub lubrication: Option<String>,
    /// Surface of thread and head: `zinc`.
    pub surface: Option<String>,
    /// Factor of the short form instead of friction: `0.2`.
    pub factor: Option<String>,
    /// Running torque of a self-locking thread, added.
    pub prevailing: Option<String>,
    /// Form of the head: `hexagon`, `hexagon-on-washer`, `flange`, `small-flange`, `cylinder`, `countersunk`.
    pub head: Option<String>,
    /// Mean diameter of the bearing face, instead of a form of head.
    pub bearing: Option<String>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TorqueAnswer {
    /// Thread.
    pub thread: String,
    /// Property class.
    pub class: Option<PropertyClass>,
    /// Friction used; none where a factor was given.
    pub friction: Option<FrictionUsed>,
    /// Preload wanted.
    pub preload_n: f64,
    /// It over the proof load.
    pub of_proof_fraction: Option<f64>,
    /// Torque, where it is one figure.
    pub torque_n_m: Option<f64>,
    /// Torques over the range of friction.
    pub torque_range_n_m: FigureRange,
    /// The same in other units.
    pub torque_range_lbf_ft: FigureRange,
    /// The same in other units.
    pub torque_range_lbf_in: FigureRange,
    /// Torque that makes no preload, contained in the torques.
    pub prevailing_n_m: f64,
    /// The equivalent factor `K` of the short form.
    pub short_factor: FigureRange,
    /// What the highest torque makes where the joint is slippery; none where it breaks the bolt there.
    pub slippery_preload_n: Option<f64>,
    /// Torque from which the bolt may yield where the joint is slippery; none without a class.
    pub may_yield_from_n_m: Option<f64>,
    /// What it rests on.
    pub why: AnswerGrounds,
}

/// What turns a preload into a torque.
enum TorqueFormula {
    Long(FrictionUsed, BearingSeat),
    Short(f64),
}

impl TorqueFormula {
    /// Torque over preload, at the slipperiest and at the roughest friction.
    fn lever_ends(&self, thread: Thread) -> (Length, Length) {
        match self {
            Self::Short(k) => {
                let lever = Length::from_mm(k * thread.d_mm());
                (lever, lever)
            }
            Self::Long(friction, seat) => {
                let lever = |f: Friction| torque::torque_lever(thread, f, seat.diameter);
                let (low, high) = friction.ends();
                (lever(low), lever(high))
            }
        }
    }

    fn digits(&self) -> u32 {
        match self {
            Self::Long(friction, _) => friction.digits(),
            Self::Short(_) => figures::COARSE,
        }
    }
}

impl TorqueAnswer {
    /// Digits that its figures deserve.
    #[must_use]
    pub fn digits(&self) -> u32 {
        self.friction.as_ref().map_or(figures::COARSE, FrictionUsed::digits)
    }
}

/// Answers the question.
///
/// # Errors
/// [`BoltingError::Field`] with the field that cannot be used and what to write.
pub fn compute_torque(asked: &TorqueRequest) -> Result<TorqueAnswer, BoltingError> {
    let thread = read::parse_thread(&asked.thread)?;
    let class = read::parse_class(asked.class.as_ref())?;
    let proof = class.map(|c| c.proof_load(thread));
    let preload = wanted_preload(asked, proof)?;
    refuse_breaking_preload(thread, class, preload)?;
    let prevailing = read::parse_torque_or_zero("prevailing", asked.prevailing.as_ref())?;
    let rule = choose_torque_formula(asked, thread)?;
    let (low, high) = rule.lever_ends(thread);
    let torques =
        FigureRange::from_ends((preload * low + prevailing).as_n_m(), (preload * high + prevailing).as_n_m());
    let may_yield_from = class.zip(slipperiest_friction(&rule)).map(|(class, (friction, bearing))| {
        let preload = torque::assembly_preload(thread, class, friction.mu_g(), 1.0, bolting::Edition::E2001);
        torque::torque_for_preload(thread, preload, friction, bearing) + prevailing
    });
    let in_unit = |factor: f64| torques.scaled_by(1.0 / factor);
    let mut answer = TorqueAnswer {
        thread: thread.to_string(),
        class,
        friction: if let TorqueFormula::Long(friction, _) = &rule { Some(friction.clone()) } else { None },
        preload_n: preload.as_n(),
        of_proof_fraction: proof.map(|proof| preload / proof),
        torque_n_m: torques.single_figure(),
        torque_range_n_m: torques,
        torque_range_lbf_ft: in_unit(units::N_M_PER_LBF_FT),
        torque_range_lbf_in: in_unit(units::N_M_PER_LBF_IN),
        prevailing_n_m: prevailing.as_n_m(),
        short_factor: FigureRange::from_ends(low.as_mm() / thread.d_mm(), high.as_mm() / thread.d_mm()),
        slippery_preload_n: Some((Torque::from_n_m(torques.high) - prevailing) / low)
            .filter(|made| *made < strongest_load(thread, class, slipperiest_friction(&rule)))
            .map(Force::as_n),
        may_yield_from_n_m: may_yield_from.map(Torque::as_n_m),
        why: AnswerGrounds::new(&[], "", &[]),
    };
    answer.why = torque_grounds(thread, &rule, &answer);
    Ok(answer)
}

/// Load at which a strong bolt of its class breaks, of 12.9 where the class is not known; under torsion where the friction is known.
fn strongest_load(
    thread: Thread,
    class: Option<PropertyClass>,
    slipperiest: Option<(Friction, Length)>,
) -> Force {
    let class = class.unwrap_or(PropertyClass::C12_9);
    let least = match slipperiest {
        Some((friction, _)) => torque::breaking_preload(thread, class, friction, bolting::Edition::E2001),
        None => thread_strip::breaking_load(thread, class),
    };
    least * thread_strip::STRENGTH_FACTOR
}

/// No torque makes a preload that no bolt of the thread carries.
fn refuse_breaking_preload(
    thread: Thread,
    class: Option<PropertyClass>,
    preload: Force,
) -> Result<(), BoltingError> {
    let most = strongest_load(thread, class, None);
    if preload < most {
        return Ok(());
    }
    let most_n = FigureRange::from_ends(most.as_n(), most.as_n());
    let words = format!(
        "{preload} breaks {thread}, which carries at most {}; check figure, unit and thread",
        figures::format_force_range(most_n, figures::COARSE)
    );
    Err(read::field_error("preload", words))
}

/// The preload that is wanted.
fn wanted_preload(asked: &TorqueRequest, proof: Option<Force>) -> Result<Force, BoltingError> {
    match (read::given_text(asked.preload.as_ref()), read::given_text(asked.proof.as_ref()), proof) {
        (Some(text), None, _) => read::parse_force("preload", text),
        (None, Some(text), Some(proof)) => {
            Ok(proof * read::parse_share_fraction("proof", text, MAX_PROOF_FRACTION)?)
        }
        (None, Some(_), None) => {
            Err(read::field_error("class", "a share of proof needs the property class of the bolt, as `8.8`"))
        }
        (Some(_), Some(_), _) => {
            Err(read::field_error("proof", "give either a preload or a share of proof, not both"))
        }
        (None, None, _) => Err(read::field_error(
            "preload",
            "give the preload, such as `20 kN`, or the share of proof load, such as `75 %`",
        )),
    }
}

fn choose_torque_formula(asked: &TorqueRequest, thread: Thread) -> Result<TorqueFormula, BoltingError> {
    let stated = StatedFriction {
        friction: asked.friction.as_ref(),
        friction_head: asked.friction_head.as_ref(),
        lubrication: asked.lubrication.as_ref(),
        surface: asked.surface.as_ref(),
    };
    let Some(text) = read::given_text(asked.factor.as_ref()) else {
        let seat = read::parse_seat(asked.head.as_ref(), asked.bearing.as_ref(), thread)?;
        return Ok(TorqueFormula::Long(friction::resolve_friction(&stated)?, seat));
    };
    if stated.is_any() {
        return Err(read::field_error("factor", "give either the factor K or friction, not both"));
    }
    let k = read::parse_plain_number("factor", text, "0.2")?;
    if (0.05..=1.0).contains(&k) {
        Ok(TorqueFormula::Short(k))
    } else {
        Err(read::field_error(
            "factor",
            format!("a factor K of {k} is not plausible; K is between 0.05 and 1, usually near 0.2"),
        ))
    }
}

const fn slipperiest_friction(rule: &TorqueFormula) -> Option<(Friction, Length)> {
    match rule {
        TorqueFormula::Long(friction, seat) => Some((friction.ends().0, seat.diameter)),
        TorqueFormula::Short(_) => None,
    }
}

fn torque_grounds(thread: Thread, rule: &TorqueFormula, answer: &TorqueAnswer) -> AnswerGrounds {
    let wanted = figures::with_unit(answer.preload_n / 1000.0, rule.digits().max(figures::FINE), "kN");
    let mut grounds = match rule {
        TorqueFormula::Long(friction, seat) => {
            let formula = "T = F·(P/2π + d2·µG/(2·cos 30°) + DKm/2·µK)";
            let source =
                "VDI 2230 (equations from memory, held against published tables); MIL-HDBK-60, appendix B";
            let mut grounds = AnswerGrounds::new(&[formula], "up to yield", &[source]);
            grounds.add_input("F", wanted, "preload wanted", "as asked");
            add_thread_inputs(&mut grounds, thread, seat);
            friction.add_to_grounds(&mut grounds);
            grounds
        }
        TorqueFormula::Short(k) => {
            let source = "short form as in Budynas and Nisbett, Mechanical Engineering Design, 9th ed., 8-8";
            let holds = "up to yield, for the surface on which K was measured";
            let mut grounds = AnswerGrounds::new(&["T = K·d·F"], holds, &[source]);
            grounds.add_input("F", wanted, "preload wanted", "as asked");
            grounds.add_input("K", format!("{k}"), "factor of the short form", "as given");
            grounds.add_input(
                "d",
                figures::with_unit(thread.d_mm(), 4, "mm"),
                "nominal diameter",
                "the thread",
            );
            grounds
        }
    };
    if answer.prevailing_n_m > 0.0 {
        let shown = figures::with_unit(answer.prevailing_n_m, 3, "N·m");
        grounds.add_input("Tp", shown, "prevailing torque, on top", "as given");
        grounds.add_source("prevailing torque is added: MIL-HDBK-60, 110.3; NASA-STD-5020B, A.2");
    }
    if answer.slippery_preload_n.is_none() {
        grounds.add_caution("Where the joint is slippery the highest of these torques BREAKS the bolt.");
    } else if answer.may_yield_from_n_m.is_some_and(|from| from < answer.torque_range_n_m.high) {
        grounds.add_caution("At the lowest friction the highest of these torques exceeds yield.");
    }
    if answer.of_proof_fraction.is_some_and(|share| share > 0.9) {
        grounds
            .add_caution("More than 90 % of proof load leaves little margin for load, scatter and torsion.");
    }
    grounds
}
