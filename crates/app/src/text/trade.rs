//! The trade-off between buying, carrying and time as a table with bars.

use super::table::{PageWidth, TextAlign, TextTable, bullet, spoken_time};
use model::rules::KIT_TIME_SLACK_FRACTION;
use plan::kit::{TradeOff, TradedKit};

/// Widest bar.
const MAX_BAR: f64 = 14.0;
/// Maximum number of kits shown with the same number to buy; those between are evenly thinned.
const MAX_KITS_SHOWN: usize = 16;

/// All kits that no other beats.
#[must_use]
pub fn format_trade_off(trade: &TradeOff, width: PageWidth) -> String {
    if trade.kits.is_empty() {
        return bullet(width, "", "No kit: no piece at hand or on the wish list can do any of the acts.");
    }
    let mut out = trade_verdict(trade, width);
    let groups: Vec<&[TradedKit]> = trade.kits.chunk_by(|a, b| a.to_buy == b.to_buy).collect();
    let least_s = trade.kits.iter().map(|k| k.hands_on_s).fold(f64::INFINITY, f64::min);
    let most_s = trade.kits.iter().map(|k| k.hands_on_s).fold(0.0, f64::max);
    let mut table = TextTable::new(&[
        ("buy", TextAlign::Right),
        ("carry", TextAlign::Right),
        ("hands-on", TextAlign::Right),
        ("longer than the quickest by", TextAlign::Left),
        ("", TextAlign::Left),
    ]);
    let mut is_thinned = false;
    for group in &groups {
        let shown = thinned_positions(group.len());
        is_thinned |= shown.len() < group.len();
        for at in shown {
            let more_s = group[at].hands_on_s - least_s;
            let bar = "#".repeat((MAX_BAR * more_s / (most_s - least_s).max(1.0)).round() as usize);
            let longer = if more_s < 1.0 { String::new() } else { format!("{bar} {}", spoken_time(more_s)) };
            let kit = &group[at];
            let (buy, carry) = (kit.to_buy.to_string(), kit.to_carry.to_string());
            table.add_row(&[
                buy,
                carry,
                spoken_time(kit.hands_on_s),
                longer.trim().to_owned(),
                kit_marks(trade, kit),
            ]);
        }
    }
    out.push('\n');
    out.push_str(&table.to_text(width));
    out.push('\n');
    if is_thinned {
        out.push_str(&bullet(width, "", "Some kits in between are left out; --json lists them all."));
    }
    let note = "Hands-on time is for the acts alone, each with the quickest stack in the kit, without \
                changes of tool or place. `traywright plan --for least-to-buy|least-to-carry|balanced|quickest` \
                plans with the kit at that end of the table.";
    out.push_str(&bullet(width, "", note));
    out
}

fn trade_verdict(trade: &TradeOff, width: PageWidth) -> String {
    let count = trade.kits.len();
    let kits = if count == 1 { String::from("One kit") } else { format!("{count} kits") };
    let sure = match (trade.is_whole, count) {
        (true, 1) => "it is proven best in every respect",
        (true, _) => "proven: no other kit is better in one respect without being worse in another",
        (false, _) => "the best found before the search ended; others may lie between",
    };
    let mut out = bullet(width, "", &format!("{kits}: {sure}."));
    if trade.wanting > 0 {
        let words = format!(
            "{} with a piece still to buy; counted as done once it is bought.",
            acts_words(trade.wanting)
        );
        out.push_str(&bullet(width, "", &words));
    }
    if trade.shut > 0 {
        let words = format!(
            "{} cannot be done by adding any one piece; not counted in any kit.",
            acts_words(trade.shut)
        );
        out.push_str(&bullet(width, "", &words));
    }
    out
}

fn acts_words(count: u32) -> String {
    if count == 1 { String::from("One act on a fastener") } else { format!("{count} acts on fasteners") }
}

/// Positions of a group that are shown: all, or evenly thinned with both ends.
fn thinned_positions(count: usize) -> Vec<usize> {
    if count <= MAX_KITS_SHOWN {
        return (0..count).collect();
    }
    (0..MAX_KITS_SHOWN).map(|i| i * (count - 1) / (MAX_KITS_SHOWN - 1)).collect()
}

/// What a kit is the end of.
fn kit_marks(trade: &TradeOff, kit: &TradedKit) -> String {
    let key = |k: &TradedKit| (k.to_buy, k.to_carry);
    let is_least = |amount: fn(&TradedKit) -> u32| trade.kits.iter().all(|k| amount(kit) <= amount(k));
    let is_quickest = trade.kits.iter().all(|k| kit.hands_on_s <= k.hands_on_s);
    let quickest_s = trade.kits.iter().map(|k| k.hands_on_s).fold(f64::INFINITY, f64::min);
    let is_enough = |k: &TradedKit| k.hands_on_s <= quickest_s * (1.0 + KIT_TIME_SLACK_FRACTION);
    let enough = trade.kits.iter().filter(|k| is_enough(k)).map(|k| k.to_carry).min();
    let is_balanced = is_enough(kit) && enough == Some(kit.to_carry);
    let is_first = trade.kits.first().map(key) == Some(key(kit));
    let mut marks = Vec::new();
    if is_first {
        marks.push("least to buy");
    }
    if is_least(|k| k.to_carry) {
        marks.push("least to carry");
    }
    if is_balanced {
        marks.push("balanced");
    }
    if is_quickest {
        marks.push("quickest");
    }
    marks.join(", ")
}
