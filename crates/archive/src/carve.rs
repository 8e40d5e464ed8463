//! Rows of a damaged SQLite file, found by their shape alone: no index, no inner page and no header of a page is needed.
//!
//! **Method.** Every page image, of the file and of each frame of its write-ahead log, is looked at from every byte on: does a
//! record begin here whose header names the columns of an event or of a document? What is longer than its page is followed
//! through its overflow pages. Whether a row is what was written is not decided here: the hash of an event and the name of
//! a document do that.
//!
//! **Source.** SQLite documentation, "Database File Format": 1.3 (header), 1.5 (leaf cells), 1.6 (overflow), 2.1 (record format),
//! 4.1 (write-ahead log).

use std::collections::BTreeMap;

use crate::ArchivedDocument;
use crate::read::EventRow;

/// Page size where neither file nor log says one.
const USUAL_PAGE_BYTES: usize = 4096;

const LOG_HEADER_BYTES: usize = 32;
const FRAME_HEADER_BYTES: usize = 24;

/// Serial type of a blob of 32 bytes: 12 + 2 · 32.
const HASH_TYPE: u64 = 76;
/// Serial type of a text of 64 bytes: 13 + 2 · 64.
const NAME_TYPE: u64 = 141;

/// Longest record that is believed, bytes.
const MAX_RECORD_BYTES: usize = 64 * 1024 * 1024;

/// What was found.
#[derive(Default)]
pub(crate) struct CarvedRows {
    pub(crate) events: Vec<EventRow>,
    /// Documents by the name under which they lie.
    pub(crate) documents: Vec<(String, ArchivedDocument)>,
}

/// Page images of a file and its log.
struct PageImages<'a> {
    page_bytes: usize,
    file: &'a [u8],
    /// Each frame of the log with its page, in order.
    frames: Vec<(usize, &'a [u8])>,
    /// The newest frame of each page.
    newest: BTreeMap<usize, &'a [u8]>,
}

/// All rows that a file and its write-ahead log hold, in whatever state they are.
pub(crate) fn carve_rows(file: &[u8], log: &[u8]) -> CarvedRows {
    let pages = PageImages::split(file, log);
    let mut rows = CarvedRows::default();
    for image in file.chunks(pages.page_bytes) {
        pages.look_through(image, &mut rows);
    }
    for (_, image) in &pages.frames {
        pages.look_through(image, &mut rows);
    }
    rows
}

impl<'a> PageImages<'a> {
    fn split(file: &'a [u8], log: &'a [u8]) -> Self {
        let page_bytes = page_size(file, log);
        let frames: Vec<(usize, &[u8])> = log
            .get(LOG_HEADER_BYTES..)
            .unwrap_or_default()
            .chunks(FRAME_HEADER_BYTES + page_bytes)
            .filter_map(|frame| Some((big_endian(frame.get(..4)?), frame.get(FRAME_HEADER_BYTES..)?)))
            .collect();
        let newest = frames.iter().copied().collect();
        Self { page_bytes, file, frames, newest }
    }

    fn look_through(&self, image: &[u8], rows: &mut CarvedRows) {
        for at in 0..image.len() {
            let Some(record) = RecordStart::read(image, at) else { continue };
            let Some(bytes) = self.whole_record(image, &record) else { continue };
            record.take_row(&bytes, rows);
        }
    }

    /// The bytes of a record, those on overflow pages included.
    fn whole_record(&self, image: &[u8], record: &RecordStart) -> Option<Vec<u8>> {
        let total = record.header_bytes + record.sizes.iter().sum::<usize>();
        let local = self.local_bytes(total);
        let start = image.get(record.at..record.at + local)?;
        if local == total {
            return Some(start.to_vec());
        }
        let next = big_endian(image.get(record.at + local..record.at + local + 4)?);
        self.follow(start, next, total, true).or_else(|| self.follow(start, next, total, false))
    }

    /// Follows overflow pages, in the log first or in the file alone.
    fn follow(&self, start: &[u8], mut next: usize, total: usize, in_log: bool) -> Option<Vec<u8>> {
        let mut bytes = start.to_vec();
        while bytes.len() < total {
            let logged = if in_log { self.newest.get(&next).copied() } else { None };
            let page = logged.or_else(|| {
                let from = next.checked_sub(1)? * self.page_bytes;
                self.file.get(from..from.checked_add(self.page_bytes)?.min(self.file.len()))
            })?;
            let part = page.get(4..)?;
            if part.is_empty() {
                return None;
            }
            bytes.extend_from_slice(&part[..part.len().min(total - bytes.len())]);
            next = big_endian(page.get(..4)?);
        }
        Some(bytes)
    }

