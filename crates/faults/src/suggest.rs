//! The known name that a misspelt one was most likely meant to be.

/// Names longer than this, in bytes, are not typing slips.
const MAX_NAME_BYTES: usize = 64;

/// The nearest known name, if one is near enough to be meant; the first of equals.
///
/// Near means at most one edit in three letters (a swap of neighbours counts as one edit), case aside.
#[must_use]
pub fn nearest_name<'k>(name: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    if name.is_empty() || name.len() > MAX_NAME_BYTES {
        return None;
    }
    let lower = name.to_lowercase();
    let limit = (lower.chars().count() / 3).max(1);
    known
        .into_iter()
        .filter(|k| !k.is_empty() && k.len() <= MAX_NAME_BYTES)
        .map(|k| (strsim::damerau_levenshtein(&lower, &k.to_lowercase()), k))
        .filter(|(edits, k)| *edits <= limit && *edits < k.chars().count())
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, k)| k)
}

/// How many edits lie between two names, case aside; names too long for a slip are as far apart as can be.
#[must_use]
pub fn name_distance(name: &str, other: &str) -> usize {
    if name.len().max(other.len()) > MAX_NAME_BYTES {
        return usize::MAX;
    }
    strsim::damerau_levenshtein(&name.to_lowercase(), &other.to_lowercase())
}

/// What to add to "unknown …": `; did you mean …?` where a name is near, and a help that lists the known ones
/// where none is.
#[must_use]
pub fn suggest_name(name: &str, known: &[&str], what: &str) -> (String, Option<String>) {
    if let Some(near) = nearest_name(name, known.iter().copied()) {
        return (format!("; did you mean `{near}`?"), None);
    }
    let list = match known.len() {
        0 => format!("there are no {what}s"),
        1..=24 => format!("known {what}s: {}", known.join(", ")),
        more => format!("known {what}s: {}, and {} more", known[..24].join(", "), more - 24),
    };
    (String::new(), Some(list))
}
