//! Laws of replay: whatever three devices write, in whatever order it arrives, all come to one state.

use model::{FastenerState, TaskKind, progress::passes_to_tighten};
use proptest::prelude::*;
use record::ledger::LedgerLineKind;
use record::visit::SettingStanding;
use record::{
    Event, EventHistory, EventPlace, ExpectedWait, FastenerKey, InsertOutcome, Ledger, MarkedHole, OwnerWord,
    PieceDestination, PutInKind, StateSnapshot, StepMark, Visit, VisitBody, VisitHappeningKind,
    find_void_events, order_canonically, replay_events,
};

use crate::common::{Bench, book, digest, id, visit_id};

#[path = "../../../../tests/long.rs"]
mod long;

/// Draws choices out of one random number, so that a failing history shrinks number by number.
struct Choice(u32);

impl Choice {
    fn of(&mut self, count: u32) -> usize {
        let drawn = self.0 % count;
        self.0 /= count;
        drawn as usize
    }

    fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.of(from.len() as u32)]
    }
}

/// An event that somebody told of, of any kind, or one that nobody did.
fn target(choice: &mut Choice, bench: &Bench) -> record::EventId {
    let events = bench.history.events();
    let back = choice.of(8) + 1;
    if back > events.len() { id("nobody") } else { events[events.len() - back].id.clone() }
}

fn marked(choice: &mut Choice, bench: &Bench) -> VisitBody {
    let fixing = *choice.pick(&["cover-bolts", "manifold-bolts", "cover-bolts", "unknown"]);
    let count = choice.of(3) + 1;
    let holes = (1..=count).map(|hole| {
        let hole = hole.to_string();
        MarkedHole { from: bench.visit().fastener_state(fixing, &hole), hole }
    });
    let holes = holes.collect();
    let to = *choice.pick(FastenerState::ALL);
    let stage = [None, Some(1), Some(2), Some(3)][choice.of(4)];
    VisitBody::Marked { fixing: fixing.into(), holes, to, slot: None, stage }
}

fn key_of(choice: &mut Choice, names: &[&str]) -> String {
    (*choice.pick(names)).to_owned()
}

fn body(number: u32, bench: &Bench) -> VisitBody {
    let mut choice = Choice(number);
    let c = &mut choice;
    let key = key_of;
    match c.of(24) {
        0 => VisitBody::Undone { event: target(c, bench) },
        1 => VisitBody::PartOff { part: key(c, &["cover", "manifold", "unknown"]) },
        2 => VisitBody::PartOn { part: key(c, &["cover", "manifold", "unknown"]) },
        3 => VisitBody::Established { condition: key(c, &["coolant-drained", "engine-cold", "unknown"]) },
        4 => VisitBody::Restored { condition: key(c, &["coolant-drained", "engine-cold", "unknown"]) },
        5 => VisitBody::Capped { opening: key(c, &["ports", "unknown"]), count: c.of(7) as u16 },
        6 => VisitBody::Uncapped { opening: key(c, &["ports", "unknown"]), count: c.of(7) as u16 },
        7 => VisitBody::Renewed { fixing: "manifold-bolts".into(), holes: [key(c, &["1", "2"])].into() },
        8 => {
            let fastener = FastenerKey { fixing: "cover-bolts".into(), hole: key(c, &["1", "2"]) };
            VisitBody::Settled { fastener, to: *c.pick(FastenerState::ALL) }
        }
        9 => told(c, bench),
        10 => more(c, bench),
        11 => VisitBody::Undone { event: target(c, bench) },
        _ => marked(c, bench),
    }
}

