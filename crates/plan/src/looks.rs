//! Looks: the questions about fasteners that are not proven yet, and how many each answer would settle.
//!
//! **Question.** A book leaves rooms and figures open. Which look at the engine, or into the manual, is worth its time?
//!
//! **Method.** A question is asked of one fixing and has a few answers. For each answer the book is read as if it had been
//! given, for all fixings of that question at once (they do not touch each other), and reach is asked again. An answer
//! *settles* a fastener that is then proven, or refused; it *helps* one whose verdict gets better. Questions stand in the
//! order of the fasteners that their best answer settles or helps for each second that the look takes.
//!
//! **Assumptions.** Times of looks ([`times::ROOM_LOOK_S`] and the others) are assumptions. A figure is tried as the middle of the
//! band of its thread. What two questions would settle only together is shown as help of each.

use std::collections::BTreeMap;

use model::plan::{LookAnswer, LookLine};
use model::{Book, Duty, Fixing, FixingId, ReachVerdict, RoomClass, Stage, StageTarget, Store};

use crate::coverage::{JudgedReach, find_verdicts};
use crate::scope::PlanScope;

/// Most questions on a sheet.
const MAX_LOOKS: usize = 20;

/// Verdicts of fasteners by fixing: the worst of the acts of each hole.
type HoleVerdicts = BTreeMap<(FixingId, u16), ReachVerdict>;

/// The questions of a scope, the most worth first.
#[must_use]
pub fn rank_looks(book: &Book, store: &Store, scope: &PlanScope, threads: u16) -> Vec<LookLine> {
    let now = verdicts_of_scope(scope);
    let open =
        |id: &FixingId| now.iter().any(|((of, _), verdict)| of == id && *verdict != ReachVerdict::Proven);
    let mut fixings: Vec<FixingId> = scope.duties.iter().map(|duty| duty.duty.fixing).collect();
    fixings.dedup();
    fixings.retain(open);
    let trial = LookTrial { book, store, scope, threads, now: &now };
    let mut looks = trial.ask_rooms(&fixings);
    looks.extend(trial.ask_figures(&fixings));
    looks.retain(|look| look.answers.iter().any(|answer| answer.settles + answer.helps > 0));
    let worth = |look: &LookLine| {
        let best = look.answers.iter().map(|answer| 2 * answer.settles + answer.helps).max().unwrap_or(0);
        f64::from(best) / look.seconds
    };
    looks.sort_by(|a, b| worth(b).total_cmp(&worth(a)).then_with(|| a.fixing.cmp(&b.fixing)));
    looks.truncate(MAX_LOOKS);
    looks
}

fn verdicts_of_scope(scope: &PlanScope) -> HoleVerdicts {
    let mut worst = HoleVerdicts::new();
    for duty in &scope.duties {
        for hole in &duty.holes {
            let known = worst.entry((duty.duty.fixing, *hole)).or_insert(duty.verdict);
            *known = (*known).max(duty.verdict);
        }
    }
    worst
}

/// Asks reach again as if a question had been answered.
struct LookTrial<'a> {
    book: &'a Book,
    store: &'a Store,
    scope: &'a PlanScope,
    threads: u16,
    now: &'a HoleVerdicts,
}

