//! Texts that nobody means well with: random bytes, cut-off books, ten megabytes of brackets.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use faults::{
    FaultCollector, FaultLook, Faults, MAX_FAULTS_SHOWN, SourceSpan, SourceTexts, fault_records, parse_toml,
    render_fault_lines, render_faults,
};
use proptest::prelude::*;
use units::{Length, Torque};

#[path = "../../../tests/long.rs"]
mod long;

/// A sound book of the shape that `read` asks for.
const BOOK: &str = "title = \"Front cover\"\n\"öl\" = true\ncount = 0x10\n\n[size]\nlength = 12.5\nspan = \"1 1/4 in\"\n\n\
    [[step]]\nkind = \"bolt\"\ntorque = \"9 N·m\"\nnotes = [\"a\", \"b\"]\n\n[[step]]\nkind = \"nut\"\ntorque = \"80 lbf·in\"\n";

/// Ten megabytes.
const TEN_MB: usize = 10_000_000;
/// Far above what linear work takes (1 to 5 s where this was written, two others at work), far below what
/// squared work would take (hours).
const LINEAR_S: u64 = 90;

/// Reads every kind of value from a text and draws all that was found in every form.
fn read(bytes: &[u8]) -> (Faults, String) {
    let mut sources = SourceTexts::new();
    let (file, fault) = sources.add_bytes("sample.toml", bytes);
    let bag = FaultCollector::new();
    fault.into_iter().for_each(|f| bag.push(f));
    let document = parse_toml(&sources, file, &bag);
    let root = document.root_table();
    root.required_field("title").read_text();
    root.optional_field("öl").read_bool();
    root.optional_field("count").read_int(0..=99);
    if let Some(size) = root.optional_field("size").read_table() {
        size.required_field("length").read_quantity::<Length>();
        size.optional_field("span").read_quantity_in(Length::ZERO..=Length::from_mm(500.0));
        size.optional_field("ratio").read_number(0.0..=1.0);
        size.report_unknown_keys();
    }
    for step in root.optional_field("step").read_tables() {
        step.required_field("kind").read_choice(&[("bolt", 1), ("nut", 2)]);
        step.required_field("torque").read_quantity::<Torque>();
        step.optional_field("notes").read_texts();
        assert!(
            step.optional_field("at")
                .items_or_self()
                .into_iter()
                .filter_map(|f| f.read_number(-1.0..=1.0))
                .all(|n| n.value.abs() <= 1.0)
        );
        step.report_unknown_keys();
    }
    root.report_unknown_keys();
    let faults = bag.into_faults();
    let drawn = render_faults(&faults, &sources, FaultLook::Plain);
    assert_eq!(render_faults(&faults, &sources, FaultLook::Colour).is_empty(), faults.is_empty());
    assert_eq!(render_fault_lines(&faults, &sources).is_empty(), faults.is_empty());
    assert!(fault_records(&faults, &sources).len() <= MAX_FAULTS_SHOWN);
    (faults, drawn)
}

/// Fails if anything in the drawing could be taken for a command by a terminal.
fn assert_harmless(drawn: &str) {
    let bad = drawn.chars().find(|c| (c.is_control() && *c != '\n') || ('\u{202A}'..='\u{202E}').contains(c));
    assert_eq!(bad, None, "in {drawn}");
}

/// Reads ten megabytes of a repeated piece within the time.
fn ten_megabytes(piece: &str, head: &str) -> Faults {
    let mut text = String::from(head);
    while text.len() + piece.len() <= TEN_MB {
        text.push_str(piece);
    }
    let start = Instant::now();
    let (faults, drawn) = read(text.as_bytes());
    let taken = start.elapsed();
    assert!(taken < Duration::from_secs(LINEAR_S), "{piece:.20?} took {taken:?}");
    assert!(drawn.len() < 1_000_000, "{piece:.20?} drew {} bytes", drawn.len());
    assert_harmless(&drawn);
    faults
}

#[test]
fn a_sound_book_has_no_faults() {
    let (faults, drawn) = read(BOOK.as_bytes());
    assert!(faults.is_empty(), "{drawn}");
}

#[test]
fn every_cut_of_a_book_is_read_without_panic() {
    for end in 0..BOOK.len() {
        let (_, drawn) = read(&BOOK.as_bytes()[..end]);
        assert_harmless(&drawn);
    }
}

#[test]
fn a_book_cut_within_a_value_says_so() {
    let end = BOOK.find("cover").expect("in the book");
    assert_eq!(read(&BOOK.as_bytes()[..end]).0.codes(), ["T006"]);
}

#[test]
fn ten_megabytes_of_open_brackets() {
    assert_eq!(ten_megabytes("[", "").codes(), ["T006"]);
    assert_eq!(ten_megabytes("[", "a = ").codes(), ["T006"]);
    assert_eq!(ten_megabytes("{a=", "a = ").codes(), ["T006"]);
}

