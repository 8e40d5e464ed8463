//! What must this wrench be set to: behind a crow-foot or an offset extension, on its own scale, behind a joint.
//!
//! With a store it is also asked which of the mechanic's own wrenches does it best (`wrenches`).
//!
//! **Method.** `bolting::wrench` for the correction, the usable range and the rounding to the scale; `bolting::joint` for
//! what a joint at an angle adds. The figure is turned into another unit once, at the end, and rounded last.
//!
//! **Worked example.** 135 lbf·in with 10 in and 1.5 in folded back: 135·10/(10 − 1.5) = 158.8 lbf·in, 17.9 N·m.

use super::lever::{LeverDoubt, LeverLength, doubt_of_lengths};
use super::wrenches::{self, AdapterOffset, WrenchLine};
use super::{AnswerGrounds, BoltingError, figures, read};
use bolting::joint_piece;
use bolting::wrench::{self, WrenchFit, WrenchOffset};
use model::Store;
use serde::{Deserialize, Serialize};
use units::{Angle, Length, Torque, Unit};

/// Angle error of an adapter that may go unnoticed (assumption).
const DRIFT_DEG: f64 = 10.0;

/// The question, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct WrenchRequest {
    /// Torque wanted at the fastener: `135 lbf·in`.
    pub torque: String,
    /// From the middle of the grip to the wrench's square.
    pub length: Option<String>,
    /// From the wrench's square to the fastener.
    pub offset: Option<String>,
    /// Angle between wrench and adapter: 0° straight ahead, 90° across, 180° folded back.
    pub angle: Option<String>,
    /// Step of the wrench's scale.
    pub scale: Option<String>,
    /// Full scale of the wrench.
    pub full_scale: Option<String>,
    /// Angles of joints between wrench and fastener.
    pub joints: Vec<String>,
}

/// An adapter in numbers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WrenchAdapter {
    /// From the middle of the grip to the wrench's square.
    pub length_mm: f64,
    /// Where that length comes from.
    pub length_from: &'static str,
    /// From the wrench's square to the fastener.
    pub offset_mm: f64,
    /// Angle between wrench and adapter.
    pub angle_deg: f64,
    /// What an uncorrected setting would put on the fastener.
    pub uncorrected_n_m: f64,
    /// Change at the fastener when the adapter is turned ten degrees further, at the same setting.
    pub drift_on_fraction: f64,
    /// Change at the fastener when the adapter is turned ten degrees less far.
    pub drift_back_fraction: f64,
    /// What a guessed lever does to the setting; left out where it was measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub doubt: Option<LeverDoubt>,
}

/// A setting on the marks of a scale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ScaleSetting {
    /// Step of the scale.
    pub step_n_m: f64,
    /// The nearest mark.
    pub setting_n_m: f64,
    /// The nearest mark in the unit that the step was written in.
    pub setting_in_unit_of_scale: f64,
    /// Unit that the step was written in.
    pub unit_of_scale: &'static str,
    /// What the rounding adds, as a fraction of the setting.
    pub error_fraction: f64,
    /// What the nearest mark puts on the fastener.
    pub at_fastener_n_m: f64,
    /// Whether the step is at most a tenth of the setting.
    pub is_fine_enough: bool,
}

/// What joints at an angle do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JointPieceTorque {
    /// Their angles.
    pub angles_deg: Vec<f64>,
    /// At the fastener, yokes at their worst downwards.
    pub least_n_m: f64,
    /// At the fastener, averaged over a turn.
    pub mean_n_m: f64,
    /// At the fastener, yokes at their worst upwards.
    pub greatest_n_m: f64,
}

