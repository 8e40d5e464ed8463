//! A visit that begins from nothing: what is told of the engine is its world at once, is planned back, and leaves a book.

#[path = "common/seen_bench.rs"]
mod seen_bench;

use app::model::plan::Plan;
use app::model::{FastenerState, SlotAddress};
use app::record::{
    DeviceId, Event, EventHistory, EventId, EventOrder, FastenerKey, InsertOutcome, Ledger, MarkedHole,
    SeenPoint, ToldSubject, ToldWhat, VisitBody, VisitCommand, VisitId, steps_of,
};
use app::workshop::{BookOutWanted, CarriedBook, SolverBudget, compare_carried, leisure_budget};

use seen_bench::Bench;

impl Bench {
    /// A part of one kind of fastener, seen and taken off into a bag.
    fn take_off(&mut self, number: u32, count: u16) {
        self.take_off_with(number, count, if number.is_multiple_of(2) { "hexagon 10 mm" } else { "T30" });
    }

    /// The same with the word of its drive, or of a kind that no tool turns.
    fn take_off_with(&mut self, number: u32, count: u16, drive: &str) {
        let (part, fixing) = (format!("seen-p{number}"), format!("seen-f{number}"));
        let drive = Some(drive.to_owned());
        self.say(VisitBody::PartSeen {
            part: part.clone(),
            title: format!("part {number}"),
            part_kind: None,
        });
        let heads = (0..count).map(|at| SeenPoint { across: at * 10, down: 500, is_fine: false }).collect();
        self.say(VisitBody::FixingSeen {
            fixing: fixing.clone(),
            part: part.clone(),
            drive,
            count,
            first: 1,
            heads,
            length: None,
        });
        let holes = (1..=count)
            .map(|hole| MarkedHole { hole: hole.to_string(), from: FastenerState::InPlace })
            .collect();
        let slot = Some(format!("A-B{number:02}"));
        self.say(VisitBody::Marked { fixing, holes, to: FastenerState::Off, slot, stage: None });
        self.say(VisitBody::PartOff { part });
    }

    fn plan(&mut self) {
        let input = self.shop.prepare_seen_plan(&self.visit).expect("something was seen");
        let made = input.plan_rest(SolverBudget { ..leisure_budget() }).expect("a plan");
        assert!(self.shop.adopt_seen_plan(&made).expect("a disk"));
    }
}

#[test]
fn what_is_seen_is_the_world_at_once_and_goes_back_the_way_it_came() {
    let mut bench = Bench::begin();
    assert!(bench.shop.visit(&bench.visit.clone()).expect("there").book().is_none());
    for number in 1..=4 {
        bench.take_off(number, 3);
    }
    let live = bench.shop.visit(&bench.visit.clone()).expect("there");
    let book = live.book().expect("the book has grown");
    assert_eq!((book.parts.len(), book.fixings.len()), (4, 4));
    let ledger = Ledger::draw_up(live.state(), live.book());
    assert!(!ledger.is_zero());
    bench.plan();
    let live = bench.shop.visit(&bench.visit.clone()).expect("there");
    let plan = live.plan().expect("a plan");
    assert!(plan.strip.steps.is_empty(), "all of it is off already");
    let set_on: Vec<&str> = plan.refit.steps.iter().filter_map(|step| step.part.as_deref()).collect();
    let mut order: Vec<&str> = Vec::new();
    for part in set_on {
        if order.last() != Some(&part) {
            order.push(part);
        }
    }
    assert_eq!(order, ["seen-p4", "seen-p3", "seen-p2", "seen-p1"], "the last off is the first on");
    for line in &plan.slots {
        let number = line.fixing.trim_start_matches("seen-f").parse().expect("a number");
        assert_eq!(line.slot, SlotAddress::Bag { vehicle: "A".into(), number }, "it lies where it was put");
    }
}

