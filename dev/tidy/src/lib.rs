//! The house rules as tests: what the files of this workspace must look like, read as plain text.
//!
//! The rules themselves are in `tests/`, one file each; here is only what they share: the files of the
//! checkout, Rust source with comments or strings blanked, and the crates as the build tool sees them.
//! Nothing depends on this crate and nothing here is shipped.

mod crates;
mod files;
mod functions;
mod rust;

pub use crates::{WorkspaceCrate, workspace_crates};
pub use files::{CheckoutFile, checkout_files, rust_files, workspace_root};
pub use functions::{MeasuredFunction, find_functions};
pub use rust::{KeptText, blank_out, names_crate, production_code, words_of};

/// Fails with every finding on a line of its own, so that one run shows all there is to fix.
///
/// # Panics
/// When there are findings; that is its purpose.
pub fn report_findings(rule: &str, findings: &[String]) {
    assert!(findings.is_empty(), "{rule}: {} to fix\n  {}\n", findings.len(), findings.join("\n  "));
}
