//! What every run of the command is made to say alike before it is kept: places, names of events, days, and web pages as words.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::common::root;

/// The tasks that the small demo keeps of each book.
const KEPT_TASKS: &[(&str, &[&str])] =
    &[("tern-24", &["renew-thermostat", "reseal-sump"]), ("curlew-30", &["renew-thermostat"])];

/// Letters and figures in the name of an event, a visit or a vehicle.
const ID_LENGTH: usize = 26;

/// The year of all dates that a test gives itself; dates of other years are the clock's.
const GIVEN_YEAR: &str = "2031";

/// An empty folder of the test's own.
pub fn fresh_folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _absent = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy_folder(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// The demo with few of its tasks, so that each plan is made to its end within seconds.
pub fn write_small_demo(to: &Path) {
    copy_folder(&root().join("demo"), to);
    for (book, tasks) in KEPT_TASKS {
        let path = to.join("books").join(book).join("tasks.toml");
        let text = std::fs::read_to_string(&path).unwrap();
        let mut parts = text.split("[[task]]");
        let head = parts.next().unwrap_or_default();
        let is_kept = |part: &&str| {
            let key = part.lines().find(|line| line.starts_with("key")).unwrap_or_default();
            tasks.iter().any(|task| key.ends_with(&format!("\"{task}\"")))
        };
        let kept: Vec<&str> = parts.filter(is_kept).collect();
        assert_eq!(kept.len(), tasks.len(), "{}", path.display());
        std::fs::write(&path, format!("{head}[[task]]{}", kept.join("[[task]]"))).unwrap();
    }
}

/// Where a run of characters of one kind ends.
fn run_end(text: &str, is_in: fn(char) -> bool) -> usize {
    text.find(|c| !is_in(c)).unwrap_or(text.len())
}

/// The length of a date, with its time of day where one follows.
fn date_length(text: &str) -> Option<usize> {
    let shaped = |text: &str, shape: &str| {
        text.len() >= shape.len()
            && text
                .bytes()
                .zip(shape.bytes())
                .all(|(b, s)| if s == b'0' { b.is_ascii_digit() } else { b == s })
    };
    if !shaped(text, "0000-00-00") || text.starts_with(GIVEN_YEAR) {
        return None;
    }
    let with_time = [" 00:00", "T00:00"].iter().any(|shape| shaped(text.get(10..).unwrap_or(""), shape));
    Some(if with_time { 16 } else { 10 })
}

/// A text with the test's own places masked.
pub fn mask_places(text: &str, folder: &Path) -> String {
    text.replace(&folder.display().to_string(), "<folder>").replace(&format!("{}/", root().display()), "")
}

/// A text with names, days and places masked; the same name has the same number throughout.
pub fn mask_text(text: &str, folder: &Path, ids: &mut BTreeMap<String, usize>) -> String {
    let text = mask_places(text, folder);
    let (mut out, mut rest) = (String::new(), text.as_str());
    while let Some(first) = rest.chars().next() {
        let word = run_end(rest, |c| c.is_ascii_alphanumeric());
        let is_id = word == ID_LENGTH && rest[..word].chars().all(|c| !c.is_ascii_lowercase());
        if is_id {
            let next = ids.len() + 1;
            let number = ids.entry(rest[..word].to_owned()).or_insert(next);
            out.push_str(&format!("<id {number}>"));
            rest = &rest[word..];
        } else if let Some(length) = date_length(rest) {
            out.push_str("<day>");
            rest = &rest[length..];
        } else {
            let step = word.max(first.len_utf8());
            out.push_str(&rest[..step]);
            rest = &rest[step..];
        }
    }
    out.lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}

/// Elements that end a line of words.
const LINE_ENDS: &[&str] =
    &["p", "h1", "h2", "h3", "div", "tr", "li", "section", "figcaption", "text", "title", "br"];

/// The words of a page that prints, a line each; figures alone, as of the holes of a drawing, are left out.
pub fn words_of_page(page: &str) -> String {
    let mut out = String::new();
    let body = page.split_once("</style>").map_or(page, |(_, body)| body);
    for piece in body.split('<').skip(1) {
        let (tag, words) = piece.split_once('>').unwrap_or((piece, ""));
        let name = tag.trim_start_matches('/').split([' ', '/']).next().unwrap_or_default();
        if LINE_ENDS.contains(&name) {
            out.push('\n');
        } else if matches!(name, "td" | "th" | "b" | "span") {
            out.push_str("  ");
        }
        out.push_str(&words.replace('\n', " "));
    }
    let plain = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")]
        .iter()
        .fold(out, |text, (escaped, sign)| text.replace(escaped, sign));
    let is_figure = |line: &str| line.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ' ' | '°'));
    let lines = plain.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "));
    let mut lines: Vec<String> = lines.filter(|line| !is_figure(line)).collect();
    lines.dedup();
    lines.join("\n")
}

/// Compares a page with the one that is kept under a name.
#[track_caller]
pub fn keep_page(name: &str, page: &str) {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, page);
    });
}
