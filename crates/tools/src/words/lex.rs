//! Cuts the words of a set into marks, and takes the links out of them.

use model::PieceLink;

use super::BadSetWords;

/// Longest text that is read as the words of a set; a set of fifty listed sizes is a tenth of it.
const MAX_SET_TEXT_BYTES: usize = 4000;

/// Exact (NIST SP 811).
pub(super) const MM_PER_IN: f64 = 25.4;

/// One mark of the words.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum SetToken {
    /// A word in small letters, its plural taken off.
    Word(String),
    /// A number with the letters before it: `10`, `t30`, `slot 6`.
    Number(String, f64),
    /// Two numbers: `8x9`.
    Pair(f64, f64),
    /// Two sizes in inches: `7/16x1/2`.
    InchPair(f64, f64),
    /// A size in inches, in mm: `9/16`, `1-1/8`.
    Inches(f64),
    /// A fraction that a square has too: the start of a link, or a size in inches.
    Fraction(PieceLink),
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

/// Letters that may come before a number.
const LETTERS: &[&str] = &["t", "e", "ph", "pz"];

/// Cuts a text into marks.
pub(super) fn cut_into_tokens(text: &str) -> Result<Vec<SetToken>, BadSetWords> {
    if text.len() > MAX_SET_TEXT_BYTES {
        return Err(BadSetWords::new(
            "S102",
            "the words of this set are too long to be read",
            "write several sets",
        ));
    }
    let lower = text.to_lowercase().replace([',', ';', '|', '&'], " , ").replace('"', " in ");
    Ok(lower.split_whitespace().filter(|w| *w != "sizes" && *w != "size").flat_map(split_off_unit).collect())
}

/// The marks of one run of letters: one, but for a unit that is stuck to its number.
fn split_off_unit(word: &str) -> Vec<SetToken> {
    let stuck = [("mm", SetToken::Mm), ("in", SetToken::Inch)];
    for (unit, mark) in stuck {
        if let Some(figure) = word.strip_suffix(unit).filter(|f| f.ends_with(|c: char| c.is_ascii_digit())) {
            return vec![read_token(figure), mark];
        }
    }
    vec![read_token(word)]
}

/// One mark.
fn read_token(word: &str) -> SetToken {
    match word {
        "," | "and" => return SetToken::Comma,
        "to" | "-" | "–" => return SetToken::To,
        "step" => return SetToken::Step,
        "mm" => return SetToken::Mm,
        "in" | "inch" => return SetToken::Inch,
        "1/4" => return SetToken::Fraction(PieceLink::Square6),
        "3/8" => return SetToken::Fraction(PieceLink::Square10),
        "1/2" => return SetToken::Fraction(PieceLink::Square12),
        "3/4" => return SetToken::Fraction(PieceLink::Square20),
        _ => {}
    }
    if let Some(size_mm) = parse_inch_fraction(word) {
        return SetToken::Inches(size_mm);
    }
    if let Some((low, high)) =
        word.split_once('x').and_then(|(a, b)| Some((parse_inch_fraction(a)?, parse_inch_fraction(b)?)))
    {
        return SetToken::InchPair(low, high);
    }
    if let Some((low, high)) =
        word.split_once('x').and_then(|(a, b)| Some((parse_size_figure(a)?, parse_size_figure(b)?)))
    {
        return SetToken::Pair(low, high);
    }
    let digits = word.find(|c: char| c.is_ascii_digit()).unwrap_or(word.len());
    let (letters, rest) = word.split_at(digits);
    match parse_size_figure(rest) {
        Some(number) if letters.is_empty() || LETTERS.contains(&letters) => {
            SetToken::Number(letters.into(), number)
        }
        _ => SetToken::Word(singular_word(word)),
    }
}

/// `9/16` or `1-1/8` in mm: a whole number of sixty-fourths of an inch.
fn parse_inch_fraction(text: &str) -> Option<f64> {
    let (whole, fraction) = text.split_once('-').unwrap_or(("0", text));
    let (above, below) = fraction.split_once('/')?;
    let (whole, above, below): (u32, u32, u32) =
        (whole.parse().ok()?, above.parse().ok()?, below.parse().ok()?);
    let sound = matches!(below, 2 | 4 | 8 | 16 | 32 | 64) && above < below && whole < 10;
    sound.then(|| (f64::from(whole) + f64::from(above) / f64::from(below)) * MM_PER_IN)
}

