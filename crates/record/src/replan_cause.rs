//! Which events change what is left to do, so that it is planned anew.

use crate::VisitBody;

impl VisitBody {
    /// Whether the rest of the work looks another way after it, so that it is planned anew.
    #[must_use]
    pub const fn asks_for_new_plan(&self) -> bool {
        use VisitBody as B;
        match self {
            B::Happened { .. } | B::DealtWith { .. } | B::GivenUp { .. } => true,
            B::Opened { .. }
            | B::BasedOn { .. }
            | B::Planned { .. }
            | B::Marked { .. }
            | B::Renewed { .. }
            | B::FigureGiven { .. }
            | B::FigureWaived { .. }
            | B::WentOn { .. }
            | B::Gathered { .. }
            | B::PartOff { .. }
            | B::PartOn { .. }
            | B::Established { .. }
            | B::Restored { .. }
            | B::Capped { .. }
            | B::Uncapped { .. }
            | B::PartSeen { .. }
            | B::FixingSeen { .. }
            | B::HeadsMeasured { .. }
            | B::RouteSeen { .. }
            | B::Told { .. }
            | B::SettingChanged { .. }
            | B::Task { .. }
            | B::Extra { .. }
            | B::PutIn { .. }
            | B::TakenOut { .. }
            | B::Piece { .. }
            | B::WaitBegan { .. }
            | B::WaitOver { .. }
            | B::Read { .. }
            | B::Pictured { .. }
            | B::Noted { .. }
            | B::Found { .. }
            | B::Answered { .. }
            | B::FindingDone { .. }
            | B::RiskTold { .. }
            | B::Paused { .. }
            | B::Resumed
            | B::LookedAgain { .. }
            | B::Counted { .. }
            | B::Settled { .. }
            | B::Overridden { .. }
            | B::Closed { .. }
            | B::Undone { .. } => false,
        }
    }
}
