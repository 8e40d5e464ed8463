//! The text files of the checkout, in a fixed order.

use std::fs;
use std::path::{Path, PathBuf};

/// One text file.
#[derive(Debug, Clone)]
pub struct File {
    /// The path below the root, with forward slashes.
    pub path: String,
    /// Its whole text.
    pub text: String,
}

impl File {
    /// The crate that holds the file, if one does.
    #[must_use]
    pub fn crate_name(&self) -> Option<&str> {
        self.path.strip_prefix("crates/")?.split('/').next()
    }

    /// Whether the file is shipped source, not a test or a benchmark.
    #[must_use]
    pub fn is_shipped(&self) -> bool {
        self.crate_name().is_some_and(|name| name != "tidy") && self.path.contains("/src/")
    }

    /// A place in the file as a compiler would print it; `index` counts lines from nought.
    #[must_use]
    pub fn at(&self, index: usize) -> String {
        format!("{}:{}", self.path, index + 1)
    }
}

/// Folders that hold nothing of ours: those that `.gitignore` names, and hidden ones but for the build's own.
fn skipped(name: &str) -> bool {
    matches!(name, "target" | "node_modules" | "out") || (name.starts_with('.') && name != ".ci")
}

/// The root of the workspace.
///
/// # Panics
/// When the crate was moved out of `crates/`.
#[must_use]
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).expect("this crate lies at crates/tidy").to_path_buf()
}

/// Every UTF-8 file of the checkout, sorted by path.
///
/// # Panics
/// When a folder cannot be read.
#[must_use]
pub fn files() -> Vec<File> {
    let mut found = Vec::new();
    walk(&root(), "", &mut found);
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

/// Every Rust file of the checkout, sorted by path.
#[must_use]
pub fn rust_files() -> Vec<File> {
    files().into_iter().filter(|f| f.path.ends_with(".rs")).collect()
}

fn walk(folder: &Path, prefix: &str, found: &mut Vec<File>) {
    let entries = fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    for entry in entries {
        let entry = entry.unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = format!("{prefix}{name}");
        if entry.path().is_dir() {
            if !skipped(&name) {
                walk(&entry.path(), &format!("{path}/"), found);
            }
        } else if let Ok(text) = fs::read_to_string(entry.path()) {
            found.push(File { path, text });
        }
    }
}