impl LookTrial<'_> {
    /// Which room it is, of fixings of which nobody has said so.
    fn ask_rooms(&self, fixings: &[FixingId]) -> Vec<LookLine> {
        let is_asked = |id: &&FixingId| {
            let duties = self.scope.duties.iter().filter(|duty| duty.duty.fixing == **id);
            duties
                .map(|duty| self.book.reach_doubts(**id, duty.duty.access))
                .any(|doubts| doubts.not_known.contains(&"the room"))
        };
        let asked: Vec<FixingId> = fixings.iter().filter(is_asked).copied().collect();
        if asked.is_empty() {
            return Vec::new();
        }
        let answers: Vec<(String, HoleVerdicts)> = RoomClass::ALL
            .iter()
            .map(|class| {
                (class.spoken_word().to_owned(), self.answered(&asked, |fixing| with_room(fixing, *class)))
            })
            .collect();
        let line = |id: &FixingId| {
            let question = format!("Which room have the {}?", self.book.fixing(*id).title);
            self.look_line(*id, question, times::ROOM_LOOK_S, &answers)
        };
        asked.iter().map(line).collect()
    }

    /// Which figure the manual gives, of fixings without one.
    fn ask_figures(&self, fixings: &[FixingId]) -> Vec<LookLine> {
        let has_band = |id: &&FixingId| model::reckoned_torques(self.book.fixing(**id)).is_some();
        let asked: Vec<FixingId> = fixings.iter().filter(has_band).copied().collect();
        if asked.is_empty() {
            return Vec::new();
        }
        let answers = [(String::from("a figure with its page"), self.answered(&asked, with_middle_figure))];
        let line = |id: &FixingId| {
            let question = format!(
                "Which tightening figure have the {}, and where does it stand?",
                self.book.fixing(*id).title
            );
            self.look_line(*id, question, times::FIGURE_LOOK_S, &answers)
        };
        asked.iter().map(line).collect()
    }

    /// The verdicts if all these fixings were answered alike.
    fn answered(&self, asked: &[FixingId], answer: impl Fn(Fixing) -> Fixing) -> HoleVerdicts {
        let mut book = self.book.clone();
        for id in asked {
            let slot = &mut book.fixings[id.index()];
            *slot = answer(slot.clone());
        }
        let of_asked = self.scope.duties.iter().filter(|duty| asked.contains(&duty.duty.fixing));
        // A given figure has passes of its own: only what both have is asked.
        let duties: Vec<Duty> = of_asked.clone().map(|duty| duty.duty).collect();
        let found = find_verdicts(&book, self.store, &duties, self.threads);
        let mut worst = HoleVerdicts::new();
        for (JudgedReach { verdict, .. }, duty) in found.into_iter().zip(of_asked) {
            for hole in &duty.holes {
                let known = worst.entry((duty.duty.fixing, *hole)).or_insert(verdict);
                *known = (*known).max(verdict);
            }
        }
        worst
    }

    fn look_line(
        &self,
        id: FixingId,
        question: String,
        seconds: f64,
        answers: &[(String, HoleVerdicts)],
    ) -> LookLine {
        let fixing = self.book.fixing(id);
        let of = |verdicts: &HoleVerdicts| {
            let (mut settles, mut helps) = (0, 0);
            for ((_, hole), now) in self.now.iter().filter(|((of, _), _)| *of == id) {
                let then = verdicts.get(&(id, *hole)).copied().unwrap_or(*now);
                let is_settled = matches!(then, ReachVerdict::Proven | ReachVerdict::No);
                settles += u32::from(is_settled && then != *now);
                helps += u32::from(!is_settled && then < *now);
            }
            (settles, helps)
        };
        let answer = |(words, verdicts): &(String, HoleVerdicts)| {
            let (settles, helps) = of(verdicts);
            LookAnswer { answer: words.clone(), settles, helps }
        };
        LookLine {
            fixing: fixing.key.clone(),
            question,
            seconds,
            fasteners: u32::try_from(fixing.holes.len()).unwrap_or(u32::MAX),
            answers: answers.iter().map(answer).collect(),
        }
    }
}

/// The fixing, its untold rooms of a class.
fn with_room(fixing: Fixing, class: RoomClass) -> Fixing {
    let mut figures = fixing.told_figures();
    for access in figures.accesses.iter_mut().filter(|access| access.room.is_none() && !access.is_exact()) {
        access.room = Some(class);
    }
    fixing.with_figures(figures)
}

/// The fixing with the middle of its band as a figure that is cited.
fn with_middle_figure(mut fixing: Fixing) -> Fixing {
    let Some((low, high)) = model::reckoned_torques(&fixing) else { return fixing };
    let middle = (low + high) * 0.5;
    fixing.tightening.stages =
        vec![Stage { target: StageTarget::Torque(middle), as_written: middle.to_string() }];
    fixing.tightening.source = String::from("a document, p. 1");
    fixing.origins.tightening = None;
    fixing
}
