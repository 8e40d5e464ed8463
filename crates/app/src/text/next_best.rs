//! What to get next over several books, as text.

use super::readiness::verb;
use super::table::{bullet, heading};
use crate::ask::NextBest;
use plan::next_best::{Pair, Purchase};

/// The whole answer, at most so many lines of each kind.
#[must_use]
pub fn next_best(next: &NextBest, most: usize) -> String {
    if next.one_by_one.is_empty() {
        return bullet("", "Nothing: every fastener of these books can be worked with what is at hand.");
    }
    let mut out = heading("one after the other, most jobs opened first").trim_start().to_owned();
    out.push_str(&one_by_one(&next.one_by_one, most));
    let together: Vec<&Pair> = next.together.iter().filter(|pair| pair.only_together > 0).collect();
    if !together.is_empty() {
        out.push_str(&heading("two that open only together"));
        together.iter().take(most).for_each(|pair| out.push_str(&one_pair(pair)));
        out.push_str(&rest(together.len(), most));
    }
    out
}

/// Things to get, each counting what was got before it.
#[must_use]
pub fn one_by_one(purchases: &[Purchase], most: usize) -> String {
    let mut out = String::new();
    for purchase in purchases.iter().take(most) {
        let opens = if purchase.unlocks.is_empty() {
            String::new()
        } else {
            format!("; opens {}", jobs(&purchase.unlocks))
        };
        out.push_str(&bullet("  - ", &format!("{}: {}{opens}", verb(purchase.how), purchase.words)));
    }
    out.push_str(&rest(purchases.len(), most));
    out
}

fn one_pair(pair: &Pair) -> String {
    let [a, b] = &pair.words;
    let mut out = bullet("  - ", a);
    out.push_str(&bullet("    with ", b));
    out.push_str(&bullet("    opens ", &jobs(&pair.unlocks)));
    out
}

fn jobs(unlocks: &[(String, String)]) -> String {
    unlocks.iter().map(|(book, fixing)| format!("{fixing} ({book})")).collect::<Vec<String>>().join(", ")
}

fn rest(count: usize, most: usize) -> String {
    if count > most { format!("  and {} more\n", count - most) } else { String::new() }
}
