//! Generated books and stores are read without an error, are as large as asked, and follow from their seed alone.

use generate::{Size, book, store};

fn read_book(text: &str) -> model::Book {
    let reading = ::book::read(&[(String::from("book.toml"), text.as_bytes().to_vec())]);
    let report = faults::render(&reading.faults, &reading.sources, faults::Look::Plain);
    reading.book.unwrap_or_else(|| panic!("{}", &report[..report.len().min(3000)]))
}

#[test]
fn books_are_read_and_as_large_as_asked() {
    for (seed, parts, fasteners) in [(1, 10, 40), (2, 120, 500), (3, 400, 1500), (4, 800, 3000)] {
        let book = read_book(&book(seed, Size { parts, fasteners }));
        assert_eq!(book.parts.len(), parts);
        assert!(book.fastener_count() >= fasteners, "{} of {fasteners}", book.fastener_count());
        assert_eq!(book.tasks.len(), parts / 8);
    }
}

#[test]
fn stores_are_read_and_as_large_as_asked() {
    for pieces in [200, 400] {
        let text = store(9, pieces);
        let reading = toolstore::read(&[(String::from("store.toml"), text.into_bytes())]);
        let report = faults::render(&reading.faults, &reading.sources, faults::Look::Plain);
        let store = reading.store.unwrap_or_else(|| panic!("{report}"));
        assert!(store.pieces.len() >= pieces * 9 / 10, "{} of {pieces}", store.pieces.len());
    }
}

#[test]
fn the_seed_decides() {
    let size = Size { parts: 60, fasteners: 200 };
    assert_eq!(book(5, size), book(5, size));
    assert_ne!(book(5, size), book(6, size));
    assert_eq!(store(5, 300), store(5, 300));
}
