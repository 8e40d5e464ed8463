//! What a user sees for every code of the walker, word for word.

#[path = "messages/kept.rs"]
mod kept;

use faults::{
    Fault, FaultCollector, FaultLook, FaultRule, Faults, MAX_FAULTS_KEPT, MAX_FAULTS_SHOWN, MAX_FILE_BYTES,
    RULES, SourceSpan, SourceTexts, explain_rule, fault_records, find_rule, nearest_name, parse_toml,
    render_fault_lines, render_faults, rules_page,
};
use units::{Length, Money, Torque};

/// Reads a text as a small book and gives what was found wrong.
fn faults(text: &str) -> (SourceTexts, Faults) {
    let mut sources = SourceTexts::new();
    let file = sources.add_text("sample.toml", text);
    let bag = FaultCollector::new();
    let document = parse_toml(&sources, file, &bag);
    let root = document.root_table();
    root.required_field("title").read_text();
    root.optional_field("torque").read_quantity_in(Torque::ZERO..=Torque::from_n_m(500.0));
    root.optional_field("count").read_int(1..=40);
    root.optional_field("share").read_number(0.0..=1.0);
    root.optional_field("kind").read_choice(&[("bolt", 1), ("nut", 2)]);
    root.optional_field("length").read_quantity::<Length>();
    for step in root.optional_field("step").read_tables() {
        step.required_field("id").read_text();
        step.report_unknown_keys();
    }
    root.report_unknown_keys();
    (sources, bag.into_faults())
}

/// Compares the drawing of all that is wrong in a text, without the line that counts.
fn check(text: &str, expected: &str) {
    let (sources, faults) = faults(text);
    let drawn = render_faults(&faults, &sources, FaultLook::Plain);
    let body = drawn.trim_end().rsplit_once("\n\n").map_or("", |(body, _)| body);
    assert_eq!(body, expected.trim_matches('\n'), "got:\n{drawn}");
}

#[test]
fn unknown_key() {
    check(
        "title = \"x\"\ntorqe = 1\n",
        r"
error[T001]: unknown key `torqe`; did you mean `torque`?
 --> sample.toml:2:1
  |
2 | torqe = 1
  | ^^^^^ not a key of this table",
    );
    check(
        "title = \"x\"\n\"größe\" = 1",
        r#"
error[T001]: unknown key `größe`
 --> sample.toml:2:1
  |
2 | "größe" = 1
  | ^^^^^^^ not a key of this table
  |
  = help: known keys: count, kind, length, share, step, title, torque"#,
    );
}

#[test]
fn missing_key() {
    check(
        "title = \"x\"\n\n[[step]]\nid = \"a\"\n[[step]]\n",
        r"
error[T002]: missing key `id`
 --> sample.toml:5:1
  |
5 | [[step]]
  | ^^^^^^^^ in this table",
    );
    check(
        "",
        r"
error[T002]: missing key `title`
 --> sample.toml:1:1
  |
1 |
  | ^ in this file, above the first table",
    );
}

#[test]
fn wrong_type() {
    check(
        "title = 12",
        r"
error[T003]: `title` has the wrong type
 --> sample.toml:1:9
  |
1 | title = 12
  |         ^^ expected text, found a whole number
  |
  = help: put it in quotes",
    );
    check(
        "title = \"x\"\nstep = [{id = \"a\"}, 7]",
        r#"
error[T003]: `step` has the wrong type
 --> sample.toml:2:21
  |
2 | step = [{id = "a"}, 7]
  |                     ^ expected a table, found a whole number
  |
  = help: write it as `[step]`, `[[step]]` or in braces: `{ ... }`"#,
    );
}