    /// How many bytes of a record of so many lie in its own page (no bytes of a page are reserved).
    fn local_bytes(&self, total: usize) -> usize {
        let usable = self.page_bytes;
        if total <= usable - 35 {
            return total;
        }
        let least = (usable - 12) * 32 / 255 - 23;
        let fitted = least + (total - least) % (usable - 4);
        if fitted <= usable - 35 { fitted } else { least }
    }
}

fn page_size(file: &[u8], log: &[u8]) -> usize {
    let of_file = file.get(16..18).map(|two| match usize::from(two[0]) << 8 | usize::from(two[1]) {
        1 => 65_536,
        size => size,
    });
    let of_log = log.get(8..12).map(big_endian);
    let is_size = |size: &usize| size.is_power_of_two() && (512..=65_536).contains(size);
    of_file.filter(is_size).or(of_log.filter(is_size)).unwrap_or(USUAL_PAGE_BYTES)
}

fn big_endian(bytes: &[u8]) -> usize {
    bytes.iter().fold(0, |sum, byte| sum << 8 | usize::from(*byte))
}

/// A number of one to nine bytes, and the place behind it.
fn varint(bytes: &[u8], at: usize) -> Option<(u64, usize)> {
    let mut value = 0_u64;
    for step in 0..9 {
        let byte = *bytes.get(at + step)?;
        if step == 8 {
            return Some((value << 8 | u64::from(byte), at + 9));
        }
        value = value << 7 | u64::from(byte & 0x7f);
        if byte & 0x80 == 0 {
            return Some((value, at + step + 1));
        }
    }
    None
}

/// A place where a record of ours begins.
struct RecordStart {
    row: u64,
    /// Where its header begins.
    at: usize,
    header_bytes: usize,
    sizes: Vec<usize>,
    is_event: bool,
}

impl RecordStart {
    /// The record of the cell that begins at a place, if the columns are those of an event or a document.
    fn read(page: &[u8], cell: usize) -> Option<Self> {
        let (_, after) = varint(page, cell)?;
        let (row, at) = varint(page, after)?;
        let header_bytes = usize::from(*page.get(at)?);
        // An event's first type is that of its place, a document's that of its name; most bytes are neither.
        let may_be_ours = match page.get(at + 1..at + 3)? {
            [0, _] => (8..=16).contains(&header_bytes),
            [0x81, 0x0d] => (4..=16).contains(&header_bytes),
            _ => false,
        };
        if !may_be_ours {
            return None;
        }
        let mut types = Vec::with_capacity(7);
        let mut next = at + 1;
        while next < at + header_bytes {
            let (kind, after) = varint(page, next)?;
            types.push(kind);
            next = after;
        }
        let is_text = |kind: &u64| *kind >= 13 && kind % 2 == 1;
        let is_event = match types[..] {
            [0, id, kind, stream, text, HASH_TYPE, HASH_TYPE] => [id, kind, stream, text].iter().all(is_text),
            [NAME_TYPE, media, bytes] if is_text(&media) && bytes >= 12 && bytes % 2 == 0 => false,
            _ => return None,
        };
        if !is_event && types.len() != 3 {
            return None;
        }
        let size = |kind: &u64| usize::try_from(kind.saturating_sub(12) / 2).ok();
        let sizes: Option<Vec<usize>> = types.iter().map(size).collect();
        let sizes = sizes.filter(|sizes| sizes.iter().all(|size| *size <= MAX_RECORD_BYTES))?;
        (next == at + header_bytes).then_some(Self { row, at, header_bytes, sizes, is_event })
    }

    fn take_row(&self, bytes: &[u8], rows: &mut CarvedRows) {
        let mut at = self.header_bytes;
        let columns: Vec<&[u8]> = self
            .sizes
            .iter()
            .map(|size| {
                at += size;
                &bytes[at - size..at]
            })
            .collect();
        let text = |column: &[u8]| String::from_utf8_lossy(column).into_owned();
        if self.is_event {
            let hash = |column: &[u8]| column.try_into().expect("32 bytes by its type");
            rows.events.push(EventRow {
                position: self.row,
                id: text(columns[1]),
                kind: text(columns[2]),
                stream: text(columns[3]),
                text: text(columns[4]),
                previous: hash(columns[5]),
                hash: hash(columns[6]),
            });
        } else {
            let document = ArchivedDocument { media: text(columns[1]), bytes: columns[2].to_vec() };
            rows.documents.push((text(columns[0]), document));
        }
    }
}
