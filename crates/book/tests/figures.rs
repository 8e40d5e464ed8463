//! Figures that a book leaves out, leaves to the hand, or writes in the wrong unit, on little books of our own.

use book::read_book;
use model::{Book, StageTarget};

/// A book of one cover held by one fixing, with the lines of the fixing that matter.
fn text(fixing: &str) -> String {
    format!(
        "format = \"traywright-book/2\"\nkey = \"little\"\ntitle = \"little\"\norigin = \"invented\"\ncurrency = \"EUR\"\n\
         [[station]]\nkey = \"front\"\ntitle = \"front\"\nenter = \"0 s\"\n\
         [[part]]\nkey = \"cover\"\ntitle = \"cover\"\nstation = \"front\"\nmass = \"1 kg\"\nlift_time = \"5 s\"\nplace_time = \"5 s\"\n\
         [[part.fixing]]\nkey = \"f\"\ntitle = \"cover screws\"\nhead = {{ height = 6, diameter = 15 }}\n{fixing}\n\
         [[part.fixing.access]]\ncorridor = [{{ clear = 60 }}]\nheadroom = 300\n\
         [[task]]\nkey = \"t\"\ntitle = \"look\"\nkind = \"inspect\"\noff_first = [\"cover\"]\nwork = \"1 min\"\nstation = \"front\"\n"
    )
}

fn read(fixing: &str) -> (Option<Book>, Vec<&'static str>) {
    let reading = read_book(&[("little.toml".into(), text(fixing).into_bytes())]);
    (reading.book, reading.faults.codes())
}

#[test]
fn a_turned_thread_without_a_figure_is_one_whose_figure_is_missing() {
    for kind in ["screw", "union", "threaded-plug", "sensor"] {
        let (book, codes) = read(&format!("kind = \"{kind}\"\ndrive = \"hexagon 10 mm\""));
        assert!(codes.is_empty(), "{kind}: what is missing is no fault: {codes:?}");
        let book = book.expect("no fault");
        let missing = book::list_missing_figures(&book);
        assert!(
            missing.iter().any(|line| line.figure == "the tightening figure" && line.count == 1),
            "{missing:?}"
        );
        assert!(book.fixings[0].is_figure_missing(), "{kind}");
        assert_eq!(model::progress::passes_to_tighten(&book.fixings[0]), 1, "{kind}");
        let written = book::write_book(&book);
        assert!(!written.contains("figure missing") && !written.contains("tighten"), "{written}");
    }
    let (book, codes) = read("kind = \"clip\"\ndrive = \"push clip 8 mm\"");
    assert!(codes.is_empty(), "{codes:?}");
    assert!(!book.expect("no fault").fixings[0].is_figure_missing());
}

#[test]
fn by_feel_is_a_written_word_and_never_for_what_is_critical() {
    let felt = "kind = \"screw\"\ndrive = \"hexagon 10 mm\"\ntighten = \"by feel\"";
    let (book, codes) = read(felt);
    assert!(codes.is_empty(), "{codes:?}");
    let book = book.expect("no error");
    assert_eq!(book.fixings[0].tightening.stages[0].target, StageTarget::ByFeel);
    assert!(!book.fixings[0].is_figure_missing());
    let (book, codes) = read(&format!("{felt}\ncritical = true"));
    assert!(book.is_none() && codes.contains(&"B337"), "{codes:?}");
}

/// Hexagon 10 mm goes on an M6 (ISO 4014); 10 N·m is its order of magnitude, 120 lbf·ft is twelve times that.
#[test]
fn the_unit_guard_needs_no_thread() {
    let tight = |figure: &str| {
        let fixing = "kind = \"screw\"\ndrive = \"hexagon 10 mm\"\nsource = \"invented\"\ntighten = ";
        read(&format!("{fixing}\"{figure}\"")).1
    };
    assert!(tight("120 lbf·ft").contains(&"B314"), "{:?}", tight("120 lbf·ft"));
    for good in ["9 N·m", "80 in-lbs"] {
        let codes = tight(good);
        assert!(!codes.contains(&"B313") && !codes.contains(&"B314"), "{good}: {codes:?}");
    }
}

#[test]
fn a_head_read_to_a_tenth_is_no_smaller_than_its_drive() {
    let (_, codes) = read("kind = \"screw\"\ndrive = \"hexagon 9/16 in\"\ntighten = \"by feel\"");
    assert!(!codes.contains(&"B321"), "{codes:?}");
    let head =
        text("kind = \"screw\"\ndrive = \"hexagon 15/16 in\"").replace("diameter = 15", "diameter = 23.8");
    let reading = read_book(&[("little.toml".into(), head.into_bytes())]);
    assert!(!reading.faults.codes().contains(&"B321"), "{:?}", reading.faults.codes());
}