fn told(c: &mut Choice, bench: &Bench) -> VisitBody {
    let at =
        EventPlace { fixing: Some("cover-bolts".into()), hole: Some("3".into()), ..EventPlace::default() };
    match c.of(10) {
        0 => VisitBody::Happened { what: VisitHappeningKind::Broken, at, words: String::new() },
        1 => VisitBody::Happened { what: VisitHappeningKind::Lost, at, words: String::new() },
        2 => VisitBody::DealtWith { happening: target(c, bench), how: "so".into() },
        3 => VisitBody::GivenUp { happening: target(c, bench), searched: "all".into(), name: "Kim".into() },
        4 => VisitBody::PutIn { what: PutInKind::Rag, words: String::new(), count: c.of(4) as u16, at },
        5 => VisitBody::TakenOut { put_in: target(c, bench), count: c.of(4) as u16 },
        6 => VisitBody::Piece { piece: "socket".into(), count: c.of(3) as u16, to: PieceDestination::Cart },
        7 => VisitBody::Piece {
            piece: "socket".into(),
            count: c.of(3) as u16,
            to: PieceDestination::Lent("Ada".into()),
        },
        8 => VisitBody::Piece { piece: "socket".into(), count: c.of(3) as u16, to: PieceDestination::Place },
        _ => VisitBody::Task { task: "inspect-ports".into(), work: TaskKind::Inspect, to: StepMark::Done },
    }
}

fn more(c: &mut Choice, bench: &Bench) -> VisitBody {
    let at = EventPlace::default();
    match c.of(14) {
        12 => VisitBody::SettingChanged {
            setting: key_of(c, &["lift", "cam-pin", "beam", "unknown"]),
            value: key_of(c, &["ground", "up", "in", "out", "off"]),
        },
        13 => VisitBody::SettingChanged { setting: "lift".into(), value: key_of(c, &["ground", "up"]) },
        0 => VisitBody::Paused { words: String::new(), at },
        1 => VisitBody::Resumed,
        2 => VisitBody::LookedAgain { event: target(c, bench), method: "eyes".into() },
        3 => VisitBody::WaitBegan { waiting: ExpectedWait { what: "glue".into(), seconds: Some(9) }, at },
        4 => VisitBody::WaitOver { wait: target(c, bench) },
        5 => VisitBody::Counted { what: "bolts".into(), expected: 2, counted: c.of(3) as u32 },
        6 => VisitBody::Found {
            words: "w".into(),
            price_from_cents: None,
            price_to_cents: None,
            if_left: String::new(),
            task: None,
            at,
        },
        7 => VisitBody::Answered { finding: target(c, bench), word: OwnerWord::Yes, by: String::new() },
        8 => VisitBody::Overridden { line: "off/cover-bolts/1".into(), reason: "r".into(), name: "n".into() },
        9 => VisitBody::Planned { plan: digest('d'), why: String::new(), again: Default::default() },
        10 => VisitBody::Closed { name: "Kim".into() },
        _ => VisitBody::Noted { words: "n".into(), at },
    }
}

/// Three devices that write and hear of each other now and then; each number is one thing that one of them does.
fn devices(numbers: &[u32]) -> [Bench; 3] {
    let mut tablet = Bench::begun();
    tablet.history = tablet.history.clone().with_checkpoints_every(5);
    let mut all = [tablet.clone(), tablet.other("phone"), tablet.other("zlaptop")];
    for number in numbers {
        let mut choice = Choice(*number);
        let (writer, hears) = (choice.of(3), choice.of(4) == 0);
        if hears {
            let told = all[(writer + 1 + choice.of(2)) % 3].history.events().to_vec();
            all[writer].hear_events(&told);
        } else {
            let body = body(choice.0, &all[writer]);
            all[writer].write(body);
        }
    }
    all
}

fn union(all: &[Bench; 3]) -> Vec<Event> {
    order_canonically(all.iter().flat_map(|b| b.history.events().iter().cloned())).0
}

/// A broken device: some ids again with another content.
fn twins(events: &[Event], seed: u64) -> Vec<Event> {
    let twin = |event: &Event| Event { at_ms: event.at_ms - 7, body: VisitBody::Resumed, ..event.clone() };
    let step = (seed % 11 + 3) as usize;
    events.iter().skip((seed % 5) as usize).step_by(step).map(twin).collect()
}

