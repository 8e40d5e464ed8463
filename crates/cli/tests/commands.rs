//! The command as other programs see it: exit codes, JSON, and 80 columns.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{check, demo, run};
use std::path::{Path, PathBuf};

/// A folder of this test's own, below the build's own temporary folder.
fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn write(path: &Path, text: &str) -> String {
    std::fs::write(path, text).unwrap();
    path.display().to_string()
}

#[test]
fn a_plan_is_judged_clean_and_a_changed_one_is_not() {
    let (book, store) = (demo("books/tern-24"), demo("store"));
    let asked = ["plan", "--book", &book, "--store", &store, "--task", "renew-thermostat", "--json"];
    let json = check(&asked, 0);
    let mut plan: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(plan["format"], "traywright-plan/2");
    let folder = scratch("judge");
    let good = write(&folder.join("good.json"), &json);
    check(&["judge", "--book", &book, "--store", &store, "--plan", &good], 0);
    let steps = plan["steps"].as_array_mut().unwrap();
    let last = steps.len() - 1;
    steps.swap(0, last);
    let bad = write(&folder.join("bad.json"), &plan.to_string());
    let said = check(&["judge", "--book", &book, "--store", &store, "--plan", &bad], 1);
    assert!(said.contains("violation"), "{said}");
    let nonsense = write(&folder.join("nonsense.json"), "{ \"format\": 1 }");
    check(&["judge", "--book", &book, "--store", &store, "--plan", &nonsense], 2);
}

#[test]
fn a_book_is_checked_with_its_exit_code() {
    check(&["book", "check", &demo("books/tern-24")], 0);
    let bad =
        write(&scratch("book").join("bad.toml"), "format = \"traywright-book/2\"\ntitel = 3\n[[part]]\n");
    let said = check(&["book", "check", &bad], 1);
    assert!(said.contains("bad.toml:2:1") && said.contains("did you mean `title`?"), "{said}");
    let records: serde_json::Value =
        serde_json::from_str(&check(&["book", "check", &bad, "--json"], 1)).unwrap();
    assert!(records["faults"].as_array().is_some_and(|r| !r.is_empty()));
    check(&["book", "check", &demo("books/no-such-book")], 2);
}

#[test]
fn schemas_completions_and_manual_are_printed() {
    for arguments in [["book", "schema"], ["store", "schema"]] {
        let schema: serde_json::Value = serde_json::from_str(&check(&arguments, 0)).unwrap();
        assert!(schema["$schema"].as_str().is_some_and(|s| s.contains("2020-12")), "{arguments:?}");
    }
    assert!(check(&["shell", "completions", "bash"], 0).contains("traywright"));
    assert!(check(&["shell", "man", "plan"], 0).contains(".TH"));
}

#[test]
fn unknown_tasks_and_fixings_name_the_nearest_known() {
    let (book, store) = (demo("books/tern-24"), demo("store"));
    for arguments in [
        vec!["plan", "--book", &book, "--store", &store, "--task", "renew-thermosta"],
        vec!["reach", "--book", &book, "--store", &store, "--fixing", "crank-bol"],
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&output.stderr).contains("did you mean"), "{arguments:?}");
    }
}

#[test]
fn what_a_person_reads_fits_80_columns() {
    let (book, store) = (demo("books/curlew-30"), demo("store"));
    for arguments in [
        vec!["plan", "--book", &book, "--store", &store],
        vec!["kit", "--book", &book, "--store", &store],
        vec!["kit", "--book", &book, "--store", &store, "--trade-off", "--task", "renew-thermostat"],
        vec!["next-best", "--book", &book, "--store", &store],
        vec!["reach", "--book", &book, "--store", &store, "--gaps"],
        vec!["store", "show", &store],
    ] {
        let text = check(&arguments, 0);
        let wide: Vec<&str> = text.lines().filter(|l| l.chars().count() > 80).collect();
        assert!(wide.is_empty(), "{arguments:?}: {wide:#?}");
    }
}
