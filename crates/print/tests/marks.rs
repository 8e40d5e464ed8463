//! The pages draw and name the states of fasteners as paper does: `marks.js` holds the shapes and words of our tables.

use model::FastenerState;
use print::mark_svg;

/// The shapes of a mark as the script writes them.
fn as_script(svg: &str) -> String {
    let part = |element: &str| {
        let (name, rest) = element.split_once(' ').expect("an element has attributes");
        let attributes = rest.split("\" ").map(|a| a.replace(['"', '/', '>'], ""));
        let pairs = attributes.map(|a| {
            let (key, value) = a.split_once('=').expect("key and value");
            format!("{key}: \"{value}\"")
        });
        format!("[\"{name}\", {{ {} }}]", pairs.collect::<Vec<_>>().join(", "))
    };
    let parts: Vec<String> = svg.split('<').filter(|e| !e.is_empty()).map(part).collect();
    format!("[{}]", parts.join(", "))
}

fn script() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../web/assets/marks.js");
    std::fs::read_to_string(path).expect("the pages have marks.js")
}

/// A word as a key of the script: quoted where it is no plain name.
fn as_key(word: &str) -> String {
    if word.contains('-') { format!("\"{word}\"") } else { word.to_owned() }
}

/// One row of a table of the script for each state, in the order of the states.
fn table_of_states(heading: &str, value: impl Fn(FastenerState) -> String) -> String {
    let row = |state: &FastenerState| format!("  {}: {},\n", as_key(state.file_word()), value(*state));
    format!("{heading} = {{\n{}}};", FastenerState::ALL.iter().map(row).collect::<String>())
}

#[test]
fn the_script_holds_the_same_shapes() {
    let table = table_of_states("const SHAPES", |state| as_script(&mark_svg(state)));
    assert!(script().contains(&table), "marks.js lacks\n{table}");
}

#[test]
fn the_script_says_the_same_words() {
    let table = table_of_states("const WORDS", |state| format!("\"{}\"", state.spoken_word()));
    assert!(script().contains(&table), "marks.js lacks\n{table}");
}

#[test]
fn the_script_knows_the_same_states() {
    let all: Vec<String> = FastenerState::ALL.iter().map(|s| format!("\"{}\"", s.file_word())).collect();
    let line = format!("@typedef {{{}}} State", all.join(" | "));
    assert!(script().contains(&line), "marks.js lacks {line}");
}
