//! Parts off and on, conditions made and undone, caps in and out, settings changed, tasks and extra steps done.

use core::iter::empty;

use model::TaskKind;

use super::{note_done, note_strange, note_work};
use crate::visit::{SettingHistory, TaskStanding, ToggleState, WorkKind};
use crate::{EventStamp, StepMark, Visit};

pub(super) fn take_part_off(visit: &mut Visit, part: &str, stamp: EventStamp) {
    ToggleState::record_change(&mut visit.parts, part, true, &stamp);
    note_work(visit, WorkKind::PartOff, part, empty(), stamp);
}

pub(super) fn set_part_on(visit: &mut Visit, part: &str, stamp: EventStamp) {
    ToggleState::record_change(&mut visit.parts, part, false, &stamp);
    note_work(visit, WorkKind::PartOn, part, empty(), stamp);
}

pub(super) fn establish_condition(visit: &mut Visit, condition: &str, stamp: EventStamp) {
    ToggleState::record_change(&mut visit.conditions, condition, true, &stamp);
    note_work(visit, WorkKind::Established, condition, empty(), stamp);
}

pub(super) fn restore_condition(visit: &mut Visit, condition: &str, stamp: EventStamp) {
    ToggleState::record_change(&mut visit.conditions, condition, false, &stamp);
    note_work(visit, WorkKind::Restored, condition, empty(), stamp);
}

pub(super) fn put_caps_in(visit: &mut Visit, opening: &str, count: u16, stamp: EventStamp) {
    visit.openings.entry(opening.to_owned()).or_default().put_caps_in(count, &stamp);
    note_work(visit, WorkKind::Capped, opening, empty(), stamp);
}

pub(super) fn take_caps_out(visit: &mut Visit, opening: &str, count: u16, stamp: EventStamp) {
    let over = visit.openings.entry(opening.to_owned()).or_default().take_caps_out(count, &stamp);
    if over > 0 {
        let words = format!("“{opening}”: {over} more caps came out than were in");
        note_strange(visit, words, stamp.clone());
    }
    note_work(visit, WorkKind::Uncapped, opening, empty(), stamp);
}

/// No work to look at again after a break: what one tick of a step changes besides its work would push that work out, and
/// the ledger tells how each setting stands.
pub(super) fn change_setting(visit: &mut Visit, setting: &str, value: &str, stamp: EventStamp) {
    SettingHistory::record_value(&mut visit.settings, setting, value, stamp);
}

pub(super) fn set_task(visit: &mut Visit, task: &str, work: TaskKind, to: StepMark, stamp: EventStamp) {
    visit.tasks.insert(task.to_owned(), TaskStanding { work: Some(work), to, stamp: stamp.clone() });
    note_done(visit, task, to, stamp);
}

pub(super) fn set_extra_step(visit: &mut Visit, step: &str, to: StepMark, stamp: EventStamp) {
    visit.extras.insert(step.to_owned(), TaskStanding { work: None, to, stamp: stamp.clone() });
    note_done(visit, step, to, stamp);
}
