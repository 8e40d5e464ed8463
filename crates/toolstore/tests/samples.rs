//! Every rule has a sample that provokes it, and the page of the rules is the one in the folder of documents.

use faults::{Look, Severity, render};
use toolstore::{RULES, Reading, read};

const HEAD: &str = "format = \"traywright-store/1\"\ntitle = \"Workshop\"\n";

/// A store of one sample; a sample without a head of its own gets one.
fn read_sample(code: &str, sample: &str) -> Reading {
    let head = (String::from("head.toml"), HEAD.as_bytes().to_vec());
    let file = |name: &str| (name.to_owned(), sample.as_bytes().to_vec());
    match code {
        "S116" | "S117" => read(&[head, file("pieces.csv")]),
        "S118" => read(&[head, file("notes.odt")]),
        "S120" => read(&[file("store.toml")]),
        _ if sample.starts_with("format") => read(&[file("store.toml")]),
        _ => read(&[head, file("pieces.toml")]),
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
        let error = reading.faults.sorted().iter().any(|f| f.severity == Severity::Error);
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
    for (name, expected) in
        [("errors-store.md", toolstore::page()), ("store.schema.json", toolstore::schema())]
    {
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
    let reading = read(&files);
    assert!(reading.faults.is_empty(), "{}", render(&reading.faults, &reading.sources, Look::Plain));
    assert!(reading.store.expect("no faults").pieces.len() > 30);
}

#[test]
fn a_fault_is_drawn_under_its_cell() {
    let csv = "kind,size,link,place\nsocket,10 mm,1/4 in,red / 1\nsocket,T30,1/4 in,red / 1\n";
    let reading = read(&[("head.toml".into(), HEAD.into()), ("pieces.csv".into(), csv.into())]);
    let drawn = render(&reading.faults, &reading.sources, Look::Plain);
    assert!(drawn.contains("pieces.csv:3:8"), "{drawn}");
    assert!(drawn.contains("S124"), "{drawn}");
}
