//! The book that a visit leaves: for the own shelf, or as one file for another workshop.
//!
//! What travels is what was seen of the engine. Who saw it, when, on which device, of which vehicle does not; nor does a tightening
//! figure, which may be from licensed service data, unless the person names it.

use std::collections::BTreeSet;

use archive::EventArchive;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use book::{GrownBook, UnitedBook, unite_books};
use model::Book;
use record::{SeenPoint, VisitId};
use serde::{Deserialize, Serialize};

use crate::load::FaultReport;

use super::grown::{BookWords, GrowthWanted, grow};
use super::{Workshop, WorkshopError, content_name};

/// The format word of a carried book.
pub const CARRIED_BOOK_FORMAT: &str = "traywright-carried-book/1";

/// Pictures that travel with one book, at most: the newest of each fixing first.
const MAX_CARRIED_PICTURES: usize = 200;

/// What a book is called when it leaves, and what of it may.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BookOutWanted {
    /// Title; never the vehicle's name.
    pub title: String,
    /// On what terms others may use it, in words.
    pub licence: String,
    /// Fixings whose tightening figure, told at the bench, may leave.
    pub figures: BTreeSet<String>,
    /// Whether pictures go along.
    pub with_pictures: bool,
}

/// A picture of some fasteners, with where each head lies in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CarriedPicture {
    /// Key of the fixing.
    pub fixing: String,
    /// Media type.
    pub media: String,
    /// The downscaled copy, which has nothing that a camera writes beside a picture, as base64.
    pub points: String,
    /// Heads in the order of tapping.
    pub heads: Vec<SeenPoint>,
}

/// A book as one file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CarriedBook {
    /// [`CARRIED_BOOK_FORMAT`].
    pub format: String,
    /// What the book is called.
    pub title: String,
    /// On what terms it may be used.
    pub licence: String,
    /// Its text in the book format.
    pub book: String,
    /// Pictures.
    pub pictures: Vec<CarriedPicture>,
    /// SHA-256 of all the rest, as hexadecimal figures.
    pub checksum: String,
}

impl CarriedBook {
    fn sealed(mut self) -> Self {
        self.checksum = String::new();
        self.checksum = content_name(self.to_text().as_bytes()).to_string();
        self
    }

    /// The file's text.
    #[must_use]
    pub fn to_text(&self) -> String {
        serde_json::to_string_pretty(self).expect("a carried book is plain data")
    }

    /// Reads a file.
    ///
    /// # Errors
    /// [`WorkshopError::Rest`] where it is no carried book, was changed or cut on its way, or holds a book with faults.
    pub fn read_text(text: &str) -> Result<(Self, Book), WorkshopError> {
        let broken = |words: String| WorkshopError::Rest(words);
        let carried: Self = serde_json::from_str(text).map_err(|error| {
            broken(format!("it is no carried book: {}", record::describe_json_error(&error)))
        })?;
        if carried.format != CARRIED_BOOK_FORMAT {
            return Err(broken(format!(
                "its format is `{}`; this program reads `{CARRIED_BOOK_FORMAT}`",
                carried.format
            )));
        }
        if carried.clone().sealed().checksum != carried.checksum {
            let words = "its checksum does not fit: it was changed or cut on its way. Ask for it once more";
            return Err(broken(words.to_owned()));
        }
        let read = book::read_book(&[(String::from("carried.toml"), carried.book.clone().into_bytes())]);
        let report = FaultReport { name: None, faults: read.faults, sources: read.sources };
        let carried_book = read
            .book
            .ok_or_else(|| broken(format!("the book in it has faults:\n{}", report.render_text(false))))?;
        Ok((carried, carried_book))
    }
}

/// What taking a carried book would change, against the book of that engine that is on the own shelf, if there is one.
#[must_use]
pub fn compare_carried(own: Option<&Book>, carried: &Book) -> UnitedBook {
    match own {
        Some(own) => unite_books(own, carried),
        None => UnitedBook { text: book::write_book(carried), added: Vec::new(), differences: Vec::new() },
    }
}

impl Workshop {
    /// The book that a visit leaves for the own shelf, with the figures that were told at the bench and their sources.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`]; [`WorkshopError::Missing`] where nothing was seen in it.
    pub fn book_of_visit(
        &mut self,
        visit: &VisitId,
        title: Option<&str>,
    ) -> Result<GrownBook, WorkshopError> {
        let live = self.visit(visit)?;
        let wanted = GrowthWanted { with_figures: true, with_task: true, with_late_places: true };
        let mut words = BookWords::of_visit(live.state());
        if let Some(title) = title {
            words.title = title.to_owned();
        }
        grow(live.base_book(), live.state(), (wanted, &words)).ok_or_else(nothing_seen)
    }

    /// The same as one file for another workshop.
    ///
    /// # Errors
    /// As [`Workshop::book_of_visit`]; [`WorkshopError::Rest`] without a title; [`WorkshopError::Store`] when the archive cannot be read.
    pub fn carry_book(
        &mut self,
        visit: &VisitId,
        wanted: &BookOutWanted,
    ) -> Result<CarriedBook, WorkshopError> {
        if wanted.title.trim().is_empty() {
            let words = "give the book a title that says which engine it is of, and not whose vehicle";
            return Err(WorkshopError::Rest(words.to_owned()));
        }
        let live = self.visit(visit)?;
        let mut state = live.state().clone();
        state.figures.words.retain(|fixing, _| wanted.figures.contains(fixing));
        let words = BookWords {
            title: wanted.title.clone(),
            origin: String::from("seen at the engine by a workshop that passed it on"),
        };
        let growth = GrowthWanted { with_figures: true, with_task: true, with_late_places: true };
        let grown = grow(live.base_book(), &state, (growth, &words)).ok_or_else(nothing_seen)?;
        let mut newest = std::collections::BTreeMap::new();
        for picture in &state.pictures {
            if let Some(fixing) =
                picture.at.fixing.as_ref().filter(|fixing| state.seen.fixings.contains_key(*fixing))
            {
                newest.insert(fixing.clone(), picture.picture.clone());
            }
        }
        let mut pictures = Vec::new();
        for (fixing, name) in newest.into_iter().filter(|_| wanted.with_pictures).take(MAX_CARRIED_PICTURES) {
            if let Some(document) = self.archive().find_document(&name)? {
                let heads = state.seen.fixings[&fixing].heads.clone();
                let points = STANDARD.encode(document.bytes);
                pictures.push(CarriedPicture { fixing, media: document.media, points, heads });
            }
        }
        let carried = CarriedBook {
            format: CARRIED_BOOK_FORMAT.to_owned(),
            title: wanted.title.clone(),
            licence: wanted.licence.clone(),
            book: grown.text,
            pictures,
            checksum: String::new(),
        };
        Ok(carried.sealed())
    }
}

fn nothing_seen() -> WorkshopError {
    WorkshopError::Missing(String::from(
        "nothing was told of this engine in this visit, so it leaves no book of its own",
    ))
}
