//! The head of a book: which file has it, the format, the names, the currency.

use crate::row::{Desk, Row};
use crate::rules::names as rule;
use crate::syntax::FORMAT;
use faults::Spanned;
use model::Book;

const KEYS: [&str; 5] = ["format", "key", "title", "origin", "currency"];

/// An empty book with the head of the one file that has it.
pub(super) fn read(roots: &[Row<'_>]) -> Book {
    let mut book = empty();
    let mut heads = roots.iter().filter(|root| KEYS.iter().any(|key| root.has(key)));
    if let Some(root) = heads.next().or(roots.first()) {
        fill(&mut book, root);
    }
    for root in heads {
        let key = KEYS.into_iter().find(|key| root.has(key)).unwrap_or("format");
        if let Some(span) = KEYS.into_iter().map(|k| root.maybe(k)).find_map(|field| field.span()) {
            root.desk.bag.push(rule::b102_second_head(key, span));
        }
    }
    book
}

fn empty() -> Book {
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

fn fill(book: &mut Book, root: &Row<'_>) {
    if let Some(format) = root.need("format").str()
        && format.value != FORMAT
    {
        root.desk.bag.push(rule::b101_other_format(&format));
    }
    if let Some(key) = root.need("key").str() {
        if !rule::is_well_formed(&key.value) {
            root.desk.bag.push(rule::b104_form_of_key(&key));
        }
        book.key = key.value;
    }
    book.title = root.text("title");
    book.origin = root.text("origin");
    if let Some(currency) = root.need("currency").str() {
        if !is_currency(&currency) {
            root.desk.bag.push(rule::b111_currency(&currency));
        }
        book.currency = currency.value;
    }
}

/// Three capital letters, as ISO 4217 writes currencies.
fn is_currency(text: &Spanned<String>) -> bool {
    text.value.len() == 3 && text.value.chars().all(|c| c.is_ascii_uppercase())
}

/// Looks at the currencies behind prices, once the book's is known.
pub(super) fn currencies(currency: &str, desk: &Desk<'_>) {
    let others = desk.currencies.take();
    for other in others.iter().filter(|other| other.value != currency && !currency.is_empty()) {
        desk.bag.push(rule::b113_other_currency(other, currency));
    }
}
