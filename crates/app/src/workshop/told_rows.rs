//! Words about parts and fixings as rows that a person pasted from a spreadsheet: which of them say something new.
//!
//! The first row names the columns, as `traywright book rows` writes them: `part`, `fixing`, and what is told of them. A row is
//! found by the fixing's title, or by the part's where it has one fixing only; nothing is guessed.

use book::{takes_fixing_word, takes_part_word};
use model::Book;
use record::{ToldSubject, ToldWhat, VisitBody};

/// Rows of one paste, at most.
pub const MAX_PASTED_ROWS: usize = 500;

/// What a paste came to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PastedRows {
    /// What is to be written.
    pub bodies: Vec<VisitBody>,
    /// Rows and cells that say nothing that can be taken, each with its place and why.
    pub left_out: Vec<String>,
}

/// Columns that are words about a fixing.
const FIXING_COLUMNS: [(&str, ToldWhat); 3] =
    [("drive", ToldWhat::Drive), ("room", ToldWhat::Room), ("thread", ToldWhat::Thread)];

/// Reads pasted rows against a book; `name` is who read the figures among them.
#[must_use]
pub fn read_pasted_rows(book: &Book, pasted: &str, name: &str) -> PastedRows {
    let mut out = PastedRows::default();
    let mut rows = pasted.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let Some((_, head)) = rows.next() else { return out };
    let parting = if head.contains('\t') {
        '\t'
    } else if head.contains(';') {
        ';'
    } else {
        ','
    };
    let cells = |line: &str| -> Vec<String> {
        line.split(parting).map(|cell| cell.trim().trim_matches('"').to_owned()).collect()
    };
    let columns: Vec<String> = cells(head).iter().map(|cell| cell.to_lowercase()).collect();
    if !columns.iter().any(|column| column == "part" || column == "fixing") {
        let words = "row 1 names no column `part` or `fixing`; its cells are the names of the columns";
        out.left_out.push(words.to_owned());
        return out;
    }
    for (at, line) in rows.take(MAX_PASTED_ROWS) {
        let row = cells(line);
        let cell = |column: &str| {
            let at = columns.iter().position(|known| known == column)?;
            row.get(at).map(String::as_str).filter(|cell| !cell.is_empty())
        };
        read_row(book, (at + 1, name), &cell, &mut out);
    }
    out
}

/// One row.
fn read_row<'c>(
    book: &Book,
    (number, name): (usize, &str),
    cell: &dyn Fn(&str) -> Option<&'c str>,
    out: &mut PastedRows,
) {
    let part = cell("part").and_then(|title| book.parts.iter().find(|part| part.title == title));
    let fixing = match cell("fixing") {
        Some(title) => book.fixings.iter().find(|fixing| fixing.title == title),
        None => part.and_then(|part| {
            let mut own = book.fixings.iter().filter(|fixing| book.part(fixing.part).key == part.key);
            own.next().filter(|_| own.next().is_none())
        }),
    };
    if part.is_none() && fixing.is_none() {
        let title = cell("fixing").or_else(|| cell("part")).unwrap_or("no name");
        out.left_out.push(format!("row {number}: nothing here is called “{title}”"));
        return;
    }
    if let (Some(part), Some(word)) = (part, cell("part_kind")) {
        if takes_part_word("kind", word) {
            let of = ToldSubject::Part(part.key.clone());
            let is_new = part.kind.is_none_or(|kind| kind.file_word() != word);
            out.bodies.extend(is_new.then(|| told(of, ToldWhat::Kind, word)));
        } else {
            out.left_out.push(format!("row {number}: “{word}” is no kind of part"));
        }
    }
    let Some(fixing) = fixing else { return };
    let of = ToldSubject::Fixing(fixing.key.clone());
    for (column, what) in FIXING_COLUMNS {
        match cell(column) {
            Some(word) if column == "drive" && fixing.drive.to_string() == word => {}
            Some(word) if takes_fixing_word(column, word) => out.bodies.push(told(of.clone(), what, word)),
            Some(word) => out.left_out.push(format!("row {number}: “{word}” is no {column} that books know")),
            None => {}
        }
    }
    match (cell("tighten"), cell("source")) {
        (Some(_), _) if !fixing.is_figure_missing() => {
            out.left_out
                .push(format!("row {number}: {} has its figure already; yours is not taken", fixing.title));
        }
        (Some(figure), Some(source)) => out.bodies.push(VisitBody::FigureGiven {
            fixing: fixing.key.clone(),
            figure: figure.to_owned(),
            source: source.to_owned(),
            name: name.to_owned(),
        }),
        (Some(_), None) => {
            out.left_out.push(format!("row {number}: a figure without its source is not taken"))
        }
        (None, _) => {}
    }
}

fn told(of: ToldSubject, what: ToldWhat, value: &str) -> VisitBody {
    VisitBody::Told { of, what, value: value.to_owned(), source: String::from("from a table") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn small() -> Book {
        let text = "format = \"traywright-book/2\"\ntitle = \"x\"\n[[part]]\nkey = \"a\"\ntitle = \"cover\"\n[[part.fixing]]\nkey = \"f\"\ntitle = \"cover bolts\"\ncount = 4\n";
        book::read_book(&[("x.toml".into(), text.as_bytes().to_vec())]).book.expect("a good book")
    }

    #[test]
    fn rows_are_found_by_their_names_and_what_cannot_be_taken_is_told_with_its_row() {
        let pasted = "part\tfixing\tdrive\troom\ttighten\tsource\ncover\tcover bolts\thexagon 10 mm\topen\t9 N·m\tsheet 7 p. 2\nlid\t\tT30\n\ncover\t\tT3o\n";
        let read = read_pasted_rows(&small(), pasted, "N. N.");
        assert_eq!(read.bodies.len(), 3, "{:?}", read.bodies);
        assert_eq!(
            read.left_out,
            ["row 3: nothing here is called “lid”", "row 5: “T3o” is no drive that books know"]
        );
    }

    #[test]
    fn a_figure_without_its_source_and_a_paste_without_names_of_columns_say_nothing() {
        let read = read_pasted_rows(&small(), "fixing,tighten\ncover bolts,9 N·m", "N. N.");
        assert!(read.bodies.is_empty());
        assert_eq!(read.left_out.len(), 1);
        assert_eq!(read_pasted_rows(&small(), "10 mm\nopen", "").left_out.len(), 1);
        assert_eq!(read_pasted_rows(&small(), "\n \n", ""), PastedRows::default());
    }
}
