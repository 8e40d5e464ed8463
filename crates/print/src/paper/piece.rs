//! Pieces of a flowing sheet: each as high as its ink, stacked, with page breaks only between them.

use crate::paper::ink::{InkItem, InkSegment, PageInks, moved_item, outline_extent};

/// A heading row with its height, mm.
pub type HeadingRow = (PageInks, f64);

/// Something that stays on one page.
#[derive(Debug, Clone, Default)]
pub struct PaperPiece {
    /// Its ink, from its own top left corner.
    pub inks: PageInks,
    /// How high it is.
    pub height_mm: f64,
    /// Free space above it, unless it is at the top of a page.
    pub gap_mm: f64,
    /// Stays with what follows.
    pub keep: bool,
    /// Starts a new page.
    pub new_page: bool,
    /// Is repeated above this one at the top of each further page: the heading row of its table.
    pub header: Option<HeadingRow>,
}

/// Lays pieces over pages of a height; the first page may be lower than the others.
#[must_use]
pub fn paginate_pieces(pieces: Vec<PaperPiece>, first_mm: f64, further_mm: f64) -> Vec<PageInks> {
    paginate_columns(pieces, 1, first_mm, further_mm)
}

/// Lays pieces over columns, so many to a page; those of the first page may be lower than the others.
#[must_use]
pub fn paginate_columns(
    pieces: Vec<PaperPiece>,
    on_page: usize,
    first_mm: f64,
    further_mm: f64,
) -> Vec<PageInks> {
    let pieces: Vec<PaperPiece> =
        pieces.into_iter().flat_map(|p| part_piece(p, first_mm.min(further_mm))).collect();
    let mut pages = vec![PageInks::default()];
    let mut y_mm = 0.0_f64;
    for (i, piece) in pieces.iter().enumerate() {
        let room_mm = if pages.len() <= on_page { first_mm } else { further_mm };
        let is_fresh = y_mm == 0.0;
        let need_mm = kept_height_mm(&pieces[i..], room_mm.min(further_mm));
        if !is_fresh && (piece.new_page || y_mm + piece.gap_mm + need_mm > room_mm) {
            pages.push(PageInks::default());
            y_mm = 0.0;
            if let (Some((inks, height_mm)), Some(page)) = (&piece.header, pages.last_mut()) {
                page.take_inks(inks.clone(), (0.0, 0.0));
                y_mm = *height_mm;
            }
        }
        if y_mm > 0.0 {
            y_mm += piece.gap_mm;
        }
        if let Some(page) = pages.last_mut() {
            page.take_inks(piece.inks.clone(), (0.0, y_mm));
        }
        y_mm += piece.height_mm;
    }
    pages
}

/// Height of a piece with those that it is kept with; of itself alone where together they are higher than a page.
fn kept_height_mm(pieces: &[PaperPiece], page_mm: f64) -> f64 {
    let mut height_mm = 0.0;
    for (i, piece) in pieces.iter().enumerate() {
        height_mm += piece.height_mm + if i > 0 { piece.gap_mm } else { 0.0 };
        if !piece.keep || height_mm > page_mm {
            break;
        }
    }
    if height_mm > page_mm { pieces.first().map_or(0.0, |p| p.height_mm) } else { height_mm }
}

/// Joins pieces into one, if it is no higher than a page.
#[must_use]
pub fn join_pieces(pieces: Vec<PaperPiece>, page_mm: f64) -> Vec<PaperPiece> {
    let height_mm = stacked_height_mm(&pieces);
    if height_mm > page_mm || pieces.is_empty() || pieces.iter().skip(1).any(|p| p.new_page) {
        return pieces;
    }
    let (gap_mm, new_page) = (pieces[0].gap_mm, pieces[0].new_page);
    let keep = pieces.last().is_some_and(|p| p.keep);
    let mut inks = PageInks::default();
    let mut y_mm = 0.0;
    for (i, piece) in pieces.into_iter().enumerate() {
        y_mm += if i > 0 { piece.gap_mm } else { 0.0 };
        inks.take_inks(piece.inks, (0.0, y_mm));
        y_mm += piece.height_mm;
    }
    vec![PaperPiece { inks, height_mm, gap_mm, keep, new_page, header: None }]
}

