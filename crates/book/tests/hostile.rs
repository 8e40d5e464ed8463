//! Hostile text never panics or hangs: random bytes, cut and changed books, huge figures, long chains, large files.

use book::{SMALLEST, read_book};
use proptest::prelude::*;
use std::time::{Duration, Instant};

#[path = "../../../tests/long.rs"]
mod long;

fn read_text(text: impl Into<Vec<u8>>) -> book::ParsedBook {
    read_book(&[("hostile.toml".into(), text.into())])
}

/// Shows the faults as a front end would: drawing them must not panic either.
fn show(reading: &book::ParsedBook) -> String {
    faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(long::choose_count("texts", 256, 20_000)))]

    #[test]
    fn random_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        let reading = read_text(bytes);
        prop_assert!(reading.book.is_none());
        prop_assert!(!show(&reading).is_empty());
    }

    #[test]
    fn a_cut_book(at in 0..SMALLEST.len()) {
        let reading = read_text(&SMALLEST.as_bytes()[..at]);
        prop_assert!(reading.book.is_none() || !reading.faults.has_errors());
        show(&reading);
    }

    #[test]
    fn a_book_with_bytes_changed(changes in proptest::collection::vec((0..SMALLEST.len(), any::<u8>()), 1..6)) {
        let mut bytes = SMALLEST.as_bytes().to_vec();
        changes.into_iter().for_each(|(at, byte)| bytes[at] = byte);
        let reading = read_text(bytes);
        prop_assert_eq!(reading.book.is_some(), !reading.faults.has_errors());
        show(&reading);
    }

    #[test]
    fn a_book_with_other_figures(pick in any::<prop::sample::Index>(), figure in FIGURES) {
        let figures: Vec<(usize, &str)> = SMALLEST.match_indices(|c: char| c.is_ascii_digit()).collect();
        let (at, _) = figures[pick.index(figures.len())];
        let text = format!("{}{figure}{}", &SMALLEST[..at], &SMALLEST[at + 1..]);
        show(&read_text(text));
    }

    #[test]
    fn a_book_with_a_line_moved(from in any::<prop::sample::Index>(), to in any::<prop::sample::Index>()) {
        let mut lines: Vec<&str> = SMALLEST.lines().collect();
        let line = lines.remove(from.index(lines.len()));
        let place = to.index(lines.len());
        lines.insert(place, line);
        show(&read_text(lines.join("\n")));
    }
}

const FIGURES: &str =
    "(-1|0|1e308|-1e308|1e400|nan|inf|99999999999999999999|0x7fffffffffffffff|9{400}|1_000)";

fn quickly(what: &str, text: String) -> book::ParsedBook {
    let bytes = text.len();
    let start = Instant::now();
    let reading = read_text(text);
    show(&reading);
    let took = start.elapsed();
    // A hang is meant, not a slow machine: a minute is ten times what the slowest case takes unoptimised.
    assert!(took < Duration::from_secs(60), "{what}: {took:?} for {bytes} bytes");
    reading
}

const HEAD: &str = "format = \"traywright-book/2\"\nkey = \"chain\"\ntitle = \"Chain\"\norigin = \"invented\"\n\
                    currency = \"EUR\"\n[[station]]\nkey = \"front\"\ntitle = \"front\"\nenter = \"1 s\"\n\
                    [[task]]\nkey = \"look\"\ntitle = \"look\"\nkind = \"inspect\"\nwork = \"1 s\"\n\
                    station = \"front\"\noff_first = [\"p0\"]\n";

/// Parts of which each needs the next one off; the last one needs what `closing` says.
fn chain(count: usize, closing: &str) -> String {
    let part = |i: usize| {
        let next = if i + 1 < count { format!("off_first = [\"p{}\"]", i + 1) } else { closing.to_owned() };
        format!(
            "[[part]]\nkey = \"p{i}\"\ntitle = \"p\"\nmass = \"1 kg\"\nstation = \"front\"\nlift_time = \"1 s\"\n\
             place_time = \"1 s\"\n{next}\n"
        )
    };
    HEAD.to_owned() + &(0..count).map(part).collect::<String>()
}

#[test]
fn a_chain_of_ten_thousand_parts() {
    let reading = quickly("chain", chain(10_000, ""));
    assert_eq!(reading.book.expect("a good book").parts.len(), 10_000);
}

#[test]
fn a_circle_of_ten_thousand_parts() {
    let reading = quickly("circle", chain(10_000, "off_first = [\"p0\"]"));
    assert_eq!(reading.faults.codes(), ["B201"]);
}

