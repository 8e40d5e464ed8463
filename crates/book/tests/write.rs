//! Writing and reading are each other's inverse.

use book::{SMALLEST, read_book, write_book};
use model::{
    Access, Book, Fixing, Known, SettingEffect, SettingId, StationId, WorldNeed, WorldRuleKind, WorldThing,
};
use proptest::prelude::*;
use units::{Angle, Duration, Force, Length, Mass, Money, Torque};

const RICH: &str = include_str!("rich.toml");

fn book_of(text: &str) -> Book {
    let reading = read_book(&[("sample.toml".into(), text.into())]);
    let shown = faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain);
    reading.book.unwrap_or_else(|| panic!("{shown}\n{text}"))
}

#[test]
fn the_smallest_book_comes_back() {
    let book = book_of(SMALLEST);
    assert_eq!(book.parts.len(), 1);
    assert_eq!(book.fastener_count(), 4);
    assert_eq!(book_of(&write_book(&book)), book);
}

#[test]
fn a_book_that_uses_every_key_comes_back_without_a_warning() {
    let reading = read_book(&[("rich.toml".into(), RICH.into())]);
    assert!(reading.faults.is_empty(), "{:#?}", reading.faults);
    let book = reading.book.expect("a good book");
    assert_eq!(book_of(&write_book(&book)), book);
}

#[test]
fn values_are_read_as_they_are_meant() {
    let book = book_of(RICH);
    let long = book.fixing(book.fixing_by_key("long").expect("it is there"));
    assert_eq!(long.holes[1].y, Length::from_in(1.0));
    assert_eq!(long.tightening.tolerance_fraction, 7.3 / 100.0);
    assert_eq!(long.greatest_torque(), Some(Torque::from_n_m(45.0)));
    assert_eq!(long.accesses[0].holes, [0]);
    assert_eq!(long.accesses[2].holes, [0, 1]);
    assert_eq!((long.accesses[0].way, long.accesses[2].way), (Some(0), Some(1)));
    assert_eq!(book.stations[0].hand_force, Force::parse("90 lbf").expect("a force"));
    assert_eq!(book.stations[1].hand_force, Force::from_n(400.0));
    let nuts = book.fixing(book.fixing_by_key("nuts").expect("it is there"));
    let labels: Vec<&str> = nuts.holes.iter().map(|h| h.label.as_str()).collect();
    assert_eq!(labels, ["3", "4"], "labels count on within the part");
    assert_eq!(nuts.tightening.stages[1].as_written, "80 lbf·in");
    let plug = book.fixing(book.fixing_by_key("gallery-plug").expect("it is there"));
    let pipe = plug.thread.and_then(bolting::FastenerThread::pipe).expect("a pipe thread");
    assert_eq!((pipe.to_string().as_str(), plug.screw_thread()), ("1/8-27 NPT", None));
    let slackened: Vec<&str> = book.fixings.iter().filter(|f| f.slackened).map(|f| f.key.as_str()).collect();
    assert_eq!(slackened, ["lock-nut"]);
    let lock_nut = book.fixing(book.fixing_by_key("lock-nut").expect("it is there"));
    let earlier: Vec<&str> =
        lock_nut.world.tighten_after.iter().map(|id| book.fixing(*id).key.as_str()).collect();
    assert_eq!(earlier, ["long", "nuts"]);
    let by_hand = book.parts.iter().filter(|part| part.world.is_started_by_hand_first);
    assert_eq!(by_hand.map(|part| part.key.as_str()).collect::<Vec<_>>(), ["bracket"]);
}

#[test]
fn a_world_is_read_as_it_is_meant() {
    let book = book_of(RICH);
    let lift = &book.settings[0];
    assert_eq!((lift.start, lift.end), (1, 0b011));
    assert_eq!((lift.ways[0].from, lift.ways[0].to), (0b011, 2), "without `from`, every other value");
    assert_eq!(
        (lift.ways[1].from, lift.ways[1].to, lift.ways[1].station),
        (0b100, 1, Some(StationId::new(0)))
    );
    let undertray = WorldThing::Part(book.part_by_key("undertray").expect("it is there"));
    assert_eq!(lift.ways[1].needs, [WorldNeed { thing: undertray, values: 0b101 }]);
    let pin = SettingId::new(1);
    assert_eq!((book.setting(pin).start, book.setting(pin).end), (0, 1), "start and end are the first value");
    assert_eq!(lift.ways[1].sets, [SettingEffect { setting: pin, value: 0 }]);
    assert_eq!(book.rules[2].kind, WorldRuleKind::StaysStill(vec![SettingId::new(0)]));
    assert_eq!(book.rules[2].during, [WorldNeed { thing: WorldThing::Setting(pin), values: 0b10 }]);
    let long = book.fixing(book.fixing_by_key("long").expect("it is there"));
    assert_eq!(
        long.world.loosening.needs,
        [WorldNeed { thing: WorldThing::Setting(SettingId::new(0)), values: 0b010 }]
    );
    let bracket = book.part_by_key("bracket").expect("it is there");
    assert_eq!(book.parts[0].world.on_after, [bracket]);
}

