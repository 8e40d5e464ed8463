//! The sheet of a day: what is to do by the clock, what waits, what comes, what is promised; and the two lines of its evening.

use calendar::hours::DAY_S;
use calendar::{BenchLine, ItemHands, find_worth_starting};
use record::{Ledger, VisitId};
use serde::Serialize;

use super::answer::{WeekAnswer, WeekMoment};
use super::cart::CartDrawer;

/// Breaks in the work on one vehicle that are told as going on, s.
const GOES_ON_S: u32 = 900;

/// Work on one vehicle without turning to another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DayStretch {
    /// Letter of the vehicle.
    pub letter: char,
    /// What the vehicle is called.
    pub name: String,
    /// When it begins, as `08:00`.
    pub begins: String,
    /// When it ends; `None`: it goes on tomorrow.
    pub ends: Option<String>,
    /// What is done, in order.
    pub work: Vec<DayWork>,
}

/// A piece of work of a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DayWork {
    /// When it begins, as `08:00`.
    pub begins: String,
    /// The parts that come off and go on, other work by its first words, and its steps.
    pub what: String,
    /// What to know of it: a second pair of hands, not to be stopped; empty: nothing.
    pub note: String,
}

/// The sheet of a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WeekDay {
    /// The day, as "Monday 1 March".
    pub day: String,
    /// The work, in order; empty: the shop is closed, or there is nothing to do.
    pub stretches: Vec<DayStretch>,
    /// What to lay on the cart for all of it, by drawer.
    pub cart: Vec<CartDrawer>,
    /// What goes on by itself meanwhile: "A, until 10:20: coolant cools".
    pub waits: Vec<String>,
    /// What comes today, and who waits for it.
    pub comes: Vec<String>,
    /// What is promised for today.
    pub promised: Vec<String>,
    /// The evening: how the vehicles stand overnight, and what is first on the next day of work.
    pub evening: [String; 2],
}

/// What a vehicle that stays as it is overnight must not do; empty: all of it may be done.
pub(super) fn overnight_words(ledger: &Ledger) -> Vec<&'static str> {
    let verdicts = [
        ("moved", ledger.may_be_moved()),
        ("lowered", ledger.may_be_lowered()),
        ("started", ledger.may_be_started()),
    ];
    verdicts.into_iter().filter(|(_, may)| !may.yes).map(|(what, _)| what).collect()
}

impl WeekAnswer {
    /// The sheet of today.
    #[must_use]
    pub fn today(&self) -> WeekDay {
        WeekDay {
            day: self.midnight.strftime("%A %-d %B").to_string(),
            stretches: self.stretches_of_day(),
            cart: self.cart_of_day(),
            waits: self.waits_of_day(),
            comes: self.said_of_day(|visit| {
                let here = |known: &super::WeekExpected| is_on_day(known.on.as_ref(), &self.moment(0));
                let titles = visit.things.iter().filter(|known| here(known)).map(|known| &known.thing.title);
                titles.map(|title| format!("{title}, for {} {}", visit.letter, visit.name)).collect()
            }),
            promised: self.said_of_day(|visit| {
                let Some(promise) = &visit.promise else { return Vec::new() };
                if !is_on_day(Some(&promise.until), &self.moment(0)) {
                    return Vec::new();
                }
                let late = match promise.late_percent {
                    0 => String::new(),
                    percent => format!("; late {percent} times in 100"),
                };
                vec![format!("{} {} until {}{late}", visit.letter, visit.name, clock_of(&promise.until))]
            }),
            evening: self.evening(),
        }
    }

    /// How the vehicles stand overnight, and what is first on the next day of work.
    #[must_use]
    pub fn evening(&self) -> [String; 2] {
        [self.overnight_line(), self.next_day_line()]
    }

    /// What is worth beginning now on another vehicle, in so many minutes; `None`: nothing, or there is no other.
    #[must_use]
    pub fn worth_beside(&self, visit: &VisitId, minutes: u32) -> Option<String> {
        let found =
            find_worth_starting(&self.question, &self.laid_out, minutes.saturating_mul(60)).ok()??;
        (self.facts[found.visit].id != *visit).then_some(found.words)
    }

    fn said_of_day(&self, say: impl Fn(&super::WeekVisit) -> Vec<String>) -> Vec<String> {
        self.visits().iter().flat_map(say).collect()
    }

    /// Lines of work with hands that begin today.
    fn lines_of_day(&self) -> impl Iterator<Item = &BenchLine> {
        self.lines_of_work().filter(|line| line.start_s < DAY_S)
    }

