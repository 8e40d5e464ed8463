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

fn placed(key: &str, places_mm: &[(i32, i32)]) -> FixingAddition {
    let count = u16::try_from(places_mm.len()).expect("few");
    let places_um = places_mm.iter().map(|(x, y)| (x * 1000 + 250, y * 1000 - 250)).collect();
    FixingAddition { places_um, first: Some(1), ..fixing(key, count, &[]) }
}

fn book_of(fixings: Vec<FixingAddition>) -> book::GrownBook {
    let parts = vec![part("seen-a", "cover", &[], fixings)];
    grow_book(None, &BookAddition { parts, ..three_parts_without() })
}

fn three_parts_without() -> BookAddition {
    BookAddition { parts: Vec::new(), tasks: Vec::new(), ..three_parts() }
}

#[test]
fn places_are_written_with_the_holes_and_read_back() {
    let grown = book_of(vec![placed("seen-f", &[(0, 0), (40, -3), (80, 60)])]);
    assert_eq!(grown.left_out, Vec::<String>::new());
    let book = grown.book.expect("a good book");
    let fixing = &book.fixings[0];
    assert!(fixing.are_places_known);
    let places: Vec<(f64, f64)> = fixing.holes.iter().map(|hole| (hole.x.as_mm(), hole.y.as_mm())).collect();
    assert_eq!(places, [(0.25, -0.25), (40.25, -3.25), (80.25, 59.75)]);
    let labels: Vec<&str> = fixing.holes.iter().map(|hole| hole.label.as_str()).collect();
    assert_eq!(labels, ["1", "2", "3"]);
}

#[test]
fn places_that_cannot_be_are_left_out_and_named_and_the_rest_stands() {
    for places in [&[(0, 0), (0, 0), (5, 5)][..], &[(0, 0), (9, 9)][..]] {
        let mut odd = placed("seen-f", places);
        odd.count = 3;
        let grown = book_of(vec![odd]);
        let book = grown.book.expect("a good book");
        assert!(!book.fixings[0].are_places_known && book.fixings[0].holes.len() == 3);
        assert_eq!(grown.left_out.len(), 1, "{:?}", grown.left_out);
    }
}

#[test]
fn holes_that_have_places_keep_them_and_holes_without_get_them() {
    let base = book_of(vec![fixing("seen-f", 2, &[])]).book.expect("a good book");
    let with = |base: &model::Book, places: &[(i32, i32)]| {
        let parts = vec![part("seen-a", "cover", &[], vec![placed("seen-f", places)])];
        let addition = BookAddition { parts, ..three_parts_without() };
        grow_book(Some(base), &addition).book.expect("a good book")
    };
    let first = with(&base, &[(0, 0), (30, 0)]);
    assert!(first.fixings[0].are_places_known);
    let second = with(&first, &[(0, 0), (99, 0)]);
    assert_eq!(second.fixings[0].holes, first.fixings[0].holes);
    // Two books: places go over where the first has none on that part.
    let united = book::unite_books(&base, &first);
    assert!(united.added.iter().any(|words| words.ends_with("places of its holes")), "{:?}", united.added);
    let read = read_book(&[("united.toml".into(), united.text.into_bytes())]).book.expect("a good book");
    assert_eq!(read.fixings[0].holes, first.fixings[0].holes);
    assert_eq!(book::unite_books(&first, &second).added, Vec::<String>::new());
}

#[test]
fn what_is_noted_of_a_fixing_stands_in_the_tip_of_its_part_and_a_learned_time_is_inferred() {
    let base = grow_book(None, &three_parts()).book.expect("a good book");
    let part = base.part(base.fixings[0].part);
    let fixing = &base.fixings[0];
    let noted = FixingAddition {
        key: fixing.key.clone(),
        notes: vec![String::from("Done with a 10 mm socket.")],
        ..FixingAddition::default()
    };
    let parts = vec![PartAddition {
        key: part.key.clone(),
        learned_lift_s: Some(372),
        fixings: vec![noted],
        ..PartAddition::default()
    }];
    let grown = grow_book(Some(&base), &BookAddition { parts, ..BookAddition::default() });
    let book = grown.book.expect("it reads");
    let part = book.part(book.part_by_key(&part.key).expect("it is there"));
    let tip = part.tip.as_deref().expect("a tip");
    assert!(tip.contains(&format!("{}: Done with a 10 mm socket.", fixing.title)), "{tip}");
    assert!((part.lift_s() - 372.0).abs() < 1e-9);
    assert_eq!(part.origins.times, Some(model::FigureOrigin::Inferred));
}
