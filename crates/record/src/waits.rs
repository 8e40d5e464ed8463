//! Waits that have begun: what holds only after a time, what sets or cools once a part is in place, and what a person waits for.
//!
//! A wait of the book begins with the work that it follows, told or not; where the same wait was also begun by a tap on its own
//! step, the work counts. The longest of several with one name is the one that holds the work back.

use model::{Book, HoldsBack};

use crate::names::BookByKey;
use crate::{EventId, EventStamp, Visit};

/// What a wait follows from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WaitGround<'v> {
    /// A condition was made, by its key.
    Condition(&'v str),
    /// A part was set in place: its key and the position in [`model::Part::refit_waits`].
    Part(&'v str, usize),
    /// A tap began it.
    Told(&'v EventId),
}

/// A wait that has begun, whether or not its time is over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RecordedWait<'v> {
    /// What for; the name of the plan's step that waits for it.
    pub what: &'v str,
    /// What it follows from.
    pub ground: WaitGround<'v>,
    /// The event that began it.
    pub since: &'v EventStamp,
    /// How long, s; `None`: nobody said.
    pub length_s: Option<f64>,
    /// Whether someone said that it is over.
    pub is_told_over: bool,
}

impl RecordedWait<'_> {
    /// What is left at a time, s; below zero once it is over. `None` where no length is known.
    pub(crate) fn left_s(&self, now_ms: i64) -> Option<f64> {
        Some(wait_left_s(self.since, self.length_s?, now_ms))
    }
}

impl Visit {
    /// Every wait that has begun: those of the book by the work that they follow, then those that were begun by a tap.
    #[must_use]
    pub fn begun_waits<'v>(&'v self, book: Option<&'v Book>) -> Vec<RecordedWait<'v>> {
        let names = BookByKey::new(book);
        let mut all = self.begun_book_waits(&names);
        all.extend(self.waits.iter().map(|(event, wait)| RecordedWait {
            what: &wait.waiting.what,
            ground: WaitGround::Told(event),
            since: &wait.stamp,
            length_s: wait.waiting.seconds.map(|seconds| seconds as f64),
            is_told_over: wait.over.is_some(),
        }));
        all
    }

    /// Hold-ups of conditions and waits of parts that have begun.
    pub(crate) fn begun_book_waits<'v>(&'v self, names: &BookByKey<'v>) -> Vec<RecordedWait<'v>> {
        let mut begun = Vec::new();
        for (key, made) in self.conditions.iter().filter(|(_, made)| made.now) {
            let Some(condition) = names.condition(key).filter(|c| c.hold_up.as_s() > 0.0) else { continue };
            let (since, ground) = (&made.since, WaitGround::Condition(key));
            begun.push(self.book_wait(&condition.title, ground, since, condition.hold_up.as_s()));
        }
        for (key, made) in self.parts.iter().filter(|(_, made)| made.is_back()) {
            let Some(part) = names.part(key) else { continue };
            for (at, wait) in part.refit_waits.iter().enumerate() {
                let since = match wait.holds_back {
                    HoldsBack::Tightening => &made.since,
                    HoldsBack::Filling | HoldsBack::NextPart => self.last_on(names, key, &made.since),
                };
                begun.push(self.book_wait(&wait.title, WaitGround::Part(key, at), since, wait.time.as_s()));
            }
        }
        begun
    }

    fn book_wait<'v>(
        &self,
        what: &'v str,
        ground: WaitGround<'v>,
        since: &'v EventStamp,
        length_s: f64,
    ) -> RecordedWait<'v> {
        let is_told_over = self.is_said_over(what, since);
        RecordedWait { what, ground, since, length_s: Some(length_s), is_told_over }
    }

    /// The last thing done to a part that is on: it was set in place, or a fastener of it was marked.
    fn last_on<'a>(&'a self, names: &BookByKey<'_>, part: &str, on: &'a EventStamp) -> &'a EventStamp {
        let own = |fixing: &str| {
            names.fixing(fixing).is_some_and(|f| names.part_of(f).is_some_and(|p| p.key == part))
        };
        let marks = self.fasteners.iter().filter(|(fixing, _, _)| own(fixing)).map(|(_, _, f)| &f.since);
        marks.chain([on]).max_by(|a, b| a.order.cmp(&b.order)).unwrap_or(on)
    }

    fn is_said_over(&self, title: &str, since: &EventStamp) -> bool {
        let over = self.waits.values().filter(|w| w.waiting.what == title).filter_map(|w| w.over.as_ref());
        over.into_iter().any(|o| o.order > since.order)
    }
}

/// What is left of a wait, s; below zero once it is over.
pub(crate) fn wait_left_s(since: &EventStamp, length_s: f64, now_ms: i64) -> f64 {
    length_s - now_ms.saturating_sub(since.at_ms) as f64 / 1_000.0
}
