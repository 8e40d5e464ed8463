//! What the visits of an engine teach, as proposals that a person takes into the book or leaves.
//!
//! A proposal stands on visits of the book's engine: those whose own book has its key. One that was left comes again when more visits speak to it; one
//! that was taken does not, but for a time from which later visits differ again.

use std::collections::{BTreeMap, BTreeSet};

use learn::act_times::{ActTime, learn_act_times};
use learn::counts::share_of_count;
use learn::precedence::learn_order;
use learn::visits::HistoryFault;
use model::{Book, Need, PartId};
use record::Visit;
use record::visit::HappeningEnd;
use record::{BookBody, BookLesson, BookRecord, EventId, ToldSubject, ToldWhat, VisitHappeningKind};

use crate::lessons::take_visit;
use crate::text::table::{count_with_noun, spoken_time};
use crate::titles;
use crate::workshop::{LiveVisit, Workshop, WorkshopError};

/// What went wrong with a fastener that the next mechanic wants to know.
const MISHAPS: [(VisitHappeningKind, &str); 5] = [
    (VisitHappeningKind::Seized, "seized"),
    (VisitHappeningKind::Rounded, "rounded off"),
    (VisitHappeningKind::Broken, "broke off"),
    (VisitHappeningKind::ThreadCameOut, "lost its thread"),
    (VisitHappeningKind::Lost, "was dropped and lost"),
];

/// Something that visits teach and nobody has decided on.
#[derive(Debug, Clone, PartialEq)]
pub struct LessonProposal {
    /// What they teach.
    pub lesson: BookLesson,
    /// Visits that speak to it.
    pub visits: u32,
    /// It in words, with the number behind it.
    pub words: String,
    /// What taking it changes, in words.
    pub changes: &'static str,
}

impl LessonProposal {
    /// What a person's decision writes into the book's stream.
    #[must_use]
    pub fn decide(&self, is_taken: bool) -> BookBody {
        let (lesson, visits, words) = (self.lesson.clone(), self.visits, self.words.clone());
        if is_taken {
            BookBody::LessonTaken { lesson, visits, words }
        } else {
            BookBody::LessonLeft { lesson, visits, words }
        }
    }
}

/// A decision that stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DecidedLesson {
    /// It, as the person who decided read it.
    pub words: String,
    /// Whether it is in the book.
    pub is_taken: bool,
    /// The event of the decision, by which it is taken back.
    pub event: EventId,
}

/// What the visits of an engine teach.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BookLessons {
    /// Visits of it in this journal.
    pub visits: usize,
    /// What waits for a decision.
    pub open: Vec<LessonProposal>,
    /// What was decided.
    pub decided: Vec<DecidedLesson>,
}

impl Workshop {
    /// What the visits of this journal teach of a book.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read; [`WorkshopError::Rest`] where the histories cannot be learned from.
    pub fn book_lessons(&mut self, book: &Book) -> Result<BookLessons, WorkshopError> {
        let own = self.book_record(book)?;
        let mut heard = HeardVisits::default();
        for id in self.list_visits()? {
            // A visit that cannot be read teaches nothing.
            let Ok(live) = self.visit(&id) else { continue };
            if live.book().is_none_or(|own| own.key != book.key) {
                continue;
            }
            heard.count += 1;
            take_visit(&id, live.state(), book, (&mut heard.visits, &mut heard.freed));
            heard.take_in(book, live);
        }
        let open = heard.propose(book).map_err(|fault| WorkshopError::Rest(fault.to_string()))?;
        let open = open.into_iter().filter(|proposal| is_open(proposal, &own)).collect();
        let decided = own.lessons.values().map(|word| DecidedLesson {
            words: word.words.clone(),
            is_taken: word.is_taken,
            event: word.stamp.event.clone(),
        });
        Ok(BookLessons { visits: heard.count, open, decided: decided.collect() })
    }
}

/// Whether nobody has decided, or more visits speak to it since.
fn is_open(proposal: &LessonProposal, own: &BookRecord) -> bool {
    let Some(word) = own.lessons.get(&proposal.lesson.topic()) else { return true };
    let may_come_again = !word.is_taken || matches!(proposal.lesson, BookLesson::LiftTime { .. });
    may_come_again && proposal.visits > word.visits
}

/// How long a part was planned to take off, and how long of that was lifting it, s.
#[derive(Debug, Clone, Copy)]
struct PlannedOff {
    whole_s: f64,
    lift_s: f64,
}

/// What the visits of the engine say.
#[derive(Default)]
struct HeardVisits {
    count: usize,
    visits: Vec<learn::visits::EngineVisit>,
    freed: Vec<(String, String)>,
    /// By part, of the newest visit that was planned once.
    planned: BTreeMap<String, PlannedOff>,
    /// Visits by fixing and stack, those that did it and those that did not.
    stacks: BTreeMap<(String, bool, String), u32>,
    /// Visits by fixing and mishap, with how it was dealt with.
    mishaps: BTreeMap<(String, VisitHappeningKind), (u32, BTreeSet<String>)>,
    /// Visits that had a fixing in hand.
    handled: BTreeMap<String, u32>,
}

