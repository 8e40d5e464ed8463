//! A calendar over two visits, clean, then with each rule broken once.

use judge::Violation;
use judge::visits::{JudgedHold, JudgedItemLink, JudgedVisitItem, JudgedVisits, JudgedWeek, judge_visits};

const H: u32 = 3_600;

fn week(from_h: u32, to_h: u32) -> JudgedWeek {
    JudgedWeek {
        spans: core::array::from_fn(|day| if day < 5 { vec![(from_h * H, to_h * H)] } else { Vec::new() }),
        first_weekday: 0,
        closed_days: vec![1],
    }
}

fn item(visit: usize, name: &str, (start_h, end_h): (u32, u32), work_h: u32) -> JudgedVisitItem {
    JudgedVisitItem {
        visit,
        name: name.into(),
        work_s: work_h * H,
        hands: 1,
        in_one_piece: false,
        part_at_s: 0,
        start_by_s: None,
        start_s: start_h * H,
        end_s: end_h * H,
    }
}

/// Monday 8 to 16, Tuesday closed. A: seal 8 to 9, close Wednesday 9 to 10 after a cure of 12 h. B: strip Monday 10 to 15, refit Monday 15 to Wednesday 9.
fn case() -> JudgedVisits {
    let mut items = vec![
        item(0, "seal", (8, 9), 1),
        item(0, "close", (58, 59), 1),
        item(1, "strip", (10, 15), 5),
        item(1, "refit", (15, 57), 2),
    ];
    items[2].hands = 2;
    items[0].in_one_piece = true;
    let link = |from, to, wait_s, most_s| JudgedItemLink { from, to, wait_s, most_s };
    let hold = |from, to| JudgedHold { holder: 0, amount: 1, from, to };
    JudgedVisits {
        shop: week(8, 16),
        helper: Some(week(9, 15)),
        now_s: 8 * H,
        switch_s: H,
        at_visit: Some(0),
        holder_counts: vec![1],
        letters: vec!['A', 'B'],
        compartments: vec![(0, "tray 1, A1".into()), (1, "tray 1, A2".into()), (1, "tray 1, A2".into())],
        items,
        links: vec![link(0, 1, 12 * H, Some(50 * H)), link(2, 3, 0, None)],
        holds: vec![hold(None, 0), hold(Some(2), 3)],
    }
}

/// Changes the clean case, and finds a code in what the judge says of it; gives all that it says.
#[track_caller]
fn check(code: &str, change: impl Fn(&mut JudgedVisits)) -> Vec<Violation> {
    let mut changed = case();
    change(&mut changed);
    let found = judge_visits(&changed);
    assert!(found.iter().any(|v| v.code == code), "{code} is not among {found:?}");
    found
}

#[test]
fn a_calendar_that_keeps_everything_is_clean() {
    assert_eq!(judge_visits(&case()), []);
}

#[test]
fn each_rule_of_a_calendar_over_visits_is_broken_once() {
    assert!(say_all().len() >= 18);
}

/// Each rule broken; all that is said of it.
pub fn say_all() -> Vec<Violation> {
    [
        check("C601", |c| (c.items[2].start_s, c.items[2].end_s) = (8 * H, 13 * H)),
        check("C601", |c| (c.items[2].start_s, c.items[2].end_s) = (9 * H, 14 * H)),
        check("C602", |c| c.items[1].start_s = 7 * H),
        check("C602", |c| c.now_s = 9 * H),
        check("C603", |c| c.items[3].end_s = 58 * H),
        check("C603", |c| c.items[3].in_one_piece = true),
        check("C603", |c| c.items[3].end_s = 14 * H),
        check("C603", |c| c.items[3].hands = 0),
        check("C604", |c| c.links[0].wait_s = 50 * H),
        check("C605", |c| c.links[0].most_s = Some(48 * H)),
        check("C605", |c| c.items[1].start_by_s = Some(57 * H)),
        check("C606", |c| c.items[2].part_at_s = 11 * H),
        check("C607", |c| c.holds[0].to = 1),
        check("C607", |c| c.holds[1].amount = 2),
        check("C608", |c| c.compartments[0].1 = "tray 1, A2".into()),
        check("C608", |c| c.letters[1] = 'A'),
        check("C609", |c| c.helper = None),
        check("C609", |c| c.helper = Some(week(11, 15))),
    ]
    .concat()
}
