//! Readiness, mix-ups and the next best purchase on small invented books.

mod common;
#[path = "readiness/kept.rs"]
mod kept;

use bolting::PropertyClass;
use common::{Size, book, scope, some_tasks};
use effort::SolverBudget;
use model::plan::{Coverage, Gap, Readiness, ReadinessVerdict, ReadinessVerdicts, ShoppingLine, SlotLine};
use model::{
    Act, Book, FixingId, HistoryCause, KeepPlace, MissKind, NearestMiss, ObtainKind, OpeningId, PieceAbsence,
    PieceKind, PieceSpec, SlotAddress, SpecialTool, SpecialToolId, Store, Supply, Tray,
};
use plan::scope::PlanScope;
use plan::{mix_up, next_best, readiness, way_in};
use proptest::prelude::*;
use units::{Length, Money};

fn store() -> Store {
    let mm = Length::from_mm;
    let tray =
        Tray { key: "T1".into(), rows: 3, columns: 4, width: mm(50.0), depth: mm(40.0), height: mm(30.0) };
    Store { title: "store".into(), pieces: Vec::new(), cart_places: None, trays: vec![tray] }
}

fn made(seed: u64) -> (Book, PlanScope) {
    let book = book(seed, Size::SMALL);
    let found = way_in::find_least_way_in(&book, &some_tasks(&book, seed), &SolverBudget::sized())
        .expect("a random book has a way in");
    let (scope, _) = scope(&book, &found, seed);
    (book, scope)
}

/// A book and scope with at least two turned fixings on one part that comes off.
fn with_pair() -> (Book, PlanScope, FixingId, FixingId) {
    (0..200)
        .find_map(|seed| {
            let (book, scope) = made(seed);
            let (part, _) = scope.parts.iter().copied().find(|(p, _)| {
                book.fixings_of(*p).filter(|f| book.fixing(*f).thread.is_some()).count() == 2
            })?;
            let ids: Vec<FixingId> = book.fixings_of(part).collect();
            Some((book, scope, ids[0], ids[1]))
        })
        .expect("one of many books has such a part")
}

fn spec(kind: PieceKind, window_mm: Option<(f64, f64)>, torque_n_m: Option<f64>, words: &str) -> PieceSpec {
    PieceSpec {
        kind,
        drive: None,
        link: None,
        min_length_mm: window_mm.map(|w| w.0),
        max_length_mm: window_mm.map(|w| w.1),
        max_diameter_mm: None,
        torque_n_m,
        max_step_deg: None,
        bend_deg: None,
        retention: false,
        how: ObtainKind::Buy,
        words: words.into(),
    }
}

fn miss(kind: MissKind, wanted: PieceSpec) -> NearestMiss {
    NearestMiss { kind, stack: Vec::new(), piece: None, short_by: 1.0, words: "short".into(), wanted }
}

type Place = (String, u16, Act, Option<u8>);

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn gaps_are_the_duties_without_a_stack_and_shopping_closes_each_once(seed in any::<u64>()) {
        let (book, scope) = made(seed);
        let sheet = readiness::readiness_sheet(&book, &store(), &scope);
        let open: Vec<Place> = scope.duties.iter().filter(|d| d.workings.is_empty())
            .map(|d| (book.fixing(d.duty.fixing).key.clone(), d.duty.access, d.duty.act, d.duty.stage)).collect();
        let told: Vec<Place> =
            sheet.gaps.iter().map(|g| (g.fixing.clone(), g.access, g.act, g.stage)).collect();
        prop_assert_eq!(&open, &told);
        let mut closed: Vec<usize> = sheet.shopping.iter().flat_map(|l| l.closes.clone()).collect();
        closed.sort_unstable();
        prop_assert_eq!(closed, (0..sheet.gaps.len()).collect::<Vec<_>>());
        prop_assert_eq!(sheet.go, open.is_empty() && sheet.open.is_empty());
        prop_assert_eq!(open.is_empty(), sheet.against.is_empty());
    }

    #[test]
    fn a_merged_specification_serves_every_gap_it_closes(
        windows in prop::collection::vec((10.0_f64..200.0, 0.0_f64..40.0, 1.0_f64..100.0), 1..30),
    ) {
        let (book, mut scope) = made(7);
        let mut windows = windows.into_iter().cycle();
        for duty in &mut scope.duties {
            let (low, wide, torque) = windows.next().unwrap();
            let wanted = spec(PieceKind::Extension, Some((low, low + wide)), Some(torque), "one");
            duty.workings.clear();
            duty.miss = Some(miss(MissKind::TooShort, wanted));
        }
        let sheet = readiness::readiness_sheet(&book, &store(), &scope);
        prop_assert_eq!(sheet.gaps.len(), scope.duties.len());
        for line in &sheet.shopping {
            let spec = line.spec.as_ref().unwrap();
            prop_assert!(spec.min_length_mm <= spec.max_length_mm);
            for gap in &line.closes {
                let wanted = &sheet.gaps[*gap].wanted;
                prop_assert!(spec.min_length_mm >= wanted.min_length_mm);
                prop_assert!(spec.max_length_mm <= wanted.max_length_mm);
                prop_assert!(spec.torque_n_m >= wanted.torque_n_m);
            }
        }
        // Fewest: one piece each for windows of which no two overlap, found by their upper ends.
        let mut ends: Vec<(f64, f64)> = sheet.gaps.iter()
            .map(|g| (g.wanted.max_length_mm.unwrap(), g.wanted.min_length_mm.unwrap())).collect();
        ends.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut last, mut apart) = (f64::NEG_INFINITY, 0);
        for (high, low) in ends {
            if low > last {
                last = high;
                apart += 1;
            }
        }
        prop_assert_eq!(sheet.shopping.len(), apart);
    }
}