/// The events in an order that the seed gives, a third of them twice.
fn delivered(events: &[Event], seed: u64) -> Vec<Event> {
    let mut state = seed | 1;
    let mut draw = move || {
        // Xorshift (Marsaglia, Xorshift RNGs, Journal of Statistical Software 8(14), 2003).
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    };
    let twice = events.iter().filter(|_| draw() % 3 == 0).cloned().collect::<Vec<_>>();
    let mut keyed: Vec<(u64, Event)> =
        events.iter().cloned().chain(twice).map(|event| (draw(), event)).collect();
    keyed.sort_by_key(|(key, _)| *key);
    keyed.into_iter().map(|(_, event)| event).collect()
}

fn numbers(most: usize) -> impl Strategy<Value = Vec<u32>> {
    proptest::collection::vec(any::<u32>(), 0..most)
}

/// The law in its own words: every fastener in place or tight with all passes, every setting
/// at a value that is right at the end, and every count closed.
fn is_all_closed(visit: &Visit, ledger: &Ledger) -> bool {
    let holds = visit.fasteners.iter().all(|(fixing, _, f)| {
        let all = book().fixing_by_key(fixing).map_or(0, |id| passes_to_tighten(book().fixing(id)));
        let tight = matches!(f.state, FastenerState::Tight | FastenerState::Checked);
        let through = tight && f.stage.is_none_or(|s| s >= all);
        f.claims.is_empty() && (f.state == FastenerState::InPlace || through)
    });
    let stands = SettingStanding::of_book(visit, book()).iter().all(SettingStanding::is_at_end);
    holds && stands && ledger.counts.iter().all(record::ledger::LedgerCountRow::agrees)
}

