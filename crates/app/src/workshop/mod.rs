//! The workshop: all visits of one archive, kept at hand and up to date while devices write to them.
//!
//! An event is in the archive before it is acknowledged. The state that is kept at hand follows from the
//! archive alone: a workshop that is opened again shows the same.

mod beside;
mod book_out;
mod bundle;
mod contact;
pub mod door;
mod error;
mod goal;
mod grown;
mod live;
mod measured;
mod named;
mod opening;
mod own_book;
mod own_record;
mod own_stream;
mod pictures;
mod replan;
mod seen_places;
mod seen_plan;
mod shelf;
mod take;
mod texts;
mod told_rows;
mod vehicles;

use std::collections::BTreeMap;
use std::path::PathBuf;

use archive::SqliteArchive;
use record::{AnyEvent, Event, EventRef, StreamKind, StreamRef, VehicleId, VisitBody, WorkshopRecord};
use ulid::Ulid;

pub use archive::{
    ArchiveError, ArchivedStream, EventArchive, JournalHolder, JournalLock, JournalPlace, KeptAside,
    KeptEvent, content_digest as content_name,
};
pub use book_out::{BookOutWanted, CARRIED_BOOK_FORMAT, CarriedBook, CarriedPicture, compare_carried};
pub use contact::{DeviceContact, JournalStanding, StreamLength};
pub use effort::SolverBudget;
pub use error::WorkshopError;
pub use goal::{GoalChange, WHOLE_JOB};
pub use live::LiveVisit;
pub use measured::{HeadsMeasuredNow, HeadsToMeasure};
pub use opening::name_aside;
pub use own_book::teach_book;
pub use own_record::Device;
pub use pictures::KeptPicture;
pub use record::{DeviceId, VisitCommand, VisitId};
pub use replan::{RemadePlan, RestPlanInput, leisure_budget};
pub use seen_plan::{SeenPlan, SeenPlanInput};
pub use shelf::{BookShelf, ShelfBook, ShelfPlace, ShelfTask};
pub use take::{IntakeVerdict, SentEvent, TakenEvents};
pub use told_rows::{MAX_PASTED_ROWS, PastedRows, read_pasted_rows};
pub use vehicles::KnownVehicle;

use self::own_stream::{EventWriter, OwnStream, events_in_order};
use self::texts::VisitTexts;
use crate::ask::{PlanRequest, ProgressObserver};

/// Backup, restore, check, and a visit as one file.
pub mod carry {
    pub use archive::{
        ArchiveHealth, CopyReport, RescueReport, SqliteArchive, TransferReport, back_up_archive,
        check_archive, export_visit, import_visit, note_backup, recover_archive, restore_backup,
    };
}

/// At most this many visits are kept in memory; the least recently used one is saved and dropped.
const MAX_VISITS_AT_HAND: usize = 4;

/// All visits of one archive.
pub struct Workshop {
    archive: SqliteArchive,
    device: DeviceId,
    /// What the workshop says of itself.
    own: OwnStream<WorkshopRecord>,
    live: BTreeMap<VisitId, LiveVisit>,
    /// Visits by when they were last asked for, the latest last.
    asked: Vec<VisitId>,
    /// What a person has to know of the journal since it was opened: entries lost, entries changed.
    notices: Vec<String>,
    /// The lock of the journal, where this program holds it.
    lock: Option<JournalLock>,
}

/// What a new visit starts from; book, store and plan may come later, or never.
#[derive(Debug, Clone, Default)]
pub struct NewVisit {
    /// Letter of the vehicle; starts its slots.
    pub letter: String,
    /// The vehicle, where it was here before; else it gets a stream of its own.
    pub vehicle: Option<VehicleId>,
    /// What a person calls the vehicle.
    pub name: String,
    /// Distance driven, with its unit.
    pub odometer: Option<String>,
    /// The book's file or folder.
    pub book: Option<PathBuf>,
    /// The store's file or folder.
    pub store: Option<PathBuf>,
    /// The request for the plan; `None`: it is not planned now. Planning needs book and store.
    pub request: Option<PlanRequest>,
}

