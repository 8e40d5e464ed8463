//! Faults with code, place, cause and action; a TOML walker that reports them all.
//!
//! A reader of books puts its texts into [`SourceTexts`], reads each with [`parse_toml`] and asks the [`TomlTable`] for its
//! keys. Whatever is wrong goes into a [`FaultCollector`]; nothing stops at the first fault. At the end the
//! [`Faults`] are drawn under their lines ([`render_faults`]), printed one a line ([`render_fault_lines`]) or handed out as
//! [`FaultRecord`]s.
//!
//! ```
//! use faults::{FaultCollector, FaultLook, SourceTexts, parse_toml, render_faults};
//! use units::Torque;
//!
//! let mut sources = SourceTexts::new();
//! let file = sources.add_text("sample.toml", "title = \"Front cover\"\ntorque = \"9 N·m\"\nnotes = 3\n");
//! let bag = FaultCollector::new();
//! let document = parse_toml(&sources, file, &bag);
//! let table = document.root_table();
//! let title = table.required_field("title").read_text();
//! let torque = table.required_field("torque").read_quantity::<Torque>();
//! let note = table.optional_field("note").read_text();
//! table.report_unknown_keys();
//! let faults = bag.into_faults();
//! assert_eq!(title.expect("given").value, "Front cover");
//! assert_eq!(torque.expect("given").value, Torque::from_n_m(9.0));
//! assert!(note.is_none());
//! assert!(render_faults(&faults, &sources, FaultLook::Plain).contains("unknown key `notes`; did you mean `note`?"));
//! ```

mod catalogue;
mod codes;
mod depth;
mod fault;
mod field;
mod record;
mod render;
mod repair;
mod source;
mod suggest;
mod text;
mod walk;

pub use catalogue::{FaultRule, explain_rule, find_rule, rules_page};
pub use codes::RULES;
pub use fault::{
    Fault, FaultCollector, FaultSeverity, Faults, FileId, MAX_FAULTS_KEPT, MAX_FAULTS_SHOWN, SourceSpan,
    Spanned,
};
pub use field::{TomlField, TomlKind, choose_word};
pub use record::{FaultNote, FaultRecord, fault_records};
pub use render::{FaultLook, render_fault_lines, render_faults};
pub use source::{MAX_FILE_BYTES, SourcePosition, SourceTexts};
pub use suggest::{name_distance, nearest_name, suggest_name};
pub use text::{BadText, FromText};
pub use walk::{MAX_NESTING, TomlDocument, TomlTable, parse_toml};
