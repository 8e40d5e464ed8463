//! The text files of the checkout, in a fixed order.

use std::fs;
use std::path::{Path, PathBuf};

/// One text file.
#[derive(Debug, Clone)]
pub struct CheckoutFile {
    /// The path below the root, with forward slashes.
    pub path: String,
    /// Its whole text.
    pub text: String,
}

impl CheckoutFile {
    /// The crate that holds the file, if one does.
    #[must_use]
    pub fn crate_name(&self) -> Option<&str> {
        let below = self.path.strip_prefix("crates/").or_else(|| self.path.strip_prefix("dev/"))?;
        below.split('/').next()
    }

    /// Whether the file is shipped source, not a test or a benchmark.
    #[must_use]
    pub fn is_shipped(&self) -> bool {
        self.crate_name().is_some_and(|name| name != "tidy") && self.path.contains("/src/")
    }

    /// A place in the file as a compiler would print it; `index` counts lines from 0.
    #[must_use]
    pub fn place_at(&self, index: usize) -> String {
        format!("{}:{}", self.path, index + 1)
    }
}

/// Folders that hold nothing of ours: those that `.gitignore` names, and hidden ones but for the build's own.
fn is_skipped(name: &str) -> bool {
    matches!(name, "target" | "node_modules" | "out") || (name.starts_with('.') && name != ".ci")
}

/// The root of the workspace.
///
/// # Panics
/// When the crate was moved out of `dev/`.
#[must_use]
pub fn workspace_root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).expect("this crate lies at dev/tidy").to_path_buf()
}

/// Every UTF-8 file of the checkout, sorted by path.
///
/// # Panics
/// When a folder cannot be read.
#[must_use]
pub fn checkout_files() -> Vec<CheckoutFile> {
    let mut found = Vec::new();
    walk_folder(&workspace_root(), "", &mut found);
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

/// Every Rust file of the checkout, sorted by path.
#[must_use]
pub fn rust_files() -> Vec<CheckoutFile> {
    checkout_files().into_iter().filter(|f| f.path.ends_with(".rs")).collect()
}

fn walk_folder(folder: &Path, prefix: &str, found: &mut Vec<CheckoutFile>) {
    let entries = fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    for entry in entries {
        let entry = entry.unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = format!("{prefix}{name}");
        if entry.path().is_dir() {
            if !is_skipped(&name) {
                walk_folder(&entry.path(), &format!("{path}/"), found);
            }
        } else if name != ".git"
            && let Ok(text) = fs::read_to_string(entry.path())
        {
            // In a second working tree of the repository, `.git` is a file with a place on the machine.
            found.push(CheckoutFile { path, text });
        }
    }
}