impl HeardVisits {
    fn take_in(&mut self, book: &Book, live: &LiveVisit) {
        let visit = live.state();
        self.take_plan(live);
        for fixing in &book.fixings {
            let key = &fixing.key;
            let of = ToldSubject::Fixing(key.clone());
            for (what, worked) in [(ToldWhat::Worked, true), (ToldWhat::Failed, false)] {
                let told: BTreeSet<&str> =
                    visit.seen.words_on(&of, what).iter().map(|word| word.value.trim()).collect();
                for stack in told.into_iter().filter(|stack| !stack.is_empty()) {
                    *self.stacks.entry((key.clone(), worked, stack.to_owned())).or_default() += 1;
                }
            }
            let went_wrong = self.take_mishaps(visit, key);
            let is_handled = visit.fasteners.of_fixing(key).next().is_some() || went_wrong;
            *self.handled.entry(key.clone()).or_default() += u32::from(is_handled);
        }
    }

    /// Whether anything went wrong there.
    fn take_mishaps(&mut self, visit: &Visit, fixing: &str) -> bool {
        let here = |at: &record::EventPlace| at.fixing.as_deref() == Some(fixing);
        let mut any = false;
        for (what, _) in MISHAPS {
            let mut seen = visit.happenings.values().filter(|it| it.what == what && here(&it.at)).peekable();
            if seen.peek().is_none() {
                continue;
            }
            any = true;
            let count = self.mishaps.entry((fixing.to_owned(), what)).or_default();
            count.0 += 1;
            count.1.extend(seen.filter_map(|it| match it.end.as_ref()? {
                HappeningEnd::DealtWith { how, .. } => Some(how.trim().to_owned()),
                HappeningEnd::GivenUp { .. } => None,
            }));
            count.1.retain(|how| !how.is_empty());
        }
        any
    }

    /// Times of the plan, where the visit went by its first one: a plan for the rest leaves out what was done before.
    fn take_plan(&mut self, live: &LiveVisit) {
        let (Some(book), Some(plan)) = (live.book(), live.plan()) else { return };
        if !live.state().earlier_plans.is_empty() {
            return;
        }
        let mut of_visit: BTreeMap<String, PlannedOff> = BTreeMap::new();
        for step in &plan.strip.steps {
            let Some(part) = step.part.as_deref().and_then(|key| book.part_by_key(key)) else { continue };
            let part = book.part(part);
            let lift_s = part.lift_s();
            let planned = of_visit.entry(part.key.clone()).or_insert(PlannedOff { whole_s: 0.0, lift_s });
            planned.whole_s += step.setup_s + step.work_s;
        }
        self.planned.extend(of_visit);
    }

    fn propose(&self, book: &Book) -> Result<Vec<LessonProposal>, HistoryFault> {
        let mut all = self.propose_order(book)?;
        let times = learn_act_times(&self.visits)?;
        all.extend(times.iter().filter_map(|time| self.propose_time(book, time)));
        all.extend(self.propose_stacks(book));
        all.extend(self.propose_mishaps(book)?);
        Ok(all)
    }

    fn propose_order(&self, book: &Book) -> Result<Vec<LessonProposal>, HistoryFault> {
        let order = learn_order(&self.visits, &self.freed)?;
        let new = order.proposed.iter().filter(|pair| {
            let ends = book.part_by_key(&pair.first).zip(book.part_by_key(&pair.then));
            ends.is_some_and(|(first, then)| {
                !comes_before(book, first, then) && !comes_before(book, then, first)
            })
        });
        let proposal = |pair: &learn::precedence::OrderedPair| LessonProposal {
            lesson: BookLesson::OffBefore { first: pair.first.clone(), then: pair.then.clone() },
            visits: count(pair.visits),
            words: format!(
                "{} came off before {} in {} of {}; by chance alone {:.1} times in 100",
                titles::part_title(book, &pair.first),
                titles::part_title(book, &pair.then),
                pair.visits - pair.contradictions,
                count_with_noun(pair.visits, "visit"),
                pair.chance_probability * 100.0
            ),
            changes: "From then on every plan takes them off in this order.",
        };
        Ok(new.map(proposal).collect())
    }

    /// Only where the times are not few and the plan lies outside them.
    fn propose_time(&self, book: &Book, time: &ActTime) -> Option<LessonProposal> {
        let planned = self.planned.get(&time.part)?;
        let range = time.range_s.as_ref().filter(|_| !time.is_few)?;
        if (range.low_figure..=range.high_figure).contains(&planned.whole_s) {
            return None;
        }
        let lift_s = (planned.lift_s + time.typical_s - planned.whole_s).round();
        if !(1.0..=86_400.0).contains(&lift_s) {
            return None;
        }
        let words = format!(
            "{} took {} to come off, fasteners included, by {}, between {} and {} in 90 of 100 cases; the plan had {}",
            titles::part_title(book, &time.part),
            spoken_time(time.typical_s),
            count_with_noun(time.kept, "time"),
            spoken_time(range.low_figure),
            spoken_time(range.high_figure),
            spoken_time(planned.whole_s)
        );
        Some(LessonProposal {
            // Within 1 to 86 400.
            lesson: BookLesson::LiftTime { part: time.part.clone(), seconds: lift_s as u32 },
            visits: count(time.kept),
            words,
            changes: "From then on lifting it off counts so much more or less that the whole takes what visits took.",
        })
    }