/// The width of a square in mm: as a size in inches, not as a link.
pub(super) const fn link_as_inches_mm(link: PieceLink) -> f64 {
    match link {
        PieceLink::Square6 | PieceLink::Hex6 => 0.25 * MM_PER_IN,
        PieceLink::Square10 => 0.375 * MM_PER_IN,
        PieceLink::Square12 => 0.5 * MM_PER_IN,
        PieceLink::Square20 => 0.75 * MM_PER_IN,
    }
}

/// A number that a size can be.
fn parse_size_figure(text: &str) -> Option<f64> {
    let plain = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if plain { text.parse().ok().filter(|n: &f64| n.is_finite() && *n < 10_000.0) } else { None }
}

/// A word without its plural.
fn singular_word(word: &str) -> String {
    match word {
        "crow-feet" | "crowfeet" | "crowfoot" => String::from("crow-foot"),
        "cross" | "pliers" => word.to_owned(),
        _ => word.strip_suffix('s').unwrap_or(word).to_owned(),
    }
}

/// Takes the links out of the marks: a fraction, `in`, and `hex` where it means the shank. What is no link is a size in
/// inches: fractions behind the noun, beyond the `most` links that the noun has.
pub(super) fn take_links(marks: &mut Vec<SetToken>, most: usize) -> Vec<PieceLink> {
    let mut links = Vec::new();
    let mut kept: Vec<SetToken> = Vec::new();
    let mut at = 0;
    while at < marks.len() {
        let SetToken::Fraction(link) = marks[at] else {
            kept.push(marks[at].clone());
            at += 1;
            continue;
        };
        let on = kept.last() == Some(&SetToken::Word("on".into()));
        let named = kept.iter().any(|m| matches!(m, SetToken::Word(_)));
        if named && !on && (links.len() >= most || link_follows(&marks[at + 1..])) {
            kept.push(SetToken::Inches(link_as_inches_mm(link)));
            at += 1;
            continue;
        }
        at += 1 + usize::from(marks.get(at + 1) == Some(&SetToken::Inch));
        let shank = link == PieceLink::Square6 && is_shank(&marks[at..]);
        at += usize::from(shank);
        links.push(if shank { PieceLink::Hex6 } else { link });
        if on {
            kept.pop();
        }
    }
    *marks = kept;
    links
}

/// Whether a link is named further on, by `on`: then what stands before it are sizes.
fn link_follows(rest: &[SetToken]) -> bool {
    rest.windows(2).any(|w| w[0] == SetToken::Word("on".into()) && matches!(w[1], SetToken::Fraction(_)))
}

/// Whether `hex` follows and belongs to the link: not so in `hex socket bits`, `hex keys`, `hex 5`.
fn is_shank(rest: &[SetToken]) -> bool {
    let word = |at: usize| match rest.get(at) {
        Some(SetToken::Word(word)) => Some(word.as_str()),
        _ => None,
    };
    let own = matches!(word(1), Some("socket" | "key")) || matches!(rest.get(1), Some(SetToken::Number(..)));
    word(0) == Some("hex") && !own
}

/// Words on one side, sizes on the other; `slot` and `hex` before a number belong to it.
pub(super) fn split_words_and_sizes(marks: Vec<SetToken>) -> (Vec<String>, Vec<SetToken>) {
    let (mut words, mut numbers): (Vec<String>, Vec<SetToken>) = (Vec::new(), Vec::new());
    let mut marks = marks.into_iter().peekable();
    while let Some(mark) = marks.next() {
        match (mark, marks.peek()) {
            (SetToken::Word(word), Some(SetToken::Number(letters, number)))
                if letters.is_empty() && matches!(word.as_str(), "slot" | "hex") =>
            {
                numbers.push(SetToken::Number(word, *number));
                marks.next();
            }
            (SetToken::Word(word), _) => words.push(word),
            (mark, _) => numbers.push(mark),
        }
    }
    while numbers.first() == Some(&SetToken::Comma) {
        numbers.remove(0);
    }
    while matches!(numbers.last(), Some(SetToken::Comma)) {
        numbers.pop();
    }
    (words, numbers)
}
