//! States that a visit may be brought to before it is whole.

use crate::{Book, PartId, PartKind, PartStanding, SettingId, SettingKind, WorldNeed, WorldThing};

/// A named state that a visit may be brought to before it is whole: fit to roll, opened for a look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitGoal {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it: "fit to roll".
    pub title: String,
    /// What has to hold at its end, all of it; the rest stays as it is.
    pub needs: Vec<WorldNeed>,
}

/// The key of the goal that every book has: the vehicle can be pushed out of the way.
pub const GOAL_TO_ROLL: &str = "roll";

impl Book {
    /// A goal by its key: one of the book, or the one that every book has.
    ///
    /// *Fit to roll*, where the book does not say better: every wheel held, and every mounting whose place no rule of the book
    /// gives to something else; the lift where it stands when a vehicle comes in (common practice, no single source).
    #[must_use]
    pub fn goal_by_key(&self, key: &str) -> Option<VisitGoal> {
        let own = self.goals.iter().find(|goal| goal.key == key).cloned();
        own.or_else(|| (key == GOAL_TO_ROLL).then(|| self.usual_roll_goal()))
    }

    fn usual_roll_goal(&self) -> VisitGoal {
        let carries = |id: &PartId| match self.part(*id).kind {
            Some(PartKind::Wheel) => true,
            Some(PartKind::Mounting) => !self.has_support_beside(*id),
            _ => false,
        };
        let held = self
            .part_ids()
            .filter(carries)
            .map(|part| WorldNeed { thing: WorldThing::Part(part), values: PartStanding::Held.bit() });
        let lifts = self.settings.iter().enumerate().filter(|(_, own)| own.kind == SettingKind::Lift);
        let down = lifts.map(|(at, own)| WorldNeed {
            thing: WorldThing::Setting(SettingId::new(at)),
            values: 1 << own.start,
        });
        VisitGoal {
            key: GOAL_TO_ROLL.into(),
            title: String::from("fit to roll"),
            needs: held.chain(down).collect(),
        }
    }
}
