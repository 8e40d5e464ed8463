//! What to get next over several books, as text.

use super::readiness::obtain_verb;
use super::table::{PageWidth, bullet, heading};
use crate::ask::NextBestAnswer;
use model::plan::Readiness;
use plan::next_best::{NextPurchase, PurchasePair, rank_next_purchases};

/// The whole answer, at most `most` lines of each kind.
#[must_use]
pub fn format_next_best(next: &NextBestAnswer, most: usize, width: PageWidth) -> String {
    if next.one_by_one.is_empty() {
        return bullet(
            width,
            "",
            "Nothing: every fastener of these books can be worked with what is at hand.",
        );
    }
    let mut out = heading("one after the other, most jobs opened first").trim_start().to_owned();
    out.push_str(&format_purchases(&next.one_by_one, most, width));
    let together: Vec<&PurchasePair> = next.together.iter().filter(|pair| pair.only_together > 0).collect();
    if !together.is_empty() {
        out.push_str(&heading("pairs that open jobs only together"));
        together.iter().take(most).for_each(|pair| out.push_str(&format_pair(pair, width)));
        out.push_str(&more_line(together.len(), most));
    }
    out
}

/// What to get over several books, each key with its readiness: the piece that opens most jobs first, at most `most` lines.
#[must_use]
pub fn format_ranked_purchases(ready: &[(&str, &Readiness)], most: usize, width: PageWidth) -> String {
    format_purchases(&rank_next_purchases(ready), most, width)
}

/// Things to get, each counting what was got before it.
fn format_purchases(purchases: &[NextPurchase], most: usize, width: PageWidth) -> String {
    let mut out = String::new();
    for purchase in purchases.iter().take(most) {
        let opens = if purchase.unlocks.is_empty() {
            String::new()
        } else {
            format!("; opens {}", job_list(&purchase.unlocks))
        };
        out.push_str(&bullet(
            width,
            "  - ",
            &format!("{}: {}{opens}", obtain_verb(purchase.how), purchase.words),
        ));
    }
    out.push_str(&more_line(purchases.len(), most));
    out
}

fn format_pair(pair: &PurchasePair, width: PageWidth) -> String {
    let [a, b] = &pair.words;
    let mut out = bullet(width, "  - ", a);
    out.push_str(&bullet(width, "    with ", b));
    out.push_str(&bullet(width, "    opens ", &job_list(&pair.unlocks)));
    out
}

fn job_list(unlocks: &[(String, String)]) -> String {
    unlocks.iter().map(|(book, fixing)| format!("{fixing} ({book})")).collect::<Vec<String>>().join(", ")
}

fn more_line(count: usize, most: usize) -> String {
    if count > most { format!("  and {} more\n", count - most) } else { String::new() }
}