/// Where the setting is in the usable range of a wrench of the full scale given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SettingRange {
    /// Full scale.
    pub full_scale_n_m: f64,
    /// Lowest setting that the wrench may be trusted with.
    pub usable_from_n_m: f64,
    /// Where the setting is in the usable range of it.
    pub fit: WrenchFit,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WrenchAnswer {
    /// Torque wanted at the fastener.
    pub torque_n_m: f64,
    /// What to set.
    pub setting_n_m: f64,
    /// What to set, in the unit that the torque was written in.
    pub setting_in_unit_given: f64,
    /// That unit.
    pub unit_given: &'static str,
    /// Setting over torque.
    pub correction_ratio: f64,
    /// The adapter, where there is one.
    pub adapter: Option<WrenchAdapter>,
    /// On the scale given.
    pub on_scale: Option<ScaleSetting>,
    /// Against the full scale given.
    pub in_range: Option<SettingRange>,
    /// Behind the joints given.
    pub behind_joint: Option<JointPieceTorque>,
    /// The wrenches of the store, the best first.
    pub wrenches: Vec<WrenchLine>,
    /// What it rests on.
    pub why: AnswerGrounds,
}

impl WrenchAnswer {
    /// The wrench of the store that is set, where one of them does.
    #[must_use]
    pub fn best_wrench(&self) -> Option<&WrenchLine> {
        self.wrenches.first().filter(|line| line.unfit.is_none())
    }
}

/// Answers the question, with a store also which of its wrenches does it best.
///
/// # Errors
/// [`BoltingError::Field`] with the field that cannot be used and what to write.
pub fn compute_wrench_setting(
    asked: &WrenchRequest,
    store: Option<&Store>,
) -> Result<WrenchAnswer, BoltingError> {
    let (torque, unit) = read::parse_torque("torque", &asked.torque)?;
    let joints = asked.joints.iter().map(|t| parse_joint_angle(t)).collect::<Result<Vec<_>, _>>()?;
    let behind = parse_adapter_offset(asked)?;
    let wrenches = store.map_or_else(Vec::new, |s| wrenches::rank_wrenches(s, torque, behind, &joints));
    let is_lever_given = read::given_text(asked.length.as_ref()).is_some();
    if behind.is_some() && !is_lever_given {
        refuse_without_wrench(torque, &wrenches)?;
    }
    let best = wrenches.first().filter(|line| line.unfit.is_none());
    let lever = store.zip(best).and_then(|(store, best)| wrenches::lever_of_line(store, best));
    let offset = choose_lever(asked, behind, (lever, torque))?;
    let setting = offset.as_ref().map_or(torque, |(o, _)| o.setting_for(torque));
    let on_scale = read::given_text(asked.scale.as_ref())
        .map(|text| {
            Ok::<_, BoltingError>(round_to_scale(
                setting,
                read::parse_torque("scale", text)?,
                offset.as_ref(),
            ))
        })
        .transpose()?;
    let in_range = read::given_text(asked.full_scale.as_ref())
        .map(|text| Ok::<_, BoltingError>(in_range(setting, read::parse_torque("full-scale", text)?.0)))
        .transpose()?;
    let figure = torque.as_n_m() / unit.factor;
    let mut answer = WrenchAnswer {
        torque_n_m: torque.as_n_m(),
        setting_n_m: setting.as_n_m(),
        // Corrected in the unit that it was written in, to avoid converting there and back.
        setting_in_unit_given: offset.as_ref().map_or(figure, |(o, _)| o.setting_figure(figure)),
        unit_given: unit.symbol,
        correction_ratio: setting / torque,
        adapter: offset.map(|(o, a)| WrenchAdapter {
            uncorrected_n_m: o.torque_at_fastener(torque).as_n_m(),
            drift_on_fraction: o.drift_fraction(Angle::from_deg(a.angle_deg + DRIFT_DEG)),
            drift_back_fraction: o.drift_fraction(Angle::from_deg(a.angle_deg - DRIFT_DEG)),
            ..a
        }),
        on_scale,
        in_range,
        behind_joint: joint_piece_torque(torque, &joints),
        wrenches,
        why: AnswerGrounds::new(&[], "", &[]),
    };
    answer.why = wrench_grounds(torque, unit, &answer);
    Ok(answer)
}

