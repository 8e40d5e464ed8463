//! One visit as one file: an archive that holds that visit alone, with its documents and its chain.

use std::collections::BTreeSet;
use std::path::Path;

use record::{ContentDigest, Event, VisitId};

use crate::{AppendOutcome, ArchiveError, EventArchive, SqliteArchive, check_archive};

/// Events written in one transaction.
const AT_ONCE: usize = 500;

/// What was carried over.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TransferReport {
    /// Which visits.
    pub visits: Vec<VisitId>,
    /// Events that were new there.
    pub new: u64,
    /// Events that were there already.
    pub known: u64,
    /// Documents.
    pub documents: u64,
    /// Documents named by events that the file does not hold.
    pub missing: Vec<ContentDigest>,
}

/// Writes one visit into a new file.
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
    if !archive.list_visits()?.iter().any(|line| line.visit == *visit) {
        return Err(ArchiveError::NoVisit(visit.to_string()));
    }
    let mut file = SqliteArchive::open(to)?;
    let mut carried = TransferReport::default();
    carry_visit(archive, visit, &mut file, &mut carried)?;
    file.connection
        .pragma_update_and_check(None, "journal_mode", "delete", |_| Ok(()))
        .map_err(ArchiveError::while_doing("closed"))?;
    Ok(carried)
}

/// Takes all visits of a file into an archive; what is there already is left as it is.
///
/// # Errors
/// [`ArchiveError`] when the file is damaged or the disk refuses.
pub fn import_visit(archive: &mut SqliteArchive, from: &Path) -> Result<TransferReport, ArchiveError> {
    let file = SqliteArchive::open_to_read(from)?;
    if let Some(fault) = check_archive(&file)?.faults.into_iter().next() {
        return Err(ArchiveError::Damaged(fault));
    }
    let mut carried = TransferReport::default();
    for line in file.list_visits()? {
        carry_visit(&file, &line.visit, archive, &mut carried)?;
    }
    Ok(carried)
}

fn carry_visit(
    from: &SqliteArchive,
    visit: &VisitId,
    to: &mut SqliteArchive,
    carried: &mut TransferReport,
) -> Result<(), ArchiveError> {
    carried.visits.push(visit.clone());
    let mut events: Vec<Event> = Vec::new();
    from.read_events(visit, 0, &mut |kept| {
        events.push(kept.event);
        true
    })?;
    let names: BTreeSet<ContentDigest> =
        events.iter().flat_map(|event| event.body.named_documents()).collect();
    for name in names {
        match from.find_document(&name)? {
            Some(document) => {
                to.put_document(&document)?;
                carried.documents += 1;
            }
            None => carried.missing.push(name),
        }
    }
    for some in events.chunks(AT_ONCE) {
        for result in to.append_events(some)? {
            match result {
                AppendOutcome::New(_) => carried.new += 1,
                AppendOutcome::Known | AppendOutcome::Clashing => carried.known += 1,
            }
        }
    }
    Ok(())
}
