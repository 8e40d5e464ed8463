//! Upper limits of a book: far beyond any real engine, and low enough that hostile input stays cheap.

use core::ops::RangeInclusive;
use units::{Angle, Duration, Length};

/// Parts, fixings, tasks and the like, of each kind.
pub(crate) const MAX_ITEMS: usize = 20_000;
/// Fixings, supplies and names in one list.
pub(crate) const MAX_LIST_ITEMS: usize = 1_000;
/// Equal parts that one description stands for.
pub(crate) const MAX_REPEATS: usize = 24;
/// Holes of one fixing; with [`ACCESSES_MAX`] it bounds how far a short text can expand.
pub(crate) const MAX_HOLES: usize = 300;
/// Accesses of one fixing.
pub(crate) const MAX_ACCESSES: usize = 100;
/// Ways of one part.
pub(crate) const MAX_WAYS: usize = 20;
/// Passes of tightening; their positions are kept in a byte.
pub(crate) const MAX_STAGES: usize = 100;
/// Settings, and parts that needs or rules name; the planner keeps them in that many places.
pub(crate) const MAX_WORLD_THINGS: usize = 64;
/// Fasteners, caps and supplies in one place.
pub(crate) const MAX_COUNT: i64 = 10_000;

/// A body's length: a fastener of a hundredth of a millimetre or of ten metres is a slip.
pub(crate) fn body_length_range() -> RangeInclusive<Length> {
    Length::from_mm(0.01)..=Length::from_mm(10_000.0)
}

/// A body's length that may be nothing.
pub(crate) fn body_or_zero_length_range() -> RangeInclusive<Length> {
    Length::ZERO..=Length::from_mm(10_000.0)
}

/// A place on a part's face.
pub(crate) fn face_place_range() -> RangeInclusive<Length> {
    Length::from_mm(-10_000.0)..=Length::from_mm(10_000.0)
}

/// A time of work or waiting: from zero to a month.
pub(crate) fn work_time_range() -> RangeInclusive<Duration> {
    Duration::ZERO..=Duration::from_h(744.0)
}

/// An angle, several turns at most.
pub(crate) fn angle_range() -> RangeInclusive<Angle> {
    Angle::from_deg(-3600.0)..=Angle::from_deg(3600.0)
}
