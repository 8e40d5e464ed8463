//! How deeply a text nests its tables and lists, found and taken apart without recursion.

use toml::de::{DeTable, DeValue};

/// Whether anything nests deeper than `limit` tables and lists within each other.
pub(crate) fn is_deeper_than(table: &DeTable<'_>, limit: usize) -> bool {
    let mut open: Vec<(usize, &DeValue<'_>)> = table.values().map(|v| (1, v.get_ref())).collect();
    while let Some((depth, value)) = open.pop() {
        match value {
            DeValue::Array(_) | DeValue::Table(_) if depth > limit => return true,
            DeValue::Array(list) => open.extend(list.iter().map(|v| (depth + 1, v.get_ref()))),
            DeValue::Table(table) => open.extend(table.values().map(|v| (depth + 1, v.get_ref()))),
            _ => {}
        }
    }
    false
}

/// Frees a table level by level; dropping a table nested thousands deep would overflow the stack.
pub(crate) fn take_apart(table: DeTable<'_>) {
    let mut open: Vec<DeValue<'_>> = table.into_iter().map(|(_, v)| v.into_inner()).collect();
    while let Some(value) = open.pop() {
        match value {
            DeValue::Array(list) => open.extend(list.into_iter().map(toml::Spanned::into_inner)),
            DeValue::Table(table) => open.extend(table.into_iter().map(|(_, v)| v.into_inner())),
            _ => {}
        }
    }
}

/// How many dots a key may have, and how many dots may follow quoted keys in the whole text, before the text
/// counts as one that may nest a thousandfold.
const MAX_DOTS: usize = 8;
const MAX_DOTS_AFTER_QUOTES: usize = 50;

/// Whether a text could nest so deeply that dropping its table in the ordinary way would use up the stack.
///
/// The parser limits brackets, and the dots of one key, to 80 each, but not the two combined. With few dots in
/// each key some 1200 levels are left at most, 400 bytes of stack each. Ordinary text may be flagged by mistake: the
/// answer only chooses between two ways of reading.
pub(crate) fn may_be_deep(text: &str) -> bool {
    let (mut run, mut after_quotes, mut last) = (0, 0, b'\n');
    for byte in text.bytes() {
        match byte {
            b' ' | b'\t' => continue,
            b'.' => {
                run += 1;
                after_quotes += usize::from(matches!(last, b'"' | b'\''));
            }
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'_' | b'-' => {}
            _ => run = 0,
        }
        last = byte;
        if run > MAX_DOTS || after_quotes > MAX_DOTS_AFTER_QUOTES {
            return true;
        }
    }
    false
}
