//! The script that gets published instances: only files of the right sum are taken, and its table lists all that are known.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// SHA-256 of "abc": the example of FIPS 180-4 (in its examples of February 2002, B.1).
const SUM_OF_ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

fn instances_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation/instances")
}

/// An empty folder of a test's own.
fn scratch_folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("fetch").join(name);
    let _absent = fs::remove_dir_all(&folder);
    fs::create_dir_all(folder.join("from/sop")).unwrap();
    folder
}

/// Runs the script on a table of files that are all said to be "abc", from one folder to another.
fn fetch(folder: &Path, paths: &[&str], more: &[&str]) -> Output {
    let rows: Vec<String> = paths.iter().map(|path| format!("{path}\tno-address\t{SUM_OF_ABC}\n")).collect();
    fs::write(folder.join("sources.tsv"), format!("path\turl\tsha256\n{}", rows.concat())).unwrap();
    let mut command = Command::new("bash");
    command.arg(instances_folder().join("fetch")).args([
        "--sources",
        "sources.tsv",
        "--from",
        "from",
        "--to",
        "to",
    ]);
    command.args(more).current_dir(folder).output().unwrap()
}

fn words(output: &[u8]) -> String {
    String::from_utf8_lossy(output).into_owned()
}

#[test]
fn a_file_of_the_right_sum_is_taken_and_another_is_not() {
    let folder = scratch_folder("sums");
    fs::write(folder.join("from/sop/good.sop"), "abc").unwrap();
    fs::write(folder.join("from/sop/other.sop"), "abd").unwrap();
    let paths = ["sop/good.sop", "sop/other.sop", "sop/absent.sop"];
    let first = fetch(&folder, &paths, &[]);
    assert_eq!(first.status.code(), Some(1));
    assert_eq!(words(&first.stdout), "to: 0 there already, 1 got, 2 missing\n");
    for path in ["sop/other.sop: SHA-256 is ", "sop/absent.sop: could not be fetched from from"] {
        assert!(words(&first.stderr).contains(path), "{}", words(&first.stderr));
    }
    let there: Vec<_> =
        fs::read_dir(folder.join("to/sop")).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(there, ["good.sop"]);
    assert_eq!(fs::read(folder.join("to/sop/good.sop")).unwrap(), b"abc");

    assert_eq!(fetch(&folder, &paths, &["--check"]).status.code(), Some(1));
    fs::write(folder.join("from/sop/other.sop"), "abc").unwrap();
    fs::write(folder.join("from/sop/absent.sop"), "abc").unwrap();
    let second = fetch(&folder, &paths, &[]);
    assert_eq!(words(&second.stdout), "to: 1 there already, 2 got, 0 missing\n");
    assert_eq!(fetch(&folder, &paths, &["--check"]).status.code(), Some(0));
}

#[test]
fn a_wrong_file_that_is_there_is_found_and_replaced() {
    let folder = scratch_folder("repair");
    fs::write(folder.join("from/sop/good.sop"), "abc").unwrap();
    assert_eq!(fetch(&folder, &["sop/good.sop"], &[]).status.code(), Some(0));
    fs::write(folder.join("to/sop/good.sop"), "abc and more").unwrap();
    assert_eq!(fetch(&folder, &["sop/good.sop"], &["--check"]).status.code(), Some(1));
    assert_eq!(fetch(&folder, &["sop/good.sop"], &[]).status.code(), Some(0));
    assert_eq!(fs::read(folder.join("to/sop/good.sop")).unwrap(), b"abc");
}

#[test]
fn nothing_is_written_outside_the_folder() {
    let folder = scratch_folder("outside");
    fs::write(folder.join("out.sop"), "abc").unwrap();
    let output = fetch(&folder, &["../out.sop", "/out.sop"], &[]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(words(&output.stderr).matches("leads out of the folder").count(), 2);
}

#[test]
fn a_wrong_command_line_is_refused() {
    let folder = scratch_folder("line");
    for wrong in [&["--what"][..], &["--to"], &["--from", "no-such-folder"], &["--sources", "no-such-file"]] {
        assert_eq!(fetch(&folder, &[], wrong).status.code(), Some(2), "{wrong:?}");
    }
}

/// The rows of the table: path, address, sum.
fn sources() -> Vec<[String; 3]> {
    let text = fs::read_to_string(instances_folder().join("sources.tsv")).unwrap();
    let cells = |line: &str| line.split('\t').map(str::to_owned).collect::<Vec<_>>();
    text.lines().skip(1).map(|line| <[String; 3]>::try_from(cells(line)).expect("three columns")).collect()
}

#[test]
fn the_table_names_every_file_once_with_address_and_sum() {
    let rows = sources();
    let mut seen = BTreeSet::new();
    for [path, url, sum] in &rows {
        assert!(seen.insert(path), "{path} twice");
        assert!(url.starts_with("https://") && !url.contains(' '), "{path}: {url}");
        assert!(sum.len() == 64 && sum.bytes().all(|b| b.is_ascii_hexdigit()), "{path}: {sum}");
    }
    assert!(rows.len() > 80, "{} rows", rows.len());
}

#[test]
fn every_instance_with_a_best_known_value_is_in_the_table() {
    let paths: BTreeSet<String> = sources().into_iter().map(|[path, ..]| path).collect();
    let endings = [
        ("closure", &["upit", "prec"][..]),
        ("rcpsp", &["sm"]),
        ("scp", &["txt"]),
        ("sop", &["sop"]),
        ("ssp", &["txt"]),
    ];
    for (kind, endings) in endings {
        let table = fs::read_to_string(instances_folder().join(format!("best-known/{kind}.csv"))).unwrap();
        let names: Vec<&str> = table.lines().skip(1).filter_map(|line| line.split(',').next()).collect();
        assert!(!names.is_empty(), "{kind}");
        for name in names {
            for ending in endings {
                let file = format!("/{name}.{ending}");
                let is_there = paths.iter().any(|p| p.starts_with(&format!("{kind}/")) && p.ends_with(&file));
                assert!(is_there, "{kind}{file} is not in sources.tsv");
            }
        }
    }
}
