//! A visit as a record: how far it is, and what is open.

use super::PermissionRecord;
use crate::bench::{MissingFigure, SettingCard, VisitCard};
use crate::text::table::PageWidth;
use crate::workshop::VisitId;
use serde::Serialize;

/// The step in hand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NextStepRecord {
    /// Its number.
    pub number: u32,
    /// What to do.
    pub text: String,
}

/// Where a setting of the vehicle stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SettingRecord {
    /// Key of the setting.
    pub setting: String,
    /// What a person calls it.
    pub title: String,
    /// The word of its value.
    pub value: String,
    /// Whether it stands as it should at hand-over.
    pub is_at_end: bool,
    /// The words of the values that are right at hand-over.
    pub end: Vec<String>,
}

impl SettingRecord {
    /// The record of a card.
    #[must_use]
    pub fn of_card(card: &SettingCard) -> Self {
        Self {
            setting: card.setting.clone(),
            title: card.title.clone(),
            value: card.value.clone(),
            is_at_end: card.is_at_end,
            end: card.end.clone(),
        }
    }
}

/// A setting of the vehicle that was brought to a value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SettingWordRecord {
    /// Id of the visit.
    pub visit: VisitId,
    /// The setting as it stands now.
    pub now: SettingRecord,
}

/// A visit in a few fields.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VisitRecord {
    /// Its id.
    pub id: VisitId,
    /// Letter of the vehicle.
    pub vehicle: String,
    /// What a person calls the vehicle.
    pub name: String,
    /// Title of the book; empty without one.
    pub engine: String,
    /// Distance driven, as it was read.
    pub odometer: Option<String>,
    /// Steps done; 0 without a plan.
    pub steps_done: usize,
    /// Steps in all; 0 without a plan.
    pub steps_in_all: usize,
    /// The step in hand.
    pub next_step: Option<NextStepRecord>,
    /// About how long the rest takes, in words.
    pub time_left: String,
    /// Settings of the vehicle that do not stand as they should at hand-over.
    pub settings: Vec<SettingRecord>,
    /// Open lines of the ledger that nobody has accepted.
    pub open_lines: usize,
    /// May it be moved, lowered, started?
    pub permissions: Vec<PermissionRecord>,
    /// What to know on the way back, where the work rests.
    pub paused: Option<String>,
    /// Whether the visit is over.
    pub is_closed: bool,
}

/// What was said of a tightening figure that the book does not have.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FigureWordRecord {
    /// Id of the visit.
    pub visit: VisitId,
    /// Key of the fixing.
    pub fixing: String,
    /// Title of the fixing.
    pub title: String,
    /// The figure with its source, or who answers for going without; null where nothing was said.
    pub word: Option<String>,
    /// Why the figure seems odd; null where it does not.
    pub remark: Option<String>,
}

impl FigureWordRecord {
    /// The record of a fixing's figure in a visit.
    #[must_use]
    pub fn of_figure(visit: &VisitId, figure: &MissingFigure) -> Self {
        Self {
            visit: visit.clone(),
            fixing: figure.fixing.clone(),
            title: figure.title.clone(),
            word: figure.word.clone(),
            remark: figure.remark.clone(),
        }
    }
}

/// Who went on while questions of the plan stood open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WentOnRecord {
    /// Id of the visit.
    pub visit: VisitId,
    /// Who went on; null where nothing stood open.
    pub name: Option<String>,
    /// The questions, in words.
    pub open: Vec<String>,
    /// The same in one sentence.
    pub words: String,
}

impl WentOnRecord {
    /// The record of a visit.
    #[must_use]
    pub fn of_visit(visit: &VisitId, state: &record::Visit) -> Self {
        let word = state.went_on.as_ref();
        let told = crate::bench::going_on_words(state);
        Self {
            visit: visit.clone(),
            name: word.map(|word| word.name.clone()),
            open: word.map_or_else(Vec::new, |word| word.open.clone()),
            words: told
                .unwrap_or_else(|| String::from("nothing stands open; there is nothing to answer for")),
        }
    }
}

/// A visit planned on to another goal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GoalPlanRecord {
    /// Id of the visit.
    pub visit: VisitId,
    /// Key of the state that it leads to; null: the whole job.
    pub goal: Option<String>,
    /// Keys of the tasks, those that are done included.
    pub tasks: Vec<String>,
    /// How many steps are to be done.
    pub steps: usize,
    /// Lasting names of the steps, in order.
    pub names: Vec<String>,
    /// Hands-on time and waits, s.
    pub takes_s: f64,
    /// The same for a person.
    pub words: String,
}

impl GoalPlanRecord {
    /// The record of a plan.
    #[must_use]
    pub fn of_plan(visit: &VisitId, made: &crate::workshop::RemadePlan) -> Self {
        let plan = made.plan();
        Self {
            visit: visit.clone(),
            goal: plan.asked.goal.clone(),
            tasks: plan.asked.tasks.clone(),
            steps: plan.all_steps().count(),
            names: plan.all_steps().map(|step| step.name.0.clone()).collect(),
            takes_s: plan.total_s(),
            words: crate::text::plan_text::format_remade_plan(made, PageWidth::USUAL),
        }
    }
}

/// Several visits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VisitListRecord {
    /// The visits, in the order of their first entry.
    pub visits: Vec<VisitRecord>,
}

impl VisitListRecord {
    /// The record of several cards.
    #[must_use]
    pub fn of_cards(cards: &[VisitCard]) -> Self {
        Self { visits: cards.iter().map(VisitRecord::of_card).collect() }
    }
}

impl VisitRecord {
    /// The record of a card.
    #[must_use]
    pub fn of_card(card: &VisitCard) -> Self {
        let permission = |v: &crate::bench::VisitPermission| PermissionRecord {
            what: v.what.clone(),
            is_permitted: v.yes,
            lines_against: v.against,
        };
        Self {
            id: card.id.clone(),
            vehicle: card.vehicle.clone(),
            name: card.name.clone(),
            engine: card.book.clone().unwrap_or_default(),
            odometer: card.odometer.clone(),
            steps_done: card.steps.map_or(0, |steps| steps.0),
            steps_in_all: card.steps.map_or(0, |steps| steps.1),
            next_step: card.next.clone().map(|(number, text)| NextStepRecord { number, text }),
            time_left: card.time_left.clone(),
            settings: card.settings.iter().map(SettingRecord::of_card).collect(),
            open_lines: card.open,
            permissions: card.verdicts.iter().map(permission).collect(),
            paused: card.paused.clone(),
            is_closed: card.closed,
        }
    }
}
