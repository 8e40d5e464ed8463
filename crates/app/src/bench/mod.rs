//! What the bench pages show, in plain structs: one step as a sheet, the visits, the trays.

mod ahead;
mod done_step;
mod figure;
mod going_on;
mod label;
mod measures;
mod set_figure;
mod settings;
mod sheet;
mod tools;
mod trays;
mod visits;

pub use ahead::{AheadRange, sheets_ahead};
pub use done_step::{HoleMarkBack, is_old_and_out};
pub use figure::{MissingFigure, figure_remark, missing_figures};
pub use going_on::{go_on_body, going_on_words, open_notice};
pub use label::{EventButton, capitalise_first, count_words, work_words};
pub use measures::StepMeasure;
pub use set_figure::SetFigure;
pub use settings::{SettingCard, effect_words, setting_cards, setting_words, settings_to_bring_back};
pub use sheet::{StepSheet, number_of_named_step, state_sign_svg, step_in_hand, step_names, step_sheet};
pub use tools::ToolLine;
pub use trays::{SlotContents, TrayContents, trays_of_visit};
pub use visits::{VisitCard, VisitPermission, visit_card, visit_cards};