/// A folder gives the same book as one file, in whatever files its tables stand.
#[test]
fn files_are_read_as_one_book() {
    let (head, tasks) = RICH.split_at(RICH.find("[[task]]").expect("a task"));
    let files = [("tasks.toml".into(), tasks.into()), ("head.toml".into(), head.into())];
    let reading = read_book(&files);
    assert_eq!(reading.book, Some(book_of(RICH)), "{:#?}", reading.faults);
}

/// Factors just below one, used in turn: the book stays good, its figures become odd.
struct Odd<'f> {
    factors: &'f [f64],
    next: usize,
}

impl Odd<'_> {
    fn of(&mut self, value: f64) -> f64 {
        self.next += 1;
        value * self.factors[self.next % self.factors.len()]
    }
    fn mm(&mut self, length: &mut Length) {
        *length = Length::from_mm(self.of(length.as_mm()));
    }
    fn s(&mut self, time: &mut Known<Duration>) {
        *time = match *time {
            Known::Nothing => Known::Nothing,
            Known::Exact(time) => Known::Exact(Duration::from_s(self.of(time.as_s()))),
            Known::Between(low, high) => Known::between(Duration::from_s(self.of(low.as_s())), high),
        };
    }
    fn access(&mut self, access: &mut Access) {
        access.corridor.iter_mut().filter_map(|s| s.length.as_mut()).for_each(|l| self.mm(l));
        access.bends.iter_mut().for_each(|b| b.angle = Angle::from_deg(self.of(b.angle.as_deg())));
        access.swings.iter_mut().for_each(|s| s.arc = Angle::from_deg(self.of(s.arc.as_deg())));
        self.mm(&mut access.headroom);
        if let Some(side) = &mut access.side {
            self.mm(&mut side.headroom);
            side.swings.iter_mut().for_each(|s| self.mm(&mut s.radius));
        }
        if let Some(hold) = &mut access.counter_hold {
            self.mm(&mut hold.grip_height);
            self.access(&mut hold.access);
        }
    }
    fn fixing(&mut self, fixing: &mut Fixing) {
        fixing.holes.iter_mut().for_each(|h| self.mm(&mut h.x));
        [&mut fixing.length, &mut fixing.clamped].into_iter().flatten().for_each(|l| self.mm(l));
        [&mut fixing.head.diameter, &mut fixing.head.protrusion].into_iter().for_each(|l| self.mm(l));
        let tightening = &mut fixing.tightening;
        tightening.tolerance_fraction = self.of(tightening.tolerance_fraction);
        tightening.end_torque = tightening.end_torque.map(|t| Torque::from_n_m(self.of(t.as_n_m())));
        fixing.history.iter_mut().for_each(|(_, factor)| *factor = self.of(*factor));
        fixing.accesses.iter_mut().for_each(|a| self.access(a));
    }
    fn book(&mut self, book: &mut Book) {
        book.stations.iter_mut().for_each(|s| s.hand_force = Force::from_n(self.of(s.hand_force.as_n())));
        book.stations.iter_mut().for_each(|s| self.s(&mut s.enter));
        book.conditions.iter_mut().for_each(|c| c.hold_up = Duration::from_s(self.of(c.hold_up.as_s())));
        for part in &mut book.parts {
            part.mass =
                part.mass.exact().map_or(Known::Nothing, |m| Mass::from_kg(self.of(m.as_kg())).into());
            self.s(&mut part.lift_time);
        }
        book.fixings.iter_mut().for_each(|f| self.fixing(f));
        book.tasks.iter_mut().for_each(|t| self.s(&mut t.work));
    }
}

/// Text as a person may write it, quotes, backslashes, line ends and all; the reader takes blanks at the ends off.
fn text() -> impl Strategy<Value = String> {
    "\\PC{0,12}[\"\\\\\n\t°·'#\\[]?\\PC{0,12}x".prop_map(|text| text.trim().to_owned())
}

proptest! {
    #[test]
    fn odd_figures_and_texts_come_back(
        factors in proptest::collection::vec(0.99..1.0_f64, 1..60),
        title in text(),
        note in text(),
        cents in 0..10_000_000_i64,
        captive in any::<bool>(),
    ) {
        let mut book = book_of(RICH);
        Odd { factors: &factors, next: 0 }.book(&mut book);
        book.title.clone_from(&title);
        book.parts[1].tip = Some(note.clone());
        book.tasks[0].leaving = Some(Money::from_cents(cents));
        book.tasks[0].note = Some(note);
        book.fixings[3].captive = captive;
        book.settings[0].values[0].clone_from(&title);
        book.settings[0].ways[0].text.clone_from(&title);
        book.rules[0].title.clone_from(&title);
        book.conditions[1].establish = title;
        let again = book_of(&write_book(&book));
        prop_assert_eq!(again, book);
    }
}
