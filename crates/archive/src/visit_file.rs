//! One visit as one file: an archive that holds that visit and its vehicle alone, with their documents and chains.

use std::collections::BTreeSet;
use std::path::Path;

use record::{AnyEvent, ContentDigest, StreamKind, StreamRef, VisitId};

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
    if to.exists() {
        return Err(ArchiveError::Exists(to.to_owned()));
    }
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
    let mut file = SqliteArchive::open(to)?;
    let carried = load.put_into(&mut file)?;
    file.connection
        .pragma_update_and_check(None, "journal_mode", "delete", |_| Ok(()))
        .map_err(ArchiveError::while_doing("closed"))?;
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
            match from.find_document(&name)? {
                Some(document) => self.documents.push(document),
                None => self.missing.push(name),
            }
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
        for result in append::append_events(&mut to.connection, &self.documents, &self.events)? {
            match result {
                AppendOutcome::New(_) => carried.new += 1,
                AppendOutcome::Known | AppendOutcome::Clashing => carried.known += 1,
            }
        }
        Ok(carried)
    }
}
