//! The books of `validation/worlds` are good, come back as they were written, and tell of a world.

use book::{ParsedBook, read_book, write_book};
use std::path::PathBuf;

/// Every book of the folder, read.
fn read_worlds() -> Vec<(String, ParsedBook)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../validation/worlds");
    let entries = std::fs::read_dir(&folder).expect("the folder is there");
    let paths = entries.map(|entry| entry.expect("an entry can be read").path());
    let books = paths.filter(|path| path.extension().is_some_and(|ending| ending == "toml"));
    let mut read: Vec<(String, ParsedBook)> = books
        .map(|path| {
            let name = path.file_name().expect("a file has a name").to_string_lossy().into_owned();
            let bytes = std::fs::read(&path).expect("a book can be read");
            (name.clone(), read_book(&[(name, bytes)]))
        })
        .collect();
    read.sort_by(|a, b| a.0.cmp(&b.0));
    read
}

/// Worlds that are warned of, with the codes: without its beam, nothing may take the mounting's place.
const WARNED: &[(&str, &[&str])] = &[("c1-no-beam.toml", &["B508"])];

#[test]
fn every_world_is_read_without_a_fault() {
    let worlds = read_worlds();
    assert!(worlds.len() >= 8, "{} worlds", worlds.len());
    for (name, reading) in worlds {
        let shown = faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain);
        let warned = WARNED.iter().find(|(of, _)| *of == name).map_or(&[][..], |(_, codes)| codes);
        assert_eq!(reading.faults.codes(), warned, "{name}:\n{shown}");
        let book = reading.book.expect("a book without errors");
        assert!(book.is_invented && book.has_world(), "{name}");
    }
}

#[test]
fn every_world_comes_back() {
    for (name, reading) in read_worlds() {
        let book = reading.book.expect("a good book");
        let text = write_book(&book);
        let again = read_book(&[(name.clone(), text.clone().into_bytes())]);
        assert_eq!(again.book, Some(book), "{name}: {:#?}\n{text}", again.faults);
    }
}