#[test]
fn torque_tools_for_different_torques_stay_apart_and_words_follow_the_merged_specification() {
    let (book, mut scope) = made(7);
    scope.duties.truncate(4);
    let wrench = |t| spec(PieceKind::TorqueWrench, None, Some(t), "wrench");
    let long = |low, high| spec(PieceKind::Extension, Some((low, high)), None, "as reach says it");
    let wanted = [wrench(5.0), wrench(40.0), long(30.0, 60.0), long(50.0, 80.0)];
    for (duty, wanted) in scope.duties.iter_mut().zip(wanted) {
        let kind =
            if wanted.kind == PieceKind::Extension { MissKind::TooShort } else { MissKind::TorqueRange };
        duty.workings.clear();
        duty.miss = Some(miss(kind, wanted));
    }
    let sheet = readiness::readiness_sheet(&book, &store(), &scope);
    let closes: Vec<Vec<usize>> = sheet.shopping.iter().map(|l| l.closes.clone()).collect();
    assert_eq!(closes.iter().filter(|c| c.len() == 1).count(), 2, "{closes:?}");
    let extension = sheet.shopping.iter().find(|l| l.closes == [2, 3]).unwrap();
    assert_eq!(extension.words, "extension, 50 to 60 mm long");
    assert_eq!(sheet.against.len(), 2, "{:?}", sheet.against);
    assert!(sheet.against[1].starts_with("No torque tool at hand covers "));
}

#[test]
fn supplies_of_one_name_and_price_are_added_and_one_time_fasteners_counted_by_holes() {
    let (mut book, scope, a, _) = with_pair();
    for part in &mut book.parts {
        part.renew_with.clear();
    }
    for fixing in &mut book.fixings {
        fixing.one_time = false;
    }
    let supply = |count, before_start, cents| Supply {
        name: "oil".into(),
        count,
        price_cents: Some(Money::from_cents(cents)),
        before_start,
    };
    let (task, part) = (scope.tasks[0], book.fixing(a).part);
    book.tasks[task.index()].supplies = vec![supply(2, false, 100), supply(1, false, 900)];
    book.parts[part.index()].renew_with = vec![supply(3, true, 100), supply(u16::MAX, false, 900)];
    let fixing = &mut book.fixings[a.index()];
    fixing.one_time = true;
    fixing.length = Some(Length::from_mm(40.0));
    fixing.class = Some(PropertyClass::parse("10.9").unwrap());
    fixing.title = "case bolts".into();
    let holes = fixing.holes.len() as u16;
    let lines = readiness::readiness_sheet(&book, &store(), &scope).supplies;
    let told: Vec<(&str, u16, bool)> =
        lines.iter().map(|l| (l.supply.name.as_str(), l.supply.count, l.supply.before_start)).collect();
    let bolts = ("new M6 × 40, 10.9 bolt for case bolts", holes, true);
    assert_eq!(told, [bolts, ("oil", 5, true), ("oil", u16::MAX, false)]);
    let mut by = vec![book.task(task).key.clone(), book.part(part).key.clone()];
    by.sort();
    assert_eq!(lines[1].wanted_by, by);
}

