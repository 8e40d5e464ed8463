//! A store as text: the pieces, listed by where each is kept.

use super::table::{PageWidth, TextAlign, TextTable, bullet, count_with_noun};
use model::{DimensionsSource, Piece, Store};
use units::significant;

/// All pieces of a store.
#[must_use]
pub fn format_store(store: &Store, width: PageWidth) -> String {
    let total: usize = store.pieces.iter().map(|p| usize::from(p.count)).sum();
    let heading = format!(
        "{}: {} of piece, {}, {}",
        store.title,
        count_with_noun(store.pieces.len(), "kind"),
        count_with_noun(total, "piece"),
        count_with_noun(store.trays.len(), "tray")
    );
    let mut out = bullet(width, "", &heading);
    out.push_str(&bullet(
        width,
        "",
        "lengths and diameters in mm; * by standard: measure where space is tight",
    ));
    let mut pieces: Vec<&Piece> = store.pieces.iter().collect();
    pieces.sort_by(|a, b| (&a.place, &a.key).cmp(&(&b.place, &b.key)));
    let mut last = None;
    let mut table = new_piece_table();
    for piece in pieces {
        if last != Some(&piece.place) {
            flush_table(&mut out, &mut table, width);
            out.push_str(&format!("\n{}\n", piece.place));
            last = Some(&piece.place);
        }
        table.add_row(&piece_row(piece));
    }
    flush_table(&mut out, &mut table, width);
    out
}

fn new_piece_table() -> TextTable {
    TextTable::new(&[
        ("piece", TextAlign::Whole),
        ("title", TextAlign::Left),
        ("long", TextAlign::Right),
        ("diam", TextAlign::Right),
        ("have", TextAlign::Right),
    ])
}

fn flush_table(out: &mut String, table: &mut TextTable, width: PageWidth) {
    if !table.is_empty() {
        out.push_str(&table.to_text(width));
    }
    *table = new_piece_table();
}

fn piece_row(piece: &Piece) -> [String; 5] {
    let star = if matches!(piece.dimensions, DimensionsSource::Standard(_)) { "*" } else { "" };
    let have = if piece.at_hand() == piece.count {
        piece.count.to_string()
    } else {
        format!("{} of {}", piece.at_hand(), piece.count)
    };
    [
        piece.key.clone(),
        piece.title.clone(),
        significant(piece.length_in_stack().as_mm(), 3),
        format!("{}{star}", significant(piece.largest_diameter().as_mm(), 3)),
        have,
    ]
}
