//! The steps to the first useful sheet, as README.md gives them, do what it says.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{check, root, words};
use std::path::Path;

/// The command lines under the heading of the three steps.
fn steps() -> Vec<String> {
    let page = std::fs::read_to_string(root().join("README.md")).unwrap();
    let part = page.split("\n## ").find(|part| part.starts_with("Three steps")).expect("the three steps");
    part.lines().filter(|line| line.starts_with("traywright ")).map(str::to_owned).collect()
}

#[test]
fn the_three_steps_lead_to_a_work_list() {
    let steps = steps();
    assert_eq!(steps.len(), 3, "{steps:?}");
    let sheet = Path::new(env!("CARGO_TARGET_TMPDIR")).join("readme-jobs.pdf");
    let _absent = std::fs::remove_file(&sheet);
    let run = |line: &str| {
        let line = line.replace("jobs.pdf", &sheet.display().to_string());
        let words = words(&line);
        check(&words[1..].iter().map(String::as_str).collect::<Vec<_>>(), 0)
    };
    assert!(run(&steps[0]).contains("0 errors"), "a book without faults");
    let plan = run(&steps[1]);
    for part in ["GO: ", "PARTS AND SUPPLIES", "WHAT COMES OFF", "PUT ON THE CART"] {
        assert!(plan.contains(part), "`{part}` is missing in\n{plan}");
    }
    assert!(run(&steps[2]).contains("written to "));
    assert!(std::fs::read(&sheet).unwrap().starts_with(b"%PDF"));
}
