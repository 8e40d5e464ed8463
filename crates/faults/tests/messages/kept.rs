//! Every code of the walker as it is drawn, kept in `snapshots` to be read in one go.

use super::faults;
use faults::{
    FaultCollector, FaultLook, Faults, MAX_FILE_BYTES, RULES, SourceTexts, parse_toml, render_faults,
};

/// More ways to break a rule than its own sample shows.
const MORE: &[(&str, &str)] = &[
    ("T001", "title = \"x\"\nsize = 1"),
    ("T002", "title = \"x\"\n[[step]]"),
    ("T003", "title = \"x\"\nstep = 7"),
    ("T003", "title = \"x\"\nstep = [7]"),
    ("T003", "title = [\"x\"]"),
    ("T003", "title = 2027-03-01"),
    ("T003", "title = \"x\"\ntorque = true"),
    ("T003", "title = \"x\"\nlength = {}"),
    ("T003", "title = \"x\"\ncount = 1.5"),
    ("T003", "title = \"x\"\nshare = \"half\""),
    ("T003", "title = \"x\"\nkind = 1"),
    ("T004", "title = \"x\"\ntorque = \"900 N·m\""),
    ("T004", "title = \"x\"\nshare = inf"),
    ("T005", "title = \"x\"\ntorque = 9"),
    ("T005", "title = \"x\"\ntorque = \"nine\""),
    ("T005", "title = \"x\"\ntorque = \"9 mm\""),
    ("T005", "title = \"x\"\ntorque = \"9 furlongs\""),
    ("T005", "title = \"x\"\nlength = 1e300"),
    ("T005", "title = \"x\"\nlength = \"1/0 in\""),
    ("T005", "title = \"x\"\nkind = \"blot\""),
    ("T005", "title = \"x\"\nkind = \"washer\""),
    ("T006", "title = \"x"),
    ("T006", "title = \"x\"\ntorque = 12 N·m"),
    ("T006", "title = \"x\"\ncount = "),
    ("T006", "title = \"x\"\n[step"),
    ("T006", "title = \"x\"\nstep = [{ id = \"a\" }"),
    ("T006", "title = \"x\"\nstep = { id = \"a\""),
    ("T006", "title \"x\""),
];

/// The drawing of what is wrong, below the text that is wrong.
fn drawn(text: &str, sources: &SourceTexts, found: &Faults) -> String {
    let shown = render_faults(found, sources, FaultLook::Plain);
    format!("{}\n\n{}", indent(text), shown.trim_end())
}

fn indent(text: &str) -> String {
    text.trim_end().lines().map(|line| format!("    {line}")).collect::<Vec<_>>().join("\n")
}

/// Compares a page with the one that is kept.
fn keep(name: &str, page: &str) {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, page);
    });
}

#[test]
fn every_code_is_drawn() {
    let samples = RULES.iter().filter(|rule| !rule.bad_sample.is_empty()).map(|r| (r.code, r.bad_sample));
    let mut all: Vec<(&str, &str)> = samples.chain(MORE.iter().copied()).collect();
    all.sort_by_key(|(code, _)| *code);
    let mut page = Vec::new();
    for (code, text) in all {
        let (sources, found) = faults(text);
        assert!(found.codes().contains(&code), "{code}: {:?} of\n{text}", found.codes());
        page.push(format!("## {code}\n\n{}", drawn(text, &sources, &found)));
    }
    keep("codes_of_the_text", &page.join("\n\n"));
}

/// A file that is refused as it is.
fn refused(name: &str, bytes: &[u8]) -> String {
    let mut sources = SourceTexts::new();
    let (_, fault) = sources.add_bytes(name, bytes);
    let mut found = Faults::new();
    found.extend(fault);
    render_faults(&found, &sources, FaultLook::Plain).trim_end().to_owned()
}

#[test]
fn files_that_are_no_text_are_drawn() {
    let nested = |open: &str, times: usize| format!("title = \"x\"\nstep = {}", open.repeat(times));
    let mut sources = SourceTexts::new();
    let deep = sources.add_text("deep.toml", nested("[", 200));
    let found = FaultCollector::new();
    parse_toml(&sources, deep, &found).root_table().required_field("title").read_text();
    let deep = render_faults(&found.into_faults(), &sources, FaultLook::Plain);
    let page = [
        refused("latin.toml", b"a = 1\nt = \"9 N\xB7m\""),
        refused("wide.toml", b"\xFF\xFEa\0"),
        refused("large.toml", &vec![b'\n'; MAX_FILE_BYTES + 1]),
        deep.trim_end().to_owned(),
    ];
    keep("files_that_are_no_text", &page.join("\n\n"));
}
