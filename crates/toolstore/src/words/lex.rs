//! Cuts the words of a set into marks, and takes the links out of them.

use model::Link;

use super::Bad;

/// Longest text that is read as the words of a set; a set of fifty listed sizes is a tenth of it.
const TEXT_BYTES_MAX: usize = 4000;

/// One mark of the words.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Mark {
    /// A word in small letters, its plural taken off.
    Word(String),
    /// A number with the letters before it: `10`, `t30`, `slot 6`.
    Number(String, f64),
    /// Two numbers: `8x9`.
    Pair(f64, f64),
    /// A fraction: the start of a link.
    Fraction(Link),
    /// A comma or `and`.
    Comma,
    /// `to`.
    To,
    /// `step`.
    Step,
    /// `mm`.
    Mm,
    /// `in`.
    Inch,
}

/// Letters that may stand before a number.
const LETTERS: &[&str] = &["t", "e", "ph", "pz"];

/// Cuts a text into marks.
pub(super) fn cut(text: &str) -> Result<Vec<Mark>, Bad> {
    if text.len() > TEXT_BYTES_MAX {
        return Err(Bad::new("S102", "the words of this set are too long to be read", "write several sets"));
    }
    let lower = text.to_lowercase().replace([',', ';', '|', '&'], " , ").replace('"', " in ");
    Ok(lower.split_whitespace().filter(|w| *w != "sizes" && *w != "size").flat_map(mark).collect())
}

/// The marks of one run of letters: one, but for a unit that is stuck to its number.
fn mark(word: &str) -> Vec<Mark> {
    let stuck = [("mm", Mark::Mm), ("in", Mark::Inch)];
    for (unit, mark) in stuck {
        if let Some(figure) = word.strip_suffix(unit).filter(|f| f.ends_with(|c: char| c.is_ascii_digit())) {
            return vec![plain(figure), mark];
        }
    }
    vec![plain(word)]
}

/// One mark.
fn plain(word: &str) -> Mark {
    match word {
        "," | "and" => return Mark::Comma,
        "to" | "-" | "–" => return Mark::To,
        "step" => return Mark::Step,
        "mm" => return Mark::Mm,
        "in" | "inch" => return Mark::Inch,
        "1/4" => return Mark::Fraction(Link::Square6),
        "3/8" => return Mark::Fraction(Link::Square10),
        "1/2" => return Mark::Fraction(Link::Square12),
        "3/4" => return Mark::Fraction(Link::Square20),
        _ => {}
    }
    if let Some((low, high)) = word.split_once('x').and_then(|(a, b)| Some((figure(a)?, figure(b)?))) {
        return Mark::Pair(low, high);
    }
    let digits = word.find(|c: char| c.is_ascii_digit()).unwrap_or(word.len());
    let (letters, rest) = word.split_at(digits);
    match figure(rest) {
        Some(number) if letters.is_empty() || LETTERS.contains(&letters) => {
            Mark::Number(letters.into(), number)
        }
        _ => Mark::Word(singular(word)),
    }
}

/// A number that a size can be.
fn figure(text: &str) -> Option<f64> {
    let plain = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if plain { text.parse().ok().filter(|n: &f64| n.is_finite() && *n < 10_000.0) } else { None }
}

/// A word without its plural.
fn singular(word: &str) -> String {
    match word {
        "crow-feet" | "crowfeet" | "crowfoot" => String::from("crow-foot"),
        "cross" | "pliers" => word.to_owned(),
        _ => word.strip_suffix('s').unwrap_or(word).to_owned(),
    }
}

/// Takes the links out of the marks: a fraction, `in`, and `hex` where it means the shank.
pub(super) fn take_links(marks: &mut Vec<Mark>) -> Vec<Link> {
    let mut links = Vec::new();
    let mut kept: Vec<Mark> = Vec::new();
    let mut at = 0;
    while at < marks.len() {
        let Mark::Fraction(link) = marks[at] else {
            kept.push(marks[at].clone());
            at += 1;
            continue;
        };
        at += 1 + usize::from(marks.get(at + 1) == Some(&Mark::Inch));
        let shank = link == Link::Square6 && is_shank(&marks[at..]);
        at += usize::from(shank);
        links.push(if shank { Link::Hex6 } else { link });
        if kept.last() == Some(&Mark::Word("on".into())) {
            kept.pop();
        }
    }
    *marks = kept;
    links
}

/// Whether `hex` follows and belongs to the link: not so in `hex socket bits`, `hex keys`, `hex 5`.
fn is_shank(rest: &[Mark]) -> bool {
    let word = |at: usize| match rest.get(at) {
        Some(Mark::Word(word)) => Some(word.as_str()),
        _ => None,
    };
    let own = matches!(word(1), Some("socket" | "key")) || matches!(rest.get(1), Some(Mark::Number(..)));
    word(0) == Some("hex") && !own
}

/// Words on one side, sizes on the other; `slot` and `hex` before a number belong to it.
pub(super) fn part(marks: Vec<Mark>) -> (Vec<String>, Vec<Mark>) {
    let (mut words, mut numbers): (Vec<String>, Vec<Mark>) = (Vec::new(), Vec::new());
    let mut marks = marks.into_iter().peekable();
    while let Some(mark) = marks.next() {
        match (mark, marks.peek()) {
            (Mark::Word(word), Some(Mark::Number(letters, number)))
                if letters.is_empty() && matches!(word.as_str(), "slot" | "hex") =>
            {
                numbers.push(Mark::Number(word, *number));
                marks.next();
            }
            (Mark::Word(word), _) => words.push(word),
            (mark, _) => numbers.push(mark),
        }
    }
    while numbers.first() == Some(&Mark::Comma) {
        numbers.remove(0);
    }
    while matches!(numbers.last(), Some(Mark::Comma)) {
        numbers.pop();
    }
    (words, numbers)
}
