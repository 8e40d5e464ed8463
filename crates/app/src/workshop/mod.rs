//! The workshop: all visits of one archive, kept at hand and up to date while devices write to them.
//!
//! An event is in the archive before anybody is told that it counts. The state that is kept at hand follows from the
//! archive alone: a workshop that is opened again shows the same.

mod bundle;
mod error;
mod live;
mod pictures;
mod replan;
mod take;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use archive::SqliteArchive;
use record::Event;
use ulid::Ulid;

pub use archive::{
    ArchiveError, ArchivedVisit, Device, EventArchive, KeptAside, KeptEvent, content_digest as content_name,
};
pub use effort::SolverBudget;
pub use error::WorkshopError;
pub use live::LiveVisit;
pub use pictures::KeptPicture;
pub use record::{DeviceId, JournalCommand, VisitId};
pub use replan::{RemadePlan, RestPlanInput, leisure_budget};
pub use take::{IntakeVerdict, SentEvent};

use crate::ask::{self, PlanRequest, ProgressObserver};

/// Backup, restore, check, and a visit as one file.
pub mod carry {
    pub use archive::{
        ArchiveHealth, CopyReport, SqliteArchive, TransferReport, back_up_archive, check_archive,
        export_visit, import_visit, recover_archive, restore_backup,
    };
}

/// Setting that names this computer among the devices.
const THIS_DEVICE: &str = "this-device";

/// Events whose chain is checked at each opening: a torn tail is found before anything is added to it.
const CHECKED_AT_OPENING: u32 = 256;

/// Most visits kept at hand; the one not asked for the longest is saved and let go of.
const MAX_VISITS_AT_HAND: usize = 4;

/// All visits of one archive.
pub struct Workshop {
    archive: SqliteArchive,
    device: DeviceId,
    live: BTreeMap<VisitId, LiveVisit>,
    /// Visits by when they were last asked for, the latest last.
    asked: Vec<VisitId>,
}

