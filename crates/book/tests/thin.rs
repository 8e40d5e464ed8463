//! Books in which little is told: what is wanted, what is made from titles, what stays unknown, and that all of it comes back.

use book::{first_book_text, list_missing_figures, read_book, write_book, write_book_rows, write_made_keys};
use model::{
    Book, DriveForm, FastenerKind, FigureGrade, FixingFigures, HoleOrderOrigin, Known, PartKind, RoomClass,
    SideFigures,
};
use units::{Length, Torque};

fn read_text(text: &str) -> Book {
    let reading = read_book(&[("thin.toml".into(), text.into())]);
    let shown = faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain);
    reading.book.unwrap_or_else(|| panic!("{shown}\n{text}"))
}

#[test]
fn every_thin_text_is_a_book_that_comes_back() {
    let folder = format!("{}/tests/thin", env!("CARGO_MANIFEST_DIR"));
    let mut count = 0;
    for entry in std::fs::read_dir(folder).expect("the folder is there") {
        let text = std::fs::read_to_string(entry.expect("an entry").path()).expect("a text");
        let book = read_text(&text);
        assert_eq!(read_text(&write_book(&book)), book, "{}", write_book(&book));
        count += 1;
    }
    assert!(count >= 10, "{count} texts");
}

/// The least that may be told, word for word.
const LEAST: &str = r#"
format = "traywright-book/2"
title = "a cover on an engine nobody has described"
[[part]]
title = "timing cover"
kind = "cover"
  [[part.fixing]]
  count = 10
  drive = "hexagon 10 mm"
  thread = "M6"
[[task]]
title = "look behind the cover"
off_first = ["timing-cover"]
"#;

#[test]
fn a_title_and_a_count_make_a_book() {
    let book = read_text(LEAST);
    assert_eq!(book.key, "a-cover-on-an-engine-nobody-has-described");
    assert_eq!((book.stations.len(), book.currency.as_str()), (1, "EUR"));
    assert_eq!(book.parts[0].kind, Some(PartKind::Cover));
    let fixing = &book.fixings[0];
    assert_eq!((fixing.key.as_str(), fixing.title.as_str()), ("timing-cover-bolts", "timing cover bolts"));
    assert_eq!((fixing.holes.len(), fixing.kind), (10, FastenerKind::Bolt));
    assert!(!fixing.are_places_known && fixing.is_figure_missing());
    assert_eq!(HoleOrderOrigin::of_fixings(&[fixing]), HoleOrderOrigin::NotKnown);
    let doubts = book.reach_doubts(model::FixingId::new(0), 0);
    assert_eq!(doubts.not_known, ["the room"]);
    let nothing_told: &FixingFigures = fixing.figures.as_deref().expect("nothing is told of head and room");
    assert_eq!(nothing_told.grip_height, Known::Nothing);
    assert_eq!(nothing_told.accesses[0].side, SideFigures::NotKnown);
}

#[test]
fn a_room_of_the_fixing_holds_for_all_its_holes_and_is_written_in_a_word() {
    let book = read_text(&LEAST.replace("thread = \"M6\"", "thread = \"M6\"\n  room = \"open\""));
    let figures = book.fixings[0].figures.as_deref().expect("only the class is told");
    assert_eq!(figures.accesses[0].room, Some(RoomClass::Open));
    assert!(book.reach_doubts(model::FixingId::new(0), 0).not_known.is_empty());
    assert!(write_book(&book).contains("room = \"open\""), "{}", write_book(&book));
}

#[test]
fn a_fixing_without_a_drive_is_turned_and_not_known() {
    let book = read_text(&LEAST.replace("drive = \"hexagon 10 mm\"\n", ""));
    assert_eq!(book.fixings[0].drive.form(), DriveForm::NotKnown);
    assert!(book.fixings[0].wants_tightening());
    assert_eq!(book.reach_doubts(model::FixingId::new(0), 0).not_known, ["the drive", "the room"]);
}