    fn propose_stacks(&self, book: &Book) -> Vec<LessonProposal> {
        let proposal = |((fixing, worked, stack), visits): (&(String, bool, String), &u32)| {
            let how = if *worked { "done with" } else { "not done with" };
            LessonProposal {
                lesson: BookLesson::Stack { fixing: fixing.clone(), worked: *worked, stack: stack.clone() },
                visits: *visits,
                words: format!(
                    "{}: {how} {stack} in {}",
                    titles::fixing_title(book, fixing),
                    count_with_noun(*visits as usize, "visit")
                ),
                changes: "From then on it stands as a tip at the step.",
            }
        };
        let is_told = |(fixing, worked, stack): &(String, bool, String)| {
            let how = if *worked { "Done with" } else { "Not done with" };
            let part = book.fixing_by_key(fixing).map(|id| book.part(book.fixing(id).part));
            let tip = part.and_then(|part| part.tip.as_deref());
            tip.is_some_and(|tip| tip.contains(&format!("{how} {stack}.")))
        };
        self.stacks.iter().filter(|(key, _)| !is_told(key)).map(proposal).collect()
    }

    fn propose_mishaps(&self, book: &Book) -> Result<Vec<LessonProposal>, HistoryFault> {
        let mut all = Vec::new();
        for ((fixing, what), (hits, ways)) in &self.mishaps {
            let tries = self.handled.get(fixing).copied().unwrap_or(*hits).max(*hits);
            let share = share_of_count(fixing, *hits, tries)?;
            let how = MISHAPS.iter().find(|(kind, _)| kind == what).map_or("went wrong", |(_, how)| how);
            let range = if share.is_few {
                String::from("; few visits, they say little")
            } else {
                format!("; between {:.0} and {:.0} in 100", share.low_share * 100.0, share.high_share * 100.0)
            };
            let ways: Vec<&str> = ways.iter().map(String::as_str).collect();
            let ways = if ways.is_empty() { String::new() } else { format!("; helped: {}", ways.join(", ")) };
            let words = format!(
                "{}: one {how} in {hits} of {}{range}{ways}",
                titles::fixing_title(book, fixing),
                count_with_noun(tries as usize, "visit")
            );
            all.push(LessonProposal {
                lesson: BookLesson::Mishap { fixing: fixing.clone(), what: *what },
                visits: tries,
                words,
                changes: "From then on it stands as a tip at the step.",
            });
        }
        Ok(all)
    }
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Whether the book says that the one has to be off before the other, directly or not.
fn comes_before(book: &Book, first: PartId, then: PartId) -> bool {
    let (mut seen, mut open) = (BTreeSet::new(), vec![then]);
    while let Some(at) = open.pop() {
        for need in &book.part(at).needs {
            let Need::Off(before) = need else { continue };
            if *before == first {
                return true;
            }
            if seen.insert(before.index()) {
                open.push(*before);
            }
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use learn::act_times::TimeRange;

    fn book() -> Book {
        let text = "format = \"traywright-book/2\"\ntitle = \"x\"\n[[part]]\nkey = \"a\"\ntitle = \"cover\"\nlift_time = \"60 s\"\n";
        book::read_book(&[("x.toml".into(), text.as_bytes().to_vec())]).book.expect("a good book")
    }

    fn proposed(planned_s: f64, typical_s: f64, is_few: bool) -> Option<LessonProposal> {
        let planned = BTreeMap::from([("a".into(), PlannedOff { whole_s: planned_s, lift_s: 60.0 })]);
        let heard = HeardVisits { planned, ..HeardVisits::default() };
        let range = TimeRange { low_figure: typical_s * 0.8, high_figure: typical_s * 1.2 };
        let time = ActTime {
            part: "a".into(),
            typical_s,
            range_s: Some(range),
            kept: 7,
            cut: 0,
            is_few,
            first_ratio: None,
            first_range_ratio: None,
        };
        heard.propose_time(&book(), &time)
    }

    #[test]
    fn a_time_is_proposed_where_the_plan_lies_outside_what_visits_took_and_lifting_off_bears_the_difference()
    {
        let made = proposed(600.0, 900.0, false).expect("a proposal");
        assert_eq!(made.lesson, BookLesson::LiftTime { part: "a".into(), seconds: 360 });
        assert!(
            made.words.contains("7 times") && made.words.contains("the plan had 10 min"),
            "{}",
            made.words
        );
        assert_eq!(proposed(800.0, 900.0, false), None, "the plan lies within");
        assert_eq!(proposed(600.0, 900.0, true), None, "few");
        assert_eq!(proposed(900.0, 600.0, false), None, "its fasteners alone were planned longer");
    }
}
