//! One table for each closed set of words: the enum, the word that files hold, and the word that a person says.

/// Writes an enum with the words of every variant beside it: the one in files, then, where it differs, the spoken one.
///
/// The enum is copied, compared and ordered as the table lists it, and its serde form is the file word. It gets
/// `ALL`, `file_word`, `spoken_word` and `from_file_word`. The crate that calls it must itself depend on serde with
/// `derive`.
///
/// ```
/// units::worded! {
///     /// Where a door is.
///     pub enum DoorState {
///         /// Open.
///         Open = "open",
///         /// Not open, and locked.
///         LockedShut = "locked-shut" / "locked",
///     }
/// }
/// assert_eq!(DoorState::ALL.len(), 2);
/// assert_eq!((DoorState::Open.spoken_word(), DoorState::LockedShut.spoken_word()), ("open", "locked"));
/// assert_eq!(DoorState::from_file_word("locked-shut"), Some(DoorState::LockedShut));
/// assert_eq!(DoorState::from_file_word("locked"), None);
/// ```
#[macro_export]
macro_rules! worded {
    (@spoken $file:literal) => { $file };
    (@spoken $file:literal $spoken:literal) => { $spoken };
    (
        $(#[$attribute:meta])*
        $visibility:vis enum $name:ident {
            $( $(#[$variant_attribute:meta])* $variant:ident = $file:literal $(/ $spoken:literal)?, )+
        }
    ) => {
        $(#[$attribute])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, ::serde::Serialize, ::serde::Deserialize,
        )]
        $visibility enum $name {
            $( $(#[$variant_attribute])* #[serde(rename = $file)] $variant, )+
        }

        impl $name {
            /// All of them, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];

            /// The word that files and JSON hold.
            #[must_use]
            pub const fn file_word(self) -> &'static str {
                match self {
                    $(Self::$variant => $file,)+
                }
            }

            /// The word that a person says.
            #[must_use]
            pub const fn spoken_word(self) -> &'static str {
                match self {
                    $(Self::$variant => $crate::worded!(@spoken $file $($spoken)?),)+
                }
            }

            /// The one that a word of a file means; `None` for any other text.
            #[must_use]
            pub fn from_file_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|one| one.file_word() == word)
            }
        }
    };
}
