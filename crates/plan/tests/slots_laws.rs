//! Laws of the slots on random books: every fastener has one address, and look-alikes are kept apart.
mod common;

use std::collections::BTreeMap;

use bolting::PropertyClass;
use common::{Numbers, Size, book, scope, some_tasks};
use effort::SolverBudget;
use model::plan::SlotLine;
use model::{Book, FixingId, KeepPlace, SlotAddress, Store, Tray};
use plan::scope::PlanScope;
use plan::{slots, way_in};
use proptest::prelude::*;
use units::Length;

fn tray(key: &str, rows: u16, columns: u16, (width_mm, depth_mm, height_mm): (f64, f64, f64)) -> Tray {
    let mm = Length::from_mm;
    Tray { key: key.into(), rows, columns, width: mm(width_mm), depth: mm(depth_mm), height: mm(height_mm) }
}

fn store(n: &mut Numbers) -> Store {
    let mut trays = vec![
        tray("T1", 1 + n.below(3) as u16, 1 + n.below(4) as u16, (40.0, 50.0, 30.0)),
        tray("T2", 2, 1 + n.below(4) as u16, (60.0, 110.0, 40.0)),
    ];
    trays.truncate(n.below(3));
    Store { title: "invented".into(), pieces: Vec::new(), cart_places: None, trays }
}

/// Fasteners of few sizes, so that many look alike.
fn sized(book: &mut Book, n: &mut Numbers) {
    for fixing in book.fixings.iter_mut().filter(|f| f.drive.is_turned()) {
        fixing.thread = Some(["M6", "M8"][n.below(2)].parse().expect("as the case is built"));
        fixing.length = (!n.one_in(6)).then(|| Length::from_mm([16.0, 25.0, 60.0][n.below(3)]));
        fixing.class = n.one_in(2).then_some(PropertyClass::C8_8);
        fixing.keep =
            [None, None, None, Some(KeepPlace::Tray), Some(KeepPlace::InHole), Some(KeepPlace::Bag)]
                [n.below(6)];
    }
}

struct Case {
    book: Book,
    store: Store,
    scope: PlanScope,
    order: Vec<FixingId>,
    lines: Vec<SlotLine>,
}

fn case(seed: u64) -> Case {
    let mut n = Numbers(seed ^ 0x5105);
    let mut book = book(seed, Size { parts: 14, fixings: 3, ..Size::SMALL });
    sized(&mut book, &mut n);
    let found = way_in::find_least_way_in(&book, &some_tasks(&book, seed), &SolverBudget::sized())
        .expect("some way is open");
    let (scope, _) = scope(&book, &found, seed);
    let mut order: Vec<FixingId> = scope.duties.iter().map(|d| d.duty.fixing).collect();
    order.dedup();
    order.sort_by_cached_key(|_| n.next());
    let store = store(&mut n);
    let lines = slots::assign_slots(&book, &store, &scope, &order, ("A", &[]));
    Case { book, store, scope, order, lines }
}

impl Case {
    fn fixing(&self, line: &SlotLine) -> &model::Fixing {
        self.book.fixing(self.book.fixing_by_key(&line.fixing).expect("a line names a fixing"))
    }

    /// Tray key and compartment of each line in a tray, in strip order.
    fn compartments(&self) -> Vec<(&SlotLine, &str, u32)> {
        let in_tray = self.lines.iter().filter(|l| l.keep == KeepPlace::Tray);
        let read = |l: &'_ SlotLine| -> (usize, u32) {
            let mut numbers = self.store.trays.iter().map(|t| l.slot.compartment_of("A", &t.key)).enumerate();
            let found = numbers.find_map(|(tray, number)| Some((tray, number?)));
            found.expect("as the case is built")
        };
        in_tray.map(|l| (l, self.store.trays[read(l).0].key.as_str(), read(l).1)).collect()
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn every_fixing_has_one_line_with_all_its_fasteners(seed in 0_u64..10_000) {
        let case = case(seed);
        let keys: Vec<&str> = case.order.iter().map(|id| case.book.fixing(*id).key.as_str()).collect();
        prop_assert_eq!(case.lines.iter().map(|l| l.fixing.as_str()).collect::<Vec<_>>(), keys);
        for line in &case.lines {
            let fixing = case.fixing(line);
            prop_assert_eq!(usize::from(line.count), fixing.holes.len());
            prop_assert_eq!(line.renewed, fixing.one_time);
            prop_assert_eq!(line.slot == SlotAddress::Scrap, fixing.one_time);
        }
    }

    #[test]
    fn an_order_that_leaves_fixings_out_loses_none(seed in 0_u64..10_000) {
        let case = case(seed);
        let some = &case.order[..case.order.len() / 2];
        let lines = slots::assign_slots(&case.book, &case.store, &case.scope, some, ("A", &[]));
        prop_assert_eq!(lines.len(), case.order.len());
    }

