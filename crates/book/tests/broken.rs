//! One sign missing is one fault: brackets, braces and quotes are taken out of a book one at a time.

use book::read_book;
use faults::Fault;

const RICH: &str = include_str!("rich.toml");

/// The faults of a text.
fn faults_of(text: &str) -> Vec<Fault> {
    read_book(&[("sample.toml".into(), text.into())]).faults.into_iter().collect()
}

#[test]
fn one_bracket_brace_or_quote_less_is_one_fault() {
    let signs = RICH.match_indices(['[', ']', '{', '}', '"']).filter(|(at, _)| !is_in_comment(*at));
    let mut tried = 0;
    let mut wrong = Vec::new();
    for (at, sign) in signs {
        let text = format!("{}{}", &RICH[..at], &RICH[at + sign.len()..]);
        let found = faults_of(&text);
        let line = RICH[..at].matches('\n').count() + 1;
        tried += 1;
        if found.len() != 1 {
            let said: Vec<String> = found.iter().map(|f| format!("{} {}", f.code, f.message)).collect();
            wrong.push(format!("line {line}, `{sign}` at {at}: {said:?}"));
        }
    }
    assert!(tried > 300, "{tried} signs");
    assert!(wrong.is_empty(), "{} of {tried}:\n{}", wrong.len(), wrong.join("\n"));
}

/// Whether a place is behind a `#` on its line.
fn is_in_comment(at: usize) -> bool {
    let line = RICH[..at].rfind('\n').map_or(0, |end| end + 1);
    RICH[line..at].contains(" #")
}

#[test]
fn faults_elsewhere_are_still_reported() {
    let text = RICH.replacen("lift_time", "lift_tiem", 1).replacen("[[station]]", "[[station]", 1);
    let found = faults_of(&text);
    let codes: Vec<&str> = found.iter().map(|fault| fault.code).collect();
    assert_eq!(codes, ["T006", "T001"], "{found:#?}");
}
