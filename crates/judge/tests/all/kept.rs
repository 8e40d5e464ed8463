//! Every code of the judge with its sentences, kept in `snapshots` to be read in one go.
//!
//! A right plan, rest, calendar, cart loading and claim are bent in every way that `bent` knows; what the judge says is
//! gathered by code; sentences that differ only in names and figures count once.

#[path = "bent.rs"]
mod bent;

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use judge::Violation;

/// The sentences by code, each by itself without names and figures.
type Sentences = BTreeMap<&'static str, BTreeMap<String, String>>;

thread_local! {
    static NOTED: RefCell<Sentences> = RefCell::default();
}

/// Notes what the judge said, for the test of this thread.
pub fn note(found: &[Violation]) {
    NOTED.with_borrow_mut(|noted| {
        for violation in found {
            let words = violation.words.clone();
            noted.entry(violation.code).or_default().entry(bare_sentence(&words)).or_insert(words);
        }
    });
}

/// A sentence without what stands between backticks, and without figures.
fn bare_sentence(words: &str) -> String {
    let outside: String = words.split('`').step_by(2).collect::<Vec<_>>().join("`");
    outside.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect()
}

/// The codes that stand in the source of the judge.
fn codes_of_source(folder: &Path, codes: &mut BTreeSet<String>) {
    for entry in std::fs::read_dir(folder).expect("the source is there") {
        let path = entry.expect("the folder can be read").path();
        if path.is_dir() {
            codes_of_source(&path, codes);
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("the source is text");
        let quoted = text.split('"').filter(|word| word.len() == 4 && word.starts_with(['J', 'R', 'C', 'W']));
        codes.extend(quoted.filter(|w| w[1..].chars().all(|c| c.is_ascii_digit())).map(str::to_owned));
    }
}

#[test]
fn every_code_has_its_sentences() {
    super::names();
    super::ids();
    super::way_in();
    super::duties();
    super::fit_and_room();
    super::a_flat_tool_needs_room_beside_the_head();
    super::load_and_measure();
    super::chains_and_their_figures();
    super::kit();
    super::strip_order();
    super::refit_order();
    super::sums_and_figures();
    super::sheets();
    crate::read::say_all();
    bent::bend_plans();
    bent::bend_rests();
    bent::bend_calendars();
    bent::bend_cart_loadings();
    bent::bend_claims();
    bent::bend_doubts();
    note(&crate::world::say_all());
    note(&crate::visits::say_all());
    note(&crate::together::say_all());

    let said = NOTED.take();
    let mut codes = BTreeSet::new();
    codes_of_source(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut codes);
    assert!(codes.len() > 100, "only {} codes in the source", codes.len());
    let shown: BTreeSet<String> = said.keys().map(|code| (*code).to_owned()).collect();
    let lines = said.iter().flat_map(|(code, all)| all.values().map(move |words| format!("{code} {words}")));
    let page = lines.collect::<Vec<_>>().join("\n");
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!("sentences_of_the_judge", page);
    });
    assert_eq!(
        codes.difference(&shown).collect::<Vec<_>>(),
        Vec::<&String>::new(),
        "codes without a sentence"
    );
}
