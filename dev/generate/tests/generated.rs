//! Generated books and stores are read without an error, are as large as asked, and follow from their seed alone.

use generate::{GeneratedSize, generate_book, generate_store};

fn read_book(text: &str) -> model::Book {
    let reading = ::book::read_book(&[(String::from("book.toml"), text.as_bytes().to_vec())]);
    let report = faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain);
    reading.book.unwrap_or_else(|| panic!("{}", &report[..report.floor_char_boundary(3000)]))
}

#[test]
fn books_are_read_and_as_large_as_asked() {
    for (seed, parts, fasteners) in [(1, 10, 40), (2, 120, 500), (3, 400, 1500), (4, 800, 3000)] {
        let book = read_book(&generate_book(seed, GeneratedSize { parts, fasteners }));
        assert_eq!(book.parts.len(), parts);
        assert_eq!(book.fastener_count(), fasteners);
        assert_eq!(book.tasks.len(), parts / 8);
    }
}

#[test]
fn books_and_stores_of_any_size_are_read() {
    for seed in 0..40 {
        let (parts, fasteners) = (10 + 13 * seed as usize, 1 + 41 * seed as usize);
        let book = read_book(&generate_book(seed, GeneratedSize { parts, fasteners }));
        assert_eq!((book.parts.len(), book.fastener_count()), (parts, fasteners));
        let pieces = 20 + 12 * seed as usize;
        assert_eq!(read_store(generate_store(seed, pieces)).pieces.len(), pieces);
    }
    let beyond = read_book(&generate_book(1, GeneratedSize { parts: 0, fasteners: usize::MAX }));
    assert_eq!(
        (beyond.parts.len(), beyond.fastener_count()),
        (GeneratedSize::PARTS.0, GeneratedSize::MAX_FASTENERS)
    );
    assert_eq!(read_store(generate_store(1, 0)).pieces.len(), 20);
}

#[test]
fn books_hold_what_makes_them_hard() {
    for seed in 0..4 {
        let book = read_book(&generate_book(seed, GeneratedSize { parts: 300, fasteners: 1200 }));
        let accesses = || book.fixings.iter().flat_map(|f| &f.accesses);
        let by_way = |f: &&model::Fixing| f.accesses.iter().any(|a| a.way.is_some());
        let met = [
            ("two ways", book.fixings.iter().filter(by_way).count()),
            ("over an opening", accesses().filter(|a| !a.drop_over.is_empty()).count()),
            ("from the side", accesses().filter(|a| a.side.is_some()).count()),
            ("bent", accesses().filter(|a| !a.bends.is_empty()).count()),
            ("felt", accesses().filter(|a| a.sight == model::Sight::FeltOnly).count()),
            ("held", accesses().filter(|a| a.counter_hold.is_some()).count()),
            ("one-time", book.fixings.iter().filter(|f| f.one_time).count()),
            ("history", book.fixings.iter().filter(|f| !f.history.is_empty()).count()),
            ("not turned", book.fixings.iter().filter(|f| !f.drive.is_turned()).count()),
        ];
        for (what, count) in met {
            assert!(count >= 2, "seed {seed}: {count} fixings {what}");
        }
    }
}

#[test]
fn books_come_back_from_their_text() {
    for seed in 0..4 {
        let read = read_book(&generate_book(seed, GeneratedSize { parts: 80, fasteners: 300 }));
        assert_eq!(read_book(&::book::write_book(&read)), read);
    }
}

fn read_store(text: String) -> model::Store {
    let reading = tools::read_store(&[(String::from("store.toml"), text.into_bytes())]);
    let report = faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain);
    reading.store.unwrap_or_else(|| panic!("{}", &report[..report.floor_char_boundary(3000)]))
}

#[test]
fn stores_are_read_and_as_large_as_asked_and_come_back() {
    for (seed, pieces) in [(1, 20), (2, 60), (3, 150), (4, 300), (5, 400), (6, 500)] {
        let store = read_store(generate_store(seed, pieces));
        assert_eq!(store.pieces.len(), pieces);
        assert_eq!(read_store(tools::write_store(&store)), store);
    }
}

#[test]
fn the_seed_decides() {
    let size = GeneratedSize { parts: 60, fasteners: 200 };
    assert_eq!(generate_book(5, size), generate_book(5, size));
    assert_ne!(generate_book(5, size), generate_book(6, size));
    assert_eq!(generate_store(5, 300), generate_store(5, 300));
    assert_ne!(generate_store(5, 300), generate_store(6, 300));
}
