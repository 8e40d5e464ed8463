//! Spellings of threads in manuals: marks of inches, numbers and classes of tolerance are brought to one form before anything is read.

use super::ThreadError;

/// Signs that manuals set, and the plain ones that stand for them.
const SIGNS: &[(&str, &str)] = &[
    ("\u{2033}", "\""),
    ("\u{201d}", "\""),
    ("\u{201c}", "\""),
    ("''", "\""),
    ("\u{2013}", "-"),
    ("\u{2010}", "-"),
    ("\u{2011}", "-"),
    ("\u{2212}", "-"),
    ("\u{a0}", " "),
    ("\u{be}", " 3/4"),
    ("\u{bc}", " 1/4"),
    ("\u{bd}", " 1/2"),
    ("\u{215b}", " 1/8"),
    ("\u{215c}", " 3/8"),
    ("\u{215d}", " 5/8"),
    ("\u{215e}", " 7/8"),
    ("\u{2044}", "/"),
];

/// Names of threads that carry loads of their own profile, which nothing here reckons with.
const OTHER_NAMES: &[&str] =
    &["BSW", "BSF", "BA", "WHITWORTH", "ANPT", "NPSM", "NPSF", "NPSC", "NPSI", "PTF"];

/// The text in capitals with plain signs, one space between words and no mark of inches: `3/8"-16 UNC` is `3/8-16 UNC`.
pub(crate) fn plain_spelling(text: &str) -> String {
    let mut plain = text.trim().to_owned();
    for (sign, instead) in SIGNS {
        plain = plain.replace(sign, instead);
    }
    let plain = plain.to_uppercase().replace(" IN.", "\"").replace(" INCH", "\"");
    let plain = plain
        .strip_suffix(" IN")
        .unwrap_or(&plain)
        .replace(" IN-", "\"-")
        .replace(" IN ", "\" ")
        .replace('"', " ");
    plain.split_whitespace().collect::<Vec<_>>().join(" ").replace(" -", "-").replace("- ", "-")
}

/// The text without its class of tolerance: `-6g`, ` 6H`, `-4g6g`, `-6H/6g` of ISO 965-1, `-2A`, ` 3B` of ASME B1.1.
pub(super) fn without_tolerance(plain: &str) -> &str {
    let Some((size, class)) = plain.rsplit_once(['-', ' ']) else { return plain };
    if is_tolerance_class(class) { size.trim_end() } else { plain }
}

/// Grades and positions in turn, or a grade of an inch class: `6G`, `4G6G`, `6H/6G`, `2A`.
fn is_tolerance_class(class: &str) -> bool {
    let signs: Vec<char> = class.chars().filter(|c| *c != '/').collect();
    let pairs = signs.chunks(2);
    let is_pair = |pair: &[char]| match pair {
        [grade, position] => ('1'..='9').contains(grade) && "ABEFGH".contains(*position),
        _ => false,
    };
    (1..=4).contains(&pairs.len()) && pairs.clone().all(is_pair)
}

/// A number size without its sign, `NO. 10-24` or `10-24`, as `#10-24`; any other text as it is.
pub(super) fn with_number_sign(plain: &str) -> String {
    let named = ["NO.", "NO ", "NR.", "N\u{b0}"].iter().find_map(|name| plain.strip_prefix(name));
    match named {
        Some(rest) => format!("#{}", rest.trim_start()),
        None => plain.replace("# ", "#"),
    }
}

/// The refusal of what is a thread and is not read, with what to write.
pub(super) fn refused_spelling(plain: &str, text: &str) -> Option<ThreadError> {
    let refuse = |hint: String| Some(ThreadError::NotRead { text: text.into(), hint });
    let mut words = plain.split([' ', '-']);
    if words.any(|word| word == "LH" || word == "LEFT") {
        return refuse("write the hand apart: `left_hand = true`, and the thread without it".to_owned());
    }
    let mut name =
        plain.split([' ', '-']).map(|word| word.trim_start_matches(|c: char| !c.is_ascii_alphabetic()));
    let name = name.rfind(|word| OTHER_NAMES.contains(word))?;
    refuse(format!(
        "{name} is not reckoned with; leave `thread` out and name it in `title`, its figures are then taken as told"
    ))
}
