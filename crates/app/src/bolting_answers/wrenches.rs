//! Which of the mechanic's own torque wrenches does a torque best, and why the others do not.
//!
//! **Method.** `bolting::choice`: usable range, the mark of the scale next to the setting, the error that its class or its
//! certificate allows, joints in the chain; the narrowest torque at the fastener comes first. With an adapter each wrench
//! has its own lever, so its own setting.

use super::{FigureRange, figures};
use bolting::choice::{self, TorqueWrench, WrenchSetting, WrenchTask};
use bolting::scatter::{TighteningMethod, deviation_fraction};
use bolting::wrench::{TorqueToolClass, WrenchFit, WrenchOffset};
use model::{Piece, Store, TorqueMeasure};
use serde::Serialize;
use units::{Angle, Length, Torque};

/// One wrench of the store.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WrenchLine {
    /// Piece key.
    pub piece: String,
    /// Title.
    pub title: String,
    /// Where it is kept.
    pub place: String,
    /// Whether one is at hand, not lent and not out for calibration.
    pub is_at_hand: bool,
    /// Torques that it may be trusted with.
    pub usable_n_m: FigureRange,
    /// Lever that an adapter adds to.
    pub length_mm: f64,
    /// Error that is allowed to it.
    pub tool_fraction: f64,
    /// Exact setting.
    pub setting_n_m: Option<f64>,
    /// The mark of its scale to set.
    pub mark_n_m: Option<f64>,
    /// What rounding to the mark adds.
    pub rounding_fraction: Option<f64>,
    /// Torque at the fastener: tool, rounding and joints together.
    pub at_fastener_n_m: Option<FigureRange>,
    /// Deviation of the preload by tool and estimated friction together.
    pub preload_deviation_fraction: Option<f64>,
    /// How the setting lies in its range.
    pub fit: Option<WrenchFit>,
    /// Why it is unsuitable.
    pub unfit: Option<String>,
}

/// An adapter by its length and angle, before a wrench is chosen.
#[derive(Debug, Clone, Copy)]
pub(super) struct AdapterOffset {
    pub(super) offset: Length,
    pub(super) angle: Angle,
}

/// All torque wrenches and torque screwdrivers of a store, the best first; unsuitable ones come last.
pub(super) fn rank_wrenches(
    store: &Store,
    torque: Torque,
    behind: Option<AdapterOffset>,
    joints: &[Angle],
) -> Vec<WrenchLine> {
    let measuring = store.pieces.iter().filter_map(|p| Some((p, p.measure.as_ref()?)));
    let mut lines: Vec<WrenchLine> =
        measuring.map(|(p, m)| wrench_line(p, m, torque, behind, joints)).collect();
    let off = |l: &WrenchLine| {
        l.at_fastener_n_m.map_or(f64::INFINITY, |b| (b.high - torque.as_n_m()).max(torque.as_n_m() - b.low))
    };
    lines.sort_by(|a, b| {
        let rank = |l: &WrenchLine| (l.unfit.is_some(), !l.is_at_hand);
        rank(a).cmp(&rank(b)).then(off(a).total_cmp(&off(b))).then_with(|| a.piece.cmp(&b.piece))
    });
    lines
}

fn wrench_line(
    piece: &Piece,
    measure: &TorqueMeasure,
    torque: Torque,
    behind: Option<AdapterOffset>,
    joints: &[Angle],
) -> WrenchLine {
    let (low, high) = measure.usable_torques();
    let blank = WrenchLine {
        piece: piece.key.clone(),
        title: piece.title.clone(),
        place: piece.place.to_string(),
        is_at_hand: piece.at_hand() > 0,
        usable_n_m: FigureRange::from_ends(low.as_n_m(), high.as_n_m()),
        length_mm: measure.arm.as_mm(),
        tool_fraction: measure.tolerance_fraction,
        setting_n_m: None,
        mark_n_m: None,
        rounding_fraction: None,
        at_fastener_n_m: None,
        preload_deviation_fraction: None,
        fit: None,
        unfit: None,
    };
    let offset = match behind.map(|b| WrenchOffset::new(measure.arm, b.offset, b.angle)).transpose() {
        Ok(offset) => offset,
        Err(error) => return WrenchLine { unfit: Some(error.to_string()), ..blank },
    };
    let friction_fraction = deviation_fraction(TighteningMethod::TorqueClassB.tightening_factor().high_ratio);
    let task = WrenchTask { torque, offset, joints: joints.to_vec(), friction_fraction };
    let wrench = TorqueWrench {
        name: piece.key.clone(),
        scale: measure.range,
        step: measure.scale_step.unwrap_or(Torque::ZERO),
        // An error stated in the store takes precedence over the class's.
        class: TorqueToolClass::IIA,
        certified_error_fraction: Some(measure.tolerance_fraction),
    };
    match choice::setting_on_wrench(&task, &wrench) {
        Err(unfit) => WrenchLine { unfit: Some(unfit.to_string()), ..blank },
        Ok(setting) => fill_wrench_line(blank, &setting),
    }
}

fn fill_wrench_line(blank: WrenchLine, setting: &WrenchSetting) -> WrenchLine {
    let at = setting.at_fastener;
    WrenchLine {
        setting_n_m: Some(setting.exact.as_n_m()),
        mark_n_m: Some(setting.setting.as_n_m()),
        rounding_fraction: Some(setting.rounding_fraction),
        at_fastener_n_m: Some(FigureRange::from_ends(at.low().as_n_m(), at.high().as_n_m())),
        preload_deviation_fraction: Some(setting.preload_fraction),
        fit: Some(setting.fit),
        ..blank
    }
}

impl WrenchLine {
    /// What is at the fastener, in words.
    #[must_use]
    pub fn at_fastener(&self) -> String {
        self.at_fastener_n_m.map_or_else(String::new, |b| figures::format_torque_range(b, figures::FINE))
    }
}
