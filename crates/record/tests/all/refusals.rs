//! What the bench refuses, one case for each way that a rule of the bench can say no.

use std::collections::BTreeSet;

use model::FastenerState::{Broken, Checked, FingerTight, InPlace, Off, Tight};
use record::{
    EventPlace, ExpectedWait, FastenerKey, PieceDestination, PutInKind, RefusalKind, StepMark, TapDirection,
    VisitBody, VisitCommand, VisitHappeningKind, decide,
};

use super::{keep, marked};
use crate::common::{Bench, book, device, id};
use crate::figures::FigureBench;

/// Every kind of refusal; a new one does not compile here until it is listed, and fails until it is shown.
const KINDS: [RefusalKind; 19] = [
    RefusalKind::NotBegun,
    RefusalKind::Begun,
    RefusalKind::Closed,
    RefusalKind::Unknown,
    RefusalKind::NothingToDo,
    RefusalKind::StillIn,
    RefusalKind::StillOff,
    RefusalKind::Undecided,
    RefusalKind::NotRenewed,
    RefusalKind::OtherFirst,
    RefusalKind::StillInside,
    RefusalKind::TooMany,
    RefusalKind::LedgerOpen,
    RefusalKind::SameMethod,
    RefusalKind::NameWanted,
    RefusalKind::NoBook,
    RefusalKind::NoPlan,
    RefusalKind::FigureMissing,
    RefusalKind::FigureUnreadable,
];

/// The place of a kind in [`KINDS`].
const fn place_of(kind: RefusalKind) -> usize {
    match kind {
        RefusalKind::NotBegun => 0,
        RefusalKind::Begun => 1,
        RefusalKind::Closed => 2,
        RefusalKind::Unknown => 3,
        RefusalKind::NothingToDo => 4,
        RefusalKind::StillIn => 5,
        RefusalKind::StillOff => 6,
        RefusalKind::Undecided => 7,
        RefusalKind::NotRenewed => 8,
        RefusalKind::OtherFirst => 9,
        RefusalKind::StillInside => 10,
        RefusalKind::TooMany => 11,
        RefusalKind::LedgerOpen => 12,
        RefusalKind::SameMethod => 13,
        RefusalKind::NameWanted => 14,
        RefusalKind::NoBook => 15,
        RefusalKind::NoPlan => 16,
        RefusalKind::FigureMissing => 17,
        RefusalKind::FigureUnreadable => 18,
    }
}

/// The refusals so far, by kind.
#[derive(Default)]
struct Refused(Vec<BTreeSet<String>>);

impl Refused {
    /// Asks a bench that has to refuse.
    #[track_caller]
    fn ask(&mut self, bench: &Bench, command: impl Into<VisitCommand>) {
        let command = command.into();
        let refusal = decide(bench.visit(), book(), &*bench.plan, command.clone());
        self.add(refusal.expect_err(&format!("{command:?} is granted")));
    }

    fn add(&mut self, refusal: record::Refusal) {
        self.0.resize(KINDS.len(), BTreeSet::new());
        let mut words = refusal.to_string();
        if refusal.against.len() > 2 {
            let first = &refusal.against[0];
            words = format!("{}: {}; and {} more", first.what, first.closes, refusal.against.len() - 1);
        }
        self.0[place_of(refusal.why)].insert(words);
    }
}

fn tick(step: u32) -> VisitCommand {
    VisitCommand::Tick { step }
}

fn tap(fixing: &str, hole: &str, way: TapDirection) -> VisitCommand {
    VisitCommand::Tap { fastener: FastenerKey { fixing: fixing.into(), hole: hole.into() }, way }
}

fn one(hole: &str) -> BTreeSet<String> {
    [hole.to_owned()].into()
}

fn renew(fixing: &str, holes: BTreeSet<String>) -> VisitCommand {
    VisitCommand::Renew { fixing: fixing.into(), holes }
}

fn cap(opening: &str, count: Option<u16>) -> VisitCommand {
    VisitCommand::Cap { opening: opening.into(), count }
}

fn uncap(opening: &str, count: Option<u16>) -> VisitCommand {
    VisitCommand::Uncap { opening: opening.into(), count }
}

fn part_on(part: &str) -> VisitBody {
    VisitBody::PartOn { part: part.into() }
}

fn part_off(part: &str) -> VisitBody {
    VisitBody::PartOff { part: part.into() }
}

