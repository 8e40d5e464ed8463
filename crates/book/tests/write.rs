//! Writing and reading are each other's inverse.

use book::{SMALLEST, read, write};

fn book_of(text: &str) -> model::Book {
    let reading = read(&[("sample.toml".into(), text.into())]);
    reading.book.unwrap_or_else(|| panic!("{:#?}", reading.faults))
}

#[test]
fn the_smallest_book_comes_back() {
    let book = book_of(SMALLEST);
    assert_eq!(book.parts.len(), 1);
    assert_eq!(book.fastener_count(), 4);
    assert_eq!(book_of(&write(&book)), book);
}
