//! Whatever is written is read back the same, and nothing that a stranger hands in stops the reader.

use faults::{FaultLook, render_faults};
use proptest::prelude::*;
use tools::{RULES, read_store, write_store};

#[path = "../../../tests/long.rs"]
mod long;

const HEAD: &str = "format = \"traywright-store/1\"\ntitle = \"Workshop\"\n";

/// A store of every kind of piece, from the format page.
fn page_store() -> Vec<(String, Vec<u8>)> {
    let page = include_str!("../../../docs/store-format.md");
    let blocks = page.split("```").skip(1).step_by(2);
    let toml: String = blocks.filter_map(|block| block.strip_prefix("toml\n")).collect();
    vec![("store.toml".into(), toml.into_bytes())]
}

/// Words of sets that cover every noun.
const SETS: &[&str] = &[
    "1/4 in deep sockets 4 to 14 mm",
    "1/2 in impact sockets 10 to 32 mm",
    "3/8 in jointed sockets 10 to 19 mm",
    "E sockets E5 to E16 on 1/4 in",
    "hexalobular long bits T10 to T60 on 3/8 in",
    "bits PH2, PZ2, T25, hex 5, slot 5.5, 1/4 in hex",
    "1/4 in bit holder",
    "3/8 in extensions 50, 125, 250 mm",
    "1/4 in tilting extensions 50, 100, 250 mm",
    "1/2 in joint",
    "adapters 3/8 in to 1/4 in, 1/4 in to 3/8 in, 1/4 in hex to 1/4 in",
    "3/8 in ratchet",
    "1/2 in breaker bar",
    "1/4 in spinner handle",
    "ring spanners 8x9, 10x11, 12x13",
    "open spanners 8 to 19 mm",
    "combination spanners 8 to 19 mm",
    "ratcheting ring spanners 8 to 19 mm",
    "flare spanners 10 to 17 mm",
    "crow-feet 10 to 19 mm on 3/8 in",
    "hex keys 3 to 10 mm",
    "nut drivers 5 to 13 mm",
    "screwdrivers PH1, PH2, slot 4, T20",
];

/// A store of the words.
fn text_of(words: &[&str], besides: &str) -> String {
    let set = |w: &&str| format!("[[set]]\nset = \"{w}\"\nplace = \"red cabinet / drawer 1\"\n{besides}");
    format!("{HEAD}{}", words.iter().map(set).collect::<String>())
}

/// Reads, writes, reads again: both stores are the same.
fn comes_back(files: &[(String, Vec<u8>)]) {
    let first = read_store(files);
    let drawn = render_faults(&first.faults, &first.sources, FaultLook::Plain);
    let store = first.store.unwrap_or_else(|| panic!("{drawn}"));
    let text = write_store(&store);
    let second = read_store(&[("again.toml".into(), text.clone().into_bytes())]);
    let drawn = render_faults(&second.faults, &second.sources, FaultLook::Plain);
    assert_eq!(second.store.unwrap_or_else(|| panic!("{drawn}\n{text}")), store);
}

#[test]
fn every_kind_comes_back_as_it_was_written() {
    comes_back(&page_store());
    comes_back(&[("sets.toml".into(), text_of(SETS, "").into_bytes())]);
    comes_back(&[(
        "sets.toml".into(),
        text_of(SETS, "count = 3\nlent = 1\nprice = \"12.35\"\n").into_bytes(),
    )]);
}

#[test]
fn bodies_are_above_nothing_and_places_are_kept() {
    let reading = read_store(&[("sets.toml".into(), text_of(SETS, "").into_bytes())]);
    for piece in reading.store.expect("the words are good").pieces {
        assert!(!piece.outline.is_empty(), "{}", piece.key);
        assert!(
            piece.outline.iter().all(|s| s.length.as_mm() > 0.0 && s.diameter.as_mm() > 0.0),
            "{}",
            piece.key
        );
        assert!(piece.strength.as_n_m() > 0.0, "{}", piece.key);
        assert_eq!(piece.place.drawer, "drawer 1");
        if let Some(grip) = &piece.grip {
            assert!(grip.depth.as_mm() > 0.0 && !grip.fits.is_empty(), "{}", piece.key);
        }
        if let Some(handle) = piece.handle {
            assert!(handle.arm.as_mm() > 0.0 && handle.arm <= handle.radius, "{}", piece.key);
        }
    }
}