#[test]
fn what_no_tool_turns_is_counted_bagged_and_planned_back() {
    for word in ["washer", "shim", "lock-wire", "tab-plate", "circlip", "split-pin"] {
        let mut bench = Bench::begin();
        bench.take_off_with(1, 4, word);
        bench.take_off(2, 3);
        bench.plan();
        let live = bench.shop.visit(&bench.visit.clone()).expect("there");
        let book = live.book().expect("the book has grown");
        let fixing = book.fixing(book.fixing_by_key("seen-f1").expect("it was seen"));
        assert_eq!((fixing.holes.len(), fixing.kind.file_word()), (4, word));
        let plan = live.plan().expect("a plan");
        let back = plan.refit.steps.iter().filter(|step| step.fixings.iter().any(|key| key == "seen-f1"));
        assert!(back.count() > 0, "{word}: it goes back by a step of its own");
    }
}

#[test]
fn a_fastener_that_was_only_seen_does_not_become_tight_without_a_figure() {
    let mut bench = Bench::begin();
    bench.take_off(1, 2);
    bench.say(VisitBody::PartOn { part: "seen-p1".into() });
    let tight = VisitCommand::Mark {
        fixing: "seen-f1".into(),
        holes: ["1".to_owned(), "2".to_owned()].into(),
        to: FastenerState::Tight,
        slot: None,
    };
    let (visit, device) = (bench.visit.clone(), bench.device.clone());
    bench.shop.carry_out_command(&visit, &device, &tight).expect_err("no figure is known");
    let holes = vec![MarkedHole { hole: "1".into(), from: FastenerState::Off }];
    bench.say(VisitBody::Marked {
        fixing: "seen-f1".into(),
        holes: holes.clone(),
        to: FastenerState::FingerTight,
        slot: None,
        stage: None,
    });
    bench.say(VisitBody::FigureGiven {
        fixing: "seen-f1".into(),
        figure: "9 N·m".into(),
        source: "sheet 7 p. 2".into(),
        name: "N. N.".into(),
    });
    let key = FastenerKey { fixing: "seen-f1".into(), hole: "1".into() };
    let holes = [key.hole].into();
    let tight = VisitCommand::Mark { fixing: key.fixing, holes, to: FastenerState::Tight, slot: None };
    bench.shop.carry_out_command(&visit, &device, &tight).expect("a figure is given");
}

#[test]
fn a_figure_that_is_put_right_holds_and_the_one_before_stays_on_record() {
    let mut bench = Bench::begin();
    bench.take_off(1, 2);
    bench.plan();
    let visit = bench.visit.clone();
    let give = |bench: &mut Bench, figure: &str| {
        bench.say(VisitBody::FigureGiven {
            fixing: "seen-f1".into(),
            figure: figure.into(),
            source: "sheet 7 p. 2".into(),
            name: "N. N.".into(),
        });
    };
    let step = |bench: &mut Bench| {
        let live = bench.shop.visit(&visit).expect("there");
        let steps = record_steps(live.plan().expect("a plan"));
        steps.into_iter().rfind(|(_, fixings)| fixings.iter().any(|of| of == "seen-f1")).expect("a step").0
    };
    let number = step(&mut bench);
    assert!(bench.shop.told_figures(&visit, number).expect("a journal").is_empty());
    give(&mut bench, "90 N·m");
    give(&mut bench, "9 N·m");
    let [told] = &bench.shop.told_figures(&visit, number).expect("a journal")[..] else { panic!("one") };
    assert_eq!(told.holds, "9 N·m (sheet 7 p. 2; N. N.)");
    assert_eq!(told.before, ["90 N·m (sheet 7 p. 2; N. N.)"]);
}

/// Number and fixings of each step.
fn record_steps(plan: &Plan) -> Vec<(u32, Vec<String>)> {
    steps_of(plan).map(|step| (step.number, step.fixings.clone())).collect()
}