#[test]
fn a_tightening_figure_is_firm_only_with_a_citation() {
    let grade = |source: &str| {
        let told = format!("thread = \"M6\"\n  tighten = \"10 N·m\"\n  source = \"{source}\"");
        let book = read_text(&LEAST.replace("thread = \"M6\"", &told));
        book.tightening_grade(&book.fixings[0])
    };
    assert_eq!(grade("workshop manual p. 2-14 step 3"), FigureGrade::Firm);
    assert_eq!(grade("what a friend said"), FigureGrade::Assumed);
    let invented = LEAST.replace("title = \"a cover", "invented = true\ntitle = \"a cover");
    let book = read_text(&invented.replace("thread = \"M6\"", "thread = \"M6\"\n  tighten = \"10 N·m\""));
    assert_eq!(book.tightening_grade(&book.fixings[0]), FigureGrade::Firm);
}

#[test]
fn a_specification_is_aimed_at_in_its_middle_and_kept_as_written() {
    let stage = |tighten: &str| {
        let told = format!("thread = \"M8\"\n  tighten = \"{tighten}\"\n  source = \"sheet 3 p. 1\"");
        let book = read_text(&LEAST.replace("thread = \"M6\"", &told));
        book.fixings[0].tightening.stages[0].clone()
    };
    let written = stage("21 to 26 N·m");
    assert_eq!(written.target.torque(), Some(Torque::from_n_m(23.5)));
    assert_eq!(written.as_written, "21 to 26 N·m");
    let spec = written.torque_spec().expect("two ends");
    assert_eq!((spec.low, spec.high), (Torque::from_n_m(21.0), Torque::from_n_m(26.0)));
    let uneven = stage("20 +5 -3 N·m");
    assert_eq!(uneven.target.torque(), Some(Torque::from_n_m(21.0)));
}

#[test]
fn a_doubt_of_a_head_keeps_both_ends() {
    let told = "thread = \"M6\"\n  head = { height = \"between 5 and 7 mm\", diameter = 13.5 }";
    let book = read_text(&LEAST.replace("thread = \"M6\"", told));
    let figures = book.fixings[0].figures.as_deref().expect("a doubt");
    assert_eq!(figures.grip_height, Known::Between(Length::from_mm(5.0), Length::from_mm(7.0)));
    assert!(write_book(&book).contains("between 5 and 7"), "{}", write_book(&book));
}

#[test]
fn keys_of_like_titles_are_numbered_and_can_be_referred_to() {
    let text = format!("{LEAST}\n[[part]]\ntitle = \"Timing cover\"\noff_first = [\"timing-cover\"]\n");
    let book = read_text(&text);
    let keys: Vec<&str> = book.parts.iter().map(|part| part.key.as_str()).collect();
    assert_eq!(keys, ["timing-cover", "timing-cover-2"]);
    assert_eq!(book.parts[1].needs, [model::Need::Off(model::PartId::new(0))]);
}

#[test]
fn reversed_ends_and_half_a_doubt_are_refused_at_their_place() {
    for (head, told) in [("between 7 and 5 mm", "lower one first"), ("between 5 mm", "not a")] {
        let text =
            LEAST.replace("thread = \"M6\"", &format!("thread = \"M6\"\n  head = {{ height = \"{head}\" }}"));
        let reading = read_book(&[("thin.toml".into(), text.into_bytes())]);
        let shown = faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain);
        assert!(reading.book.is_none() && shown.contains(told), "{shown}");
    }
}

#[test]
fn a_book_goes_into_a_spreadsheet_and_comes_back() {
    let head = "format = \"traywright-book/2\"\ntitle = \"rows\"\n[[task]]\ntitle = \"look\"\noff_first = [\"timing-cover\"]\n";
    let sheet = "part,part_kind,off_first,count,drive,thread,room,tighten,source,one_time\n\
                 undertray,cover,,6,T30,,open,,,\n\
                 timing cover,cover,undertray,10,hexagon 10 mm,M6,open,5 N·m; 10 N·m,manual p. 3,yes\n\
                 timing cover,,,2,hexagon 13 mm,M8,deep,,,\n\
                 dipstick,,undertray,,,,,,,\n";
    let files =
        |sheet: &str| [("head.toml".into(), head.into()), ("rows.csv".into(), sheet.as_bytes().to_vec())];
    let reading = read_book(&files(sheet));
    let shown = faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain);
    let book = reading.book.unwrap_or_else(|| panic!("{shown}"));
    let keys: Vec<&str> = book.parts.iter().map(|part| part.key.as_str()).collect();
    assert_eq!(keys, ["undertray", "timing-cover", "dipstick"]);
    assert_eq!(book.parts[1].needs, [model::Need::Off(model::PartId::new(0))]);
    assert_eq!(book.fixings.iter().map(|f| f.holes.len()).collect::<Vec<_>>(), [6, 10, 2]);
    assert_eq!(book.fixings[1].tightening.stages.len(), 2);
    assert!(book.fixings[1].one_time && book.fixings[1].key == "timing-cover-bolts");
    let again = read_book(&files(&write_book_rows(&book))).book.expect("its own rows");
    assert_eq!(again.fixings, book.fixings);
    assert_eq!(again.parts, book.parts);
}

