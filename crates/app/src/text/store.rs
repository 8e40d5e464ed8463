//! A store as text: what the sets stand for, by where it is kept.

use super::table::{Align, Table};
use model::{Dimensions, Piece, Store};
use units::significant;

/// All pieces of a store.
#[must_use]
pub fn store(store: &Store) -> String {
    let total: u32 = store.pieces.iter().map(|p| u32::from(p.count)).sum();
    let mut out = format!(
        "{}: {} kinds of piece, {total} pieces, {} trays\n",
        store.title,
        store.pieces.len(),
        store.trays.len()
    );
    out.push_str("lengths and diameters in mm; * from standard dimensions: measure where tight\n");
    let mut pieces: Vec<&Piece> = store.pieces.iter().collect();
    pieces.sort_by(|a, b| (&a.place, &a.key).cmp(&(&b.place, &b.key)));
    let mut last = None;
    let mut table = new_table();
    for piece in pieces {
        if last != Some(&piece.place) {
            flush(&mut out, &mut table);
            out.push_str(&format!("\n{}\n", piece.place));
            last = Some(&piece.place);
        }
        table.row(&row(piece));
    }
    flush(&mut out, &mut table);
    out
}

fn new_table() -> Table {
    Table::new(&[
        ("piece", Align::Left),
        ("title", Align::Left),
        ("long", Align::Right),
        ("diam", Align::Right),
        ("have", Align::Right),
    ])
}

fn flush(out: &mut String, table: &mut Table) {
    if !table.is_empty() {
        out.push_str(&table.show());
    }
    *table = new_table();
}

fn row(piece: &Piece) -> [String; 5] {
    let star = if matches!(piece.dimensions, Dimensions::Standard(_)) { "*" } else { "" };
    let have = if piece.at_hand() == piece.count {
        piece.count.to_string()
    } else {
        format!("{} of {}", piece.at_hand(), piece.count)
    };
    [
        piece.key.clone(),
        piece.title.clone(),
        significant(piece.length().as_mm(), 3),
        format!("{}{star}", significant(piece.diameter().as_mm(), 3)),
        have,
    ]
}
