//! The pages of examples in `docs` show what the program prints. `TRAYWRIGHT_RENEW=1` writes them anew.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{answered, root};

/// A page with each example's output as the program gives it now; the examples' command lines stay.
fn renewed(page: &str) -> (String, Vec<String>) {
    let (mut out, mut lines, mut skipping) = (String::new(), Vec::new(), false);
    for line in page.lines() {
        if line == "```" {
            skipping = false;
        }
        if !skipping {
            out.push_str(line);
            out.push('\n');
        }
        if let Some(command) = line.strip_prefix("$ ") {
            out.push_str(&answered(command));
            lines.push(command.to_owned());
            skipping = true;
        }
    }
    (out, lines)
}

/// A page, and the commands that it must show.
#[track_caller]
fn compare(page: &str, commands: &[&str]) {
    let path = root().join(page);
    let written = std::fs::read_to_string(&path).unwrap();
    let (now, lines) = renewed(&written);
    if std::env::var_os("TRAYWRIGHT_RENEW").is_some() {
        std::fs::write(&path, &now).unwrap();
        return;
    }
    for command in commands {
        let shown = lines.iter().any(|l| l.starts_with(&format!("traywright {command}")));
        assert!(shown, "{page} has no example of `{command}`");
    }
    assert_eq!(written, now, "{page} shows what the program once printed; renew it");
}

#[test]
fn fasteners_and_wrenches() {
    let commands = ["preload", "torque", "wrench", "pattern", "strip-margin", "mixup", "driver"];
    compare("docs/bolting.md", &commands);
}

#[test]
fn planning() {
    compare("docs/planning.md", &["book tasks", "next-best", "kit", "cart", "worth", "finish"]);
}

#[test]
fn readings_and_trends() {
    compare("docs/trend.md", &["trend reading", "trend wear", "trend odometer", "trend line"]);
}
