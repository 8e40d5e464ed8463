//! The cart drawn as it is laid: what the job needs lies on top, a row or more for each place of work, in the order of use.

use std::collections::BTreeMap;

use print::drawing::Drawing;
use print::view::{CompartmentView, TrayView};

use super::{PaperJob, words};

/// Columns of the drawing: the place of work, then its pieces.
const COLUMNS: u16 = 5;

/// A piece as it lies: its key, and the first and last step that use it.
type LaidPiece<'a> = (&'a str, (u32, u32));

/// The top of the cart, what is used first nearest to the hand; `None` where the job needs no piece.
///
/// Each piece has the steps from its first use to its last, after which it goes back, and where to.
pub(super) fn draw_cart_top(job: &PaperJob<'_>) -> Option<Drawing> {
    let laid = pieces_by_station(job);
    let mut compartments = Vec::new();
    let mut row = 0;
    for (station, pieces) in &laid {
        compartments.push(CompartmentView {
            row,
            column: 0,
            code: String::new(),
            lines: vec![station.clone()],
        });
        for (at, piece) in pieces.iter().enumerate() {
            let column = at as u16 % (COLUMNS - 1);
            row += u16::from(at > 0 && column == 0);
            compartments.push(piece_compartment(job, *piece, (row, column + 1)));
        }
        row += 1;
    }
    (row > 0).then(|| {
        print::draw_tray(&TrayView {
            id: format!("cart-{}", job.plan.book),
            title: String::from("The top of the cart: first step to last, and where it goes back"),
            rows: row,
            columns: COLUMNS,
            compartments,
            foot: Vec::new(),
        })
    })
}

/// The pieces under the place of work at which each is used first, both in the order of use; what no step uses comes last.
fn pieces_by_station<'a>(job: &PaperJob<'a>) -> Vec<(String, Vec<LaidPiece<'a>>)> {
    let spans = words::piece_spans(job.plan);
    let station_of: BTreeMap<u32, &str> =
        record::steps_of(job.plan).map(|step| (step.number, step.station.as_str())).collect();
    let mut used: Vec<LaidPiece<'a>> = spans.into_iter().collect();
    used.sort_by_key(|(key, (first, _))| (*first, *key));
    let mut laid: Vec<(&str, Vec<LaidPiece<'a>>)> = Vec::new();
    for piece in used {
        let station = station_of.get(&piece.1.0).copied().unwrap_or_default();
        match laid.iter_mut().find(|(known, _)| *known == station) {
            Some((_, pieces)) => pieces.push(piece),
            None => laid.push((station, vec![piece])),
        }
    }
    let title = |key: &str| {
        job.book.stations.iter().find(|s| s.key == key).map_or_else(|| key.to_owned(), |s| s.title.clone())
    };
    let mut named: Vec<_> = laid.into_iter().map(|(key, pieces)| (title(key), pieces)).collect();
    let spare: Vec<LaidPiece<'a>> = job
        .plan
        .kit
        .pieces
        .iter()
        .filter(|line| line.duties == 0)
        .map(|line| (line.piece.as_str(), (0, 0)))
        .collect();
    if !spare.is_empty() {
        named.push((String::from("in case another does not fit"), spare));
    }
    named
}

fn piece_compartment(
    job: &PaperJob<'_>,
    (key, (first, last)): LaidPiece<'_>,
    (row, column): (u16, u16),
) -> CompartmentView {
    let code = match (first, last) {
        (0, _) => String::new(),
        (first, last) if first == last => first.to_string(),
        (first, last) => format!("{first}–{last}"),
    };
    let line = job.plan.kit.pieces.iter().find(|line| line.piece == key);
    let lines = line.map_or_else(
        || vec![key.to_owned()],
        |line| {
            let count = if line.count > 1 { format!("{} × ", line.count) } else { String::new() };
            vec![format!("{count}{}", line.title), line.place.to_string()]
        },
    );
    CompartmentView { row, column, code, lines }
}
