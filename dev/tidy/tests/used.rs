//! No idle dependency: what a manifest names, the code of that kind names too.
//!
//! Shipped code has to name every normal dependency by a path (`model::Book`), a macro (`maud!`) or a `use`; tests, benchmarks
//! and examples every one of theirs. Comments, strings and what stands under `#[cfg(test)]` do not count as shipped code.

use tidy::{
    CheckoutFile, KeptText, WorkspaceCrate, blank_out, names_crate, production_code, report_findings,
    rust_files, workspace_crates,
};

/// The code of one crate, by kind.
struct CrateCode {
    shipped: String,
    all: String,
}

fn read_crate_code(files: &[CheckoutFile], name: &str) -> CrateCode {
    let mut code = CrateCode { shipped: String::new(), all: String::new() };
    for file in files.iter().filter(|f| f.crate_name() == Some(name)) {
        let text = blank_out(&file.text, KeptText::Code);
        if file.path.contains("/src/") {
            code.shipped.push_str(&production_code(&text));
        }
        code.all.push_str(&text);
    }
    code
}

fn find_idle_dependencies(member: &WorkspaceCrate, code: &CrateCode) -> Vec<String> {
    let find_idle = |names: &[String], code: &str, kind: &str| {
        let idle = names.iter().filter(|name| !names_crate(code, name));
        idle.map(|name| format!("`{}` lists `{name}` under {kind}", member.name)).collect::<Vec<_>>()
    };
    let mut findings = find_idle(&member.normal, &code.shipped, "[dependencies]");
    findings.extend(find_idle(&member.dev, &code.all, "[dev-dependencies]"));
    findings
}

#[test]
fn every_dependency_is_named_in_the_code() {
    let files = rust_files();
    let mut findings = Vec::new();
    for member in workspace_crates() {
        let code = read_crate_code(&files, &member.name);
        assert!(!code.all.is_empty(), "the code of `{}` was not found", member.name);
        findings.extend(find_idle_dependencies(&member, &code));
    }
    report_findings("dependencies that no code of their kind names", &findings);
}

#[test]
fn an_idle_dependency_is_found_in_its_kind() {
    let shipped = String::from("use serde::Serialize;");
    let all = format!("{shipped} toml::from_str(text)");
    let member = WorkspaceCrate {
        name: "a".into(),
        normal: vec!["rand-pcg".into(), "serde".into(), "toml".into()],
        dev: vec!["proptest".into(), "toml".into()],
    };
    let found = find_idle_dependencies(&member, &CrateCode { shipped, all });
    let names: Vec<&str> = found.iter().filter_map(|f| f.split('`').nth(3)).collect();
    assert_eq!(names, ["rand-pcg", "toml", "proptest"]);
}
