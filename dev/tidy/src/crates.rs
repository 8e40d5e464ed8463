//! The crates of the workspace and what each depends on, as the build tool itself reads them.

use std::process::Command;

use serde_json::Value;

/// One member of the workspace.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkspaceCrate {
    /// Its name.
    pub name: String,
    /// What its shipped code depends on, sorted.
    pub normal: Vec<String>,
    /// What only its tests, benchmarks and examples depend on, sorted.
    pub dev: Vec<String>,
}

/// Every member of the workspace, sorted by name.
///
/// # Panics
/// When `cargo metadata` cannot be run or its answer has another shape.
#[must_use]
pub fn workspace_crates() -> Vec<WorkspaceCrate> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let output = Command::new(cargo)
        .args(["metadata", "--no-deps", "--offline", "--format-version", "1"])
        .current_dir(crate::workspace_root())
        .output()
        .expect("cargo runs, since it started this test");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let answer: Value = serde_json::from_slice(&output.stdout).expect("cargo metadata prints JSON");
    let mut found: Vec<WorkspaceCrate> = json_list(&answer["packages"]).iter().map(read_member).collect();
    found.sort_by(|a, b| a.name.cmp(&b.name));
    found
}

fn json_list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn json_name(value: &Value) -> String {
    value["name"].as_str().expect("packages and dependencies have names").into()
}

fn read_member(package: &Value) -> WorkspaceCrate {
    let dependencies = json_list(&package["dependencies"]);
    let of_kind = |dev: bool| {
        let kind = |d: &&Value| (d["kind"].as_str() == Some("dev")) == dev;
        let mut names: Vec<String> = dependencies.iter().filter(kind).map(json_name).collect();
        names.sort();
        names.dedup();
        names
    };
    WorkspaceCrate { name: json_name(package), normal: of_kind(false), dev: of_kind(true) }
}
