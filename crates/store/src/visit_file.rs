//! One visit as one file: an archive that holds that visit alone, with its documents and its chain.

use std::collections::BTreeSet;
use std::path::Path;

use journal::{Digest, Event, VisitId};

use crate::{Appended, Archive, Sqlite, StoreError, check};

/// Events written in one transaction.
const AT_ONCE: usize = 500;

/// What was carried over.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Carried {
    /// Which visits.
    pub visits: Vec<VisitId>,
    /// Events that were new there.
    pub new: u64,
    /// Events that were there already.
    pub known: u64,
    /// Documents.
    pub documents: u64,
    /// Documents named by events that the file does not hold.
    pub missing: Vec<Digest>,
}

/// Writes one visit into a new file.
///
/// # Errors
/// [`StoreError`] when there is no such visit, the file is there already, or the disk refuses.
pub fn export_visit(archive: &Sqlite, visit: &VisitId, to: &Path) -> Result<Carried, StoreError> {
    if to.exists() {
        return Err(StoreError::Exists(to.to_owned()));
    }
    if !archive.visits()?.iter().any(|line| line.visit == *visit) {
        return Err(StoreError::NoVisit(visit.to_string()));
    }
    let mut file = Sqlite::open(to)?;
    let mut carried = Carried::default();
    carry(archive, visit, &mut file, &mut carried)?;
    file.connection
        .pragma_update_and_check(None, "journal_mode", "delete", |_| Ok(()))
        .map_err(StoreError::while_doing("closed"))?;
    Ok(carried)
}

/// Takes all visits of a file into an archive; what is there already is left as it is.
///
/// # Errors
/// [`StoreError`] when the file is damaged or the disk refuses.
pub fn import_visit(archive: &mut Sqlite, from: &Path) -> Result<Carried, StoreError> {
    let file = Sqlite::open_to_read(from)?;
    if let Some(fault) = check(&file)?.faults.into_iter().next() {
        return Err(StoreError::Damaged(fault));
    }
    let mut carried = Carried::default();
    for line in file.visits()? {
        carry(&file, &line.visit, archive, &mut carried)?;
    }
    Ok(carried)
}

fn carry(from: &Sqlite, visit: &VisitId, to: &mut Sqlite, carried: &mut Carried) -> Result<(), StoreError> {
    carried.visits.push(visit.clone());
    let mut events: Vec<Event> = Vec::new();
    from.read(visit, 0, &mut |kept| {
        events.push(kept.event);
        true
    })?;
    let names: BTreeSet<Digest> = events.iter().flat_map(|event| event.body.documents()).collect();
    for name in names {
        match from.document(&name)? {
            Some(document) => {
                to.put_document(&document)?;
                carried.documents += 1;
            }
            None => carried.missing.push(name),
        }
    }
    for some in events.chunks(AT_ONCE) {
        for result in to.append(some)? {
            match result {
                Appended::New(_) => carried.new += 1,
                Appended::Known | Appended::Clashing => carried.known += 1,
            }
        }
    }
    Ok(())
}