/// The texts of a new visit, read and planned.
pub struct PreparedVisit(VisitTexts);

/// A new id that sorts by its time.
#[must_use]
pub fn new_id() -> String {
    Ulid::generate().to_string()
}

/// Milliseconds since 1970-01-01 UTC by this computer's clock.
#[must_use]
pub fn now_ms() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    since.map_or(0, |time| i64::try_from(time.as_millis()).unwrap_or(i64::MAX))
}

impl Workshop {
    /// A device as the writer of events, with the person who answers for what it writes.
    fn writer(&self, device: &DeviceId) -> EventWriter {
        EventWriter { device: device.clone(), person: self.record().person_of_device(device).cloned() }
    }

    /// This computer among the devices.
    #[must_use]
    pub const fn device(&self) -> &DeviceId {
        &self.device
    }

    /// The archive.
    #[must_use]
    pub const fn archive(&self) -> &SqliteArchive {
        &self.archive
    }

    /// The archive, to write to.
    pub const fn archive_mut(&mut self) -> &mut SqliteArchive {
        &mut self.archive
    }

    /// What a person has to know of the journal: entries that were lost, entries that were changed; empty when all is well.
    #[must_use]
    pub fn notices(&self) -> &[String] {
        &self.notices
    }

    /// All visits, in the order of their first event.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn list_visits(&self) -> Result<Vec<VisitId>, WorkshopError> {
        let lines = self.archive.list_streams(StreamKind::Visit)?;
        Ok(lines.iter().filter_map(|line| line.stream.visit_id()).collect())
    }

    /// A visit at hand; read from the archive the first time.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`], or what cannot be read.
    pub fn visit(&mut self, id: &VisitId) -> Result<&LiveVisit, WorkshopError> {
        self.visit_mut(id).map(|live| &*live)
    }

    fn visit_mut(&mut self, id: &VisitId) -> Result<&mut LiveVisit, WorkshopError> {
        let known = self.live.remove(id);
        let live = match known {
            Some(mut live) => {
                live.catch_up(&mut self.archive)?;
                live
            }
            None => {
                let mut live = LiveVisit::read_visit(&self.archive, id)?;
                live.save_if_due(&mut self.archive);
                live
            }
        };
        self.asked.retain(|asked| asked != id);
        self.asked.push(id.clone());
        self.make_room();
        Ok(self.live.entry(id.clone()).or_insert(live))
    }

    /// A visit, if it is at hand.
    pub(crate) fn visit_at_hand(&self, id: &VisitId) -> Option<&LiveVisit> {
        self.live.get(id)
    }

    fn make_room(&mut self) {
        while self.asked.len() > MAX_VISITS_AT_HAND {
            let id = self.asked.remove(0);
            if let Some(mut live) = self.live.remove(&id) {
                // Without it the next reading takes longer.
                let _ = live.save_state(&mut self.archive);
            }
        }
    }

    /// Opens a visit, planned where that is asked; its vehicle's stream and the visit's are written at once.
    ///
    /// # Errors
    /// [`WorkshopError::Ask`] when book or store have faults or there is no plan, [`WorkshopError::Missing`] where a plan is
    /// asked without book or store, [`WorkshopError::NoVehicle`], [`WorkshopError::Store`] when the disk refuses.
    pub fn begin_visit(
        &mut self,
        new: &NewVisit,
        progress: &dyn ProgressObserver,
    ) -> Result<VisitId, WorkshopError> {
        let taught = match &new.book {
            Some(book) => self.unpack_taught_book(book)?,
            None => None,
        };
        let texts = match &taught {
            Some(place) => {
                Self::prepare_visit(&NewVisit { book: Some(place.book.clone()), ..new.clone() }, progress)?
            }
            None => Self::prepare_visit(new, progress)?,
        };
        self.begin_prepared_visit(new, texts)
    }

    /// Reads the texts of a new visit and plans it where that is asked; nothing is written, so that a server can do it while the
    /// work of others goes on.
    ///
    /// # Errors
    /// [`WorkshopError::Ask`] when book or store have faults or there is no plan, [`WorkshopError::Missing`] where a plan is
    /// asked without book or store.
    pub fn prepare_visit(
        new: &NewVisit,
        progress: &dyn ProgressObserver,
    ) -> Result<PreparedVisit, WorkshopError> {
        VisitTexts::read_and_plan(new, progress).map(PreparedVisit)
    }

    /// Opens a visit whose texts are at hand; its vehicle's stream and the visit's are written at once.
    ///
    /// # Errors
    /// [`WorkshopError::TakenLetter`], [`WorkshopError::NoVehicle`], [`WorkshopError::Store`] when the disk refuses.
    pub fn begin_prepared_visit(
        &mut self,
        new: &NewVisit,
        texts: PreparedVisit,
    ) -> Result<VisitId, WorkshopError> {
        let PreparedVisit(mut texts) = texts;
        self.require_free_letter(&new.letter)?;
        let in_use = self.compartments_in_use(None)?;
        texts.lay_beside(&in_use)?;
        let vehicle = self.vehicle_of_new_visit(new)?;
        let stream = StreamRef::from(&vehicle);
        let visit = VisitId::new(&new_id()).expect("letters and figures");
        let mut live = LiveVisit::new(&visit);
        let odometer = new.odometer.as_deref().map(vehicles::plain_odometer);
        let opened = VisitBody::Opened {
            vehicle: Some(stream),
            letter: new.letter.clone(),
            name: new.name.clone(),
            odometer: odometer.clone(),
        };
        let (bodies, documents) = texts.bodies_and_documents();
        for document in &documents {
            self.archive.put_document(document)?;
        }
        let device = self.device.clone();
        live.decide_command(&device, &opened.clone().into())?;
        let writer = self.writer(&device);
        let events = events_in_order(live.history(), &writer, [vec![opened], bodies].concat());
        let opening = EventRef { stream: StreamRef::from(&visit), event: events[0].id.clone() };
        let claims = vehicles::claims_of_visit(&new.name, odometer.as_deref(), opening);
        let claims = self.read_vehicle(&vehicle)?.make_events(&writer, claims);
        let mut all: Vec<AnyEvent> = claims.into_iter().map(AnyEvent::from).collect();
        all.extend(events.into_iter().map(AnyEvent::from));
        self.archive.append_events(&all)?;
        live.catch_up(&mut self.archive)?;
        self.live.insert(visit.clone(), live);
        Ok(visit)
    }

    /// The vehicle that was named and is known, or a new one.
    fn vehicle_of_new_visit(&self, new: &NewVisit) -> Result<VehicleId, WorkshopError> {
        match &new.vehicle {
            Some(id) => self.vehicle(id).map(|known| known.id),
            None => Ok(VehicleId::new(&new_id()).expect("letters and figures")),
        }
    }

    /// Decides a command and writes what follows from it; returns the new events.
    ///
    /// # Errors
    /// [`WorkshopError::Refused`] with what is open, [`WorkshopError::Store`] when the disk refuses.
    pub fn carry_out_command(
        &mut self,
        visit: &VisitId,
        device: &DeviceId,
        command: &VisitCommand,
    ) -> Result<Vec<Event>, WorkshopError> {
        let writer = self.writer(device);
        let live = self.visit_mut(visit)?;
        let bodies = live.decide_command(device, command)?;
        let events = events_in_order(live.history(), &writer, bodies);
        self.keep_events(visit, events.clone())?;
        Ok(events)
    }

    /// Writes events to the archive; the state at hand follows from there.
    fn keep_events(
        &mut self,
        visit: &VisitId,
        events: Vec<Event>,
    ) -> Result<Vec<archive::AppendOutcome>, WorkshopError> {
        let any: Vec<AnyEvent> = events.into_iter().map(AnyEvent::from).collect();
        let kept = self.archive.append_events(&any)?;
        self.visit_mut(visit)?;
        Ok(kept)
    }

    /// Saves the state of every visit at hand, for a quick start.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn save_all_visits(&mut self) -> Result<(), WorkshopError> {
        for live in self.live.values_mut() {
            live.save_state(&mut self.archive)?;
        }
        Ok(())
    }
}
