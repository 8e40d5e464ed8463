//! Tightening figures that the book does not have: nothing is tight by running in, and what closes a missing one.

use std::rc::Rc;
use std::sync::OnceLock;

use model::plan::Plan;
use model::{Book, FastenerState};
use proptest::prelude::*;
use record::ledger::{LedgerCountKind, LedgerLineKind};
use record::visit::FigureWord;
use record::{
    Event, EventHistory, EventPlace, FastenerKey, Ledger, MarkedHole, Refusal, RefusalKind, TapDirection,
    VisitBody, VisitCommand, VisitHappeningKind, accept_event, decide,
};

use crate::common::{Bench, device, digest, id, visit_id};

const BOLTS: &str = "cover-bolts";

/// The small engine, whose cover bolts have neither a figure nor a word for it.
fn book() -> &'static Book {
    static BOOK: OnceLock<Book> = OnceLock::new();
    BOOK.get_or_init(|| {
        let text = include_str!("../data/small.toml");
        let at = text.find("key         = \"cover-bolts\"").expect("the cover bolts");
        let line = at + text[at..].find("tighten").expect("their figure");
        let end = line + text[line..].find('\n').expect("the end of the line");
        let text = format!("{}{}", &text[..line], &text[end + 1..]);
        let reading = book::read_book(&[("small.toml".into(), text.into_bytes())]);
        reading.book.unwrap_or_else(|| panic!("{:?}", reading.faults))
    })
}

/// The plan of the small engine with the one pass that the cover bolts now have.
fn plan() -> Rc<Plan> {
    let mut plan = (*Bench::new("tablet").plan).clone();
    let tighten = plan.refit.steps.iter_mut().find(|s| s.number == 18).expect("the cover is tightened");
    tighten.actions.truncate(1);
    Rc::new(plan)
}

/// The visit works from a book in which these fixings have no figure.
fn based_on<const N: usize>(book: char, missing: [&str; N]) -> VisitBody {
    let figures_missing = missing.map(String::from).into();
    VisitBody::BasedOn { book: Some(digest(book)), store: Some(digest('b')), figures_missing }
}

/// A device that writes what it decides, and what it saw without asking.
#[derive(Clone)]
pub(crate) struct FigureBench {
    history: EventHistory,
    plan: Rc<Plan>,
    written: u32,
}

impl FigureBench {
    fn begun() -> Self {
        let mut bench = Self { history: EventHistory::new(visit_id()), plan: plan(), written: 0 };
        let (letter, name) = ("A".into(), "the green one".into());
        bench.must(VisitBody::Opened { vehicle: None, letter, name, odometer: None });
        bench.must(based_on('a', [BOLTS]));
        bench.must(VisitBody::Planned { plan: digest('c'), why: String::new(), again: Default::default() });
        bench
    }

    /// The cover off, its bolts run in again.
    pub(crate) fn run_in() -> Self {
        let mut bench = Self::begun();
        for step in [1, 4, 5, 6] {
            bench.must(VisitCommand::Tick { step });
        }
        bench.must(VisitBody::PartOn { part: "cover".into() });
        bench.must(VisitCommand::Tick { step: 16 });
        bench
    }

    fn write(&mut self, by: &str, body: VisitBody) {
        self.written += 1;
        let order = self.history.next_order(&device(by));
        let (stream, id) = (visit_id().into(), id(&format!("e{}", self.written)));
        let event = Event { stream, id, order, person: None, at_ms: 0, body };
        if accept_event(&visit_id().into(), &event).is_ok() {
            self.history.insert(event);
        }
    }

    pub(crate) fn ask(&mut self, command: impl Into<VisitCommand>) -> Result<(), Refusal> {
        for body in decide(self.history.state(), book(), &*self.plan, command.into())? {
            self.write("tablet", body);
        }
        Ok(())
    }

    fn must(&mut self, command: impl Into<VisitCommand>) {
        let command = command.into();
        self.ask(command.clone()).unwrap_or_else(|r| panic!("{command:?} was refused: {r}"));
    }

    pub(crate) fn give(&mut self, figure: &str) -> Result<(), Refusal> {
        let (fixing, figure) = (BOLTS.to_owned(), figure.to_owned());
        self.ask(VisitBody::FigureGiven {
            fixing,
            figure,
            source: "p. 2-14 step 3".into(),
            name: "N. N.".into(),
        })
    }

    pub(crate) fn waive(&mut self) -> Result<(), Refusal> {
        let reason = "book lost, by hand and a drop of oil".to_owned();
        self.ask(VisitBody::FigureWaived { fixing: BOLTS.into(), reason, name: "N. N.".into() })
    }

    pub(crate) fn ledger(&self) -> Ledger {
        Ledger::draw_up(self.history.state(), book())
    }

    fn has_line(&self) -> bool {
        self.ledger().lines.iter().any(|l| l.kind == LedgerLineKind::FigureMissing)
    }

