//! Every fault of stores as it is drawn, kept in `snapshots` to be read in one go.

use super::{RULES, read_sample};
use faults::{FaultLook, render_faults};

/// Compares a page with the one that is kept.
fn keep(name: &str, page: &str) {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, page);
    });
}

#[test]
fn every_code_is_drawn() {
    let mut page = Vec::new();
    for rule in RULES {
        let found = read_sample(rule.code, rule.bad_sample);
        let shown = render_faults(&found.faults, &found.sources, FaultLook::Plain);
        assert!(shown.contains(&format!("[{}]", rule.code)), "{}: {shown}", rule.code);
        let body = shown.trim_end().rsplit_once("\n\n").map_or("", |(body, _count)| body);
        page.push(format!("## {}\n\n{body}", rule.code));
    }
    keep("codes_of_stores", &page.join("\n\n"));
}