#[test]
fn special_tools_risky_fixings_openings_and_brittle_parts_are_told() {
    let (mut book, scope, a, _) = with_pair();
    let part = book.fixing(a).part;
    book.special_tools = vec![SpecialTool {
        key: "pin".into(),
        title: "locking pin".into(),
        specification: "pin 8 mm, 60 mm long".into(),
        can_be_made: true,
    }];
    let it = &mut book.parts[part.index()];
    it.special_tools = vec![SpecialToolId::new(0)];
    it.uncovers = vec![OpeningId::new(0)];
    it.brittle = true;
    book.fixings[a.index()].history = vec![(HistoryCause::Corrosion, 3.0)];
    let sheet = readiness::readiness_sheet(&book, &store(), &scope);
    assert!(!sheet.go);
    assert_eq!(sheet.not_at_hand.len(), 1);
    assert_eq!(sheet.not_at_hand[0].state, PieceAbsence::NotOwned);
    assert_eq!(sheet.not_at_hand[0].wanted_by, [book.part(part).key.clone()]);
    let made = sheet.shopping.iter().find(|l| l.spec.is_none()).unwrap();
    assert_eq!((made.how, made.words.as_str()), (ObtainKind::Make, "pin 8 mm, 60 mm long"));
    let rescue: Vec<&str> = sheet.rescue.iter().map(|r| r.fixing.as_str()).collect();
    assert_eq!(rescue, [book.fixing(a).key.as_str()]);
    // M6 × 1: pilot of half the diameter; insert's minor diameter 6 + 0.2165 = 6.22, so a drill of 6.3 mm.
    let items = sheet.rescue[0].items.join("\n");
    assert!(items.contains("left-hand drill 3 mm") && items.contains("about 6.3 mm"), "{items}");
    assert!(sheet.caps.iter().any(|c| c.opening == "port" && c.uncovered_by == book.part(part).key));
    assert_eq!(sheet.brittle, [book.part(part).title.clone()]);
    assert_eq!(sheet.safety[0], readiness::SERVICE_DATA);
}

/// M6 × 30 and M6 × 20 on one part, 10 mm clamped, 22 and `shallow_mm` mm of thread.
fn bolts(shallow_mm: f64) -> (Book, PlanScope, String, String) {
    let (mut book, scope, a, b) = with_pair();
    for fixing in &mut book.fixings {
        fixing.length = None;
    }
    for (id, length_mm, depth_mm) in [(a, 30.0, 22.0), (b, 20.0, shallow_mm)] {
        let fixing = &mut book.fixings[id.index()];
        fixing.thread = Some("M6".parse().expect("a thread"));
        fixing.length = Some(Length::from_mm(length_mm));
        fixing.clamped = Some(Length::from_mm(10.0));
        fixing.tapped_depth = Some(Length::from_mm(depth_mm));
    }
    let (key_a, key_b) = (book.fixing(a).key.clone(), book.fixing(b).key.clone());
    (book, scope, key_a, key_b)
}

fn slot(book: &Book, fixing: &str, slot: &str) -> SlotLine {
    let of = book.fixing(book.fixing_by_key(fixing).expect("a key of the book"));
    let keep = match slot {
        "on part" => KeepPlace::OnPart,
        "in hole" => KeepPlace::InHole,
        _ if slot.contains('T') => KeepPlace::Tray,
        _ => KeepPlace::Bag,
    };
    SlotLine {
        fixing: fixing.into(),
        slot: SlotAddress::parse(slot).expect("an address of this test"),
        keep,
        count: 1,
        renewed: false,
        kind: of.kind,
        size: "M6".into(),
        drive: of.drive,
    }
}

#[test]
fn a_long_bolt_in_a_shallow_blind_hole_is_told_and_in_a_deep_one_is_not() {
    let (book, scope, long, short) = bolts(14.0);
    let lines = mix_up::find_mix_ups(&book, &store(), &scope, &[]);
    let told: Vec<(&str, &str, &str)> = lines
        .iter()
        .filter(|l| l.fastener_of == long)
        .map(|l| (l.fastener_of.as_str(), l.hole_of.as_str(), l.consequence.file_word()))
        .collect();
    assert_eq!(told, [(long.as_str(), short.as_str(), "bottoms-out")]);
    // 30 − 10 − 14: the worked example of the rule.
    assert!(lines.iter().any(|l| l.words.contains("head still 6 mm off") && !l.kept_apart));
    let (book, scope, long, _) = bolts(22.0);
    let lines = mix_up::find_mix_ups(&book, &store(), &scope, &[]);
    assert!(lines.iter().all(|l| l.fastener_of != long), "{lines:?}");
}

#[test]
fn slots_are_apart_only_if_their_compartments_do_not_touch() {
    let (book, scope, long, short) = bolts(14.0);
    // Four columns: 1 touches 2, 5 and 6; 4 and 5 are neighbours by number alone.
    let cases = [
        ("A-T1-01", "A-T1-01", false),
        ("A-T1-01", "A-T1-02", false),
        ("A-T1-01", "A-T1-06", false),
        ("A-T1-01", "A-T1-03", true),
        ("A-T1-04", "A-T1-05", true),
        ("A-T1-01", "A-B01", true),
        ("on part", "on part", true),
        ("scrap", "scrap", false),
        ("in hole", "in hole", true),
    ];
    for (a, b, apart) in cases {
        let slots = [slot(&book, &long, a), slot(&book, &short, b)];
        let lines = mix_up::find_mix_ups(&book, &store(), &scope, &slots);
        let line = lines.iter().find(|l| l.fastener_of == long).unwrap();
        assert_eq!(line.kept_apart, apart, "{a} and {b}");
    }
}

