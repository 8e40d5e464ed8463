//! A copy of the demo in a folder of its own, with a visit half-way through, for tests that run many commands on it.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use crate::common::root;

/// Runs the command in a folder.
pub fn run_in(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_traywright"));
    command.current_dir(folder).args(arguments).env("COLUMNS", "200").output().unwrap()
}

fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy_folder(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// The demo, the sample readings, and what `traywright demo` leaves beside them.
pub fn copy_worked_demo(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _absent = std::fs::remove_dir_all(&folder);
    copy_folder(&root().join("demo"), &folder.join("demo"));
    copy_folder(&root().join("validation/trend"), &folder.join("validation/trend"));
    let made = run_in(&folder, &["demo", "--no-serve", "--seconds", "1"]);
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    folder
}

/// The names below `Commands:` in a help, but for the help itself.
fn list_commands(help: &str) -> Vec<String> {
    let below = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let names = below.take_while(|line| !line.is_empty()).filter_map(|line| line.strip_prefix("  "));
    let names = names.filter(|line| !line.starts_with(' ')).filter_map(|line| line.split_whitespace().next());
    names.filter(|name| *name != "help").map(str::to_owned).collect()
}

/// The words of every command, groups included, in the order of the help; the program itself is no word.
pub fn collect_commands() -> Vec<String> {
    let mut found = vec![String::new()];
    let mut at = 0;
    while at < found.len() {
        let path = found[at].clone();
        let asked: Vec<&str> = path.split(' ').chain(["--help"]).filter(|word| !word.is_empty()).collect();
        let help = String::from_utf8(run_in(&root(), &asked).stdout).unwrap();
        let below = list_commands(&help).into_iter().map(|name| format!("{path} {name}").trim().to_owned());
        found.extend(below);
        at += 1;
    }
    found
}
