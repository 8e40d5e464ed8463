//! The go / no-go sheet as text.

use super::table::{TextAlign, TextTable, bullet, heading};
use model::ObtainKind;
use model::plan::{Plan, Readiness};
use units::Money;

/// How a piece is obtained, as a verb.
#[must_use]
pub fn obtain_verb(how: ObtainKind) -> &'static str {
    match how {
        ObtainKind::Buy => "buy",
        ObtainKind::Borrow => "borrow",
        ObtainKind::Make => "make",
    }
}

/// The readiness sheet of a plan.
#[must_use]
pub fn format_readiness(plan: &Plan) -> String {
    let sheet = &plan.readiness;
    let mut out = format_go_verdict(sheet);
    push_safety(&mut out, sheet);
    push_gaps(&mut out, sheet);
    push_shopping(&mut out, sheet);
    push_not_at_hand(&mut out, sheet);
    push_supplies(&mut out, plan);
    push_rescue(&mut out, sheet);
    push_caps(&mut out, sheet);
    if !sheet.brittle.is_empty() {
        out.push_str(&heading("likely to break at this age"));
        out.push_str(&bullet("  ", &sheet.brittle.join(", ")));
    }
    out
}

/// Go, or no-go with what prevents starting.
#[must_use]
pub fn format_go_verdict(sheet: &Readiness) -> String {
    if sheet.go {
        return String::from("GO: every fastener in the way can be reached with the tools at hand.\n");
    }
    let mut out = format!("NO-GO: {} starting\n", obstacle_words(sheet.against.len()));
    for line in &sheet.against {
        out.push_str(&bullet("  - ", line));
    }
    out
}

fn obstacle_words(count: usize) -> String {
    if count == 1 { String::from("one thing prevents") } else { format!("{count} things prevent") }
}

fn push_safety(out: &mut String, sheet: &Readiness) {
    if sheet.safety.is_empty() {
        return;
    }
    out.push_str(&heading("before the first step"));
    for line in &sheet.safety {
        out.push_str(&bullet("  - ", line));
    }
}

fn push_gaps(out: &mut String, sheet: &Readiness) {
    if sheet.gaps.is_empty() {
        return;
    }
    out.push_str(&heading("fasteners that nothing at hand can work"));
    let mut last = "";
    for gap in &sheet.gaps {
        if gap.fixing != last {
            out.push_str(&format!("  {}\n", gap.fixing));
            last = &gap.fixing;
        }
        let stage = gap.stage.map_or_else(String::new, |s| format!(", pass {}", s + 1));
        out.push_str(&bullet("    - ", &format!("{}{stage}: {}", gap.act, gap.words)));
    }
}

fn push_shopping(out: &mut String, sheet: &Readiness) {
    if sheet.shopping.is_empty() {
        return;
    }
    out.push_str(&heading("buy, borrow or make"));
    for line in &sheet.shopping {
        let text = format!("{}: {} (for {})", obtain_verb(line.how), line.words, line.unlocks.join(", "));
        out.push_str(&bullet("  [ ] ", &text));
    }
}

fn push_not_at_hand(out: &mut String, sheet: &Readiness) {
    if sheet.not_at_hand.is_empty() {
        return;
    }
    out.push_str(&heading("not at hand"));
    for line in &sheet.not_at_hand {
        out.push_str(&bullet(
            "  [ ] ",
            &format!(
                "{}: {}; needed for {}",
                line.title,
                line.state.spoken_word(),
                line.wanted_by.join(", ")
            ),
        ));
    }
}

fn push_supplies(out: &mut String, plan: &Plan) {
    let sheet = &plan.readiness;
    if sheet.supplies.is_empty() {
        return;
    }
    out.push_str(&heading("parts and supplies"));
    let mut table = TextTable::new(&[
        ("when", TextAlign::Left),
        ("count", TextAlign::Right),
        ("what", TextAlign::Left),
        ("price", TextAlign::Right),
    ]);
    let mut total = Money::ZERO;
    for line in &sheet.supplies {
        let price =
            line.supply.price_cents.map(|p| Money::from_cents(p.as_cents() * i64::from(line.supply.count)));
        total = total + price.unwrap_or(Money::ZERO);
        table.add_row(&[
            String::from(if line.supply.before_start { "before" } else { "later" }),
            line.supply.count.to_string(),
            line.supply.name.clone(),
            price.map_or_else(|| String::from("?"), |p| p.to_string()),
        ]);
    }
    out.push_str(&table.to_text());
    out.push_str(&format!("total {total} {}, for items with a known price\n", plan.currency));
}

fn push_rescue(out: &mut String, sheet: &Readiness) {
    if sheet.rescue.is_empty() {
        return;
    }
    out.push_str(&heading("may break, round off or seize"));
    for line in &sheet.rescue {
        let factor = units::significant(line.break_loose_factor, 2);
        let text = format!(
            "{} x {}, breaks loose at about {factor} times its tightening torque: {}",
            line.count,
            line.fixing,
            line.items.join("; ")
        );
        out.push_str(&bullet("  - ", &text));
    }
}

fn push_caps(out: &mut String, sheet: &Readiness) {
    if sheet.caps.is_empty() {
        return;
    }
    out.push_str(&heading("caps"));
    for line in &sheet.caps {
        let text = match &line.cap {
            Some(cap) => {
                format!("{} x {cap} for {}, once {} is off", line.count, line.opening, line.uncovered_by)
            }
            None => {
                format!("{}: cannot be capped; above it, use tools that retain the fastener", line.opening)
            }
        };
        out.push_str(&bullet("  [ ] ", &text));
    }
}
