//! The written pages say what the code says: the page of rules and the schema are written from it.
//!
//! With `TRAYWRIGHT_WRITE_PAGES` set, the files are written anew instead of compared.

use std::path::PathBuf;

fn check(name: &str, expected: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs").join(name);
    if std::env::var_os("TRAYWRIGHT_WRITE_PAGES").is_some() {
        std::fs::write(&path, expected).expect("the page can be written");
    }
    let found = std::fs::read_to_string(&path).unwrap_or_default();
    let differs = found.lines().zip(expected.lines()).find(|(a, b)| a != b);
    assert!(
        found == expected,
        "docs/{name} is not what the code says, from {differs:?}; run this test with TRAYWRIGHT_WRITE_PAGES=1"
    );
}

#[test]
fn the_page_of_rules() {
    check("errors-book.md", &book::book_errors_page());
}

#[test]
fn the_key_tables() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs/book-format.md");
    let page = std::fs::read_to_string(path).expect("the page is there");
    let made = fields::replace_generated(&page, &book::book_key_tables()).expect("the page has both marks");
    check("book-format.md", &made);
}

/// The samples of the page use every key of every table once.
#[test]
fn the_format_page_shows_every_key() {
    let page = include_str!("../../../docs/book-format.md");
    let samples: String = page
        .split("```")
        .skip(1)
        .step_by(2)
        .filter_map(|block| block.strip_prefix("toml\n").or_else(|| block.strip_prefix("csv\n")))
        .collect();
    let words: Vec<&str> = samples.split(|c: char| !(c.is_alphanumeric() || c == '_')).collect();
    let tables = book::book_key_tables();
    let keys = tables.lines().filter_map(|line| line.strip_prefix("| `")?.split('`').next());
    let silent: Vec<&str> = keys.filter(|key| !words.contains(key)).collect();
    assert!(silent.is_empty(), "{silent:?}");
}

#[test]
fn the_schema() {
    check("book.schema.json", &book::book_json_schema());
}

#[test]
fn the_page_of_the_text_shows_each_of_its_codes_with_a_sample() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs/errors.md");
    let page = std::fs::read_to_string(path).expect("the page is there");
    for rule in faults::RULES {
        let heading = format!("## {}: {}", rule.code, rule.title);
        let section = page.split_once(heading.as_str()).map_or("", |(_, rest)| rest);
        let section = section.split("\n## ").next().unwrap_or_default();
        assert!(section.contains("```"), "`{heading}` with a sample is missing");
    }
    for link in ["(errors-book.md)", "(errors-store.md)"] {
        assert!(page.contains(link), "{link}");
    }
}
