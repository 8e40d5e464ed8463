//! Why the workshop could not carry out a request.

use core::fmt;

use archive::ArchiveError;
use record::{ContentDigest, Refusal};

use crate::ask::AskError;
use crate::load::FileLoadError;

/// Why the workshop could not carry out a request.
#[derive(Debug)]
pub enum WorkshopError {
    /// The archive cannot be used.
    Store(ArchiveError),
    /// There is no plan.
    Ask(AskError),
    /// What is open forbids it; says what would close it.
    Refused(Refusal),
    /// There is no such visit.
    NoVisit(String),
    /// There is no such vehicle.
    NoVehicle(String),
    /// Nothing goes by an id that a person typed.
    NotListed {
        /// `visit` or `vehicle`.
        what: &'static str,
        /// The id as it was typed.
        typed: String,
        /// The nearest that there is, or all where they are few.
        near: Vec<String>,
    },
    /// Several open visits have the letter that a person typed.
    SharedLetter {
        /// The letter.
        letter: String,
        /// Their ids.
        visits: Vec<String>,
    },
    /// An open visit has the letter that a new one is given.
    TakenLetter {
        /// The letter.
        letter: String,
        /// What the vehicle that has it is called.
        of: String,
        /// The first letter that is free.
        free: Option<String>,
    },
    /// The visit has no book, tool store or plan, and this cannot do without; says what to do.
    Missing(String),
    /// It is no picture that this program can read; says what to do.
    Picture(String),
    /// The rest cannot be planned anew; says why.
    Rest(String),
    /// A document of the visit cannot be read.
    Document {
        /// Its name.
        name: ContentDigest,
        /// Why.
        reason: String,
    },
}

impl fmt::Display for WorkshopError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Store(error) => error.fmt(f),
            Self::Ask(error) => error.fmt(f),
            Self::Refused(refusal) => refusal.fmt(f),
            Self::Picture(words) | Self::Rest(words) | Self::Missing(words) => f.write_str(words),
            Self::NoVisit(visit) => {
                write!(f, "there is no visit {visit}; `traywright visit show` lists the visits")
            }
            Self::NoVehicle(vehicle) => {
                write!(f, "there is no vehicle {vehicle}; `traywright vehicle list` lists the vehicles")
            }
            Self::NotListed { what, typed, near } => {
                write!(f, "there is no {what} {typed}; ")?;
                match &near[..] {
                    [one] => write!(f, "did you mean {one}?"),
                    [] if *what == "visit" => f.write_str("`traywright visit show` lists the visits"),
                    [] => write!(f, "`traywright {what} list` lists the {what}s"),
                    several => write!(f, "there is {}", several.join(", ")),
                }
            }
            Self::SharedLetter { letter, visits } => {
                write!(
                    f,
                    "several open visits have the letter {letter}; name one by its id: {}",
                    visits.join(", ")
                )
            }
            Self::TakenLetter { letter, of, free } => {
                write!(f, "the letter {letter} is on the trays and bags of {of}, whose visit is open; ")?;
                match free {
                    Some(free) => write!(f, "give this vehicle another: {free} is free"),
                    None => f.write_str("no letter is free: close a visit that is over"),
                }
            }
            Self::Document { name, reason } => {
                write!(f, "document {} of the visit: {reason}", &name.as_str()[..12])
            }
        }
    }
}

impl core::error::Error for WorkshopError {}

impl From<ArchiveError> for WorkshopError {
    fn from(error: ArchiveError) -> Self {
        Self::Store(error)
    }
}

impl From<AskError> for WorkshopError {
    fn from(error: AskError) -> Self {
        Self::Ask(error)
    }
}

impl From<FileLoadError> for WorkshopError {
    fn from(error: FileLoadError) -> Self {
        Self::Ask(AskError::Load(error))
    }
}

impl From<Refusal> for WorkshopError {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}
