//! Lever and adapter behind a setting: how well their lengths are known, and what a guess does to the setting.
//!
//! **Question.** The wrench is set to 27 instead of 30 N·m, because a crow-foot lengthens its lever. Which lengths is that worked out from, and did anyone
//! measure them?
//!
//! **Method.** A store gives the dimensions of a piece as its owner stated them, or as a standard piece of its kind would have them; lever and
//! offset of the latter are guesses. A guess stands for every length between two ends, and so do the settings
//! (`bolting::wrench::UncertainOffset`). Where these alone leave a torque beyond what is allowed, the lengths have to be measured first. A straight
//! stack has no lever to know.
//!
//! **Assumptions.** Wrenches of one full scale have 0.8 to 1.35 times the guessed lever, crow-feet of one size 0.8 to 1.2 times the guessed offset.
//!
//! **Worked example.** 30 N·m, lever 242 mm and offset 26.75 mm, both guessed: 25.7 to 28.2 N·m, so 27 may be off by 5.0 %: measure first.

use super::{FigureRange, figures};
use bolting::angle::range_in_order;
use bolting::wrench::UncertainOffset;
use model::plan::StackLine;
use model::{DimensionsSource, GripApproach, Piece, Store, TorqueMeasure};
use serde::Serialize;
use units::{Angle, Length, Range, Torque};

/// Ends of a lever that nobody measured, over the guess (assumption).
const GUESSED_LEVER_RATIOS: (f64, f64) = (0.8, 1.35);
/// Ends of a crow-foot's offset that nobody measured, over the guess (assumption).
const GUESSED_OFFSET_RATIOS: (f64, f64) = (0.8, 1.2);

/// A length behind a setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LeverLength {
    /// The length that is reckoned with.
    pub(super) length: Length,
    /// Between which ends it lies, where it is guessed.
    ends: Option<Range<Length>>,
}

impl LeverLength {
    /// A length that somebody measured.
    pub(super) const fn measured(length: Length) -> Self {
        Self { length, ends: None }
    }

    fn of_piece(piece: &Piece, length: Length, ends_ratio: (f64, f64)) -> Self {
        let is_guessed = match &piece.dimensions {
            DimensionsSource::Standard(_) => true,
            DimensionsSource::Stated => false,
        };
        let ends = range_in_order(length * ends_ratio.0, length * ends_ratio.1);
        Self { length, ends: is_guessed.then_some(ends) }
    }

    /// The lever of a torque wrench.
    pub(super) fn of_wrench(piece: &Piece, measure: &TorqueMeasure) -> Self {
        Self::of_piece(piece, measure.arm, GUESSED_LEVER_RATIOS)
    }

    /// Whether nobody measured it.
    pub(super) const fn is_guessed(&self) -> bool {
        self.ends.is_some()
    }

    fn range(&self) -> Range<Length> {
        self.ends.unwrap_or_else(|| range_in_order(self.length, self.length))
    }
}

/// What a guessed length does to a setting.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LeverDoubt {
    /// Settings between which the true one lies.
    pub settings_n_m: FigureRange,
    /// By how much the torque at the fastener may be off through the guess alone.
    pub deviation_fraction: FigureRange,
    /// Whether that passes what is allowed, so that the lengths have to be measured first.
    pub measure_first: bool,
}

impl LeverDoubt {
    /// The doubt in words: "25.7 to 28.2 N·m, for a length is guessed: MEASURE FIRST …".
    #[must_use]
    pub fn words(&self) -> String {
        let settings = figures::format_torque_range(self.settings_n_m, figures::FINE);
        let (below, above) = (self.deviation_fraction.low, self.deviation_fraction.high);
        let off = format!("{} to {}", figures::signed_percent(below), figures::signed_percent(above));
        let what = if self.measure_first {
            "MEASURE FIRST, from the middle of the grip to the square and from there to the fastener"
        } else {
            "within what is allowed"
        };
        format!("{settings}, for a length is guessed: {off} at the fastener, {what}")
    }
}

/// What guessed lengths do to the setting for a torque; nothing where both are measured, or where they do not count.
pub(super) fn doubt_of_lengths(
    (lever, adapter): (LeverLength, LeverLength),
    angle: Angle,
    (torque, setting_ratio): (Torque, f64),
    allowed_fraction: f64,
) -> Option<LeverDoubt> {
    if !lever.is_guessed() && !adapter.is_guessed() {
        return None;
    }
    let offset = UncertainOffset { lever: lever.range(), adapter: adapter.range(), angle };
    let (low, high) = offset.setting_ratios()?;
    let (below, above) = offset.deviation_fractions(setting_ratio)?;
    (high > low).then(|| LeverDoubt {
        settings_n_m: FigureRange::from_ends(torque.as_n_m() * low, torque.as_n_m() * high),
        deviation_fraction: FigureRange::from_ends(below, above),
        measure_first: offset.passes_deviation(setting_ratio, allowed_fraction),
    })
}