/// Does what each open line asks for, as far as a fact can.
fn close_all(bench: &mut Bench) {
    for line in bench.ledger().lines {
        let event = line.since.event.clone();
        let key = line.of.clone();
        let hole = line.at.hole.clone().unwrap_or_default();
        let body = match line.kind {
            LedgerLineKind::Undecided => {
                let fastener = FastenerKey { fixing: key, hole };
                VisitBody::Settled { fastener, to: FastenerState::Tight }
            }
            LedgerLineKind::NotRenewed => VisitBody::Renewed { fixing: key, holes: [hole].into() },
            kind if kind.is_fastener() => {
                let holes = vec![MarkedHole { from: bench.visit().fastener_state(&key, &hole), hole }];
                VisitBody::Marked { fixing: key, holes, to: FastenerState::Tight, slot: None, stage: Some(9) }
            }
            LedgerLineKind::PartOff => VisitBody::PartOn { part: key },
            LedgerLineKind::CapsIn => {
                VisitBody::Uncapped { count: bench.visit().caps_in(&key) as u16, opening: key }
            }
            LedgerLineKind::PutIn => {
                VisitBody::TakenOut { count: bench.visit().put_ins[&id(&key)].left, put_in: id(&key) }
            }
            LedgerLineKind::Setting => {
                let setting =
                    book().setting(book().setting_by_key(&key).expect("a setting of the small engine"));
                VisitBody::SettingChanged { setting: key, value: setting.word(setting.start).to_owned() }
            }
            LedgerLineKind::Condition => VisitBody::Restored { condition: key },
            LedgerLineKind::Lost | LedgerLineKind::Happening => {
                VisitBody::DealtWith { happening: id(&key), how: "so".into() }
            }
            LedgerLineKind::Wait => VisitBody::WaitOver { wait: id(&key) },
            LedgerLineKind::PieceOut | LedgerLineKind::PieceLent => {
                VisitBody::Piece { piece: key, count: 1, to: PieceDestination::Place }
            }
            LedgerLineKind::Finding => {
                VisitBody::Answered { finding: id(&key), word: OwnerWord::No, by: String::new() }
            }
            LedgerLineKind::Approved => VisitBody::FindingDone { finding: id(&key), how: "so".into() },
            LedgerLineKind::Count => VisitBody::Counted { what: key, expected: 2, counted: 2 },
            // What does not fit is taken back, where an event of this visit said it.
            _ => VisitBody::Undone { event },
        };
        bench.write(body);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(long::choose_count("histories", 10_000, 100_000)))]

    #[test]
    fn devices_agree_whatever_the_order_of_arrival(numbers in numbers(28), seed in any::<u64>()) {
        let all = devices(&numbers);
        let mut sent = union(&all);
        if seed % 4 == 0 {
            sent.extend(twins(&sent, seed / 4));
        }
        let (events, doubles) = order_canonically(sent.iter().cloned());
        let state: Visit = replay_events(sent.iter().cloned());
        for turn in 0..2 {
            let mut history = EventHistory::<Visit>::new(visit_id()).with_checkpoints_every(4 + turn);
            for event in delivered(&sent, seed.wrapping_add(turn as u64)) {
                prop_assert_ne!(history.insert(event), InsertOutcome::Elsewhere);
            }
            prop_assert_eq!(history.state(), &state);
            prop_assert_eq!(history.events(), &events[..]);
            prop_assert_eq!(history.doubles(), &doubles[..]);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(long::choose_count("histories", 1_000, 10_000)))]

    #[test]
    fn devices_that_hear_all_show_the_same(numbers in numbers(40)) {
        let mut all = devices(&numbers);
        for (ear, mouth) in [(0, 1), (0, 2), (1, 0), (2, 0)] {
            let other = all[mouth].clone();
            all[ear].hear(&other);
        }
        prop_assert_eq!(all[0].visit(), all[1].visit());
        prop_assert_eq!(all[0].visit(), all[2].visit());
        prop_assert_eq!(all[0].ledger(), all[1].ledger());
    }

    #[test]
    fn any_prefix_is_a_valid_state(numbers in numbers(40)) {
        let events = union(&devices(&numbers));
        let taken_back = find_void_events(&events);
        for end in 0..=events.len() {
            let state: Visit = replay_events(events[..end].iter().cloned());
            prop_assert_eq!(state.find_faults(), Vec::<String>::new());
            // The same with only what stands in the end: the states that a refold goes through.
            let standing = events[..end].iter().filter(|e| !taken_back.contains(&e.id)).cloned();
            prop_assert_eq!(replay_events::<Visit>(standing).find_faults(), Vec::<String>::new());
        }
    }

    #[test]
    fn the_state_is_kept_as_the_full_fold_makes_it(numbers in numbers(60)) {
        for bench in devices(&numbers) {
            prop_assert_eq!(bench.visit(), &replay_events(bench.history.events().iter().cloned()));
            let at_once = EventHistory::<Visit>::from_events(visit_id(), bench.history.events().iter().cloned());
            prop_assert_eq!(at_once.take_snapshot(), bench.history.take_snapshot());
        }
    }

    #[test]
    fn taking_back_a_tick_restores_the_ledger(numbers in numbers(30), last in any::<u32>()) {
        let mut bench = devices(&numbers)[0].clone();
        let (visit, ledger) = (bench.visit().clone(), bench.ledger());
        let body = body(last, &bench);
        if !matches!(body, VisitBody::Undone { .. }) {
            let event = bench.write(body).id;
            bench.write(VisitBody::Undone { event });
            prop_assert_eq!(bench.visit(), &visit);
            prop_assert_eq!(bench.ledger(), ledger);
        }
    }

    #[test]
    fn the_ledger_reads_zero_if_and_only_if_all_is_closed(numbers in numbers(12), rounds in 0..8) {
        let mut bench = devices(&numbers)[0].clone();
        for _ in 0..rounds {
            close_all(&mut bench);
        }
        let ledger = bench.ledger();
        prop_assert_eq!(ledger.is_zero(), is_all_closed(bench.visit(), &ledger), "{:#?}", ledger);
        // Eight rounds close everything: renewed ones are tightened in the next, undone words bring others up.
        if ledger.is_zero() {
            prop_assert!(ledger.may_be_started().yes && ledger.is_settled());
        }
    }

    #[test]
    fn lines_have_keys_of_their_own_and_verdicts_name_them(numbers in numbers(40)) {
        let ledger = devices(&numbers)[0].ledger();
        let keys: std::collections::BTreeSet<_> = ledger.lines.iter().map(|l| &l.key).collect();
        prop_assert_eq!(keys.len(), ledger.lines.len());
        for verdict in [ledger.may_be_moved(), ledger.may_be_lowered(), ledger.may_be_started()] {
            prop_assert!(verdict.reasons.iter().all(|r| keys.contains(&r.line)));
            prop_assert_eq!(verdict.yes, verdict.reasons.is_empty());
        }
        prop_assert_eq!(ledger.may_be_started().yes, ledger.is_settled());
    }

    #[test]
    fn a_snapshot_goes_on_as_the_whole_does(numbers in numbers(40), cut in any::<prop::sample::Index>()) {
        let events = union(&devices(&numbers));
        let at = cut.index(events.len() + 1);
        let first = EventHistory::<Visit>::from_events(visit_id(), events[..at].iter().cloned());
        let text = first.take_snapshot().to_json().unwrap();
        let mut resumed = EventHistory::resume_from(StateSnapshot::<Visit>::from_json(&text).unwrap());
        let mut went_on = true;
        for event in &events[at..] {
            went_on &= resumed.insert(event.clone()) != InsertOutcome::NeedsAll;
        }
        if went_on {
            prop_assert_eq!(resumed.state(), &replay_events(events.iter().cloned()));
        }
    }

    #[test]
    fn letting_go_of_old_events_changes_nothing(
        numbers in numbers(60), late in any::<u32>(), every in 1..20_usize, keep in 0..12_usize,
    ) {
        let mut arriving = union(&devices(&numbers));
        // Some arrive later than their place.
        for at in 1..arriving.len() {
            if late.rotate_left(at as u32).is_multiple_of(5) {
                arriving.swap(at - 1, at);
            }
        }
        let (mut history, mut whole) =
            (EventHistory::<Visit>::new(visit_id()), EventHistory::<Visit>::new(visit_id()));
        for (at, event) in arriving.iter().enumerate() {
            whole.insert(event.clone());
            if history.insert(event.clone()) == InsertOutcome::NeedsAll {
                history = EventHistory::from_events(visit_id(), arriving[..=at].iter().cloned());
            }
            if at.is_multiple_of(every) {
                history.drop_old_events(keep);
            }
            prop_assert_eq!(history.state(), whole.state());
            prop_assert_eq!(history.event_count(), whole.event_count());
            let device = &event.order.device;
            prop_assert_eq!(history.next_order(device), whole.next_order(device));
            prop_assert_eq!(history.take_snapshot(), whole.take_snapshot());
        }
        let mut at_once = Some(EventHistory::<Visit>::new(visit_id()));
        for some in arriving.chunks(every) {
            at_once = at_once.and_then(|history| history.with_all_events(some.to_vec()));
            at_once.iter_mut().for_each(|history| history.drop_old_events(keep));
        }
        if let Some(history) = at_once {
            prop_assert_eq!(history.take_snapshot(), whole.take_snapshot());
        }
        let all = EventHistory::<Visit>::new(visit_id()).with_all_events(arriving).unwrap();
        prop_assert_eq!(all.take_snapshot(), whole.take_snapshot());
    }

    #[test]
    fn any_text_is_read_or_held_back(text in "\\PC{0,80}") {
        // No text of such a shape is an event of this visit; none stops the program.
        prop_assert!(record::read_event::<VisitBody>(&visit_id().into(), &text).is_err());
    }
}

#[test]
fn closing_all_reaches_zero() {
    let mut reached = 0;
    for seed in 0..200_u32 {
        let numbers: Vec<u32> =
            (0..10).map(|n| seed.wrapping_mul(2_654_435_761).wrapping_add(n * 97_003)).collect();
        let mut bench = devices(&numbers)[0].clone();
        (0..8).for_each(|_| close_all(&mut bench));
        reached += u32::from(bench.ledger().is_zero());
    }
    assert!(reached >= 190, "{reached} of 200 histories could be closed");
}