#[test]
fn out_of_range() {
    check(
        "title = \"x\"\ntorque = \"900 N·m\"\ncount = 99_999_999_999_999_999_999_999\n",
        r#"
error[T004]: `torque` is out of range
 --> sample.toml:2:10
  |
2 | torque = "900 N·m"
  |          ^^^^^^^^^ 900 N·m is outside 0 N·m to 500 N·m
  |
  = help: check the decimal point and the unit

error[T004]: `count` is out of range
 --> sample.toml:3:9
  |
3 | count = 99_999_999_999_999_999_999_999
  |         ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ 99_999_999_999_999_999_999_999 is outside 1 to 40
  |
  = help: check the decimal point and the unit"#,
    );
    check(
        "title = \"x\"\nshare = nan",
        r"
error[T004]: `share` is out of range
 --> sample.toml:2:9
  |
2 | share = nan
  |         ^^^ nan is outside 0 to 1
  |
  = help: check the decimal point and the unit",
    );
}

#[test]
fn bad_value() {
    check(
        "title = \"x\"\ntorque = \"9\"",
        r#"
error[T005]: `9` is a torque without its unit
 --> sample.toml:2:10
  |
2 | torque = "9"
  |          ^^^ for `torque`
  |
  = help: write it as `9 N·m`"#,
    );
    check(
        "title = \"x\"\ntorque = 9",
        r"
error[T005]: `9` is a torque without its unit
 --> sample.toml:2:10
  |
2 | torque = 9
  |          ^ for `torque`
  |
  = help: write figure and unit together, in quotes",
    );
    check(
        "title = \"x\"\nkind = \"blot\"",
        r#"
error[T005]: `blot` is not a word for `kind`; did you mean `bolt`?
 --> sample.toml:2:8
  |
2 | kind = "blot"
  |        ^^^^^^ for `kind`"#,
    );
}

#[test]
fn syntax() {
    check(
        "title = \"x\ntorque = 12 N·m\ncount = 3\n",
        r#"
error[T006]: invalid basic string
 --> sample.toml:1:11
  |
1 | title = "x
  |           ^ expected `"`

error[T006]: text must be in quotes
 --> sample.toml:2:10
  |
2 | torque = 12 N·m
  |          ^^^^^^ not a value"#,
    );
}

#[test]
fn key_twice_and_empty_text() {
    check(
        "title = \" \"\ncount = 1\ncount = 2",
        r#"
error[T010]: `title` is empty
 --> sample.toml:1:9
  |
1 | title = " "
  |         ^^^ only blanks

error[T009]: key `count` is given twice
 --> sample.toml:3:1
  |
3 | count = 2
  | ^^^^^ for the second time here
  |
  = help: remove one of them"#,
    );
}

#[test]
fn bytes_that_are_no_text() {
    let mut sources = SourceTexts::new();
    let (file, fault) = sources.add_bytes("latin.toml", b"a = 1\nt = \"9 N\xB7m\"");
    let fault = fault.expect("not UTF-8");
    assert_eq!((fault.code, fault.label.as_str()), ("T007", "byte 0xB7 here"));
    assert_eq!(fault.help.as_deref(), Some("save the file as UTF-8"));
    let place = sources.position(file, fault.span.expect("placed").start);
    assert_eq!((place.line, place.column), (2, 9));
    let (wide, fault) = sources.add_bytes("wide.toml", b"\xFF\xFEa\0");
    assert!(fault.expect("not UTF-8").help.expect("helped").contains("UTF-16"));
    let bag = FaultCollector::new();
    parse_toml(&sources, wide, &bag).root_table().required_field("title").read_text();
    assert!(bag.is_empty(), "a refused file gives no further faults");
    let (marked, fault) = sources.add_bytes("marked.toml", b"\xEF\xBB\xBFa = 1");
    assert_eq!((fault, sources.text(marked)), (None, "a = 1"));
    let (_, fault) = sources.add_bytes("large.toml", &vec![b'\n'; MAX_FILE_BYTES + 1]);
    let fault = fault.expect("too large");
    assert_eq!((fault.code, fault.message.as_str()), ("T008", "the file is 17 MiB; at most 16 MiB are read"));
}