#[test]
fn a_stack_that_was_told_leaves_the_book_whole_and_stands_in_the_tip_of_its_part() {
    let mut bench = Bench::begin();
    bench.take_off(1, 2);
    let of = ToldSubject::Fixing("seen-f1".into());
    let value = String::from("10 mm socket, 150 mm extension");
    bench.say(VisitBody::Told { of, what: ToldWhat::Worked, value, source: String::new() });
    let live = bench.shop.visit(&bench.visit.clone()).expect("there");
    let book = live.book().expect("the book can be read");
    let tip = book.parts[0].tip.as_deref().unwrap_or_default();
    assert!(tip.contains("fasteners: Done with 10 mm socket, 150 mm extension."), "{tip}");
}

#[test]
fn a_name_told_later_changes_the_name_and_nothing_else() {
    let mut bench = Bench::begin();
    bench.take_off(1, 2);
    let of = ToldSubject::Part("seen-p1".into());
    bench.say(VisitBody::Told {
        of,
        what: ToldWhat::Title,
        value: "valve cover".into(),
        source: String::new(),
    });
    let of = ToldSubject::Fixing("seen-f1".into());
    bench.say(VisitBody::Told {
        of: of.clone(),
        what: ToldWhat::Drive,
        value: "E10".into(),
        source: String::new(),
    });
    bench.say(VisitBody::Told { of, what: ToldWhat::Room, value: "open".into(), source: String::new() });
    let live = bench.shop.visit(&bench.visit.clone()).expect("there");
    let book = live.book().expect("the book has grown");
    assert_eq!((book.parts[0].key.as_str(), book.parts[0].title.as_str()), ("seen-p1", "valve cover"));
    assert_eq!(book.fixings[0].drive.to_string(), "E10");
    assert_eq!(live.state().fastener_state("seen-f1", "1"), FastenerState::Off);
}

#[test]
fn a_part_more_after_the_plan_is_planned_too() {
    let mut bench = Bench::begin();
    bench.take_off(1, 2);
    bench.take_off(2, 2);
    bench.plan();
    bench.take_off(3, 5);
    bench.plan();
    let live = bench.shop.visit(&bench.visit.clone()).expect("there");
    let plan = live.plan().expect("a plan");
    assert!(plan.refit.steps.iter().any(|step| step.part.as_deref() == Some("seen-p3")));
    assert!(live.book().is_some_and(|book| book.parts.len() == 3));
}

#[test]
fn the_book_that_a_visit_leaves_is_read_and_planned_again() {
    let mut bench = Bench::begin();
    for number in 1..=3 {
        bench.take_off(number, 4);
    }
    let figure = |fixing: &str| VisitBody::FigureGiven {
        fixing: fixing.into(),
        figure: "20 N·m, then 90°".into(),
        source: "sheet 7 p. 2".into(),
        name: "N. N.".into(),
    };
    bench.say(figure("seen-f1"));
    bench.say(figure("seen-f2"));
    let visit = bench.visit.clone();
    let grown = bench.shop.book_of_visit(&visit, Some("an invented engine")).expect("a book");
    let book = grown.book.expect("it reads");
    assert_eq!((book.title.as_str(), book.parts.len(), book.tasks.len()), ("an invented engine", 3, 1));
    assert!(!book.fixings[0].is_figure_missing() && book.fixings[2].is_figure_missing());
    // Observed order is kept: the second comes off after the first.
    assert_eq!(book.parts[1].needs.len(), 1);

    let wanted = BookOutWanted {
        title: "an invented engine".into(),
        licence: "free to use".into(),
        figures: ["seen-f2".to_owned()].into(),
        with_pictures: true,
    };
    let carried = bench.shop.carry_book(&visit, &wanted).expect("it is carried");
    let text = carried.to_text();
    for private in ["grey van", "N. N.", bench.device.as_str(), visit.as_str()] {
        assert!(!text.contains(private), "{private} stays at home");
    }
    let (_, there) = CarriedBook::read_text(&text).expect("it arrives");
    assert!(there.fixings[0].is_figure_missing(), "a figure that is not named stays at home");
    assert!(!there.fixings[1].is_figure_missing());
    // Changed or cut on its way, it is refused.
    CarriedBook::read_text(&text.replace("hexagon 10 mm", "hexagon 11 mm")).expect_err("changed");
    CarriedBook::read_text(&text[..text.len() / 2]).expect_err("cut");
    CarriedBook::read_text("{}").expect_err("no book");
    // Taking it in twice is once, and what both say differently is named.
    let again = compare_carried(Some(&there), &there);
    assert_eq!((again.added.len(), again.differences.len()), (0, 0));
    let mut other = there.clone();
    other.parts[0].title = "another name".into();
    assert_eq!(compare_carried(Some(&other), &there).differences.len(), 1);
    let fuller = compare_carried(Some(&there), &book);
    assert!(fuller.added.iter().any(|words| words.contains("20 N·m")), "{:?}", fuller.added);
}