#[test]
fn ten_megabytes_of_broken_lines() {
    assert!(ten_megabytes("a b\n", "").has_errors());
    assert!(ten_megabytes("= 1\n", "").has_errors());
    assert!(ten_megabytes("\u{1b}\u{9b}", "").has_errors());
}

#[test]
fn ten_megabytes_in_one_line() {
    assert_eq!(ten_megabytes("9", "title = \"x\"\ncount = ").codes(), ["T004"]);
    assert_eq!(ten_megabytes("x", "title = \"x\"\n").codes(), ["T006"]);
    assert!(ten_megabytes("1,", "title = [").has_errors());
    assert!(ten_megabytes("a.", "").has_errors());
}

#[test]
fn ten_megabytes_of_tables_with_faults() {
    let faults = ten_megabytes("[[step]]\nknd = 1\n", "title = \"x\"\n");
    assert_eq!(faults.codes(), ["T001", "T002"]);
    assert!(faults.shown().1 > 1_000_000, "the rest is counted");
}

#[test]
fn ten_megabytes_of_unknown_keys() {
    let mut text = String::from("title = \"x\"\n");
    for nth in 0.. {
        if text.len() > TEN_MB {
            break;
        }
        let _ = writeln!(text, "tilte{nth} = {nth}");
    }
    let start = Instant::now();
    assert_eq!(read(text.as_bytes()).0.codes(), ["T001"]);
    assert!(start.elapsed() < Duration::from_secs(LINEAR_S));
}

#[test]
fn ten_megabytes_of_one_value_in_a_message() {
    let text =
        format!("title = \"x\"\n[[step]]\nkind = \"{}\"\ntorque = \"9 N·m\"\n", "ö".repeat(TEN_MB / 2));
    let (faults, drawn) = read(text.as_bytes());
    assert_eq!(faults.codes(), ["T005"]);
    assert!(drawn.len() < 2_000, "{}", drawn.len());
}

#[test]
fn dotted_keys_in_braces_in_brackets_do_not_use_up_the_stack() {
    // As deep as the parser lets anyone go: 79 dots in every key, 79 braces within each other.
    for part in ["a", "\"=\""] {
        deep(&vec![part; 79].join("."));
    }
}

/// Reads a text that nests a key of 79 dots 79 times, small and large, whole and broken.
fn deep(key: &str) {
    let open = format!("{{{key}=").repeat(79);
    let text = format!("title = \"x\"\n[{key}]\n{key} = {open}1{}\n", "}".repeat(79));
    let (faults, drawn) = read(text.as_bytes());
    assert_eq!(faults.codes(), ["T006"]);
    assert!(drawn.starts_with("error[T006]: tables and lists are nested deeper than 64\n"), "{drawn}");
    let large = format!("{text}# {}\n", "x".repeat(2_000_000));
    assert_eq!(read(large.as_bytes()).0.codes(), ["T006"]);
    let large_and_broken = format!("{large}title = 3\n= 3");
    assert_eq!(read(large_and_broken.as_bytes()).0.codes(), ["T006"]);
}

#[test]
fn places_outside_a_text_are_drawn_at_its_end() {
    let mut sources = SourceTexts::new();
    let file = sources.add_text("sample.toml", "ö");
    let stranger = SourceTexts::new().add_text("other.toml", "x");
    let mut faults = Faults::new();
    faults.push(
        faults::Fault::error("X001", "beyond")
            .at(SourceSpan::new(file, 900, 3), "x")
            .note(SourceSpan::new(stranger, 1, usize::MAX), "y"),
    );
    assert!(render_faults(&faults, &sources, FaultLook::Plain).contains("sample.toml:1:2"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(long::choose_count("texts", 256, 20_000)))]

    #[test]
    fn random_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let (_, drawn) = read(&bytes);
        assert_harmless(&drawn);
    }

    #[test]
    fn toml_like_noise_never_panics(text in "[\\[\\]{}=\"'.,#a-c0-9ö°\u{1b}\u{9b}\u{202e} \n\r\t-]{0,200}") {
        let (_, drawn) = read(text.as_bytes());
        assert_harmless(&drawn);
    }

    #[test]
    fn a_book_with_changed_bytes_never_panics(
        changes in proptest::collection::vec((0..BOOK.len(), any::<u8>()), 1..6)
    ) {
        let mut bytes = BOOK.as_bytes().to_vec();
        for (at, byte) in changes {
            bytes[at] = byte;
        }
        let (_, drawn) = read(&bytes);
        assert_harmless(&drawn);
    }

    #[test]
    fn lines_and_columns_lead_back_to_the_byte(text in "[aö·\n\r\t]{0,60}", at in 0usize..200) {
        let mut sources = SourceTexts::new();
        let file = sources.add_text("t", text.clone());
        let at = text.floor_char_boundary(at.min(text.len()));
        let place = sources.position(file, at);
        let line_start: usize = text.split_inclusive('\n').take(place.line - 1).map(str::len).sum();
        let bytes: usize = text[line_start..].chars().take(place.column - 1).map(char::len_utf8).sum();
        prop_assert_eq!(line_start + bytes, at);
    }
}