/// Before the beginning, at it, and after the end.
fn beginning_and_end(all: &mut Refused) {
    let mut bench = Bench::new("tablet");
    let open = |letter: &str| VisitBody::Opened {
        vehicle: None,
        letter: letter.into(),
        name: String::new(),
        odometer: None,
    };
    all.ask(&bench, tick(1));
    all.ask(&bench, open(""));
    let first = bench.must(open("A").into()).remove(0).id;
    for (what, book) in [(tick(1), None), (tick(1), Some(book())), (cap("ports", None), None)] {
        all.add(decide(bench.visit(), book, None, what).expect_err("without a plan"));
    }
    all.ask(&bench, open("A"));
    all.ask(&bench, VisitBody::Undone { event: first });
    all.ask(&bench, VisitCommand::UndoLast { device: device("tablet") });
    all.ask(&bench, VisitCommand::UndoLast { device: device("phone") });
    all.ask(&bench, VisitBody::Resumed);
    all.ask(&bench, VisitBody::Closed { name: " ".into() });
    bench.must(VisitBody::Paused { words: String::new(), at: EventPlace::default() }.into());
    all.ask(&bench, VisitBody::Paused { words: String::new(), at: EventPlace::default() });
    bench.must(VisitBody::Closed { name: "Kim".into() }.into());
    all.ask(&bench, tick(1));
}

/// Names that nobody knows.
fn unknown_names(all: &mut Refused) {
    let bench = Bench::begun();
    let done = StepMark::Done;
    let x = || String::from("x");
    all.ask(&bench, tick(99));
    all.ask(&bench, VisitCommand::TickFixing { step: 4, fixing: x() });
    all.ask(&bench, part_off("x"));
    all.ask(&bench, part_on("x"));
    all.ask(&bench, VisitBody::Established { condition: x() });
    all.ask(&bench, VisitBody::Restored { condition: x() });
    all.ask(&bench, cap("x", None));
    all.ask(&bench, uncap("x", None));
    all.ask(&bench, VisitCommand::Task { task: x(), to: done });
    all.ask(&bench, tap("cover-bolts", "13", TapDirection::On));
    all.ask(&bench, renew("x", BTreeSet::new()));
    all.ask(&bench, renew("cover-bolts", one("99")));
    all.ask(&bench, VisitBody::WaitOver { wait: id("x") });
    all.ask(&bench, VisitCommand::TakeOut { put_in: id("x"), count: None });
    all.ask(&bench, VisitBody::DealtWith { happening: id("x"), how: x() });
    all.ask(&bench, VisitBody::LookedAgain { event: id("x"), method: "eyes".into() });
    all.ask(&bench, VisitBody::Answered { finding: id("x"), word: record::OwnerWord::Yes, by: x() });
    all.ask(&bench, VisitBody::Overridden { line: x(), reason: "seen".into(), name: "Kim".into() });
}

/// Parts, conditions, caps and fasteners on the way in and out, in the order of the job.
fn along_the_job(all: &mut Refused) {
    let mut bench = Bench::begun();
    all.ask(&bench, VisitBody::Restored { condition: "raised".into() });
    bench.tick([1, 2]);
    all.ask(&bench, VisitBody::Established { condition: "coolant-drained".into() });
    bench.tick([3, 3, 4]);
    all.ask(&bench, tick(3));
    all.ask(&bench, tick(4));
    all.ask(&bench, tick(6));
    bench.tick([5, 6]);
    all.ask(&bench, tick(6));
    all.ask(&bench, renew("manifold-bolts", BTreeSet::new()));
    all.ask(&bench, renew("manifold-bolts", one("2")));
    bench.tick([7, 8]);
    all.ask(&bench, cap("ports", Some(7)));
    all.ask(&bench, uncap("ports", None));
    bench.tick([9]);
    all.ask(&bench, cap("ports", None));
    all.ask(&bench, uncap("ports", Some(7)));
    all.ask(&bench, tick(15));
    all.ask(&bench, tick(16));
    all.ask(&bench, tick(12));
    bench.tick([10]);
    all.ask(&bench, tick(10));
    bench.tick([11, 12]);
    all.ask(&bench, part_on("manifold"));
    all.ask(&bench, tick(13));
    all.ask(&bench, tick(14));
    all.ask(&bench, tick(19));
    bench.must(renew("manifold-bolts", BTreeSet::new()));
    all.ask(&bench, tap("manifold-bolts", "1", TapDirection::Back));
    all.ask(&bench, VisitBody::Closed { name: "Kim".into() });
}

/// Taps and marks that lead nowhere.
fn taps(all: &mut Refused) {
    let mut bench = Bench::begun();
    all.ask(&bench, tap("cover-bolts", "1", TapDirection::Back));
    bench.write(marked("cover-bolts", "1", InPlace, Checked));
    all.ask(&bench, tap("cover-bolts", "1", TapDirection::On));
    bench.write(marked("cover-bolts", "2", InPlace, Broken));
    all.ask(&bench, tap("cover-bolts", "2", TapDirection::On));
    all.ask(&bench, tap("cover-bolts", "2", TapDirection::Back));
    all.ask(&bench, tick(18));
    let mut phone = bench.other("zphone");
    bench.write(marked("cover-bolts", "3", InPlace, Tight));
    bench.write(marked("cover-bolts", "3", Tight, FingerTight));
    phone.write(marked("cover-bolts", "3", InPlace, Off));
    bench.hear(&phone);
    all.ask(&bench, tap("cover-bolts", "3", TapDirection::On));
    let line = String::from("undecided/cover-bolts/3");
    all.ask(&bench, VisitBody::Overridden { line, reason: "in a hurry".into(), name: "Kim".into() });
    let fastener = FastenerKey { fixing: "cover-bolts".into(), hole: "4".into() };
    all.ask(&bench, VisitBody::Settled { fastener, to: Tight });
}

