//! Exit codes as `docs/exit-codes.md` has them: each example is run, and an output that cannot be written is called that.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{demo, root, run, words};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// An empty folder but for a text that is no book, no store and no plan.
fn fresh_folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let bad_store = "format = \"traywright-store/1\"\ntitel = 3\n[[piece]]\n";
    std::fs::write(folder.join("bad-store.toml"), bad_store).unwrap();
    std::fs::write(folder.join("bad.toml"), "format = \"traywright-book/2\"\ntitel = 3\n[[part]]\n").unwrap();
    folder
}

/// The examples of the page: command line and code.
fn read_examples() -> Vec<(String, i32)> {
    let page = std::fs::read_to_string(root().join("docs/exit-codes.md")).unwrap();
    let rows = page.lines().filter_map(|l| l.strip_prefix("| `traywright ")?.strip_suffix(" |"));
    rows.map(|row| {
        let (command, code) = row.rsplit_once("` | ").unwrap();
        (command.to_owned(), code.parse().unwrap())
    })
    .collect()
}

fn run_line(line: &str) -> Output {
    let words = words(line);
    Command::new(env!("CARGO_BIN_EXE_traywright")).current_dir(root()).args(words).output().unwrap()
}

#[test]
fn every_example_ends_with_its_code() {
    let at = fresh_folder("exit-codes").display().to_string();
    let examples = read_examples();
    for code in [0, 1, 2, 4] {
        assert!(examples.iter().filter(|(_, c)| *c == code).count() > 1, "too few examples of code {code}");
    }
    let mut findings = Vec::new();
    for (line, code) in examples {
        if !cfg!(target_os = "linux") && (line.contains("/proc/") || line.contains("/dev/full")) {
            continue;
        }
        let output = run_line(&line.replace("{tmp}", &at));
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        if output.status.code() != Some(code) {
            findings.push(format!("{line}: {:?} instead of {code}: {said}", output.status.code()));
        }
        let wants_words = code >= 2;
        if wants_words == said.trim().is_empty() {
            findings.push(format!("{line}: code {code}, standard error: `{said}`"));
        }
        let is_journal = line.contains("--journal");
        let is_read = line.contains("/proc/self/mem");
        if code == 4 && !is_journal && is_read == said.contains("cannot write") {
            findings.push(format!("{line}: {said}"));
        }
        if said.contains("cannot write") && !said.contains("choose another place or free space") {
            findings.push(format!("{line}: no advice: {said}"));
        }
    }
    assert!(findings.is_empty(), "docs/exit-codes.md:\n{}", findings.join("\n"));
}

#[test]
#[cfg(target_os = "linux")]
fn an_answer_that_meets_a_full_disk_is_no_fault_of_the_program() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_traywright"));
    command.current_dir(root()).args(["wrench", "--torque", "9 N·m", "--json"]);
    let output = command.stdout(full).stderr(Stdio::piped()).spawn().unwrap().wait_with_output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(4), "{said}");
    assert!(said.contains("cannot write the answer"), "{said}");
}

#[test]
fn a_port_in_use_is_the_computers_refusal() {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let journal = fresh_folder("exit-port").join("a.journal").display().to_string();
    let output = run_line(&format!("serve --port {port} --journal {journal}"));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(4), "{said}");
    assert!(said.contains(&format!("port {port}")), "{said}");
}

/// A pipe that nobody writes into would be waited for for ever; every option that names a file refuses it.
#[cfg(unix)]
#[test]
fn a_pipe_is_refused_wherever_a_file_is_named() {
    let pipe = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pipe.toml");
    let _ = std::fs::remove_file(&pipe);
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let (pipe, book, store) = (pipe.display().to_string(), demo("books/tern-24"), demo("store"));
    let asked: [&[&str]; 9] = [
        &["book", "check", &pipe],
        &["book", "check", "/dev/zero"],
        &["store", "check", &pipe],
        &["plan", "--book", &book, "--store", &pipe],
        &["judge", "--book", &book, "--store", &store, "--plan", &pipe],
        &["trend", "line", "--readings", &pipe],
        &["driver", "import", "--readings", &pipe, "--journal", &pipe],
        &["visit", "show", "--journal", &pipe],
        &["visit", "import", "--from", &pipe, "--journal", &pipe],
    ];
    for arguments in asked {
        let said = run(arguments);
        let words =
            String::from_utf8_lossy(&said.stderr).into_owned() + &String::from_utf8_lossy(&said.stdout);
        assert_ne!(said.status.code(), Some(0), "{arguments:?}: {words}");
        let is_told =
            ["it is a pipe", "is not a journal", "there is no"].iter().any(|told| words.contains(told));
        assert!(is_told, "{arguments:?}: {words}");
    }
}
