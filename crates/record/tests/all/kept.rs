//! Every refusal, line of the ledger, rule and reason for holding an event back, kept in `snapshots` to be read in one go.

#[path = "refusals.rs"]
mod refusals;

use std::collections::{BTreeMap, BTreeSet};

use model::FastenerState::{self, FingerTight, InPlace, Missing, Off, Tight};
use record::ledger::{LedgerLine, LedgerLineKind, RULES};
use record::{
    ContentDigest, DeviceId, Event, EventOrder, EventPlace, ExpectedWait, MarkedHole, MeasuredReading,
    NeedsAttention, OwnerWord, PersonId, PieceDestination, PutInKind, VisitBody, VisitHappeningKind, VisitId,
    accept_event, read_event,
};

use crate::common::{Bench, device, id, visit_id};
use crate::figures::FigureBench;

/// Compares a page with the one that is kept.
fn keep(name: &str, page: &[String]) {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, page.join("\n"));
    });
}

fn marked(fixing: &str, hole: &str, from: FastenerState, to: FastenerState) -> VisitBody {
    let holes = vec![MarkedHole { hole: hole.into(), from }];
    VisitBody::Marked { fixing: fixing.into(), holes, to, slot: None, stage: None }
}

fn happened(what: VisitHappeningKind, words: &str, at: EventPlace) -> VisitBody {
    VisitBody::Happened { what, at, words: words.into() }
}

/// Everything that can stand open, on one visit.
fn all_open() -> Vec<VisitBody> {
    let at = EventPlace::default;
    let found = |words: &str| VisitBody::Found {
        words: words.into(),
        price_from_cents: Some(9_000),
        price_to_cents: None,
        if_left: "it may tear".into(),
        task: None,
        at: at(),
    };
    let put = |what, words: &str| VisitBody::PutIn { what, words: words.into(), count: 2, at: at() };
    let set = |setting: &str, value: &str| VisitBody::SettingChanged {
        setting: setting.into(),
        value: value.into(),
    };
    let piece = |piece: &str, to| VisitBody::Piece { piece: piece.into(), count: 2, to };
    vec![
        marked("cover-bolts", "1", InPlace, FastenerState::Broken),
        marked("cover-bolts", "2", InPlace, Missing),
        marked("cover-bolts", "3", InPlace, FastenerState::Freed),
        marked("cover-bolts", "4", InPlace, Off),
        marked("cover-bolts", "5", InPlace, FingerTight),
        VisitBody::Marked {
            fixing: "cover-bolts".into(),
            holes: vec![MarkedHole { hole: "6".into(), from: InPlace }],
            to: Tight,
            slot: None,
            stage: Some(1),
        },
        marked("manifold-bolts", "1", InPlace, Off),
        marked("manifold-bolts", "1", Off, Tight),
        marked("cover-bolts", "99", InPlace, Off),
        VisitBody::PartOff { part: "cover".into() },
        VisitBody::PartOff { part: "manifold".into() },
        VisitBody::PartOff { part: "turbo".into() },
        VisitBody::Capped { opening: "ports".into(), count: 4 },
        VisitBody::Capped { opening: "hatch".into(), count: 1 },
        VisitBody::Established { condition: "raised".into() },
        VisitBody::Established { condition: "coolant-drained".into() },
        VisitBody::Established { condition: "frozen".into() },
        set("lift", "chest"),
        set("cam-pin", "in"),
        set("beam", "carrying"),
        set("crank", "any"),
        set("mark", "painted"),
        set("tap", "half open"),
        put(PutInKind::Rag, "intake"),
        put(PutInKind::LockingPin, ""),
        piece("ratchet", PieceDestination::Cart),
        piece("wrench", PieceDestination::Lent("the neighbour".into())),
        VisitBody::WaitBegan {
            waiting: ExpectedWait { what: "sealant".into(), seconds: Some(600) },
            at: at(),
        },
        found("belt cracked"),
        VisitBody::Counted { what: "sockets".into(), expected: 12, counted: 11 },
        VisitBody::DealtWith { happening: id("nobody"), how: "?".into() },
    ]
}

/// Every kind of happening.
const HAPPENINGS: [VisitHappeningKind; 9] = [
    VisitHappeningKind::Seized,
    VisitHappeningKind::Rounded,
    VisitHappeningKind::Broken,
    VisitHappeningKind::ThreadCameOut,
    VisitHappeningKind::Extra,
    VisitHappeningKind::WrongPart,
    VisitHappeningKind::PartMissing,
    VisitHappeningKind::Lost,
    VisitHappeningKind::FoundLikeThis,
];

/// Whether a kind is listed; a new one does not compile here until it is.
fn is_listed(kind: VisitHappeningKind) -> bool {
    use VisitHappeningKind as K;
    match kind {
        K::Seized
        | K::Rounded
        | K::Broken
        | K::ThreadCameOut
        | K::Extra
        | K::WrongPart
        | K::PartMissing
        | K::Lost
        | K::FoundLikeThis => HAPPENINGS.contains(&kind),
    }
}

/// One of each kind of happening, at a fastener, a part, an opening or nowhere.
fn all_happenings() -> Vec<VisitBody> {
    assert!(HAPPENINGS.into_iter().all(is_listed));
    let place = |at: usize| match at % 4 {
        0 => EventPlace {
            fixing: Some("cover-clips".into()),
            hole: Some("13".into()),
            ..EventPlace::default()
        },
        1 => EventPlace { part: Some("manifold".into()), ..EventPlace::default() },
        2 => EventPlace { opening: Some("ports".into()), ..EventPlace::default() },
        _ => EventPlace::default(),
    };
    let words = |at: usize| if at.is_multiple_of(2) { "as seen" } else { "" };
    HAPPENINGS.into_iter().enumerate().map(|(at, kind)| happened(kind, words(at), place(at))).collect()
}

