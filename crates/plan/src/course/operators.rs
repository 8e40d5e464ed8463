//! The changes that cooling tries on a course, and which of them are at work.

/// A change that is tried on a course.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CourseOperator {
    /// A way of a setting is taken earlier than it is needed.
    EarlyWay,
    /// A way that is taken early is left to the moment when it is needed.
    LateWay,
    /// A unit is brought right behind one after which it is cheap.
    Joining,
    /// Two stretches side by side change places.
    Exchange,
    /// A unit comes forward together with those that have to come before it, where two stretches cannot change places.
    Forerunners,
}

impl CourseOperator {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::EarlyWay, Self::LateWay, Self::Joining, Self::Exchange, Self::Forerunners];

    /// The one that a die of eight faces draws; without ways of settings, their faces are those of exchanging.
    #[must_use]
    pub(super) const fn of_face(face: usize, has_ways: bool) -> Self {
        match face {
            0 if has_ways => Self::EarlyWay,
            1 if has_ways => Self::LateWay,
            2..=5 => Self::Joining,
            _ => Self::Exchange,
        }
    }
}

/// Which changes are tried; all of them but in measurements of what each is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CourseOperators(u8);

impl Default for CourseOperators {
    fn default() -> Self {
        Self(u8::MAX)
    }
}

impl CourseOperators {
    /// The same without one.
    #[must_use]
    pub const fn without(self, operator: CourseOperator) -> Self {
        Self(self.0 & !(1 << operator as u8))
    }

    /// Whether one is tried.
    #[must_use]
    pub const fn has(self, operator: CourseOperator) -> bool {
        self.0 & (1 << operator as u8) != 0
    }

    /// Whether any can be drawn, so that drawing ends.
    #[must_use]
    pub(super) const fn has_any_drawn(self) -> bool {
        self.has(CourseOperator::Joining) || self.has(CourseOperator::Exchange)
    }
}