/// Height of pieces below each other.
#[must_use]
pub fn stacked_height_mm(pieces: &[PaperPiece]) -> f64 {
    pieces.iter().enumerate().map(|(i, p)| p.height_mm + if i > 0 { p.gap_mm } else { 0.0 }).sum()
}

/// Splits a piece that is higher than a page: each line of text goes whole to one of the parts, frames are cut.
fn part_piece(piece: PaperPiece, page_mm: f64) -> Vec<PaperPiece> {
    // Room for the heading row that is repeated above each part, and for a line that begins in the part before.
    let header_mm = piece.header.as_ref().map_or(0.0, |(_, height_mm)| *height_mm);
    let room_mm = (page_mm - header_mm).max(20.0);
    if piece.height_mm <= room_mm {
        return vec![piece];
    }
    let lead_mm = 8.0;
    let step_mm = room_mm - 2.0 * lead_mm;
    let count = (piece.height_mm / step_mm).ceil().max(1.0) as usize;
    let mut parts: Vec<PaperPiece> = (0..count)
        .map(|i| PaperPiece {
            height_mm: room_mm.min(piece.height_mm - step_mm * i as f64 + lead_mm),
            gap_mm: if i == 0 { piece.gap_mm } else { 0.0 },
            new_page: piece.new_page && i == 0,
            header: piece.header.clone(),
            ..PaperPiece::default()
        })
        .collect();
    for op in piece.inks.0 {
        let Some((top_mm, bottom_mm)) = vertical_extent(&op) else { continue };
        let first = (bottom_mm / step_mm).floor().clamp(0.0, (count - 1) as f64) as usize;
        let from = if is_frame(&op) { (top_mm / step_mm).floor().max(0.0) as usize } else { first };
        for (i, part) in parts.iter_mut().enumerate().take(first + 1).skip(from) {
            let shift_mm = lead_mm - step_mm * i as f64;
            part.inks.0.extend(cut_frame(moved_item(op.clone(), (0.0, shift_mm)), 0.0, room_mm));
        }
    }
    parts
}

/// Whether something may be cut between parts.
fn is_frame(op: &InkItem) -> bool {
    matches!(op, InkItem::Path { segs, .. } if segs.iter().all(|s| !matches!(s, InkSegment::Curve(_))))
}

/// Top and bottom of something; the ends of clipping have none and are not kept in parts.
fn vertical_extent(op: &InkItem) -> Option<(f64, f64)> {
    match op {
        InkItem::Text { at_mm, size_mm, .. } => Some((at_mm.1 - size_mm, at_mm.1 + 0.3 * size_mm)),
        InkItem::Path { segs, .. } | InkItem::Hatch { segs, .. } => {
            outline_extent(segs).map(|(_, t, _, b)| (t, b))
        }
        InkItem::Photo { at_mm, size_mm, .. } => Some((at_mm.1, at_mm.1 + size_mm.1)),
        InkItem::Within(..) | InkItem::Free | InkItem::Role(_) | InkItem::RoleEnd => None,
    }
}

/// A frame or line held between two heights.
fn cut_frame(op: InkItem, top_mm: f64, bottom_mm: f64) -> Option<InkItem> {
    if !is_frame(&op) {
        return Some(op);
    }
    let InkItem::Path { segs, fill, nib } = op else { return Some(op) };
    let held = |y: f64| y.clamp(top_mm, bottom_mm);
    let segs = segs.into_iter().map(|seg| match seg {
        InkSegment::Move(x, y) => InkSegment::Move(x, held(y)),
        InkSegment::Line(x, y) => InkSegment::Line(x, held(y)),
        other => other,
    });
    Some(InkItem::Path { segs: segs.collect(), fill, nib })
}
