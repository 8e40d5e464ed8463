//! Invented visits, and a calendar handed to the judge.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use calendar::hours::{DaySpan, WeekHours};
use calendar::learn::LearnedFactor;
use calendar::{
    BenchCalendar, BenchHolder, BenchItem, BenchQuestion, HeldStretch, ItemHands, ItemLink, ItemPace,
    OpenVisit,
};
use judge::visits::{JudgedHold, JudgedItemLink, JudgedVisitItem, JudgedVisits, JudgedWeek, judge_visits};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

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
        holders: vec![BenchHolder { name: "lift".into(), count: 1 }],
        visits,
        factor: LearnedFactor::exact(),
    }
}

fn judged_week(hours: &WeekHours) -> JudgedWeek {
    JudgedWeek {
        spans: hours.spans.clone().map(|day| day.iter().map(|s| (s.from_s, s.to_s)).collect()),
        first_weekday: hours.first_weekday,
        closed_days: hours.closed_days.clone(),
    }
}

/// A calendar in the judge's own words.
pub fn judged_case(question: &BenchQuestion, calendar: &BenchCalendar) -> JudgedVisits {
    let mut firsts = vec![0];
    question.visits.iter().for_each(|v| firsts.push(firsts.last().unwrap() + v.items.len()));
    let mut items = Vec::new();
    for (at, visit) in question.visits.iter().enumerate() {
        for (place, item) in visit.items.iter().enumerate() {
            let line = calendar.lines.iter().find(|l| (l.visit, l.item) == (at, place)).unwrap();
            items.push(JudgedVisitItem {
                visit: at,
                name: item.name.clone(),
                work_s: line.work_s,
                hands: match item.hands {
                    ItemHands::None => 0,
                    ItemHands::One => 1,
                    ItemHands::Two => 2,
                },
                in_one_piece: item.pace == ItemPace::OnePiece,
                part_at_s: item.part.as_ref().map_or(0, |p| p.at_s),
                start_by_s: item.start_by_s,
                start_s: line.start_s,
                end_s: line.end_s,
            });
        }
    }
    let visits = || question.visits.iter().zip(&firsts);
    let links = visits().flat_map(|(v, first)| {
        v.links.iter().map(move |l| JudgedItemLink {
            from: first + l.from,
            to: first + l.to,
            wait_s: l.wait_s,
            most_s: l.most_s,
        })
    });
    let holds = visits().flat_map(|(v, first)| {
        v.stretches.iter().map(move |s| JudgedHold {
            holder: s.holder,
            amount: s.amount,
            from: s.from.map(|f| first + f),
            to: first + s.to,
        })
    });
    JudgedVisits {
        shop: judged_week(&question.hours),
        helper: question.helper_hours.as_ref().map(judged_week),
        now_s: question.now_s,
        switch_s: question.switch_s,
        at_visit: question.at_visit,
        holder_counts: question.holders.iter().map(|h| h.count).collect(),
        letters: question.visits.iter().map(|v| v.letter).collect(),
        compartments: Vec::new(),
        links: links.collect(),
        holds: holds.collect(),
        items,
    }
}

/// The judge finds nothing, but for longest times that the calendar itself tells.
#[track_caller]
pub fn assert_clean(question: &BenchQuestion, calendar: &BenchCalendar) {
    let mut found = judge_visits(&judged_case(question, calendar));
    if !calendar.too_long.is_empty() {
        found.retain(|v| v.code != "C605");
    }
    assert_eq!(found, [], "the judge finds nothing");
}