/// What a new visit starts from.
#[derive(Debug, Clone)]
pub struct NewVisit {
    /// What a person calls the vehicle.
    pub name: String,
    /// Distance driven, with its unit.
    pub odometer: Option<String>,
    /// The book's file or folder.
    pub book: PathBuf,
    /// The store's file or folder.
    pub store: PathBuf,
    /// What is asked of the plan; its vehicle letter starts the slots.
    pub request: PlanRequest,
}

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
    /// Opens the archive at a path, or makes one.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the file cannot be used.
    pub fn open(path: &Path) -> Result<Self, WorkshopError> {
        Self::over_archive(SqliteArchive::open(path)?)
    }

    /// A workshop over an open archive.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read, or its newest events do not follow one another.
    pub fn over_archive(mut archive: SqliteArchive) -> Result<Self, WorkshopError> {
        if let Some(fault) =
            archive::check_newest_events(&archive, CHECKED_AT_OPENING)?.faults.into_iter().next()
        {
            return Err(ArchiveError::Damaged(fault).into());
        }
        let known = archive.find_setting(THIS_DEVICE)?.and_then(|text| DeviceId::new(&text));
        let device = match known {
            Some(device) => device,
            None => {
                let id = new_id();
                archive.put_setting(THIS_DEVICE, &id)?;
                DeviceId::new(&id).expect("letters and figures")
            }
        };
        Ok(Self { archive, device, live: BTreeMap::new(), asked: Vec::new() })
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

    /// All visits, in the order of their first event.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn list_visits(&self) -> Result<Vec<ArchivedVisit>, WorkshopError> {
        Ok(self.archive.list_visits()?)
    }

    /// A visit at hand; read from the archive the first time.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`], or what cannot be read.
    pub fn visit(&mut self, id: &VisitId) -> Result<&LiveVisit, WorkshopError> {
        self.visit_mut(id).map(|live| &*live)
    }

    fn visit_mut(&mut self, id: &VisitId) -> Result<&mut LiveVisit, WorkshopError> {
        if !self.live.contains_key(id) {
            let mut live = LiveVisit::read_visit(&self.archive, id)?;
            live.save_if_due(&mut self.archive)?;
            self.live.insert(id.clone(), live);
        }
        self.asked.retain(|asked| asked != id);
        self.asked.push(id.clone());
        self.make_room()?;
        Ok(self.live.get_mut(id).expect("the latest asked for is never let go of"))
    }

    /// A visit, if it is at hand.
    pub(crate) fn visit_at_hand(&self, id: &VisitId) -> Option<&LiveVisit> {
        self.live.get(id)
    }

    fn make_room(&mut self) -> Result<(), WorkshopError> {
        while self.asked.len() > MAX_VISITS_AT_HAND {
            let id = self.asked.remove(0);
            if let Some(mut live) = self.live.remove(&id) {
                live.save_state(&mut self.archive)?;
            }
        }
        Ok(())
    }

    /// Plans a visit and opens it.
    ///
    /// # Errors
    /// [`WorkshopError::Ask`] when book or store have faults or there is no plan, [`WorkshopError::Store`] when the disk
    /// refuses.
    pub fn begin_visit(
        &mut self,
        new: &NewVisit,
        progress: &dyn ProgressObserver,
    ) -> Result<VisitId, WorkshopError> {
        let (book, book_document) = bundle::book_from(&new.book)?;
        let (store, store_document) = bundle::store_from(&new.store)?;
        let answer = ask::make_judged_plan(&book, &store, &new.request, progress)?;
        let visit = VisitId::new(&new_id()).expect("letters and figures");
        let command = JournalCommand::Begin {
            vehicle: new.request.vehicle.clone(),
            name: new.name.clone(),
            odometer: new.odometer.clone(),
            book: self.archive.put_document(&book_document)?,
            store: self.archive.put_document(&store_document)?,
            plan: self.archive.put_document(&bundle::plan_document(&answer.plan))?,
        };
        let live = LiveVisit::new(visit.clone(), book, store, answer.plan);
        self.live.insert(visit.clone(), live);
        let device = self.device.clone();
        if let Err(error) = self.carry_out_command(&visit, &device, &command) {
            self.live.remove(&visit);
            return Err(error);
        }
        Ok(visit)
    }

    /// Decides a command and writes what follows from it; returns the new events.
    ///
    /// # Errors
    /// [`WorkshopError::Refused`] with what stands open, [`WorkshopError::Store`] when the disk refuses.
    pub fn carry_out_command(
        &mut self,
        visit: &VisitId,
        device: &DeviceId,
        command: &JournalCommand,
    ) -> Result<Vec<Event>, WorkshopError> {
        let live = self.visit_mut(visit)?;
        let bodies = live.decide_command(device, command)?;
        let mut order = live.history().next_order(device);
        // One time for all that one tap says: so it is taken back as one.
        let at_ms = now_ms();
        let mut events = Vec::with_capacity(bodies.len());
        for body in bodies {
            let id = record::EventId::new(&new_id()).expect("letters and figures");
            events.push(Event { id, visit: visit.clone(), order: order.clone(), at_ms, body });
            (order.round, order.sequence) = (order.round + 1, order.sequence + 1);
        }
        self.keep_events(visit, events.clone())?;
        Ok(events)
    }

    /// Writes events to the archive, then to the state at hand.
    fn keep_events(
        &mut self,
        visit: &VisitId,
        events: Vec<Event>,
    ) -> Result<Vec<archive::AppendOutcome>, WorkshopError> {
        let kept = self.archive.append_events(&events)?;
        let mut live = match self.live.remove(visit) {
            Some(live) => live,
            None => LiveVisit::read_visit(&self.archive, visit)?,
        };
        let result = live.take_in_events(&mut self.archive, events, &kept);
        if result.is_ok() {
            self.live.insert(visit.clone(), live);
        }
        result.map(|()| kept)
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

    /// All devices that were ever paired.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn paired_devices(&self) -> Result<Vec<Device>, WorkshopError> {
        Ok(self.archive.list_devices()?)
    }
}
