//! Every rule has a sample that provokes it, and the page of the rules is the one in the folder of documents.

#[path = "samples/kept.rs"]
mod kept;

use faults::{FaultLook, FaultSeverity, render_faults};
use tools::{ParsedStore, RULES, read_store};

const HEAD: &str = "format = \"traywright-store/1\"\ntitle = \"Workshop\"\n";

/// A store of one sample; a sample without a head of its own gets one.
fn read_sample(code: &str, sample: &str) -> ParsedStore {
    let head = (String::from("head.toml"), HEAD.as_bytes().to_vec());
    let file = |name: &str| (name.to_owned(), sample.as_bytes().to_vec());
    match code {
        "S116" | "S117" => read_store(&[head, file("pieces.csv")]),
        "S118" => read_store(&[head, file("notes.odt")]),
        "S120" => read_store(&[file("store.toml")]),
        _ if sample.starts_with("format") => read_store(&[file("store.toml")]),
        _ => read_store(&[head, file("pieces.toml")]),
    }
}

#[test]
fn every_sample_provokes_its_rule() {
    for rule in RULES {
        let reading = read_sample(rule.code, rule.bad_sample);
        let found = reading.faults.codes();
        assert!(found.contains(&rule.code), "{} not in {found:?}", rule.code);
        let others: Vec<_> = found.into_iter().filter(|c| *c != rule.code).collect();
        assert!(others.is_empty(), "{} also provokes {others:?}", rule.code);
    }
}

#[test]
fn errors_keep_the_store_back_and_warnings_do_not() {
    for rule in RULES {
        let reading = read_sample(rule.code, rule.bad_sample);
        let error = reading.faults.sorted().iter().any(|f| f.severity == FaultSeverity::Error);
        assert_eq!(reading.store.is_none(), error, "{}", rule.code);
    }
}

#[test]
fn codes_rise_and_every_fault_says_what_to_do() {
    assert!(RULES.windows(2).all(|w| w[0].code < w[1].code));
    for rule in RULES {
        for fault in read_sample(rule.code, rule.bad_sample).faults.sorted() {
            assert!(fault.help.is_some(), "{}", rule.code);
            assert!(fault.message.chars().next().is_some_and(|c| !c.is_uppercase()) || rule.code == "S103");
        }
    }
}

#[test]
fn the_pages_in_the_folder_of_documents_are_the_ones_of_the_source() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs");
    let page = std::fs::read_to_string(folder.join("store-format.md")).expect("the page is there");
    let page = fields::replace_generated(&page, &tools::store_key_tables()).expect("the page has both marks");
    for (name, expected) in [
        ("errors-store.md", tools::store_errors_page()),
        ("store.schema.json", tools::store_json_schema()),
        ("store-format.md", page),
    ] {
        let path = folder.join(name);
        if std::env::var_os("TRAYWRIGHT_WRITE_DOCS").is_some() {
            std::fs::write(&path, &expected).expect("the folder of documents can be written");
        }
        let found = std::fs::read_to_string(&path).expect("the page is there");
        assert!(found == expected, "{name} is stale: run this test with TRAYWRIGHT_WRITE_DOCS=1");
    }
}

#[test]
fn the_samples_of_the_format_page_are_good_stores() {
    let page = include_str!("../../../docs/store-format.md");
    let blocks = |mark: &'static str| {
        page.split("```")
            .skip(1)
            .step_by(2)
            .filter_map(move |block| block.strip_prefix(mark))
            .collect::<Vec<_>>()
    };
    let toml = blocks("toml\n").concat();
    let mut files = vec![(String::from("store.toml"), toml.into_bytes())];
    files.extend(blocks("csv\n").iter().map(|b| (String::from("pieces.csv"), b.as_bytes().to_vec())));
    let reading = read_store(&files);
    assert!(
        reading.faults.is_empty(),
        "{}",
        render_faults(&reading.faults, &reading.sources, FaultLook::Plain)
    );
    assert!(reading.store.expect("no faults").pieces.len() > 30);
}

#[test]
fn a_fault_is_drawn_under_its_cell() {
    let csv = "kind,size,link,place\nsocket,10 mm,1/4 in,red / 1\nsocket,T30,1/4 in,red / 1\n";
    let reading = read_store(&[("head.toml".into(), HEAD.into()), ("pieces.csv".into(), csv.into())]);
    let drawn = render_faults(&reading.faults, &reading.sources, FaultLook::Plain);
    assert!(drawn.contains("pieces.csv:3:8"), "{drawn}");
    assert!(drawn.contains("S124"), "{drawn}");
}

/// What each sample is answered with.
const ANSWERS: &[(&str, &str)] = &[
    ("S101", "key `r` is given twice"),
    ("S102", "unknown word `depe` for sockets; did you mean `deep`?"),
    ("S103", "T11 is not in the series of sizes"),
    ("S104", "the range runs down, from 25 N·m to 5 N·m"),
    ("S105", "sockets need sizes"),
    ("S106", "`7 mm` is not among the sizes of the set"),
    ("S107", "this set makes 461 pieces; at most 200 are allowed"),
    ("S108", "a ratchet needs a square drive or shank"),
    ("S109", "ring spanners have no square drive"),
    ("S110", "2 are lent out or out for calibration, and only 1 are owned"),
    ("S111", "a joint cannot take 120°"),
    ("S112", "a socket 13 mm wide cannot have an opening of 15.01 mm"),
    ("S113", "no torque tool has a tolerance of 40 %"),
    ("S114", "a full scale of 250 N·m exceeds the 62 N·m test torque of a 1/4 in drive"),
    ("S115", "the steps of the clutch do not rise"),
    ("S116", "unknown column `retension`; did you mean `retention`?"),
    ("S117", "this row has 3 fields, the first row names 4"),
    ("S118", "`notes.odt` is neither .toml nor .csv"),
    ("S119", "an extension needs `length`"),
    ("S120", "no file has the head of a store"),
    ("S121", "the format is misspelt, or of another version"),
    ("S122", "`somewhere` does not say cabinet and drawer"),
    ("S123", "72 teeth make a step of 5°, not 10°"),
    ("S124", "sockets do not take T30"),
    ("S125", "`length` is a figure that no hand tool has"),
    ("S126", "the store has no pieces"),
    ("S127", "a socket does not use `teeth`"),
];

#[test]
fn every_rule_is_answered_in_words_of_its_own() {
    assert_eq!(ANSWERS.len(), RULES.len());
    for (rule, (code, words)) in RULES.iter().zip(ANSWERS) {
        assert_eq!(rule.code, *code);
        let reading = read_sample(rule.code, rule.bad_sample);
        let said: Vec<&str> = reading.faults.sorted().iter().map(|f| f.message.as_str()).collect();
        assert!(said.iter().any(|m| m.contains(words)), "{code}: {said:?}");
    }
}