#[test]
fn values_come_with_their_places() {
    let mut sources = SourceTexts::new();
    let text = "b = -3\nf = 1_000.5\nl = \"1/4 in\"\nmm = 12\np = \"12.50 EUR\"\ns = [\"x\", \" y \"]\n\n[named]\nzz = 1\naa = 2\n";
    let file = sources.add_text("t.toml", text);
    let bag = FaultCollector::new();
    let document = parse_toml(&sources, file, &bag);
    let root = document.root_table();
    assert_eq!(root.required_field("b").read_int(-9..=9).map(|v| v.value), Some(-3));
    let float = root.required_field("f").read_number(0.0..=2000.0).expect("a number");
    assert_eq!((float.value, sources.text_at(float.span)), (1000.5, "1_000.5"));
    assert_eq!(
        root.required_field("l").read_quantity::<Length>().map(|v| v.value),
        Some(Length::from_mm(6.35))
    );
    assert_eq!(
        root.required_field("mm").read_quantity::<Length>().map(|v| v.value),
        Some(Length::from_mm(12.0))
    );
    let price = root.required_field("p").read_quantity::<(Money, Option<String>)>().expect("a price").value;
    assert_eq!(price, (Money::from_cents(1250), Some(String::from("EUR"))));
    let strings: Vec<String> = root.required_field("s").read_texts().into_iter().map(|s| s.value).collect();
    assert_eq!(strings, ["x", "y"]);
    let named = root.required_field("named").read_table().expect("a table");
    let names: Vec<String> = named.entries().into_iter().map(|(name, _)| name.value).collect();
    assert_eq!(names, ["zz", "aa"], "in the order of the text");
    assert_eq!(sources.text_at(named.span()), "[named]");
    assert_eq!((sources.text_at(root.key_span("mm")), sources.text_at(root.value_span("mm"))), ("mm", "12"));
    named.report_unknown_keys();
    root.report_unknown_keys();
    assert!(bag.is_empty());
}

/// A fault with a second place in another file, and a warning without a place.
fn two_files() -> (SourceTexts, Faults) {
    let mut sources = SourceTexts::new();
    let one = sources.add_text("sample.toml", "torque = \"120 N·m\"\n");
    let two = sources.add_text("other.toml", "\n\tsize = 8\r\n");
    let mut faults = Faults::new();
    let fault = Fault::error("X204", "step torque 120 N·m is above the 36 N·m worked out for M8, class 10.9")
        .at(SourceSpan::new(one, 9, 19), "this figure")
        .help("check the unit; 120 lbf·in would be 13.6 N·m")
        .note(SourceSpan::new(two, 2, 10), "for this size");
    faults.extend([fault.clone(), Fault::warning("X900", "no \u{1b}[31mholes\nhere"), fault]);
    (sources, faults)
}

#[test]
fn drawing_with_a_second_place() {
    let (sources, faults) = two_files();
    let expected = r#"warning[X900]: no ␛[31mholes here

error[X204]: step torque 120 N·m is above the 36 N·m worked out for M8, class 10.9
 --> sample.toml:1:10
  |
1 | torque = "120 N·m"
  |          ^^^^^^^^^ this figure
  |
 ::: other.toml:2:2
  |
2 |     size = 8
  |     -------- for this size
  |
  = help: check the unit; 120 lbf·in would be 13.6 N·m

1 error, 1 warning
"#;
    assert_eq!(render_faults(&faults, &sources, FaultLook::Plain), expected);
    assert!(render_faults(&faults, &sources, FaultLook::Colour).contains("\u{1b}["));
}

#[test]
fn lines_for_editors_and_data_for_programs() {
    let (sources, faults) = two_files();
    let message = "step torque 120 N·m is above the 36 N·m worked out for M8, class 10.9";
    let lines = render_fault_lines(&faults, &sources);
    assert_eq!(lines, format!("X900 no ␛[31mholes here\nsample.toml:1:10: X204 {message}\n"));
    let json = serde_json::to_value(fault_records(&faults, &sources)).expect("plain data");
    let expected = serde_json::json!({
        "code": "X204", "severity": "error", "file": "sample.toml",
        "line": 1, "column": 10, "end_line": 1, "end_column": 19,
        "message": message, "label": "this figure", "help": "check the unit; 120 lbf·in would be 13.6 N·m",
        "notes": [{"file": "other.toml", "line": 2, "column": 2, "message": "for this size"}],
    });
    assert_eq!(json[1], expected);
    assert_eq!(json[0]["file"], serde_json::Value::Null);
}