/// The adapter as far as it is known without a wrench.
fn parse_adapter_offset(asked: &WrenchRequest) -> Result<Option<AdapterOffset>, BoltingError> {
    let angle = read::given_text(asked.angle.as_ref());
    let Some(offset) = read::given_text(asked.offset.as_ref()) else {
        return match (angle, read::given_text(asked.length.as_ref())) {
            (None, None) => Ok(None),
            _ => Err(read::field_error(
                "offset",
                "give the distance from the wrench's square to the fastener, such as `40 mm`",
            )),
        };
    };
    let angle = angle.map_or(Ok(Angle::ZERO), |text| read::parse_angle("angle", text))?;
    Ok(Some(AdapterOffset { offset: read::parse_length("offset", offset)?, angle }))
}

/// Where a store was given and none of its wrenches does the torque, each with its own lever, that is the answer, before any question
/// for lengths.
fn refuse_without_wrench(torque: Torque, wrenches: &[WrenchLine]) -> Result<(), BoltingError> {
    if wrenches.is_empty() || wrenches.iter().any(|line| line.unfit.is_none()) {
        return Ok(());
    }
    let ends = |of: fn(&WrenchLine) -> f64| wrenches.iter().map(of);
    let lowest_n_m = ends(|line| line.usable_n_m.low).fold(f64::INFINITY, f64::min);
    let highest_n_m = ends(|line| line.usable_n_m.high).fold(0.0, f64::max);
    let range = figures::format_torque_range(super::FigureRange::from_ends(lowest_n_m, highest_n_m), 3);
    Err(read::field_error(
        "torque",
        format!(
            "no wrench of the store does {torque} with this adapter; together they may be set to {range}"
        ),
    ))
}

/// Levers of torque wrenches that people hold by hand, mm (assumption: from a wrist's screwdriver grip to a two-handed bar).
const LEVERS_MM: (f64, f64) = (60.0, 2_000.0);

/// A lever within sense: neither 2 mm nor 20 m, and the fastener well before the hand.
fn refuse_odd_lever(lever: Length, behind: AdapterOffset) -> Result<(), BoltingError> {
    let (low, high) = LEVERS_MM;
    if !(low..=high).contains(&lever.as_mm()) {
        return Err(read::field_error(
            "length",
            format!(
                "a lever of {lever} is none of a torque wrench; they run from {low} to {high} mm, check the unit"
            ),
        ));
    }
    if behind.offset > lever {
        return Err(read::field_error(
            "offset",
            format!("an adapter of {} is longer than the lever of {lever}; check both", behind.offset),
        ));
    }
    let left = lever + behind.offset * units::math::cos_deg(behind.angle.as_deg());
    if left < lever * LEAST_LEVER_LEFT_RATIO {
        return Err(read::field_error(
            "offset",
            format!(
                "folded back by that much, only {left} of lever are left; hold the adapter straight or across"
            ),
        ));
    }
    Ok(())
}

/// Less of the lever than this is not worked with: a millimetre off would shift the torque by percents (assumption).
const LEAST_LEVER_LEFT_RATIO: f64 = 0.3;

/// Error of a wrench that nothing is said of: ISO 6789, the better classes.
const WRENCH_ERROR_FRACTION: f64 = 0.04;

/// The adapter on its lever: the one given, else that of the best wrench of the store.
fn choose_lever(
    asked: &WrenchRequest,
    behind: Option<AdapterOffset>,
    (of_store, torque): (Option<(LeverLength, f64)>, Torque),
) -> Result<Option<(WrenchOffset, WrenchAdapter)>, BoltingError> {
    let Some(behind) = behind else { return Ok(None) };
    let (lever, error_fraction, from) = match (read::given_text(asked.length.as_ref()), of_store) {
        (Some(text), _) => {
            let measured = LeverLength::measured(read::parse_length("length", text)?);
            (measured, WRENCH_ERROR_FRACTION, "as measured")
        }
        (None, Some((lever, error_fraction))) if lever.is_guessed() => {
            (lever, error_fraction, "GUESSED for the best wrench below; measure it")
        }
        (None, Some((lever, error_fraction))) => {
            (lever, error_fraction, "the best wrench below, as the store states it")
        }
        (None, None) => {
            let words =
                "give the distance from the wrench's square to the middle of the grip, such as `270 mm`";
            return Err(read::field_error("length", words));
        }
    };
    refuse_odd_lever(lever.length, behind)?;
    let (offset, adapter) = adapter_on_lever((lever.length, from), behind)?;
    let lengths = (lever, LeverLength::measured(behind.offset));
    let doubt = doubt_of_lengths(lengths, behind.angle, (torque, offset.setting_ratio()), error_fraction);
    Ok(Some((offset, WrenchAdapter { doubt, ..adapter })))
}