/// Lever and adapter of a pass, straight ahead as plans have them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PassLever {
    /// From the middle of the grip to the wrench's square.
    pub length_mm: f64,
    /// Whether nobody measured it.
    pub is_length_guessed: bool,
    /// From the wrench's square to the fastener.
    pub offset_mm: f64,
    /// Whether nobody measured it.
    pub is_offset_guessed: bool,
    /// Angle between wrench and adapter.
    pub angle_deg: f64,
    /// What a guess does to the setting; none where both are measured.
    pub doubt: Option<LeverDoubt>,
}

impl PassLever {
    /// Lengths and angle in words: "L 242 mm ~, E 26.8 mm ~, straight ahead".
    #[must_use]
    pub fn words(&self) -> String {
        let mark = |is_guessed: bool| if is_guessed { " ~" } else { "" };
        let mm = |mm: f64| units::significant(mm, 3);
        format!(
            "L {} mm{}, E {} mm{}, straight ahead",
            mm(self.length_mm),
            mark(self.is_length_guessed),
            mm(self.offset_mm),
            mark(self.is_offset_guessed)
        )
    }
}

/// The pieces of a stack that are in the store.
fn pieces_of_stack<'s>(store: &'s Store, stack: &StackLine) -> Vec<&'s Piece> {
    stack.pieces.iter().filter_map(|key| Some(store.piece(store.piece_by_key(key)?))).collect()
}

/// The torque wrench of a stack; `None` where the store does not have it.
pub(super) fn wrench_of_stack<'s>(
    store: &'s Store,
    stack: &StackLine,
) -> Option<(&'s Piece, &'s TorqueMeasure)> {
    pieces_of_stack(store, stack).into_iter().find_map(|piece| Some((piece, piece.measure.as_ref()?)))
}

/// Lever and adapter of a stack; `None` where it is in line with the fastener, or the store does not have its pieces.
pub(super) fn lever_of_stack(
    store: &Store,
    stack: &StackLine,
    (torque, setting): (Torque, Torque),
    allowed_fraction: f64,
) -> Option<PassLever> {
    let (wrench, measure) = wrench_of_stack(store, stack)?;
    let (head, offset) = pieces_of_stack(store, stack).into_iter().find_map(|piece| {
        let grip = piece.grip.as_ref().filter(|grip| grip.approach == GripApproach::Side)?;
        (grip.offset > Length::ZERO).then_some((piece, grip.offset))
    })?;
    let lever = LeverLength::of_wrench(wrench, measure);
    let adapter = LeverLength::of_piece(head, offset, GUESSED_OFFSET_RATIOS);
    let ratio = setting / torque;
    Some(PassLever {
        length_mm: lever.length.as_mm(),
        is_length_guessed: lever.is_guessed(),
        offset_mm: adapter.length.as_mm(),
        is_offset_guessed: adapter.is_guessed(),
        angle_deg: 0.0,
        doubt: doubt_of_lengths((lever, adapter), Angle::ZERO, (torque, ratio), allowed_fraction),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guessed(mm: f64, ratios: (f64, f64)) -> LeverLength {
        let length = Length::from_mm(mm);
        LeverLength { length, ends: Some(range_in_order(length * ratios.0, length * ratios.1)) }
    }

    fn doubt(lever: LeverLength, adapter: LeverLength, allowed_fraction: f64) -> Option<LeverDoubt> {
        let ratio = lever.length / (lever.length + adapter.length);
        let torque = Torque::from_n_m(30.0);
        doubt_of_lengths((lever, adapter), Angle::ZERO, (torque, ratio), allowed_fraction)
    }

    /// Worked by hand in the module's head; half a digit.
    #[test]
    fn two_guesses_make_a_range_and_are_measured_first() {
        let (lever, adapter) = (guessed(242.0, GUESSED_LEVER_RATIOS), guessed(26.75, GUESSED_OFFSET_RATIOS));
        let found = doubt(lever, adapter, 0.04).expect("both are guessed");
        let settings = found.settings_n_m;
        assert!((settings.low - 25.7).abs() < 0.05 && (settings.high - 28.2).abs() < 0.05, "{settings:?}");
        assert!((found.deviation_fraction.high - 0.050).abs() < 0.0005, "{found:?}");
        assert!(found.measure_first && found.words().contains("MEASURE FIRST"), "{}", found.words());
        assert!(doubt(lever, adapter, 0.10).is_some_and(|wide| !wide.measure_first));
    }

    #[test]
    fn what_is_measured_leaves_no_doubt() {
        let mm = |mm: f64| LeverLength::measured(Length::from_mm(mm));
        assert_eq!(doubt(mm(242.0), mm(26.75), 0.04), None);
        let lever = PassLever {
            length_mm: 242.0,
            is_length_guessed: true,
            offset_mm: 26.75,
            is_offset_guessed: false,
            angle_deg: 0.0,
            doubt: None,
        };
        assert_eq!(lever.words(), "L 242 mm ~, E 26.8 mm, straight ahead");
    }
}
