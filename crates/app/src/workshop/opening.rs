//! Opening the journal: to write or to read alone, what was lost or changed since is told, an import, a restore.

use std::path::{Path, PathBuf};

use archive::{
    ArchiveError, CopyReport, EventArchive, JournalHolder, JournalLock, KeptAside, SqliteArchive,
    StreamShortfall, TransferReport, check_newest_events, import_visit, restore_backup,
};
use record::{DeviceId, StreamId, StreamKind, StreamRef};

use super::own_stream::OwnStream;
use super::{Workshop, WorkshopError, new_id, now_ms};

/// Setting that names this computer among the devices.
const THIS_DEVICE: &str = "this-device";

/// Setting that names the workshop's own stream.
const THIS_WORKSHOP: &str = "this-workshop";

/// Events whose chain is checked at each opening; the whole is checked later, and each event again whenever it is read.
const CHECKED_AT_OPENING: u32 = 256;

impl Workshop {
    /// Opens the archive at a path, or makes one.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the file cannot be used.
    pub fn open(path: &Path) -> Result<Self, WorkshopError> {
        Self::over_archive(SqliteArchive::open(path)?)
    }

    /// Opens the archive at a path to serve it, or makes one: no other program may hold it.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] with who holds it, or when the file cannot be used.
    pub fn open_to_serve(path: &Path) -> Result<Self, WorkshopError> {
        let lock = JournalLock::take(path, &JournalHolder::of_command("serve"))?;
        Ok(Self { lock: Some(lock), ..Self::open(path)? })
    }

    /// Opens the archive at a path, or makes one, for a command that writes and is done soon. Beside a program that serves the
    /// journal it writes as a guest: the server follows.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] with who holds it, or when the file cannot be used.
    pub fn open_to_write(path: &Path, command: &str) -> Result<Self, WorkshopError> {
        match JournalLock::take(path, &JournalHolder::of_command(command)) {
            Ok(lock) => Ok(Self { lock: Some(lock), ..Self::open(path)? }),
            Err(ArchiveError::InUse { by, .. }) if by.door.is_some() => Self::open(path),
            Err(error) => Err(error.into()),
        }
    }

    /// Says beside the journal where this program takes requests of others.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when it cannot be written.
    pub fn name_door(&mut self, door: String) -> Result<(), WorkshopError> {
        let Some(lock) = &mut self.lock else { return Ok(()) };
        Ok(lock.name_holder(&JournalHolder { door: Some(door), ..JournalHolder::of_command("serve") })?)
    }

    /// Forces to disk how long the journal is; asked once a second.
    pub fn force_tail(&mut self) {
        self.archive.force_tail();
    }

    /// Opens an archive to read alone; none is made, and nothing is written.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the file is not there or cannot be used.
    pub fn open_to_read(path: &Path) -> Result<Self, WorkshopError> {
        Self::over_archive(SqliteArchive::open_to_read(path)?)
    }

    /// A workshop over an open archive. What is damaged is told in [`Workshop::notices`] and hurts only what needs it.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read at all.
    pub fn over_archive(mut archive: SqliteArchive) -> Result<Self, WorkshopError> {
        let mut notices = check_newest_events(&archive, CHECKED_AT_OPENING)?.faults;
        let shortfalls = archive.find_shortfalls()?;
        notices.extend(shortfalls.iter().map(lost_words));
        if !archive.is_to_read() {
            keep_shortfalls(&mut archive, &shortfalls)?;
        }
        let device = find_or_make_id(&mut archive, THIS_DEVICE, None, DeviceId::new)?;
        let workshops = archive.list_streams(StreamKind::Workshop).unwrap_or_default();
        let only = if let [only] = &workshops[..] { Some(only.stream.id.as_str()) } else { None };
        let id = find_or_make_id(&mut archive, THIS_WORKSHOP, only, StreamId::new)?;
        let own = OwnStream::read_whole(&archive, StreamRef { kind: StreamKind::Workshop, id })?;
        notices.extend_from_slice(own.faults());
        notices.dedup();
        Ok(Self { archive, device, own, live: Default::default(), asked: Vec::new(), notices, lock: None })
    }

    /// Takes in what other programs have written of the workshop itself.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn follow_workshop(&mut self) -> Result<(), WorkshopError> {
        self.own.follow(&self.archive)
    }

    /// Takes in a visit's file; the visits at hand follow.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the file is damaged or the disk refuses; then nothing has changed.
    pub fn import_visit_file(&mut self, from: &Path) -> Result<TransferReport, WorkshopError> {
        Ok(import_visit(&mut self.archive, from)?)
    }

    /// Puts a backup in the place of the journal that is open, and goes on with it.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the backup is not whole or the disk refuses; then the old journal stays open.
    pub fn restore_journal(
        &mut self,
        from: &Path,
        progress: &mut dyn FnMut(f64),
    ) -> Result<CopyReport, WorkshopError> {
        let path = self.archive.path().to_owned();
        // Without it the next start takes longer.
        let _ = self.save_all_visits();
        let lock = self.lock.take();
        *self = Self::over_archive(SqliteArchive::in_memory()?)?;
        let restored = restore_backup(from, &path, &name_aside(&path), progress);
        *self = Self { lock, ..Self::open(&path)? };
        Ok(restored?)
    }
}

/// Where a journal is moved when a backup takes its place.
#[must_use]
pub fn name_aside(journal: &Path) -> PathBuf {
    let mut name = journal.as_os_str().to_owned();
    name.push(format!(".before-{}", new_id()));
    PathBuf::from(name)
}

fn lost_words(shortfall: &StreamShortfall) -> String {
    format!(
        "Entries of the journal are lost: {shortfall}. Devices send again what they still hold; `restore` puts the newest \
         backup back"
    )
}

/// Keeps what was lost for a person to see to, then lets the second small file say what is there now.
fn keep_shortfalls(archive: &mut SqliteArchive, shortfalls: &[StreamShortfall]) -> Result<(), WorkshopError> {
    for shortfall in shortfalls {
        archive.set_aside(&KeptAside {
            number: 0,
            device: String::from("this computer"),
            at_ms: now_ms(),
            text: shortfall.to_string(),
            reason: lost_words(shortfall),
            settled: false,
        })?;
    }
    // A second file that cannot be written makes the journal no worse.
    let _ = archive.renew_tail(!shortfalls.is_empty());
    Ok(())
}

/// An id that is kept as a setting, made the first time; where the setting was lost, what is there besides says it.
fn find_or_make_id<I>(
    archive: &mut SqliteArchive,
    setting: &str,
    instead: Option<&str>,
    id_of: impl Fn(&str) -> Option<I>,
) -> Result<I, WorkshopError> {
    if let Some(known) = archive.find_setting(setting)?.and_then(|text| id_of(&text)) {
        return Ok(known);
    }
    let text = instead.map_or_else(new_id, str::to_owned);
    if !archive.is_to_read() {
        archive.put_setting(setting, &text)?;
    }
    Ok(id_of(&text).expect("letters and figures"))
}