/// A part of its own and its fasteners, off; and a name for the part of another device.
fn words_of_device(device: &str) -> Vec<VisitBody> {
    let part = format!("seen-{device}");
    let of = ToldSubject::Part("seen-a".into());
    vec![
        VisitBody::PartSeen { part: part.clone(), title: format!("part of {device}"), part_kind: None },
        VisitBody::FixingSeen {
            fixing: format!("{part}-f"),
            part: part.clone(),
            drive: None,
            count: 2,
            first: 1,
            heads: Vec::new(),
            length: None,
        },
        VisitBody::Marked {
            fixing: format!("{part}-f"),
            holes: vec![MarkedHole { hole: "1".into(), from: FastenerState::InPlace }],
            to: FastenerState::Off,
            slot: Some("A-B01".into()),
            stage: None,
        },
        VisitBody::PartOff { part },
        VisitBody::Told {
            of,
            what: ToldWhat::Title,
            value: format!("name by {device}"),
            source: String::new(),
        },
    ]
}

#[test]
fn histories_of_three_devices_come_to_the_same_in_any_order() {
    let stream = VisitId::new("v1").expect("an id");
    let event = |device: &str, at: usize, body: VisitBody| Event {
        stream: (&stream).into(),
        id: EventId::new(&format!("{device}-{at}")).expect("an id"),
        order: EventOrder {
            round: at as u64 + 1,
            device: DeviceId::new(device).expect("an id"),
            count: at as u64 + 1,
        },
        person: None,
        at_ms: 1_700_000_000_000,
        body,
    };
    let all: Vec<Event> = ["a", "b", "c"]
        .into_iter()
        .flat_map(|device| {
            words_of_device(device).into_iter().enumerate().map(move |(at, body)| (device, at, body))
        })
        .map(|(device, at, body)| event(device, at, body))
        .collect();
    let states: usize = if std::env::var_os("TRAYWRIGHT_LONG").is_some() { 10_000 } else { 300 };
    let whole: EventHistory = EventHistory::from_events(&stream, all.clone());
    let mut seed = 7_u64;
    for _ in 0..states {
        let mut order = all.clone();
        for at in (1..order.len()).rev() {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            order.swap(at, usize::try_from(seed >> 33).expect("small") % (at + 1));
        }
        let mut history: EventHistory = EventHistory::new(&stream);
        for one in order {
            if history.insert(one) == InsertOutcome::NeedsAll {
                panic!("all events are at hand");
            }
        }
        assert_eq!(history.state(), whole.state());
    }
    let seen = &whole.state().seen;
    assert_eq!(seen.parts.len(), 3);
    assert_eq!(seen.part_title("seen-a"), Some("name by c"), "the last in the order of events counts");
    assert_eq!(
        seen.differing_words(&ToldSubject::Part("seen-a".into()), ToldWhat::Title).len(),
        3,
        "and all are shown"
    );
}

