//! One visit as one file: an archive that holds that visit and its vehicle alone, with their documents and chains.

use std::collections::BTreeSet;
use std::path::Path;

use record::{AnyEvent, ContentDigest, StreamKind, StreamRef, VisitId, check_sense};

use crate::file_work::{self, PartFile};
use crate::{
    AppendOutcome, ArchiveError, ArchivedDocument, EventArchive, SqliteArchive, append, check_archive,
};

/// Streams that travel, in the order in which they are carried; a workshop's own never leaves it.
const TRAVELLING: [StreamKind; 3] = [StreamKind::Vehicle, StreamKind::Book, StreamKind::Visit];

/// What was carried over.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TransferReport {
    /// Which visits.
    pub visits: Vec<VisitId>,
    /// Other streams that went with them.
    pub beside: Vec<StreamRef>,
    /// Events that were new there.
    pub new: u64,
    /// Events that were there already.
    pub known: u64,
    /// Documents.
    pub documents: u64,
    /// Documents named by events that the file does not hold.
    pub missing: Vec<ContentDigest>,
}

/// Writes one visit and its vehicle's stream into a new file.
///
/// # Errors
/// [`ArchiveError`] when there is no such visit, the file is there already, or the disk refuses.
pub fn export_visit(
    archive: &SqliteArchive,
    visit: &VisitId,
    to: &Path,
) -> Result<TransferReport, ArchiveError> {
    file_work::require_free(to)?;
    let stream = StreamRef::from(visit);
    let mut load = TransferLoad::default();
    load.take_stream(archive, &stream)?;
    if load.events.is_empty() {
        return Err(ArchiveError::NoStream(stream.to_string()));
    }
    for named in load.named_streams(StreamKind::Vehicle) {
        load.take_stream(archive, &named)?;
    }
    load.find_documents(archive)?;
    let part = PartFile::begin(to);
    let mut file = SqliteArchive::open(part.path())?;
    let carried = load.put_into(&mut file)?;
    file.close_as_one_file()?;
    part.put_in_place()?;
    Ok(carried)
}

/// Takes all visits of a file, with the streams that go with them, into an archive; what is there already is left as it is.
///
/// The file is checked whole before anything is written, and all of it is written in one transaction.
///
/// # Errors
/// [`ArchiveError`] when the file is damaged or the disk refuses; then nothing has changed.
pub fn import_visit(archive: &mut SqliteArchive, from: &Path) -> Result<TransferReport, ArchiveError> {
    let file = SqliteArchive::open_to_read(from)?;
    if let Some(fault) = check_archive(&file)?.faults.into_iter().next() {
        return Err(ArchiveError::Damaged(fault));
    }
    let mut load = TransferLoad::default();
    for kind in TRAVELLING {
        for line in file.list_streams(kind)? {
            load.take_stream(&file, &line.stream)?;
        }
    }
    load.find_documents(&file)?;
    load.check_sense()?;
    load.put_into(archive)
}

/// All that is carried, before any of it is written.
#[derive(Default)]
struct TransferLoad {
    streams: Vec<StreamRef>,
    events: Vec<AnyEvent>,
    documents: Vec<ArchivedDocument>,
    missing: Vec<ContentDigest>,
}

impl TransferLoad {
    fn take_stream(&mut self, from: &SqliteArchive, stream: &StreamRef) -> Result<(), ArchiveError> {
        let before = self.events.len();
        from.read_events(stream, 0, &mut |kept| {
            self.events.push(kept.event);
            true
        })?;
        if self.events.len() > before {
            self.streams.push(stream.clone());
        }
        Ok(())
    }

    fn named_streams(&self, kind: StreamKind) -> BTreeSet<StreamRef> {
        let named = self.events.iter().flat_map(AnyEvent::named_streams);
        named.filter(|stream| stream.kind == kind).cloned().collect()
    }

    fn find_documents(&mut self, from: &SqliteArchive) -> Result<(), ArchiveError> {
        let names: BTreeSet<ContentDigest> =
            self.events.iter().flat_map(AnyEvent::named_documents).cloned().collect();
        for name in names {
            match from.find_document(&name) {
                Ok(Some(document)) => self.documents.push(document),
                Ok(None) | Err(ArchiveError::ChangedDocument(_)) => self.missing.push(name),
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }

    /// Whether rounds and times make sense, so that no entry of the file pushes later ones of other devices out of it.
    fn check_sense(&self) -> Result<(), ArchiveError> {
        let mut events: Vec<&AnyEvent> = self.events.iter().collect();
        events.sort_by_key(|event| (event.stream(), event.order().round));
        let mut before: Option<&AnyEvent> = None;
        for event in events {
            let same = before.filter(|before| before.stream() == event.stream());
            let last_round = same.map_or(0, |before| before.order().round);
            if let Err(why) = check_sense(event.order(), event.at_ms(), last_round) {
                return Err(ArchiveError::Unacceptable { event: event.id().to_string(), why });
            }
            before = Some(event);
        }
        Ok(())
    }

    fn put_into(self, to: &mut SqliteArchive) -> Result<TransferReport, ArchiveError> {
        let (visits, beside): (Vec<_>, Vec<_>) =
            self.streams.into_iter().partition(|stream| stream.kind == StreamKind::Visit);
        let mut carried = TransferReport {
            visits: visits.iter().filter_map(StreamRef::visit_id).collect(),
            beside,
            documents: self.documents.len() as u64,
            missing: self.missing,
            ..TransferReport::default()
        };
        for result in append::append_events(to, &self.documents, &self.events)? {
            match result {
                AppendOutcome::New(_) => carried.new += 1,
                AppendOutcome::Known(_) | AppendOutcome::Clashing => carried.known += 1,
            }
        }
        Ok(carried)
    }
}