#[test]
fn ten_megabytes_of_anything_are_answered() {
    let size = 10 << 20;
    let line = "[[set]]\nset = \"1/4 in sockets 4 to 14 mm\"\nplace = \"a / b\"\n";
    let row = "socket,10 mm,1/4 in,a / b\n";
    let heavy = [
        ("a.toml", line.repeat(size / line.len())),
        ("b.toml", "[".repeat(size)),
        ("c.toml", format!("{HEAD}[[set]]\nset = \"{}\"\nplace = \"a / b\"\n", "8 , ".repeat(size / 4))),
        ("d.csv", format!("kind,size,link,place\n{}", row.repeat(size / row.len()))),
        ("e.csv", "\"".repeat(size + 1)),
        ("f.csv", ",".repeat(size)),
    ];
    for (name, text) in heavy {
        let reading = read_store(&[(name.into(), text.into_bytes())]);
        assert!(reading.store.is_none() && !reading.faults.is_empty(), "{name}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(long::choose_count("texts", 256, 20_000)))]

    #[test]
    fn random_bytes_never_stop_the_reader(bytes in proptest::collection::vec(any::<u8>(), 0..400), csv in any::<bool>()) {
        let name = if csv { "x.csv" } else { "x.toml" };
        let reading = read_store(&[("head.toml".into(), HEAD.into()), (name.into(), bytes)]);
        prop_assert_eq!(reading.store.is_none(), reading.faults.has_errors());
    }

    #[test]
    fn mutated_stores_never_stop_the_reader(at in 0_usize..4000, with in "\\PC{0,6}", cut in 0_usize..40) {
        let mut text = String::from_utf8(page_store()[0].1.clone()).expect("the page is UTF-8");
        let start = text.floor_char_boundary(at % text.len());
        let end = text.ceil_char_boundary((start + cut).min(text.len()));
        text.replace_range(start..end, &with);
        let reading = read_store(&[("store.toml".into(), text.into_bytes())]);
        prop_assert_eq!(reading.store.is_none(), reading.faults.has_errors());
        let _ = render_faults(&reading.faults, &reading.sources, FaultLook::Plain);
    }

    #[test]
    fn mutated_samples_never_stop_the_reader(rule in 0..RULES.len(), at in 0_usize..200, with in "[0-9a-z.,°\" -]{0,5}") {
        let mut text = RULES[rule].bad_sample.to_owned();
        let start = text.floor_char_boundary(at % (text.len() + 1));
        text.insert_str(start, &with);
        for name in ["x.toml", "x.csv"] {
            let reading = read_store(&[("head.toml".into(), HEAD.into()), (name.into(), text.clone().into_bytes())]);
            prop_assert_eq!(reading.store.is_none(), reading.faults.has_errors());
        }
    }

    #[test]
    fn words_in_any_order_never_stop_the_reader(words in proptest::collection::vec(
        prop_oneof!["1/4 in", "3/8 in hex", "deep", "sockets", "bits", "keys", "to", "step", "T10", "8x9", "1e9", "10",
            "mm", ",", "hex", "slot", "adapters", "spanners", "ring", "except", "0", "9999", "0.0001", "combination"]
            .prop_map(String::from), 0..9)) {
        let text = format!("{HEAD}[[set]]\nset = '{}'\nplace = 'a / b'\n", words.join(" "));
        let reading = read_store(&[("store.toml".into(), text.into_bytes())]);
        if let Some(store) = reading.store {
            comes_back(&[("again.toml".into(), write_store(&store).into_bytes())]);
        }
    }

    #[test]
    fn figures_of_single_pieces_come_back(length in 10.0_f64..400.0, diameter in 12.1_f64..60.0, depth in 1.0_f64..9.0,
        low in 0.1_f64..5.0, span in 0.1_f64..20.0, share in 0.001_f64..0.2, cents in 0_i64..100_000) {
        let text = format!("{HEAD}[[piece]]\nkind = \"socket\"\nlink = \"1/4 in\"\nsize = \"10 mm\"\nlength = {length}\n\
            diameter = {diameter}\ndepth = {depth}\nplace = \"a / b\"\nprice = \"{}.{:02}\"\n\
            [[piece]]\nkind = \"torque-wrench\"\nlink = \"1/4 in\"\nrange = \"{low} to {} N·m\"\ntolerance = {share}\n\
            place = \"a / b\"\n", cents / 100, cents % 100, low + span);
        comes_back(&[("store.toml".into(), text.into_bytes())]);
    }
}

#[test]
fn the_demonstration_store_reads_without_faults_and_comes_back() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/store");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the demo has a store")
        .map(|e| e.expect("an entry").path())
        .collect();
    paths.sort();
    let file = |p: &std::path::PathBuf| (p.display().to_string(), std::fs::read(p).expect("a file"));
    let files: Vec<_> = paths.iter().map(file).collect();
    let reading = read_store(&files);
    assert!(
        reading.faults.is_empty(),
        "{}",
        render_faults(&reading.faults, &reading.sources, FaultLook::Plain)
    );
    assert!(reading.store.expect("no faults").pieces.len() >= 240);
    comes_back(&files);
}
