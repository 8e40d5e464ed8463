//! What the bench pages show, in plain structs: one step as a sheet, the visits, the trays.

mod ahead;
mod before_start;
mod button;
mod done_step;
mod facts;
mod figure;
mod fold;
mod going_on;
mod head_picture;
mod hole_picture;
mod hole_places;
mod label;
mod measures;
mod next_off;
mod open_lines;
mod readiness_now;
mod room;
mod set_figure;
mod settings;
mod sheet;
mod short_time;
mod spoken;
mod told_figures;
mod tools;
mod trays;
mod visits;
mod waits;
mod whereabouts;

pub use ahead::{AheadRange, sheets_ahead};
pub use before_start::{StartLine, StartList, StartRound, start_round};
pub use done_step::{HoleMarkBack, is_old_and_out};
pub use figure::{MissingFigure, figure_remark, missing_figures};
pub use going_on::{go_on_body, going_on_words, open_notice};
pub(crate) use label::uncapitalise_first;
pub use label::{EventButton, capitalise_first, count_words, work_words};
pub use next_off::{AnswerChoice, MAX_DRIVES_SHOWN, NextOffView, SeenFixingLine, SeenPartLine, next_off};
pub use open_lines::{
    LineGroup, PartLines, StationLines, group_lines, is_work_in_hand, lines_by_place, verdict_words,
};
pub use readiness_now::{is_first_bolt_behind, readiness_now, words_told_since_plan};
pub use room::DrawingRoom;
pub use set_figure::SetFigure;
pub use settings::{SettingCard, effect_words, setting_cards, setting_words, settings_to_bring_back};
pub use sheet::{StepSheet, number_of_named_step, state_sign_svg, step_in_hand, step_names, step_sheet};
pub(crate) use short_time::holds_on;
pub use short_time::{FittingWork, work_that_fits};
pub use told_figures::ToldFigure;
pub use tools::ToolLine;
pub use trays::{SlotContents, TrayContents, trays_of_visit};
pub use visits::{VisitCard, VisitPermission, visit_card, visit_cards};
pub use waits::{WaitClock, wait_clocks};
pub use whereabouts::StepPlace;