    #[test]
    fn wishes_are_kept(seed in 0_u64..10_000) {
        let case = case(seed);
        for line in case.lines.iter().filter(|l| !l.renewed) {
            match case.fixing(line).keep {
                Some(KeepPlace::InHole) => prop_assert_eq!(&line.slot, &SlotAddress::InHole),
                Some(KeepPlace::Bag) => prop_assert!(line.slot.to_string().starts_with("A-B")),
                Some(KeepPlace::Tray) => prop_assert!(matches!(line.keep, KeepPlace::Tray | KeepPlace::Bag)),
                _ => {}
            }
        }
    }

    #[test]
    fn look_alikes_never_share_or_touch(seed in 0_u64..10_000) {
        let case = case(seed);
        let loose: Vec<&SlotLine> = case.lines.iter().filter(|l| !l.renewed).collect();
        for (at, a) in loose.iter().enumerate() {
            for b in loose[..at].iter().filter(|b| slots::are_look_alikes(case.fixing(a), case.fixing(b))) {
                prop_assert!(slots::kept_apart(&case.store, a, b), "{} {}", a.slot, b.slot);
            }
        }
        let columns: BTreeMap<&str, u32> =
            case.store.trays.iter().map(|t| (t.key.as_str(), u32::from(t.columns))).collect();
        let all = case.compartments();
        for (a, tray_a, n) in &all {
            for (b, _, m) in all.iter().filter(|(_, tray, _)| tray == tray_a) {
                let at = |n: &u32| ((n - 1) / columns[tray_a], (n - 1) % columns[tray_a]);
                let near = at(n).0.abs_diff(at(m).0) <= 1 && at(n).1.abs_diff(at(m).1) <= 1;
                prop_assert!(!near || !slots::are_look_alikes(case.fixing(a), case.fixing(b)));
            }
        }
    }

    #[test]
    fn a_tray_reads_backwards_and_holds_what_lies_in_it(seed in 0_u64..10_000) {
        let case = case(seed);
        let mut last: BTreeMap<&str, u32> = BTreeMap::new();
        for (line, key, number) in case.compartments() {
            let tray = case.store.trays.iter().find(|t| t.key == key).expect("the tray exists");
            prop_assert!(number > last.insert(key, number).unwrap_or(0));
            prop_assert!(number <= u32::from(tray.rows * tray.columns));
            prop_assert!(slots::fits_compartment(case.fixing(line), tray));
        }
    }
}

/// Fixings with these sizes in this order, in a tray of 2 × 3 and one of two long compartments.
fn addresses(sizes: &[(&str, f64)]) -> Vec<String> {
    let mut n = Numbers(3);
    let mut case = (0..).map(case).find(|c| c.order.len() >= sizes.len()).expect("as the case is built");
    case.order.truncate(sizes.len());
    for (id, (thread, mm)) in case.order.iter().zip(sizes) {
        let fixing = &mut case.book.fixings[id.index()];
        fixing.kind = model::FastenerKind::Bolt;
        fixing.drive = model::Drive::parse("hexagon 10 mm").expect("as the case is built");
        fixing.thread = Some(thread.parse().expect("as the case is built"));
        fixing.length = Some(Length::from_mm(*mm));
        (fixing.class, fixing.keep, fixing.one_time) = (None, Some(KeepPlace::Tray), false);
        fixing.holes.truncate(1);
    }
    case.scope.duties.retain(|d| case.order.contains(&d.duty.fixing));
    case.store = store(&mut n);
    case.store.trays = vec![tray("T1", 2, 3, (40.0, 50.0, 30.0)), tray("T2", 1, 2, (30.0, 110.0, 30.0))];
    let lines = slots::assign_slots(&case.book, &case.store, &case.scope, &case.order, ("A", &[]));
    lines.into_iter().map(|l| l.slot.to_string()).collect()
}

#[test]
fn known_trays() {
    let check = |sizes: &[(&str, f64)], expected: &[&str]| assert_eq!(addresses(sizes), expected);
    // The example of the lecture.
    check(&[("M6", 20.0), ("M6", 25.0), ("M8", 30.0)], &["A-T1-01", "A-T1-03", "A-T1-04"]);
    // Like fasteners may lie side by side.
    check(&[("M6", 20.0), ("M6", 20.0)], &["A-T1-01", "A-T1-02"]);
    // No third place is left in the first tray that touches neither, and then none at all: it goes into a bag.
    check(
        &[("M6", 20.0), ("M6", 25.0), ("M6", 30.0), ("M6", 16.0)],
        &["A-T1-01", "A-T1-03", "A-T2-01", "A-B01"],
    );
    // Too long for one compartment, or for any; the short one still takes the first.
    check(&[("M6", 90.0), ("M8", 20.0)], &["A-T2-01", "A-T1-01"]);
    check(&[("M6", 120.0), ("M8", 20.0)], &["A-B01", "A-T1-01"]);
}