#[test]
fn keys_made_from_titles_are_written_back_once_and_keep_remarks() {
    let text = format!("# a remark\n{LEAST}");
    let engine = read_text(&text);
    let files = [(String::from("book.toml"), text)];
    let written = write_made_keys(&files, &engine).remove(0).expect("keys are added");
    assert!(
        written.starts_with("# a remark") && written.contains("key = \"timing-cover-bolts\""),
        "{written}"
    );
    assert_eq!(read_text(&written), engine);
    let again = [(String::from("book.toml"), written)];
    assert_eq!(write_made_keys(&again, &engine), [None]);
}

#[test]
fn the_first_book_passes_and_says_what_is_not_told() {
    let engine = read_text(&first_book_text("my \"own\" engine"));
    assert_eq!((engine.title.as_str(), engine.key.as_str()), ("my \"own\" engine", "my-own-engine"));
    let missing: Vec<&str> = list_missing_figures(&engine).iter().map(|line| line.figure).collect();
    assert!(missing.contains(&"the room") && missing.contains(&"the tightening figure"), "{missing:?}");
}

#[test]
fn what_locks_is_counted_and_a_loosened_pass_begins_anew() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/thin/hardware.toml");
    let engine = read_text(&std::fs::read_to_string(path).expect("the text is there"));
    let stages: Vec<_> = engine.fixings[0].tightening.stages.iter().map(|stage| stage.target).collect();
    assert!(matches!(stages[1], model::StageTarget::Loosen) && stages.len() == 3, "{stages:?}");
    assert!(!engine.fixings[1].wants_tightening() && !engine.fixings[1].is_figure_missing());
    assert_eq!(engine.fixings[1].drive.form(), DriveForm::Hand);
    assert_eq!(engine.fixings[3].size_words().as_deref(), Some("M16x1.5 LH"));
    assert_eq!((engine.measures[0].places.len(), engine.measures[0].task), (4, Some(model::TaskId::new(0))));
    assert_eq!(engine.parts[0].refit_cautions.len(), 1);
}

/// The text of a few fixings over parts with origins at random.
fn origins_text(head: Option<&str>, parts: &[(Option<&str>, Vec<Option<&str>>)]) -> String {
    let told = |origin: Option<&str>| {
        origin.map_or_else(String::new, |origin| {
            format!("origins = {{ space = \"{origin}\", tightening = \"{origin}\" }}\n")
        })
    };
    let mut text = format!("format = \"traywright-book/2\"\ntitle = \"o\"\n{}", told(head));
    for (at, (part, fixings)) in parts.iter().enumerate() {
        text.push_str(&format!("[[part]]\ntitle = \"part {at}\"\n{}", told(*part)));
        for fixing in fixings {
            text.push_str(&format!("[[part.fixing]]\ncount = 1\ndrive = \"T30\"\n{}", told(*fixing)));
        }
    }
    text
}

fn origin() -> impl proptest::strategy::Strategy<Value = Option<&'static str>> {
    proptest::sample::select(vec![None, None, Some("measured"), Some("guessed"), Some("service-data")])
}

proptest::proptest! {
    /// The writer writes the fewest origins that give the same book back: never more than any writer had written.
    #[test]
    fn the_writer_writes_the_fewest_origins(
        head in origin(),
        parts in proptest::collection::vec((origin(), proptest::collection::vec(origin(), 0..4)), 1..4),
    ) {
        let text = origins_text(head, &parts);
        let engine = read_text(&text);
        let written = write_book(&engine);
        proptest::prop_assert_eq!(read_text(&written), engine);
        let count = |text: &str| text.matches("origins").count();
        proptest::prop_assert!(count(&written) <= count(&text), "{}\n{}", text, written);
    }
}
