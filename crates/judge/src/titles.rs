//! Titles: does everything go by the name that book and store give it, so that nobody fetches another piece?
//!
//! The words of a stack are read for what they name: each of its pieces by its kind or its title, with figures that the piece has, and none besides.

use crate::FoundViolations;
use crate::case::PlanCase;
use crate::texts::figures_in;
use model::{Drive, Piece};

/// J108: titles, currency, and the vehicle's letter. J109: words of stacks.
pub(crate) fn judge_titles(case: &PlanCase, found: &mut FoundViolations) {
    let (plan, book, store) = (case.plan, case.book, case.store);
    let heads = [
        ("title of the book", &plan.book_title, &book.title),
        ("title of the store", &plan.store_title, &store.title),
        ("currency", &plan.currency, &book.currency),
    ];
    for (what, said, right) in heads.into_iter().filter(|(_, said, right)| said != right) {
        found.add("J108", "plan", format!("{what}: `{right}`, the plan says `{said}`"));
    }
    let letter = &plan.asked.vehicle;
    if letter.is_empty() || letter.chars().any(|c| !c.is_alphanumeric()) {
        found.add("J108", "asked", format!("`{letter}` is no letter of a vehicle"));
    }
    for line in &plan.kit.pieces {
        let piece = store.piece_by_key(&line.piece).map(|id| store.piece(id));
        if let Some(piece) = piece.filter(|piece| piece.title != line.title) {
            let words = format!("is `{}`, the plan says `{}`", piece.title, line.title);
            found.add("J108", format!("kit line `{}`", line.piece), words);
        }
    }
    for line in &plan.stacks {
        if let Some(facts) = case.stacks.get(line.id.as_str()) {
            let pieces: Vec<&Piece> = facts.all_pieces().map(|id| store.piece(id)).collect();
            judge_stack_words(&pieces, &line.words, &format!("stack {}", line.id), found);
        }
    }
}

fn judge_stack_words(pieces: &[&Piece], words: &str, place: &str, found: &mut FoundViolations) {
    for piece in pieces.iter().filter(|piece| !is_named(piece, words)) {
        found.add("J109", place, format!("`{words}` does not name `{}`", piece.title));
    }
    if pieces.is_empty() && words != BARE_HAND_WORDS {
        found.add("J109", place, format!("`{words}` is not the bare hand"));
    }
    let known: Vec<f64> = pieces.iter().flat_map(|piece| figures_of_piece(piece)).collect();
    let is_known =
        |figure: &f64| known.iter().any(|one| (one - figure).abs() <= SHOWN_FRACTION * figure.abs());
    let is_angle = |figure: &f64| words.contains(&format!("{figure}°"));
    for figure in figures_in(words).iter().filter(|figure| !is_known(figure) && !is_angle(figure)) {
        found.add("J109", place, format!("`{words}` gives {figure}, a figure that none of its pieces has"));
    }
}

/// The stack of no piece, in words.
const BARE_HAND_WORDS: &str = "bare hand";

/// How far a figure in words may be from the piece's own: it is rounded.
const SHOWN_FRACTION: f64 = 0.001;

/// Whether words name a piece: by its title, its size or its kind.
fn is_named(piece: &Piece, words: &str) -> bool {
    let title = piece.title.replace(", ", " ");
    let by_size = piece.grip.as_ref().and_then(|grip| grip.fits.first()).filter(|fit| fit.low == fit.high);
    match by_size {
        Some(fit) => {
            let width = Drive::new(fit.form, fit.low).width_words();
            let by_inches = width.ends_with(" in") && words.contains(&width);
            let by_title = words.contains(&title) || words.contains(&piece.title);
            figures_in(words).contains(&fit.low) || by_inches || by_title
        }
        None => [piece.kind.spoken_word(), &title, &piece.title].iter().any(|name| words.contains(*name)),
    }
}

/// Every figure that words of a piece may give: sizes, length, squares, range, and those of its title.
fn figures_of_piece(piece: &Piece) -> Vec<f64> {
    let mut figures = figures_in(&piece.title);
    let fits = piece.grip.iter().flat_map(|grip| &grip.fits);
    figures.extend(fits.flat_map(|fit| [fit.low, fit.high]));
    let drives = piece.grip.iter().flat_map(|grip| &grip.fits).map(|fit| Drive::new(fit.form, fit.low));
    figures.extend(drives.flat_map(|drive| figures_in(&drive.to_string())));
    figures.push(piece.length_in_stack().as_mm());
    figures.extend(figures_in(&piece.length_in_stack().to_string()));
    let links = piece.toward_fastener.iter().chain(&piece.toward_hand);
    figures.extend(links.flat_map(|link| figures_in(&link.to_string())));
    if let Some(measure) = &piece.measure {
        let ends = [measure.range.low(), measure.range.high()];
        figures.extend(ends.iter().map(|end| end.as_n_m()));
        figures.extend(ends.iter().flat_map(|end| figures_in(&end.to_string())));
    }
    figures
}
