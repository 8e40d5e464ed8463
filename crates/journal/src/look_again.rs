//! Back after a break: the last three closed pieces of work are looked at again, each by another method than before.
//!
//! People who come back believe that they are further ahead than they are; "go back three steps" is the rule of a
//! federal aviation technician handbook's chapter on human factors and of a military safety article on the same matter.
//! Another method, because looking the same way again shows the same thing again: common practice, no single source.

use model::FastenerState;

use crate::Visit;
use crate::visit::{Deed, Looked, Work};

/// A piece of work to look at again.
#[derive(Debug, Clone, PartialEq)]
pub struct LookAgain<'a> {
    /// The work; its stamp names the event to answer with.
    pub work: &'a Work,
    /// How it was done or looked at before.
    pub before: Vec<&'a str>,
    /// Other ways to look, the best first.
    pub ways: Vec<&'static str>,
    /// The look since the break; `None`: it is still to be looked at.
    pub done: Option<&'a Looked>,
}

/// What to look at again after the last break, the latest work first; empty where there was none.
#[must_use]
pub fn look_again(visit: &Visit) -> Vec<LookAgain<'_>> {
    let Some(pause) = visit.pauses.last() else { return Vec::new() };
    let item = |work| {
        let looks = || visit.looked.iter().filter(move |l: &&Looked| l.event == work_event(work));
        let (now, earlier): (Vec<_>, Vec<_>) = looks().partition(|l| l.stamp.order > pause.stamp.order);
        let mut before = vec![done_by(work.deed)];
        before.extend(earlier.iter().map(|l| l.method.as_str()));
        let ways = ways(work.deed).iter().copied().filter(|w| !before.contains(w)).collect();
        LookAgain { work, before, ways, done: now.into_iter().next() }
    };
    pause.before.iter().map(item).collect()
}

fn work_event(work: &Work) -> crate::EventId {
    work.stamp.event.clone()
}

/// Whether a method is another one than all before, apart from how it is written.
#[must_use]
pub fn is_another_method(item: &LookAgain<'_>, method: &str) -> bool {
    let plain = |text: &str| text.trim().to_lowercase();
    item.before.iter().all(|b| plain(b) != plain(method))
}

/// How the work itself was done or seen.
const fn done_by(deed: Deed) -> &'static str {
    match deed {
        Deed::Marked(FastenerState::Tight) => "torque tool",
        Deed::Marked(FastenerState::Checked) => "second look",
        Deed::Marked(_) | Deed::Renewed => "by hand, one by one",
        Deed::PartOff | Deed::PartOn => "by hand",
        Deed::Established | Deed::Restored | Deed::Done => "as it was done",
        Deed::Capped | Deed::Uncapped | Deed::TakenOut => "counted while doing it",
    }
}

const fn ways(deed: Deed) -> &'static [&'static str] {
    match deed {
        Deed::Marked(FastenerState::Tight | FastenerState::Checked) => {
            &["see the paint stripe on each", "count them against the holes", "try each by hand"]
        }
        Deed::Marked(FastenerState::FingerTight) => {
            &["count the heads against the holes", "turn each by hand", "look whether the slot is empty"]
        }
        Deed::Marked(_) => &["count what lies in the slot", "look into each hole"],
        Deed::Renewed => &["count the old ones", "look at the marks on the new ones"],
        Deed::PartOff => &["look where it lies", "look at the place that it left"],
        Deed::PartOn => &["pull at it", "look round its edge with a lamp"],
        Deed::Established | Deed::Restored => &["look at the plug, tap or gauge itself", "touch it"],
        Deed::Capped => &["touch each cap", "count the caps that are left in the box"],
        Deed::Uncapped | Deed::TakenOut => {
            &["look into each opening with a lamp", "count what lies in the box"]
        }
        Deed::Done => &["look at it from another side", "measure it again"],
    }
}