    fn states(&self) -> Vec<FastenerState> {
        self.history.state().fasteners.of_fixing(BOLTS).map(|(_, f)| f.state).collect()
    }

    fn all_are(&self, state: FastenerState) -> bool {
        !self.states().is_empty() && self.states().iter().all(|s| *s == state)
    }
}

#[test]
fn running_in_leaves_it_run_in_and_a_line_stands() {
    let mut bench = FigureBench::run_in();
    assert!(bench.all_are(FastenerState::FingerTight));
    assert!(bench.has_line());
    let refusal = bench.ask(VisitCommand::Tick { step: 18 }).expect_err("no figure, no name");
    assert_eq!(refusal.why, RefusalKind::FigureMissing);
    assert_eq!(refusal.against[0].line.as_deref(), Some("figure-missing/cover-bolts"));
    assert!(bench.all_are(FastenerState::FingerTight));
}

#[test]
fn nobody_says_tight_where_there_is_nothing_to_be_tight_by() {
    let mut bench = FigureBench::run_in();
    for to in [FastenerState::Tight, FastenerState::Checked] {
        let mark = VisitCommand::Mark { fixing: BOLTS.into(), holes: ["1".into()].into(), to, slot: None };
        assert!(bench.ask(mark).is_err());
        let holes = vec![MarkedHole { hole: "1".into(), from: FastenerState::FingerTight }];
        let body = VisitBody::Marked { fixing: BOLTS.into(), holes, to, slot: None, stage: None };
        bench.write("phone", body);
        assert!(bench.all_are(FastenerState::FingerTight));
        assert!(bench.has_line());
    }
    let tap = FastenerKey { fixing: BOLTS.into(), hole: "2".into() };
    assert!(bench.ask(VisitCommand::Tap { fastener: tap, way: TapDirection::On }).is_err());
}

#[test]
fn a_figure_with_its_source_lets_it_be_tightened_to_it() {
    let mut bench = FigureBench::run_in();
    for bad in ["", "45", "seat", "by feel", "90°", "-3 N·m", "figure missing", "45 N·m, 3 mm"] {
        assert!(bench.give(bad).is_err(), "{bad}");
    }
    bench.give("9 N·m, then 90°").expect("a figure with its source");
    assert!(!bench.has_line());
    assert!(bench.all_are(FastenerState::FingerTight), "the tightening is still to be done");
    assert!(
        bench.ledger().lines.iter().any(|l| l.closes.contains("9 N·m, then 90° (p. 2-14 step 3; N. N.)"))
    );
    bench.must(VisitCommand::Tick { step: 18 });
    assert!(bench.all_are(FastenerState::Tight));
    assert!(!bench.ledger().lines.iter().any(|l| l.at.fixing.as_deref() == Some(BOLTS)));
}

#[test]
fn another_figure_undoes_what_was_tightened_by_the_first() {
    let mut bench = FigureBench::run_in();
    bench.give("9 N·m").expect("a figure");
    bench.must(VisitCommand::Tick { step: 18 });
    bench.give("9 N·m").expect("the same with another source");
    assert!(bench.all_are(FastenerState::Tight));
    bench.give("11 N·m").expect("another");
    assert!(bench.all_are(FastenerState::FingerTight));
    bench.must(VisitCommand::Tick { step: 18 });
    assert!(bench.all_are(FastenerState::Tight));
}

#[test]
fn a_name_with_a_reason_closes_it_and_stays() {
    let mut bench = FigureBench::run_in();
    let nameless = VisitBody::FigureWaived { fixing: BOLTS.into(), reason: "so".into(), name: " ".into() };
    assert!(bench.ask(nameless).is_err());
    bench.waive().expect("a name and a reason");
    assert!(!bench.has_line());
    bench.must(VisitCommand::Tick { step: 18 });
    assert!(bench.all_are(FastenerState::Tight));
    let word = bench.history.state().figures.word_on(BOLTS).map(FigureWord::as_words);
    assert_eq!(word.as_deref(), Some("no figure, N. N."));
}

#[test]
fn taking_the_word_back_takes_the_tightness_back() {
    let mut bench = FigureBench::run_in();
    bench.waive().expect("a name and a reason");
    let word = id(&format!("e{}", bench.written));
    bench.must(VisitCommand::Tick { step: 18 });
    bench.must(VisitBody::Undone { event: word });
    assert!(bench.all_are(FastenerState::FingerTight));
    assert!(bench.has_line());
}