fn sheet_of(lines: &[(&str, PieceKind, &[&str])]) -> Readiness {
    let mut sheet = Readiness {
        coverage: Coverage::default(),
        proven_by_class: 0,
        verdict: ReadinessVerdicts {
            first_bolt: ReadinessVerdict::No,
            refit: ReadinessVerdict::No,
            first_start: ReadinessVerdict::No,
        },
        go: false,
        open: Vec::new(),
        looks: Vec::new(),
        assumed: Vec::new(),
        book_note: None,
        against_refit: Vec::new(),
        figures_missing: Vec::new(),
        against: Vec::new(),
        gaps: Vec::new(),
        shopping: Vec::new(),
        not_at_hand: Vec::new(),
        supplies: Vec::new(),
        rescue: Vec::new(),
        caps: Vec::new(),
        safety: Vec::new(),
        brittle: Vec::new(),
    };
    for (words, kind, fixings) in lines {
        let wanted = spec(*kind, None, None, words);
        let from = sheet.gaps.len();
        sheet.gaps.extend(fixings.iter().map(|f| Gap {
            fixing: (*f).into(),
            access: 0,
            act: Act::Free,
            stage: None,
            kind: MissKind::NoGrip,
            short_by: 0.0,
            words: String::new(),
            nearest: Vec::new(),
            wanted: wanted.clone(),
        }));
        sheet.shopping.push(ShoppingLine {
            how: ObtainKind::Buy,
            words: (*words).into(),
            spec: Some(wanted),
            closes: (from..sheet.gaps.len()).collect(),
            unlocks: Vec::new(),
        });
    }
    sheet
}

#[test]
fn the_next_best_purchase_opens_the_most_jobs_over_all_books() {
    let first = sheet_of(&[
        ("hook", PieceKind::Hook, &["a", "b"]),
        ("joint", PieceKind::Joint, &["c"]),
        // `d` wants both a pair of pliers and a crow-foot: neither opens it alone.
        ("pliers", PieceKind::Pliers, &["d"]),
        ("crow-foot", PieceKind::CrowFoot, &["d"]),
    ]);
    let second = sheet_of(&[("joint", PieceKind::Joint, &["c", "e"])]);
    let got = next_best::rank_next_purchases(&[("one", &first), ("two", &second)]);
    let words: Vec<&str> = got.iter().map(|p| p.words.as_str()).collect();
    assert_eq!(words, ["joint", "hook", "crow-foot", "pliers"]);
    let pairs = |list: &[(&str, &str)]| -> Vec<(String, String)> {
        list.iter().map(|(b, f)| ((*b).into(), (*f).into())).collect()
    };
    assert_eq!(got[0].unlocks, pairs(&[("one", "c"), ("two", "c"), ("two", "e")]));
    assert_eq!(got[1].unlocks, pairs(&[("one", "a"), ("one", "b")]));
    assert_eq!(got[2].unlocks, pairs(&[]));
    assert_eq!(got[3].unlocks, pairs(&[("one", "d")]));
    let together = next_best::find_purchase_pairs(&[("one", &first), ("two", &second)]);
    let told: Vec<(&[String; 2], usize, usize)> =
        together.iter().map(|p| (&p.words, p.unlocks.len(), p.only_together)).collect();
    let words = |a: &str, b: &str| [a.to_owned(), b.to_owned()];
    let (best, last) = (words("hook", "joint"), words("pliers", "crow-foot"));
    assert_eq!(told, [(&best, 5, 0), (&last, 1, 1)]);
}

#[test]
fn a_missing_figure_stands_against_the_refit_and_not_against_the_strip() {
    let (mut book, scope, one, other) = with_pair();
    let before = readiness::readiness_sheet(&book, &store(), &scope);
    assert!(before.against_refit.is_empty() && before.figures_missing.is_empty());
    for id in [one, other] {
        book.fixings[id.index()].tightening.stages = vec![model::Stage::figure_missing()];
    }
    let sheet = readiness::readiness_sheet(&book, &store(), &scope);
    assert_eq!(sheet.against.len(), before.against.len());
    assert!(!sheet.go);
    let named: Vec<&str> = sheet.figures_missing.iter().map(|m| m.fixing.as_str()).collect();
    assert_eq!(named, [book.fixing(one).key.as_str(), book.fixing(other).key.as_str()]);
    assert_eq!(sheet.against_refit.len(), 1);
    assert!(sheet.against_refit[0].contains(&book.fixing(one).title), "{:?}", sheet.against_refit);
}