/// Things put in, pieces, happenings, waits, counts and second looks.
fn things(all: &mut Refused) {
    let mut bench = Bench::begun();
    let at = || EventPlace { opening: Some("ports".into()), ..EventPlace::default() };
    let put = |count| VisitBody::PutIn { what: PutInKind::Rag, words: String::new(), count, at: at() };
    all.ask(&bench, put(0));
    bench.strip();
    bench.tick([11]);
    let put_in = bench.must(put(2).into()).remove(0).id;
    all.ask(&bench, part_on("manifold"));
    all.ask(&bench, VisitBody::TakenOut { put_in: put_in.clone(), count: 3 });
    bench.must(VisitBody::TakenOut { put_in: put_in.clone(), count: 2 }.into());
    all.ask(&bench, VisitBody::TakenOut { put_in, count: 1 });
    let piece = |count, to| VisitBody::Piece { piece: "ratchet".into(), count, to };
    all.ask(&bench, piece(0, PieceDestination::Cart));
    all.ask(&bench, piece(1, PieceDestination::Place));

    let lost = VisitBody::Happened { what: VisitHappeningKind::Lost, at: at(), words: "a nut".into() };
    let happening = bench.must(lost.into()).remove(0).id;
    let give_up = |searched: &str, name: &str| VisitBody::GivenUp {
        happening: happening.clone(),
        searched: searched.into(),
        name: name.into(),
    };
    all.ask(&bench, give_up("", "Kim"));
    all.ask(&bench, give_up("the floor", ""));
    let line = format!("lost/{happening}");
    let accept = |reason: &str, name: &str| VisitBody::Overridden {
        line: line.clone(),
        reason: reason.into(),
        name: name.into(),
    };
    all.ask(&bench, accept("", "Kim"));
    all.ask(&bench, accept("seen", " "));
    let deal = VisitBody::DealtWith { happening: happening.clone(), how: "magnet".into() };
    bench.must(deal.clone().into());
    all.ask(&bench, deal);
    let waiting = ExpectedWait { what: "sealant".into(), seconds: Some(600) };
    let wait = bench.must(VisitBody::WaitBegan { waiting, at: at() }.into()).remove(0).id;
    bench.must(VisitBody::WaitOver { wait: wait.clone() }.into());
    all.ask(&bench, VisitBody::WaitOver { wait });
    bench.must(VisitBody::Paused { words: String::new(), at: EventPlace::default() }.into());
    let work: Vec<_> = record::look_again(bench.visit()).iter().map(|i| i.work.stamp.event.clone()).collect();
    let look = |event: &record::EventId, method: &str| VisitBody::LookedAgain {
        event: event.clone(),
        method: method.into(),
    };
    all.ask(&bench, look(&work[0], ""));
    for event in &work {
        let item = record::look_again(bench.visit()).into_iter().find(|i| i.work.stamp.event == *event);
        let before = item.map(|i| i.before[0].to_owned()).expect("it is to be looked at again");
        all.ask(&bench, look(event, &before));
    }
}

/// Tightening figures that the book does not have.
fn figures(all: &mut Refused) {
    let mut bench = FigureBench::run_in();
    all.add(bench.ask(tick(18)).expect_err("no figure, no name"));
    all.add(bench.give("45").expect_err("a figure without its unit"));
    bench.give("9 N·m").expect("a figure with its source");
    let unknown = VisitBody::FigureWaived { fixing: "x".into(), reason: "none".into(), name: "Kim".into() };
    all.add(bench.ask(unknown).expect_err("a fixing that nobody knows"));
}

#[test]
fn every_refusal() {
    assert!(KINDS.iter().enumerate().all(|(at, kind)| place_of(*kind) == at));
    let mut all = Refused::default();
    beginning_and_end(&mut all);
    unknown_names(&mut all);
    along_the_job(&mut all);
    taps(&mut all);
    things(&mut all);
    figures(&mut all);
    let mut page = Vec::new();
    for (kind, said) in KINDS.iter().zip(&all.0) {
        assert!(!said.is_empty(), "{kind:?} is not shown");
        page.push(format!("{kind:?}"));
        page.extend(said.iter().map(|words| format!("  {words}")));
    }
    keep("refusals", &page);
}