/// An adapter on a lever, its drift, its uncorrected torque and its doubt not yet known.
fn adapter_on_lever(
    (length, length_from): (Length, &'static str),
    AdapterOffset { offset, angle }: AdapterOffset,
) -> Result<(WrenchOffset, WrenchAdapter), BoltingError> {
    let lever = WrenchOffset::new(length, offset, angle)
        .map_err(|error| read::field_error("offset", error.to_string()))?;
    let adapter = WrenchAdapter {
        length_mm: length.as_mm(),
        length_from,
        offset_mm: offset.as_mm(),
        angle_deg: angle.as_deg(),
        uncorrected_n_m: 0.0,
        drift_on_fraction: 0.0,
        drift_back_fraction: 0.0,
        doubt: None,
    };
    Ok((lever, adapter))
}

fn round_to_scale(
    setting: Torque,
    step: (Torque, &'static Unit),
    offset: Option<&(WrenchOffset, WrenchAdapter)>,
) -> ScaleSetting {
    let (step, unit) = step;
    let rounded = wrench::round_setting(setting, step);
    let at_fastener = offset.map_or(rounded.setting, |(o, _)| o.torque_at_fastener(rounded.setting));
    ScaleSetting {
        step_n_m: step.as_n_m(),
        setting_n_m: rounded.setting.as_n_m(),
        setting_in_unit_of_scale: rounded.setting.as_n_m() / unit.factor,
        unit_of_scale: unit.symbol,
        error_fraction: rounded.error_fraction,
        at_fastener_n_m: at_fastener.as_n_m(),
        is_fine_enough: rounded.is_fine_enough,
    }
}

fn in_range(setting: Torque, full_scale: Torque) -> SettingRange {
    SettingRange {
        full_scale_n_m: full_scale.as_n_m(),
        usable_from_n_m: wrench::usable_range(full_scale).low().as_n_m(),
        fit: wrench::judge_wrench_fit(setting, full_scale),
    }
}

/// Largest joint angle for which the formula is used.
const MAX_JOINT_ANGLE_DEG: f64 = 80.0;

fn parse_joint_angle(text: &str) -> Result<Angle, BoltingError> {
    let angle = read::parse_angle("joint", text)?;
    if (0.0..=MAX_JOINT_ANGLE_DEG).contains(&angle.as_deg()) {
        return Ok(angle);
    }
    Err(read::field_error(
        "joint",
        format!("`{text}` is out of range; a joint bends by 0° to {MAX_JOINT_ANGLE_DEG}°"),
    ))
}

fn joint_piece_torque(torque: Torque, angles: &[Angle]) -> Option<JointPieceTorque> {
    if angles.is_empty() {
        return None;
    }
    let ratios: Vec<_> = angles.iter().map(|a| joint_piece::torque_ratio(*a)).collect();
    let over = |of: fn(&joint_piece::JointTorqueRatio) -> f64| {
        torque.as_n_m() * ratios.iter().map(of).product::<f64>()
    };
    Some(JointPieceTorque {
        angles_deg: angles.iter().map(|a| a.as_deg()).collect(),
        least_n_m: over(|r| r.least_ratio),
        mean_n_m: over(|r| r.mean_ratio),
        greatest_n_m: over(|r| r.greatest_ratio),
    })
}

const ADAPTER_SOURCE: &str = "US Army TM 1-1500-204-23-9, chapter 8; for the angle US Army TM 9-254";
const RANGE_SOURCE: &str = "usable range 20 to 100 % of full scale: ISO 6789-1; best part 30 to 80 %: \
                            US Army TM 1-1500-204-23-9";

fn wrench_grounds(torque: Torque, unit: &Unit, answer: &WrenchAnswer) -> AnswerGrounds {
    let wanted = torque.show_in(unit, 4);
    let Some(adapter) = &answer.adapter else {
        let holds = "wrench and extension in line with the fastener";
        let mut grounds = AnswerGrounds::new(&["Tw = T"], holds, &[ADAPTER_SOURCE]);
        grounds.add_input("T", wanted, "torque at the fastener", "as asked");
        add_extra_grounds(&mut grounds, answer);
        return grounds;
    };
    let holds = "the hand pulls at the middle of the grip, where the length was measured, and nowhere else";
    let mut grounds = AnswerGrounds::new(&["Tw = T·L/(L + E·cos a)"], holds, &[ADAPTER_SOURCE]);
    let mm = |mm: f64| figures::with_unit(mm, 4, "mm");
    grounds.add_input("T", wanted, "torque at the fastener", "as asked");
    // A guess has no tenths of a millimetre.
    let digits = if adapter.doubt.is_some() { 2 } else { 4 };
    grounds.add_input(
        "L",
        figures::with_unit(adapter.length_mm, digits, "mm"),
        "middle of the grip to the wrench's square",
        adapter.length_from,
    );
    grounds.add_input("E", mm(adapter.offset_mm), "wrench's square to the fastener", "as measured");
    grounds.add_input(
        "a",
        format!("{}°", adapter.angle_deg),
        "angle; 0° straight ahead, 180° folded back",
        "as measured",
    );
    if let Some(doubt) = &adapter.doubt {
        let range = figures::format_torque_range(doubt.settings_n_m, figures::FINE);
        grounds.add_caution(format!(
            "The lever is guessed: the setting may be {range}. Measure from the middle of the grip to the square."
        ));
        grounds.add_source("a guessed lever: 0.8 to 1.35 times the guess (assumption)");
    }
    let worst = if adapter.drift_on_fraction.abs() > adapter.drift_back_fraction.abs() {
        adapter.drift_on_fraction
    } else {
        adapter.drift_back_fraction
    };
    grounds.add_caution(format!(
        "Keep the angle: {DRIFT_DEG}° off changes the torque at the fastener by {} at the same setting.",
        figures::signed_percent(worst)
    ));
    add_extra_grounds(&mut grounds, answer);
    grounds
}

fn add_extra_grounds(grounds: &mut AnswerGrounds, answer: &WrenchAnswer) {
    if let Some(range) = &answer.in_range {
        grounds.add_source(RANGE_SOURCE);
        match range.fit {
            WrenchFit::TooLow => grounds
                .add_caution("Below a fifth of full scale no accuracy is claimed: take a smaller wrench."),
            WrenchFit::CannotReach => {
                grounds.add_caution("The setting is above full scale: take a larger wrench.")
            }
            WrenchFit::Good | WrenchFit::Usable => {}
        }
    }
    if answer.on_scale.is_some_and(|s| !s.is_fine_enough) {
        grounds.add_caution("The scale is coarser than a tenth of the setting: take a finer wrench.");
    }
    if !answer.wrenches.is_empty() {
        grounds.add_source(RANGE_SOURCE);
        grounds.add_source("at the fastener: allowed error of the tool, rounding to the mark, joints; ISO 6789-1 and GUM 5.1.2");
        grounds.add_caution("A wrench keeps to its class for a year or 5000 cycles; after a fall, have it checked before use.");
    }
    if answer.behind_joint.is_some() {
        grounds.formula.push(String::from("Tout/Tin = (1 − sin²b·cos²θ)/cos b"));
        grounds.add_source("kinematics of the single universal joint, without friction, as in any text");
        grounds.add_caution(
            "No setting corrects the error of a joint: it depends on the position of the yoke. Keep the joint straight.",
        );
    }
}
