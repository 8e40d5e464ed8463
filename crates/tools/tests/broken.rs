//! One sign missing is one fault: brackets, braces and quotes are taken out of a store one at a time.

use tools::read_store;

/// The samples of the format page, a store of every kind of table.
fn page_store() -> String {
    let page = include_str!("../../../docs/store-format.md");
    page.split("```").skip(1).step_by(2).filter_map(|block| block.strip_prefix("toml\n")).collect()
}

#[test]
fn one_bracket_brace_or_quote_less_is_one_fault() {
    let store = page_store();
    let is_comment = |at: usize| store[..at].rsplit('\n').next().is_some_and(|line| line.contains('#'));
    let (mut tried, mut wrong) = (0, Vec::new());
    for (at, sign) in store.match_indices(['[', ']', '{', '}', '"']).filter(|(at, _)| !is_comment(*at)) {
        let text = format!("{}{}", &store[..at], &store[at + sign.len()..]);
        let reading = read_store(&[("store.toml".into(), text.into_bytes())]);
        let said: Vec<String> =
            reading.faults.sorted().iter().map(|fault| format!("{} {}", fault.code, fault.message)).collect();
        tried += 1;
        if said.len() != 1 {
            wrong.push(format!("`{sign}` at {at}: {said:?}"));
        }
    }
    assert!(tried > 80, "{tried} signs");
    assert!(wrong.is_empty(), "{} of {tried}:\n{}", wrong.len(), wrong.join("\n"));
}