    fn stretches_of_day(&self) -> Vec<DayStretch> {
        let lines: Vec<&BenchLine> = self.lines_of_day().collect();
        let goes_on = |a: &&BenchLine, b: &&BenchLine| {
            a.visit == b.visit && b.start_s.saturating_sub(a.end_s) <= GOES_ON_S
        };
        lines.chunk_by(goes_on).map(|chunk| self.stretch_of_lines(chunk)).collect()
    }

    fn stretch_of_lines(&self, lines: &[&BenchLine]) -> DayStretch {
        let (first, last) = (lines[0], lines[lines.len() - 1]);
        let visit = &self.question.visits[first.visit];
        let work = |line: &&BenchLine| {
            let item = &visit.items[line.item];
            let two = (item.hands == ItemHands::Two).then_some("with a second pair of hands");
            let whole =
                (item.pace == calendar::ItemPace::OnePiece).then_some("once begun it is brought to its end");
            DayWork {
                begins: self.clock_at(line.start_s),
                what: item.name.clone(),
                note: two.into_iter().chain(whole).collect::<Vec<_>>().join("; "),
            }
        };
        DayStretch {
            letter: visit.letter,
            name: visit.name.clone(),
            begins: self.clock_at(first.start_s),
            ends: (last.end_s <= DAY_S).then(|| self.clock_at(last.end_s)),
            work: lines.iter().map(work).collect(),
        }
    }

    /// Waits that begin or end today.
    fn waits_of_day(&self) -> Vec<String> {
        let mut waits: Vec<(u32, String)> = Vec::new();
        for (at, visit) in self.question.visits.iter().enumerate() {
            let end_of = |item: usize| {
                let is_it = |line: &&BenchLine| (line.visit, line.item) == (at, item);
                self.laid_out.lines.iter().find(is_it).map(|line| line.end_s)
            };
            let is_thing = |title: &String| self.facts[at].things().iter().any(|thing| thing.title == *title);
            let running = visit.items.iter().filter_map(|item| item.part.as_ref());
            for wait in running.filter(|wait| !is_thing(&wait.part) && wait.at_s > self.question.now_s) {
                let until = self.until_words(wait.at_s);
                waits.push((self.question.now_s, format!("{}, until {until}: {}", visit.letter, wait.part)));
            }
            for link in visit.links.iter().filter(|link| link.wait_s > 0) {
                let Some(from_s) = end_of(link.from).filter(|from_s| *from_s < DAY_S) else { continue };
                let over_s = from_s.saturating_add(link.wait_s);
                let until = self.until_words(over_s);
                waits.push((from_s, format!("{}, until {until}: {}", visit.letter, link.words)));
            }
        }
        waits.sort();
        waits.into_iter().map(|(_, words)| words).collect()
    }

    fn overnight_line(&self) -> String {
        let each = self.question.visits.iter().zip(&self.facts).map(|(visit, facts)| {
            let letter = visit.letter;
            match facts.overnight.as_slice() {
                [] => format!("{letter} may be moved, lowered and started"),
                not => format!("{letter} must not be {}", not.join(", not ")),
            }
        });
        let each: Vec<String> = each.collect();
        format!("As they stand now: {}.", each.join("; "))
    }

    fn next_day_line(&self) -> String {
        let later = self.lines_of_work().find(|line| line.start_s >= DAY_S);
        let Some(line) = later else { return String::from("After today nothing is left to do.") };
        let visit = &self.question.visits[line.visit];
        let begins = self.moment(line.start_s).words;
        format!("Next day of work, {begins}: {}, {}.", visit.letter, visit.items[line.item].name)
    }

    /// The clock where it is today, else the day with it.
    fn until_words(&self, at_s: u32) -> String {
        if at_s <= DAY_S { self.clock_at(at_s) } else { self.moment(at_s).words }
    }

    /// A time of the day, rounded up to the minute.
    fn clock_at(&self, at_s: u32) -> String {
        clock_of(&self.moment(at_s))
    }
}

/// "08:00" of "2027-03-01T08:00".
fn clock_of(moment: &WeekMoment) -> String {
    moment.at.split_once('T').map_or_else(|| moment.at.clone(), |(_, clock)| clock.to_owned())
}

fn is_on_day(moment: Option<&WeekMoment>, midnight: &WeekMoment) -> bool {
    let day = |moment: &WeekMoment| moment.at.get(..10).map(str::to_owned);
    moment.is_some_and(|moment| day(moment) == day(midnight))
}