fn line_words(line: &LedgerLine) -> String {
    let accepted = line.accepted.as_ref().map_or_else(String::new, |a| format!(" (accepted: {})", a.reason));
    format!("{}: {}: {}{accepted}", line.kind.title(), line.what, line.closes)
}

#[test]
fn every_line_of_the_ledger() {
    let mut bench = Bench::begun();
    for body in all_open().into_iter().chain(all_happenings()) {
        bench.write(body);
    }
    let mut phone = bench.other("zphone");
    bench.write(marked("cover-bolts", "7", InPlace, Tight));
    phone.write(marked("cover-bolts", "7", InPlace, Off));
    bench.hear(&phone);
    let (finding, lost) = {
        let visit = bench.visit();
        let lost = visit.happenings.iter().find(|(_, h)| h.what == VisitHappeningKind::Lost);
        (visit.findings.keys().next().cloned(), lost.map(|(event, _)| event.clone()))
    };
    let mut lines: Vec<LedgerLine> = bench.ledger().lines;
    let finding = finding.expect("something was found");
    let answered = |finding, word| VisitBody::Answered { finding, word, by: "by phone".into() };
    bench.write(answered(finding.clone(), OwnerWord::Yes));
    lines.extend(bench.ledger().lines);
    bench.write(answered(finding, OwnerWord::Call));
    let happening = lost.expect("something was lost");
    bench.write(VisitBody::GivenUp { happening, searched: "tray, floor".into(), name: "Kim".into() });
    let ledger = bench.ledger();
    lines.extend(ledger.lines.clone());
    lines.extend(FigureBench::run_in().ledger().lines);
    let page: BTreeMap<LedgerLineKind, BTreeSet<String>> =
        lines.iter().fold(BTreeMap::new(), |mut page, line| {
            page.entry(line.kind).or_default().insert(line_words(line));
            page
        });
    let missing: Vec<_> = LedgerLineKind::ALL.iter().filter(|kind| !page.contains_key(kind)).collect();
    assert!(missing.is_empty(), "{missing:?} are not shown");
    let mut page: Vec<String> = page.into_values().flatten().collect();
    page.push(String::from("\ncounts"));
    page.extend(ledger.counts.iter().map(|row| format!("{row:?}")));
    keep("lines_of_the_ledger", &page);
}

#[test]
fn every_rule_of_moving_lowering_and_starting() {
    let page: Vec<String> =
        RULES.iter().map(|rule| format!("{} {:?}: {}", rule.name, rule.questions, rule.why)).collect();
    keep("rules_of_the_vehicle", &page);
}

fn event(body: VisitBody) -> Event {
    let order = EventOrder { round: 1, device: device("phone"), count: 1 };
    Event { stream: visit_id().into(), id: id("e1"), order, person: None, at_ms: 0, body }
}

/// A name that no device would give.
fn named<T: serde::de::DeserializeOwned>(text: &str) -> T {
    serde_json::from_value(serde_json::json!(text)).expect("any text")
}

/// Events in which something cannot be.
fn broken_events() -> Vec<Event> {
    let digest: ContentDigest = named("../../etc");
    let reading = MeasuredReading::plain("lift", f64::NAN, "mm");
    let empty = VisitBody::Marked {
        fixing: "cover-bolts".into(),
        holes: Vec::new(),
        to: Off,
        slot: None,
        stage: None,
    };
    let bodies = [
        VisitBody::Read { reading: Box::new(reading), at: EventPlace::default() },
        empty,
        marked("cover-bolts", " ", InPlace, Off),
        VisitBody::PartOff { part: String::new() },
        VisitBody::SettingChanged { setting: "lift".into(), value: String::new() },
        VisitBody::Planned { plan: digest, why: String::new(), again: Default::default() },
        VisitBody::Undone { event: named("a/b") },
        VisitBody::Noted { words: "x".repeat(100_000), at: EventPlace::default() },
    ];
    let mut all: Vec<Event> = bodies.into_iter().map(event).collect();
    let mut bend = |change: &dyn Fn(&mut Event)| {
        let mut bent = event(VisitBody::Resumed);
        change(&mut bent);
        all.push(bent);
    };
    bend(&|e| e.id = named("a b"));
    let strange: DeviceId = named("a/b");
    bend(&|e| e.order.device = strange.clone());
    let person: PersonId = named("a/b");
    bend(&|e| e.person = Some(person.clone()));
    bend(&|e| e.order.round = u64::MAX);
    all
}

#[test]
fn every_reason_for_holding_an_event_back() {
    let good = event(VisitBody::Resumed);
    let text = serde_json::to_string(&good).expect("plain data");
    let other = VisitId::new("visit-2").expect("a good id").into();
    let mut found: Vec<NeedsAttention> = vec![accept_event(&other, &good).expect_err("of another visit")];
    let torn = &text[..text.len() - 2];
    let long = " ".repeat(100_000);
    for text in ["", "{}", "[1]", torn, &text.replace("resumed", "sang"), &text.replace("/1", "/9"), &long] {
        found.push(read_event::<VisitBody>(&visit_id().into(), text).expect_err("held back"));
    }
    found.extend(broken_events().iter().filter_map(|event| accept_event(&event.stream, event).err()));
    let mut kinds = BTreeSet::new();
    for why in &found {
        kinds.insert(match why {
            NeedsAttention::OtherStream(_) => "other stream",
            NeedsAttention::Unreadable(_) => "unreadable",
            NeedsAttention::Broken(_) => "broken",
        });
    }
    assert_eq!(kinds.len(), 3, "{kinds:?}");
    let mut page: Vec<String> = found.iter().map(ToString::to_string).collect();
    page.dedup();
    keep("events_held_back", &page);
}
