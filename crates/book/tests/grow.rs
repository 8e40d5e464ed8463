//! A book grows by what was seen: from nothing, on a base, with words that are none, with an order that runs in a circle.

use book::{BookAddition, FixingAddition, PartAddition, TaskAddition, grow_book, read_book};

fn part(key: &str, title: &str, off_before: &[&str], fixings: Vec<FixingAddition>) -> PartAddition {
    PartAddition {
        key: key.into(),
        title: Some(title.into()),
        off_before: off_before.iter().map(|key| (*key).to_owned()).collect(),
        fixings,
        ..PartAddition::default()
    }
}

fn fixing(key: &str, count: u16, words: &[(&'static str, &str)]) -> FixingAddition {
    let words = words.iter().map(|(key, word)| (*key, (*word).to_owned())).collect();
    FixingAddition {
        key: key.into(),
        title: Some(format!("fasteners {key}")),
        count,
        words,
        ..FixingAddition::default()
    }
}

fn three_parts() -> BookAddition {
    BookAddition {
        title: "engine of A".into(),
        origin: "seen at the engine".into(),
        parts: vec![
            part(
                "seen-a",
                "cover",
                &[],
                vec![fixing("seen-f", 4, &[("drive", "hexagon 10 mm"), ("room", "open")])],
            ),
            part("seen-b", "hose", &["seen-a"], vec![fixing("seen-g", 2, &[])]),
            part("seen-c", "part \"3\"\\", &["seen-b"], Vec::new()),
        ],
        tasks: vec![TaskAddition {
            key: "open".into(),
            title: "open it".into(),
            off_first: vec!["seen-c".into()],
        }],
    }
}

#[test]
fn a_book_from_nothing_is_a_book_that_reads() {
    let grown = grow_book(None, &three_parts());
    let book = grown.book.expect("a good book");
    assert_eq!((book.parts.len(), book.fixings.len(), book.tasks.len()), (3, 2, 1));
    assert_eq!(grown.left_out, Vec::<String>::new());
    assert_eq!(book.parts[2].title, "part \"3\"\\");
    assert_eq!(book.fixings[0].holes.len(), 4);
    assert_eq!(book.fixings[0].drive.to_string(), "hexagon 10 mm");
    let again = read_book(&[("again.toml".into(), grown.text.into_bytes())]);
    assert_eq!(again.book.as_ref(), Some(&book));
}

#[test]
fn what_is_there_is_changed_and_what_is_not_is_added() {
    let base = grow_book(None, &three_parts()).book.expect("a good book");
    let more = BookAddition {
        parts: vec![
            PartAddition {
                title: Some("valve cover".into()),
                part_kind: Some("cover".into()),
                ..part(
                    "seen-a",
                    "valve cover",
                    &[],
                    vec![
                        fixing(
                            "seen-f",
                            9,
                            &[("drive", "T30"), ("tighten", "10 N·m"), ("source", "sheet 7 p. 2")],
                        ),
                        fixing("seen-h", 2, &[("drive", "hexagon 8 mm")]),
                    ],
                )
            },
            part("seen-d", "bracket", &["seen-c"], Vec::new()),
        ],
        ..BookAddition::default()
    };
    let grown = grow_book(Some(&base), &more);
    let book = grown.book.expect("a good book");
    assert_eq!(book.parts.len(), 4);
    assert_eq!(book.parts[0].title, "valve cover");
    assert_eq!(book.fixings[0].drive.to_string(), "T30");
    assert_eq!(book.fixings[0].holes.len(), 4, "heads that were counted stay");
    assert_eq!(book.fixings[0].tightening.stages.len(), 1);
    assert_eq!(book.fixings.len(), 3);
    assert_eq!(book.title, base.title);
    let same = grow_book(Some(&book), &more).book.expect("a good book");
    assert_eq!(same, book, "twice is once");
}

#[test]
fn a_word_that_is_none_is_left_out_and_named() {
    let mut addition = three_parts();
    addition.parts[0].fixings[0].words = vec![("drive", "hexagon ten".into()), ("room", "roomy".into())];
    addition.parts[1].part_kind = Some("gizmo".into());
    let grown = grow_book(None, &addition);
    assert!(grown.book.is_some());
    assert_eq!(grown.left_out.len(), 3, "{:?}", grown.left_out);
}

#[test]
fn an_order_in_a_circle_leaves_the_book_whole() {
    let mut addition = three_parts();
    addition.parts[0].told_before = vec!["seen-c".into()];
    let grown = grow_book(None, &addition);
    let book = grown.book.expect("a good book");
    assert_eq!(book.parts[1].needs.len(), 1, "what was observed stays");
    assert!(book.parts[0].needs.is_empty());
    assert!(grown.left_out.iter().any(|words| words.contains("circle")), "{:?}", grown.left_out);
}

#[test]
fn both_demo_books_grow_and_keep_what_they_had() {
    for name in ["tern-24", "curlew-30"] {
        let folder = format!("{}/../../demo/books/{name}", env!("CARGO_MANIFEST_DIR"));
        let files: Vec<(String, Vec<u8>)> = std::fs::read_dir(folder)
            .expect("the demo")
            .map(|entry| entry.expect("a file").path())
            .filter(|path| path.extension().is_some_and(|ext| ext == "toml"))
            .map(|path| (path.display().to_string(), std::fs::read(&path).expect("a file")))
            .collect();
        let base = read_book(&files).book.expect("a good book");
        let key = base.parts[3].key.clone();
        let addition = BookAddition {
            parts: vec![part("seen-x", "extra bracket", &[&key], vec![fixing("seen-y", 2, &[])])],
            ..BookAddition::default()
        };
        let grown = grow_book(Some(&base), &addition);
        let book = grown.book.unwrap_or_else(|| panic!("{name} does not grow"));
        assert_eq!(book.parts.len(), base.parts.len() + 1);
        assert_eq!(book.parts[..base.parts.len()], base.parts[..]);
    }
}
