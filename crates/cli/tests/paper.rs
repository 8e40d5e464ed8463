//! Printing as other programs see it: pages, text and exit codes of the demo's sheets on both papers.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{demo, run};
use std::path::{Path, PathBuf};
use std::process::Command;

fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("paper");
    std::fs::create_dir_all(&folder).unwrap();
    folder.join(name)
}

/// Prints a kind of the demo's book and says where the file lies.
fn printed(kind: &str, size: &str) -> String {
    let out = scratch(&format!("{kind}-{size}.pdf")).display().to_string();
    let (book, store) = (demo("books/tern-24"), demo("store"));
    let asked = ["--size", size, "--date", "2027-03-01", "--out", &out];
    let output = run(&[&["print", kind, "--book", &book, "--store", &store][..], &asked[..]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    out
}

/// What a tool of poppler-utils says of a file.
fn told(tool: &str, arguments: &[&str]) -> String {
    let output = Command::new(tool).args(arguments).output();
    let output = output.unwrap_or_else(|e| panic!("{tool}: {e}; install poppler-utils"));
    assert!(output.status.success(), "{tool} {arguments:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn plain(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

#[test]
fn the_pack_has_its_pages_on_both_papers() {
    for (size, points) in [("a4", "595.276 x 841.89"), ("letter", "612 x 792")] {
        let file = printed("pack", size);
        let info = told("pdfinfo", &[&file]);
        let pages = info.lines().find_map(|l| l.strip_prefix("Pages:")).unwrap();
        let pages: u32 = pages.trim().parse().unwrap();
        assert!((20..90).contains(&pages), "all 33 tasks of the book: {info}");
        assert!(info.lines().any(|l| l.starts_with("Tagged:") && l.ends_with("yes")), "{info}");
        assert!(info.contains(points), "{info}");
        let text = plain(&told("pdftotext", &["-raw", &file, "-"]));
        for title in ["Kitsheet", "Shoppingsheet", "Traymap", "Worklist", "Joints", "Readingssheet"] {
            assert!(text.contains(title), "{title}");
        }
    }
}

#[test]
fn no_word_of_a_step_and_no_slot_is_missing_on_paper() {
    let (book, store) = (demo("books/tern-24"), demo("store"));
    let made = run(&["plan", "--book", &book, "--store", &store, "--json"]);
    let plan: serde_json::Value = serde_json::from_slice(&made.stdout).unwrap();
    let text = plain(&told("pdftotext", &["-raw", &printed("jobs", "a4"), "-"]));
    for step in plan["steps"].as_array().unwrap() {
        for word in step["text"].as_str().unwrap().split_whitespace() {
            assert!(text.contains(word), "step {}: `{word}` is missing", step["number"]);
        }
    }
    let labels = plain(&told("pdftotext", &["-raw", &printed("labels", "letter"), "-"]));
    for line in plan["slots"].as_array().unwrap() {
        let slot = line["slot"].as_str().unwrap();
        assert!(["on part", "in hole"].contains(&slot) || labels.contains(slot), "{slot}");
    }
}

/// Words of a file that lie outside their page, as poppler-utils measures them, and how many words there are.
fn outside(file: &str) -> (Vec<String>, usize) {
    let boxes = told("pdftotext", &["-bbox", file, "-"]);
    let number = |line: &str, name: &str| -> f64 {
        let value = line.split_once(&format!("{name}=\"")).unwrap().1.split_once('"').unwrap().0;
        value.parse().unwrap()
    };
    let (mut size, mut count, mut lost) = ((0.0, 0.0), 0, Vec::new());
    for line in boxes.lines().map(str::trim) {
        if line.starts_with("<page ") {
            size = (number(line, "width"), number(line, "height"));
        } else if line.starts_with("<word ") {
            count += 1;
            let (left, top) = (number(line, "xMin"), number(line, "yMin"));
            let (right, bottom) = (number(line, "xMax"), number(line, "yMax"));
            if left < 0.0 || top < 0.0 || right > size.0 || bottom > size.1 {
                lost.push(line.to_owned());
            }
        }
    }
    (lost, count)
}

#[test]
fn sheets_of_a_generated_book_stay_on_their_pages() {
    let folder = scratch("generated").display().to_string();
    let made = run(&[
        "generate",
        "--out",
        &folder,
        "--seed",
        "7",
        "--parts",
        "60",
        "--fasteners",
        "240",
        "--pieces",
        "250",
    ]);
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let (book, store) = (format!("{folder}/book"), format!("{folder}/store"));
    for size in ["a4", "letter"] {
        let out = format!("{folder}/{size}.pdf");
        let asked = ["--size", size, "--date", "2027-03-01", "--out", &out];
        let output = run(&[&["print", "pack", "--book", &book, "--store", &store][..], &asked[..]].concat());
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        let (lost, count) = outside(&out);
        assert!(lost.is_empty(), "{size}: {lost:?}");
        assert!(count > 2_500, "{size}: {count} words");
        let text = plain(&told("pdftotext", &["-raw", &out, "-"]));
        let titles = std::fs::read_to_string(format!("{book}/book.toml")).unwrap();
        let longest = titles.lines().filter_map(|l| l.strip_prefix("title = \"")?.strip_suffix('"'));
        let longest = longest.max_by_key(|t| t.len()).unwrap();
        assert!(longest.split_whitespace().all(|word| text.contains(word)), "{size}: {longest}");
    }
}

#[test]
fn the_number_of_pages_is_said_before_anything_is_written() {
    let (book, store) = (demo("books/tern-24"), demo("store"));
    let task = ["--book", &book, "--store", &store, "--task", "renew-thermostat"];
    let counted = run(&[&["print", "pack", "--pages"][..], &task[..]].concat());
    assert_eq!(counted.status.code(), Some(0));
    let said = String::from_utf8(counted.stdout).unwrap();
    let out = scratch("counted.pdf").display().to_string();
    let written = run(&[&["print", "pack", "--date", "2027-03-01", "--out", &out][..], &task[..]].concat());
    let told = String::from_utf8(written.stdout).unwrap();
    assert!(told.starts_with(&said) && told.ends_with(&format!("written to {out}\n")), "{said}{told}");
    let info = self::told("pdfinfo", &[&out]);
    let pages = info.lines().find_map(|l| l.strip_prefix("Pages:")).unwrap().trim();
    assert!(said.starts_with(&format!("{pages} pages on A4: ")), "{said}: {info}");
}

#[test]
fn a_reader_that_speaks_gets_headings_rows_and_pictures() {
    let tree = told("pdfinfo", &["-struct", &printed("trays", "a4")]);
    for element in ["H1", "H2", "Table", "TR", "TD", "Figure", "P"] {
        assert!(tree.lines().any(|line| line.trim().starts_with(element)), "{element}: {tree}");
    }
}

#[test]
fn what_cannot_be_printed_is_told() {
    let (book, store) = (demo("books/tern-24"), demo("store"));
    let out = scratch("none.pdf").display().to_string();
    let of_plan = ["--book", &book, "--store", &store, "--task", "renew-thermostat", "--out", &out];
    for (kind, words) in [("ledger", "--visit"), ("resume", "--visit")] {
        let output = run(&[&["print", kind][..], &of_plan[..]].concat());
        assert_eq!(output.status.code(), Some(2), "{kind}");
        assert!(String::from_utf8_lossy(&output.stderr).contains(words), "{kind}");
    }
    let wrong = run(&[&["print", "labels", "--labels", "letter-30"][..], &of_plan[..]].concat());
    assert_eq!(wrong.status.code(), Some(2));
    assert_eq!(run(&["print", "nonsense"]).status.code(), Some(2));
    assert_eq!(run(&["print", "kit"]).status.code(), Some(2));
}
