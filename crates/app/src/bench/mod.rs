//! What the bench pages show, in plain structs: one step as a sheet, the visits, the trays.

mod ahead;
mod figure;
mod going_on;
mod label;
mod settings;
mod sheet;
mod trays;
mod visits;

pub use ahead::{AheadRange, sheets_ahead};
pub use figure::{MissingFigure, figure_remark, missing_figures};
pub use going_on::{go_on_body, going_on_words, open_notice};
pub use label::{EventButton, capitalise_first, count_words, work_words};
pub use settings::{SettingCard, effect_words, setting_cards, setting_words, settings_to_bring_back};
pub use sheet::{StepSheet, state_sign_svg, step_sheet};
pub use trays::{SlotContents, TrayContents, trays_of_visit};
pub use visits::{VisitCard, VisitPermission, visit_card, visit_cards};
