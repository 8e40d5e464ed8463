//! The head of a book: which file has it, the format, the names, the currency.

use crate::rules::names as rule;
use crate::syntax::FORMAT;
use crate::table_reader::{ReaderDesk, TableReader};
use faults::Spanned;
use model::Book;

const KEYS: [&str; 5] = ["format", "key", "title", "origin", "currency"];

/// An empty book with the head of the one file that has it.
pub(super) fn read_book_head(roots: &[TableReader<'_>]) -> Book {
    let mut book = empty_book();
    let mut heads = roots.iter().filter(|root| KEYS.iter().any(|key| root.has(key)));
    if let Some(root) = heads.next().or(roots.first()) {
        fill_book_head(&mut book, root);
    }
    for root in heads {
        let key = KEYS.into_iter().find(|key| root.has(key)).unwrap_or("format");
        if let Some(span) = KEYS.into_iter().map(|k| root.optional_field(k)).find_map(|field| field.span()) {
            root.desk.bag.push(rule::b102_second_head(key, span));
        }
    }
    book
}

fn empty_book() -> Book {
    let text = String::new;
    let (stations, conditions, openings) = (Vec::new(), Vec::new(), Vec::new());
    let (parts, fixings, tasks, special_tools) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let (key, title, origin, currency) = (text(), text(), text(), text());
    Book {
        key,
        title,
        origin,
        currency,
        stations,
        conditions,
        openings,
        parts,
        fixings,
        tasks,
        special_tools,
    }
}

fn fill_book_head(book: &mut Book, root: &TableReader<'_>) {
    if let Some(format) = root.required_field("format").read_text()
        && format.value != FORMAT
    {
        root.desk.bag.push(rule::b101_other_format(&format));
    }
    if let Some(key) = root.required_field("key").read_text() {
        if !rule::is_well_formed(&key.value) {
            root.desk.bag.push(rule::b104_form_of_key(&key));
        }
        book.key = key.value;
    }
    book.title = root.required_text("title");
    book.origin = root.required_text("origin");
    if let Some(currency) = root.required_field("currency").read_text() {
        if !is_currency_code(&currency) {
            root.desk.bag.push(rule::b111_currency(&currency));
        }
        book.currency = currency.value;
    }
}

/// Three capital letters, as ISO 4217 writes currencies.
fn is_currency_code(text: &Spanned<String>) -> bool {
    text.value.len() == 3 && text.value.chars().all(|c| c.is_ascii_uppercase())
}

/// Looks at the currencies behind prices, once the book's is known.
pub(super) fn check_price_currencies(currency: &str, desk: &ReaderDesk<'_>) {
    let others = desk.currencies.take();
    for other in others.iter().filter(|other| other.value != currency && !currency.is_empty()) {
        desk.bag.push(rule::b113_other_currency(other, currency));
    }
}
