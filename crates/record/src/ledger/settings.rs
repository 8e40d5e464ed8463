//! Lines about settings of the vehicle that do not stand as they should at the end.
//!
//! One that was never changed counts too: what came in wrong is not handed over wrong. Its line stands since the book is in
//! force. Without a book nobody knows how a setting should stand, and there is no line.

use super::places::open_not_in_book_line;
use super::{LedgerDraft, LedgerLineKind};
use crate::visit::{SettingHistory, SettingStanding};
use crate::{EventPlace, EventStamp, Visit};

pub(super) fn open_setting_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    let Some(book) = desk.names.book else { return };
    for standing in SettingStanding::of_book(visit, book) {
        open_setting_line(desk, &standing);
    }
    for (key, history) in &visit.settings {
        let since = history.latest().map(|report| &report.stamp);
        if let Some(since) = since.filter(|_| desk.names.setting(key).is_none()) {
            open_not_in_book_line(desk, "setting", key, EventPlace::default(), since);
        }
    }
}

fn open_setting_line(desk: &mut LedgerDraft<'_>, standing: &SettingStanding<'_>) {
    let Some(since) = standing.since.or_else(|| book_in_force_since(desk.visit)) else { return };
    let key = standing.setting.key.as_str();
    if !standing.is_known() {
        let what = format!("{}: the book has no value “{}”", standing.setting.title, standing.value);
        let words = (what, "record how it stands in the words of the book".into());
        desk.open_line(LedgerLineKind::Strange, &["setting", key], EventPlace::default(), words, since);
    } else if !standing.is_at_end() {
        let words = (standing.as_words(), standing.closing_words());
        desk.open_line(LedgerLineKind::Setting, &[key], EventPlace::default(), words, since);
    }
}

/// Since when the visit works by a book; before the first event there is nothing to hold against anybody.
pub(super) fn book_in_force_since(visit: &Visit) -> Option<&EventStamp> {
    let based = visit.based_on.as_ref().map(|texts| &texts.stamp);
    based.or_else(|| visit.opened.as_ref().map(|opened| &opened.stamp))
}

/// Whether a setting ever stood otherwise than it should at the end, and whether it does now.
pub(super) fn has_left_end(standing: &SettingStanding<'_>, history: Option<&SettingHistory>) -> bool {
    let setting = standing.setting;
    let at_end = |value: &str| crate::visit::is_end_value(setting, value);
    let reported = history.into_iter().flat_map(SettingHistory::changes);
    !at_end(setting.word(setting.start)) || reported.into_iter().any(|report| !at_end(&report.value))
}