#[test]
fn the_book_in_force_says_which_figures_are_missing() {
    let mut bench = FigureBench::run_in();
    bench.must(based_on('e', []));
    let mark = |hole: &str| {
        let holes = vec![MarkedHole { hole: hole.into(), from: FastenerState::FingerTight }];
        let to = FastenerState::Tight;
        VisitBody::Marked { fixing: BOLTS.into(), holes, to, slot: None, stage: Some(1) }
    };
    bench.write("phone", mark("1"));
    assert_eq!(bench.history.state().fastener_state(BOLTS, "1"), FastenerState::Tight);
    bench.must(based_on('a', [BOLTS]));
    assert!(bench.all_are(FastenerState::FingerTight), "tight by a figure that this book does not have");
    bench.write("phone", VisitBody::BasedOn { book: None, store: None, figures_missing: Default::default() });
    bench.write("phone", mark("1"));
    assert!(bench.all_are(FastenerState::FingerTight), "no book takes no figure's place");
}

#[test]
fn what_the_visit_works_from_is_not_taken_back() {
    let mut bench = FigureBench::run_in();
    let texts = bench.history.state().based_on.as_ref().expect("a book").stamp.event.clone();
    let refusal = bench.ask(VisitBody::Undone { event: texts.clone() }).expect_err("name another instead");
    assert_eq!(refusal.why, RefusalKind::Begun);
    bench.write("phone", VisitBody::Undone { event: texts });
    assert!(bench.history.state().based_on.is_some());
    assert!(bench.history.state().figures.missing.contains(BOLTS));
}

#[test]
fn a_fixing_with_a_figure_in_the_book_wants_none() {
    let mut bench = FigureBench::run_in();
    let asked = VisitBody::FigureGiven {
        fixing: "manifold-bolts".into(),
        figure: "9 N·m".into(),
        source: "p. 1".into(),
        name: "N. N.".into(),
    };
    assert!(bench.ask(asked).is_err());
}

/// One thing that a person taps or a device sends, drawn from a number; never a figure nor a name for going without.
fn do_something(bench: &mut FigureBench, number: u32) {
    let hole = (number / 7 % 4 + 1).to_string();
    let fastener = FastenerKey { fixing: BOLTS.into(), hole: hole.clone() };
    let to = FastenerState::ALL[(number / 31 % 8) as usize];
    let from = FastenerState::ALL[(number / 257 % 8) as usize];
    let step = number / 5 % 19 + 1;
    let by = ["tablet", "phone", "desk"][(number / 3 % 3) as usize];
    let marked = |stage| VisitBody::Marked {
        fixing: BOLTS.into(),
        holes: vec![MarkedHole { hole: hole.clone(), from }],
        to,
        slot: None,
        stage,
    };
    let at = EventPlace { fixing: Some(BOLTS.into()), hole: Some(hole.clone()), ..EventPlace::default() };
    match number % 13 {
        0 => _ = bench.ask(VisitCommand::Tap { fastener, way: TapDirection::On }),
        1 => _ = bench.ask(VisitCommand::Tick { step }),
        2 => _ = bench.ask(VisitCommand::TickHole { step: 18, fastener }),
        3 => {
            let holes = [hole].into();
            _ = bench.ask(VisitCommand::Mark { fixing: BOLTS.into(), holes, to, slot: None });
        }
        4 => _ = bench.ask(VisitBody::Settled { fastener, to }),
        5 => bench.write(by, marked(None)),
        6 => bench.write(by, marked(Some((number % 4) as u8))),
        7 => bench.write(by, VisitBody::Settled { fastener, to }),
        8 => bench.write(by, VisitBody::Renewed { fixing: BOLTS.into(), holes: [hole].into() }),
        9 => {
            let event = id(&format!("e{}", number / 11 % bench.written.max(1) + 1));
            bench.write(by, VisitBody::Undone { event });
        }
        10 => bench.write(by, VisitBody::PartOn { part: "cover".into() }),
        11 => {
            let what = VisitHappeningKind::Broken;
            bench.write(by, VisitBody::Happened { what, at, words: String::new() });
        }
        _ => _ = bench.ask(VisitCommand::Tap { fastener, way: TapDirection::Back }),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn no_sequence_makes_it_tight_without_a_figure_or_a_name(
        numbers in proptest::collection::vec(any::<u32>(), 1..60),
    ) {
        let mut bench = FigureBench::run_in();
        for number in numbers {
            do_something(&mut bench, number);
            let closed = |s: &FastenerState| matches!(s, FastenerState::Tight | FastenerState::Checked);
            prop_assert!(!bench.states().iter().any(closed), "after {number}: {:?}", bench.states());
            let run_in = bench.states().contains(&FastenerState::FingerTight);
            let ledger = bench.ledger();
            prop_assert!(!run_in || !ledger.is_zero(), "run in, and the ledger reads zero");
            prop_assert!(!run_in || bench.has_line());
            let figures = ledger.counts.iter().filter(|c| c.kind == LedgerCountKind::Figures);
            prop_assert_eq!(bench.has_line(), figures.into_iter().any(|c| !c.agrees()));
            prop_assert!(bench.history.state().find_faults().is_empty(), "{:?}", bench.history.state().find_faults());
        }
    }
}