#[test]
fn a_very_long_line_keeps_its_column() {
    let text = format!("title = \"x\" #{}\n[{}]", "ö".repeat(5000), "a".repeat(9000));
    let mut sources = SourceTexts::new();
    let file = sources.add_text("long.toml", text);
    let mut faults = Faults::new();
    faults.push(Fault::error("X001", "far out").at(SourceSpan::new(file, 8013, 8015), "here"));
    let drawn = render_faults(&faults, &sources, FaultLook::Plain);
    assert!(drawn.contains("--> long.toml:1:4014\n"), "{drawn}");
    assert!(drawn.lines().all(|line| line.chars().count() < 140), "{drawn}");
}

#[test]
fn a_bag_shows_some_keeps_more_and_counts_all() {
    let mut sources = SourceTexts::new();
    let file = sources.add_text("t", "x\n".repeat(9000));
    let mut faults = Faults::new();
    assert!(faults.is_empty() && !faults.has_errors());
    faults.extend(
        (0..9000).map(|n| Fault::warning("X001", "odd").at(SourceSpan::new(file, n * 2, n * 2 + 1), "")),
    );
    assert!(!faults.has_errors());
    faults.push(Fault::error("X002", "bad"));
    assert!(faults.has_errors(), "also when only counted");
    assert_eq!(faults.count_by_severity(), (1, 9000));
    let (shown, rest) = faults.shown();
    assert_eq!((shown.len(), rest), (MAX_FAULTS_SHOWN, 9001 - MAX_FAULTS_SHOWN));
    assert_eq!(faults.sorted().len(), MAX_FAULTS_KEPT);
    assert!(
        render_faults(&faults, &sources, FaultLook::Plain)
            .ends_with("and 8801 more, not shown\n\n1 error, 9000 warnings\n")
    );
}

#[test]
fn near_and_far_names() {
    for (name, expected) in [
        ("titel", Some("title")),
        ("TITLE", Some("title")),
        ("stp", Some("step")),
        ("widht", Some("width")),
        ("x", None),
        ("colour", None),
        ("", None),
    ] {
        assert_eq!(nearest_name(name, ["title", "step", "width", "id"]), expected, "{name}");
    }
    assert_eq!(nearest_name(&"a".repeat(100_000), ["title"]), None);
}

#[test]
fn every_rule_has_a_sample_that_breaks_it() {
    for rule in RULES.iter().filter(|rule| !rule.bad_sample.is_empty()) {
        assert!(faults(rule.bad_sample).1.codes().contains(&rule.code), "{}", rule.code);
    }
    let codes: Vec<&str> = RULES.iter().map(|rule| rule.code).collect();
    assert!(codes.is_sorted() && codes.len() == 10);
}

#[test]
fn the_page_of_rules() {
    const OTHER: &[FaultRule] = &[FaultRule {
        code: "X001",
        title: "odd",
        why: "It is odd.",
        bad_sample: "a = '```'",
        help: "mend it.",
    }];
    let text = rules_page("Faults", "All codes.", &[OTHER, RULES]);
    assert!(text.starts_with("# Faults\n\nAll codes.\n\n- T001: unknown key\n"), "{text}");
    assert!(text.contains("- T010: empty text\n- X001: odd\n\n## T001: unknown key\n"), "{text}");
    assert_eq!(text.matches("\n## ").count(), 11);
    let expected =
        "## X001: odd\n\nIt is odd.\n\nA bad sample:\n\n````toml\na = '```'\n````\n\nWhat to do: mend it.\n";
    assert_eq!(explain_rule(&OTHER[0]), expected);
    assert_eq!(find_rule(&[RULES, OTHER], "t007").map(|rule| rule.title), Some("not UTF-8"));
    assert_eq!(find_rule(&[RULES], "X001"), None);
}
