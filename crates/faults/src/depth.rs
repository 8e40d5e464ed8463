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

/// Frees a table level by level; dropping one that nests a thousandfold would use up the stack.
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