#[test]
fn ten_thousand_parts_that_wait_for_themselves() {
    let part = |i: usize| {
        format!(
            "[[part]]\nkey = \"p{i}\"\ntitle = \"p\"\nmass = \"1 kg\"\nstation = \"front\"\nlift_time = \"1 s\"\n\
             place_time = \"1 s\"\noff_first = [\"p{i}\"]\n"
        )
    };
    let reading = quickly("loops", HEAD.to_owned() + &(0..10_000).map(part).collect::<String>());
    assert_eq!(reading.faults.codes(), ["B201"]);
}

#[test]
fn a_file_of_ten_megabytes() {
    for line in ["[[part]]\n", "x = 1\n[[part.fixing]]\n", "]\n", "a", "\u{b0}", "[[["] {
        let text = line.repeat(10_000_000 / line.len());
        let reading = quickly(line, text);
        assert!(reading.book.is_none());
    }
}

#[test]
fn names_that_nobody_knows() {
    let names: Vec<String> = (0..900).map(|i| format!("\"cowling-{i}\"")).collect();
    let parts = (0..2_000).map(|i| {
        let names = if i < 50 { names.join(",") } else { String::new() };
        format!(
            "[[part]]\nkey = \"p{i}\"\ntitle = \"p\"\nmass = \"1 kg\"\nstation = \"front\"\nlift_time = \"1 s\"\n\
             place_time = \"1 s\"\noff_first = [{names}]\n"
        )
    });
    let reading = quickly("unknown names", HEAD.to_owned() + &parts.collect::<String>());
    assert_eq!(reading.faults.codes(), ["B107"]);
}

#[test]
fn more_parts_than_are_read() {
    let reading = quickly("many", chain(20_001, ""));
    assert!(reading.faults.codes().contains(&"B110"));
}

#[test]
fn nothing_at_all() {
    assert!(read_book(&[]).book.is_none());
    assert!(!read_book(&[]).faults.is_empty());
    assert_eq!(read_text("").faults.codes(), ["B120", "T002"]);
}

/// Many fixings of one joint, each with many holes, accesses and a sequence: sets must not multiply.
#[test]
fn a_short_text_that_blows_up() {
    let holes: String = (0..300).map(|i| format!("[{i},0],")).collect();
    let accesses = "[[part.fixing.access]]\ncorridor=[{clear=60}]\nheadroom=99\n".repeat(100);
    let ways: String = (0..20).map(|i| format!("[[part.way]]\nkey=\"w{i}\"\ntitle=\"w\"\n")).collect();
    let fixing = |i: usize| {
        format!(
            "[[part.fixing]]\nkey=\"f{i}\"\ntitle=\"f\"\nkind=\"clip\"\ndrive=\"hand\"\njoint=\"j\"\n\
             pattern=[\"1\",\"x\"]\nholes=[{holes}]\n{accesses}"
        )
    };
    let text = chain(1, "") + &ways + &(0..900).map(fixing).collect::<String>();
    let reading = quickly("blow-up", text);
    assert_eq!(reading.faults.codes(), ["B205", "B335"]);
}

/// Each part waits for the one before, uncovers the one opening and has a hole over it.
#[test]
fn an_opening_under_every_part_of_a_chain() {
    let part = |i: usize| {
        let first = if i == 0 { String::new() } else { format!("off_first=[\"p{}\"]\n", i - 1) };
        format!(
            "[[part]]\nkey=\"p{i}\"\ntitle=\"p\"\nmass=\"1 kg\"\nstation=\"front\"\nlift_time=\"1 s\"\n\
             place_time=\"1 s\"\nuncovers=[\"o\"]\n{first}[[part.fixing]]\nkey=\"f{i}\"\ntitle=\"f\"\n\
             kind=\"clip\"\ndrive=\"hand\"\n[[part.fixing.access]]\ncorridor=[{{clear=60}}]\nheadroom=99\n\
             drop_over=[\"o\"]\n"
        )
    };
    let opening = "[[opening]]\nkey=\"o\"\ntitle=\"o\"\ncount=10000\n";
    let text = HEAD.to_owned() + opening + &(0..10_000).map(part).collect::<String>();
    let reading = quickly("opening", text);
    // Only the first part of the chain has nothing open before it.
    assert_eq!(reading.faults.count_by_severity(), (0, 1));
    assert_eq!(reading.faults.codes(), ["B212"]);
}
