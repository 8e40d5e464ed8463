//! Rule 6: is each bend of the corridor taken by a joint that lies there, and does every other joint stay straight?
//!
//! Bends are taken in order, each by one joint whose centre lies within 8 mm of it and whose greatest angle is not
//! below the bend's. Where two joints could take a bend, the one nearer the fastener does.

use model::rules::BEND_SLACK_MM;
use model::{AccessBend, BendTaken, PieceBend};

/// Maximum number of pieces of a chain: grip, three between, handle.
pub(crate) const MAX_CHAIN: usize = model::rules::MAX_BETWEEN + 2;

/// A joint of a chain at its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PlacedJoint {
    pub piece: u8,
    pub centre_mm: f64,
    pub bend: PieceBend,
}

impl PlacedJoint {
    /// Whether it lies at the bend and turns far enough.
    pub fn can_take(&self, bend: &AccessBend) -> bool {
        (self.centre_mm - bend.at.as_mm()).abs() <= BEND_SLACK_MM && self.bend.max_angle >= bend.angle
    }
}

/// The joints of a chain, in order, without an allocation.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct ChainJoints {
    list: [Option<PlacedJoint>; MAX_CHAIN],
    count: usize,
}

impl ChainJoints {
    /// Adds one, if the chain's length allows for it.
    pub fn push(&mut self, joint: PlacedJoint) {
        if let Some(place) = self.list.get_mut(self.count) {
            *place = Some(joint);
            self.count += 1;
        }
    }
    /// From the fastener to the hand.
    pub fn iter(&self) -> impl Iterator<Item = &PlacedJoint> {
        self.list[..self.count].iter().flatten()
    }
    fn joint_at(&self, index: usize) -> Option<&PlacedJoint> {
        self.list.get(index).and_then(Option::as_ref)
    }
}

/// Which piece takes which angle, one entry a joint.
pub(crate) type TakenBends = [Option<BendTaken>; MAX_CHAIN];

/// The joint that takes each bend; `None` if the rule does not hold.
pub(crate) fn match_bends(bends: &[AccessBend], joints: &ChainJoints) -> Option<TakenBends> {
    let mut taken = TakenBends::default();
    match_bends_from(bends, joints, 0, &mut taken).then_some(taken)
}

fn match_bends_from(bends: &[AccessBend], joints: &ChainJoints, at: usize, taken: &mut TakenBends) -> bool {
    let Some(joint) = joints.joint_at(at) else {
        return bends.is_empty();
    };
    if let Some((bend, rest)) = bends.split_first()
        && joint.can_take(bend)
    {
        taken[at] = Some(BendTaken { piece: joint.piece, angle: bend.angle });
        if match_bends_from(rest, joints, at + 1, taken) {
            return true;
        }
    }
    taken[at] = None;
    joint.bend.may_stay_straight && match_bends_from(bends, joints, at + 1, taken)
}

/// Whether all joints may stay straight, as a grip from the side requires.
pub(crate) fn all_straight(joints: &ChainJoints) -> bool {
    joints.iter().all(|j| j.bend.may_stay_straight)
}
