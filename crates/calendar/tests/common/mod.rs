//! Invented visits, and a calendar handed to the judge.

use calendar::hours::{DaySpan, WeekHours};
use calendar::{
    BenchCalendar, BenchHolder, BenchItem, BenchQuestion, HeldStretch, HolderKind, ItemHands, ItemLink,
    ItemPace, OpenVisit,
};
use judge::visits::judge_visits;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};
use times::LearnedFactor;

#[path = "../../../app/src/week/judged.rs"]
mod judged;

pub use judged::judged_visits;

pub const H: u32 = 3_600;
pub const DAY: u32 = 86_400;

/// Whole numbers from a seed.
pub struct Draws(Pcg64Mcg);

impl Draws {
    pub fn new(seed: u64) -> Self {
        Self(Pcg64Mcg::seed_from_u64(seed))
    }

    pub fn below(&mut self, count: u32) -> u32 {
        ((u64::from(self.0.next_u64() as u32) * u64::from(count)) >> 32) as u32
    }

    pub fn chance(&mut self, percent: u32) -> bool {
        self.below(100) < percent
    }
}

pub fn item(name: &str, expected_s: u32) -> BenchItem {
    BenchItem {
        name: name.into(),
        place: "bench".into(),
        expected_s,
        spread_ratio: 0.35,
        hands: ItemHands::One,
        pace: ItemPace::MayStop,
        part: None,
        start_by_s: None,
    }
}

pub fn link(from: usize, to: usize, wait_s: u32) -> ItemLink {
    ItemLink { from, to, wait_s, most_s: None, words: "cures".into() }
}

pub fn hold(holder: usize, from: Option<usize>, to: usize) -> HeldStretch {
    HeldStretch { holder, amount: 1, from, to }
}

pub fn visit(letter: char, items: Vec<BenchItem>, links: Vec<ItemLink>) -> OpenVisit {
    OpenVisit {
        letter,
        name: format!("vehicle {letter}"),
        promise_s: None,
        weight: 1,
        is_first: false,
        items,
        links,
        stretches: Vec::new(),
        roll: None,
        finished: Vec::new(),
    }
}

/// Monday to Friday 8 to 12 and 12:30 to 16:30; the first day is a Monday, and now is its opening.
pub fn shop(visits: Vec<OpenVisit>) -> BenchQuestion {
    let spans =
        [DaySpan { from_s: 8 * H, to_s: 12 * H }, DaySpan { from_s: 12 * H + 1_800, to_s: 16 * H + 1_800 }];
    BenchQuestion {
        hours: WeekHours::same_on([true, true, true, true, true, false, false], &spans, 0),
        helper_hours: None,
        now_s: 8 * H,
        switch_s: 360,
        at_visit: None,
        holders: vec![BenchHolder { name: "lift".into(), count: 1, kind: HolderKind::Place }],
        visits,
        factor: LearnedFactor::exact(),
    }
}

/// The judge finds nothing, but for longest times that the calendar itself tells.
#[track_caller]
pub fn assert_clean(question: &BenchQuestion, calendar: &BenchCalendar) {
    let mut found = judge_visits(&judged_visits(question, calendar));
    if !calendar.too_long.is_empty() {
        found.retain(|v| v.code != "C605");
    }
    assert_eq!(found, [], "the judge finds nothing");
}