#[test]
fn two_lots_of_one_part_with_the_same_labels_leave_the_book_whole() {
    let mut bench = Bench::begin();
    bench.take_off(1, 3);
    let again = |first| VisitBody::FixingSeen {
        fixing: format!("seen-again-{first}"),
        part: "seen-p1".into(),
        drive: None,
        count: 2,
        first,
        heads: Vec::new(),
        length: None,
    };
    bench.say(again(4));
    bench.say(again(2));
    let visit = bench.visit.clone();
    let book = bench.shop.visit(&visit).expect("there").book().expect("it reads");
    assert_eq!((book.parts.len(), book.fixings.len()), (2, 3));
    let labels: Vec<&str> = book.fixings[1].holes.iter().map(|hole| hole.label.as_str()).collect();
    assert_eq!(labels, ["4", "5"], "labels count on within a part");
    assert!(book.parts[1].title.contains("another device"));
}

#[test]
fn what_is_told_after_the_plan_is_not_asked_before_the_start_again() {
    let mut bench = Bench::begin();
    bench.say(VisitBody::PartSeen {
        part: "seen-hose".into(),
        title: "hose".into(),
        part_kind: Some("hose".into()),
    });
    for number in 1..=2 {
        bench.take_off(number, 3);
    }
    bench.say(VisitBody::PartOff { part: "seen-hose".into() });
    bench.plan();
    let visit = bench.visit.clone();
    let open = |bench: &mut Bench| -> Vec<String> {
        let live = bench.shop.visit(&visit).expect("there");
        let ready = app::bench::readiness_now(live.plan().expect("a plan"), live.state());
        ready.open.into_iter().map(|line| line.words).collect()
    };
    let has = |lines: &[String], words: &str| lines.iter().any(|line| line.contains(words));
    let first = open(&mut bench);
    assert!(
        has(&first, "missing for 6 fasteners (2 fixings)") && has(&first, "open ends of the hose"),
        "{first:?}"
    );
    // A figure, an answer by name, plugs at hand.
    bench.say(VisitBody::FigureGiven {
        fixing: "seen-f1".into(),
        figure: "9 N·m".into(),
        source: "sheet 7, p. 2 (invented)".into(),
        name: "Kim".into(),
    });
    let one = open(&mut bench);
    assert!(has(&one, "missing for 3 fasteners (1 fixing)"), "{one:?}");
    bench.say(VisitBody::FigureWaived {
        fixing: "seen-f2".into(),
        reason: "lost".into(),
        name: "Kim".into(),
    });
    let plugs = {
        let live = bench.shop.visit(&visit).expect("there");
        let round = app::bench::start_round(live.plan().expect("a plan"), live.state());
        let lines = round.lists.into_iter().flat_map(|list| list.lines);
        lines
            .into_iter()
            .find(|line| line.words == "plugs for the open ends of the hose")
            .expect("a box to tick")
    };
    bench.say(plugs.tap()[0].clone());
    let last = open(&mut bench);
    assert!(!has(&last, "figure is missing") && !has(&last, "open ends"), "{last:?}");
    let live = bench.shop.visit(&visit).expect("there");
    assert!(app::bench::is_first_bolt_behind(live.state()));
    // A room is known to the next plan only; the page counts what waits for it.
    assert_eq!(app::bench::words_told_since_plan(live.state()), 0);
    let of = ToldSubject::Fixing("seen-f1".into());
    bench.say(VisitBody::Told { of, what: ToldWhat::Room, value: "open".into(), source: String::new() });
    assert_eq!(app::bench::words_told_since_plan(bench.shop.visit(&visit).expect("there").state()), 1);
    bench.plan();
    assert_eq!(app::bench::words_told_since_plan(bench.shop.visit(&visit).expect("there").state()), 0);
}
