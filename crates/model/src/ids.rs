//! Ids as distinct types: a part's id cannot be used for a fixing's.

/// Declares ids that are positions in one list of a book or a store.
macro_rules! id_type {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u32);

        impl $name {
            /// The id of the item at a position of its list.
            #[must_use]
            pub const fn new(index: usize) -> Self { Self(index as u32) }
            /// The position in its list.
            #[must_use]
            pub const fn index(self) -> usize { self.0 as usize }
        }
    )*};
}

id_type! {
    /// A part of [`crate::Book::parts`].
    PartId;
    /// A fixing of [`crate::Book::fixings`].
    FixingId;
    /// A working position of [`crate::Book::stations`].
    StationId;
    /// A state of the vehicle of [`crate::Book::conditions`].
    ConditionId;
    /// An opening of [`crate::Book::openings`].
    OpeningId;
    /// A task of [`crate::Book::tasks`].
    TaskId;
    /// A special tool of [`crate::Book::special_tools`].
    SpecialToolId;
    /// A setting of [`crate::Book::settings`].
    SettingId;
    /// A piece of [`crate::Store::pieces`].
    PieceId;
}
