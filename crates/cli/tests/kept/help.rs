//! The help of every command and subcommand in 80 columns, as it is kept in `snapshots`.
//!
//! The commands are read off the help itself, from the top down, so that a new one is kept without a word here.

use std::process::Command;

use crate::common::root;
use crate::mask::keep_page;

/// Fewest commands at the top that make sure that the list was read.
const FEWEST_COMMANDS: usize = 25;

/// The help of a command, without blanks at the ends of lines, and with what differs between machines masked.
fn read_help(path: &[String]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_traywright"));
    command.current_dir(root()).args(path).arg("--help").env("COLUMNS", "80");
    let output = command.output().unwrap();
    assert!(output.status.success(), "{path:?}: {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    let mut lines = Vec::new();
    let mut of_threads = false;
    for line in text.lines().map(str::trim_end) {
        if line.trim_start().starts_with("--") {
            of_threads = line.contains("--threads");
        }
        let shown = line.find("[default: ").filter(|_| of_threads);
        lines.push(shown.map_or_else(|| line.to_owned(), |at| format!("{}[default: cores]", &line[..at])));
    }
    lines.join("\n")
}

/// The names below `Commands:` in a help, but for the help itself.
fn list_commands(help: &str) -> Vec<String> {
    let below = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let names = below.take_while(|line| !line.is_empty()).filter_map(|line| line.strip_prefix("  "));
    names
        .filter(|line| !line.starts_with(' '))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help")
        .map(str::to_owned)
        .collect()
}

/// The help of a command and of all below it.
fn collect_help(path: &[String]) -> String {
    let own = read_help(path);
    let mut all = format!("$ traywright {}\n\n{own}\n", [path, &["--help".into()]].concat().join(" "));
    for name in list_commands(&own) {
        all.push('\n');
        all.push_str(&collect_help(&[path, &[name]].concat()));
    }
    all
}

#[test]
fn every_command_explains_itself() {
    let top = read_help(&[]);
    keep_page("help", &top);
    let commands = list_commands(&top);
    assert!(commands.len() >= FEWEST_COMMANDS, "{commands:?}");
    for name in commands {
        let help = collect_help(std::slice::from_ref(&name));
        let wide: Vec<&str> = help.lines().filter(|line| line.chars().count() > 80).collect();
        let is_usage = |line: &&str| line.starts_with("Usage: ");
        assert!(wide.iter().all(is_usage), "{name}: {wide:#?}");
        keep_page(&format!("help_{}", name.replace('-', "_")), &help);
    }
}
