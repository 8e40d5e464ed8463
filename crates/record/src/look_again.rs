//! Back after a break: the last three closed pieces of work are looked at again, each by another method than before.
//!
//! People who come back believe that they are further ahead than they are; "go back three steps" is the rule of a
//! federal aviation technician handbook's chapter on human factors and of a military safety article on the same matter.
//! Another method, because looking the same way again shows the same thing again: common practice, no single source.

use model::FastenerState;

use crate::Visit;
use crate::visit::{ClosedWork, SecondLook, WorkKind};

/// A piece of work to look at again.
#[derive(Debug, Clone, PartialEq)]
pub struct LookAgainItem<'a> {
    /// The work; its stamp names the event to answer with.
    pub work: &'a ClosedWork,
    /// How it was done or looked at before.
    pub before: Vec<&'a str>,
    /// Other ways to look, the best first.
    pub ways: Vec<&'static str>,
    /// The look since the break; `None`: it is still to be looked at.
    pub done: Option<&'a SecondLook>,
}

/// What to look at again after the last break, the latest work first; empty where there was none.
#[must_use]
pub fn look_again(visit: &Visit) -> Vec<LookAgainItem<'_>> {
    let Some(pause) = visit.pauses.last() else { return Vec::new() };
    let item = |work| {
        let looks = || visit.looked.iter().filter(move |l: &&SecondLook| l.event == work_event(work));
        let (now, earlier): (Vec<_>, Vec<_>) = looks().partition(|l| l.stamp.order > pause.stamp.order);
        let mut before = vec![usual_method(work.deed)];
        before.extend(earlier.iter().map(|l| l.method.as_str()));
        let ways = ways_to_look(work.deed).iter().copied().filter(|w| !before.contains(w)).collect();
        LookAgainItem { work, before, ways, done: now.into_iter().next() }
    };
    pause.before.iter().map(item).collect()
}

fn work_event(work: &ClosedWork) -> crate::EventId {
    work.stamp.event.clone()
}

/// Whether a method is another one than all before, apart from how it is written.
#[must_use]
pub fn is_another_method(item: &LookAgainItem<'_>, method: &str) -> bool {
    let plain = |text: &str| text.trim().to_lowercase();
    item.before.iter().all(|b| plain(b) != plain(method))
}

/// How the work itself was done or seen.
const fn usual_method(deed: WorkKind) -> &'static str {
    match deed {
        WorkKind::Marked(FastenerState::Tight) => "torque tool",
        WorkKind::Marked(FastenerState::Checked) => "second look",
        WorkKind::Marked(_) | WorkKind::Renewed => "by hand, one at a time",
        WorkKind::PartOff | WorkKind::PartOn => "by hand",
        WorkKind::Established | WorkKind::Restored | WorkKind::Done => "the same way as the work itself",
        WorkKind::Capped | WorkKind::Uncapped | WorkKind::TakenOut => "counted during the work",
    }
}

const fn ways_to_look(deed: WorkKind) -> &'static [&'static str] {
    match deed {
        WorkKind::Marked(FastenerState::Tight | FastenerState::Checked) => {
            &["check the paint mark on each", "count them against the holes", "try each by hand"]
        }
        WorkKind::Marked(FastenerState::FingerTight) => {
            &["count the heads against the holes", "turn each by hand", "check that the slot is empty"]
        }
        WorkKind::Marked(_) => &["count what lies in the slot", "look into each hole"],
        WorkKind::Renewed => &["count the old ones", "look at the marks on the new ones"],
        WorkKind::PartOff => &["look where it lies", "look at the place that it left"],
        WorkKind::PartOn => &["pull on it", "look round its edge with a lamp"],
        WorkKind::Established | WorkKind::Restored => {
            &["look at the plug, tap or gauge itself", "feel it by hand"]
        }
        WorkKind::Capped => &["touch each cap", "count the caps that are left in the box"],
        WorkKind::Uncapped | WorkKind::TakenOut => {
            &["look into each opening with a lamp", "count what lies in the box"]
        }
        WorkKind::Done => &["look at it from another side", "measure it again"],
    }
}
