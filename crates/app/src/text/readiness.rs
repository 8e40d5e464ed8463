//! The go / no-go sheet as text.

use super::table::{PageWidth, TextAlign, TextTable, bullet, count_with_noun, heading};
use model::plan::{DutyLine, Gap, LookAnswer, LookLine, Plan, Readiness, ReadinessVerdict, ShoppingLine};
use model::{MissKind, ObtainKind};
use std::collections::BTreeSet;
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
pub fn format_readiness(plan: &Plan, width: PageWidth) -> String {
    let sheet = &plan.readiness;
    let mut out = format_go_verdict(sheet, width);
    push_safety(&mut out, sheet, width);
    push_looks(&mut out, sheet, width);
    push_gaps(&mut out, plan, width);
    push_shopping(&mut out, sheet, width);
    push_not_at_hand(&mut out, sheet, width);
    push_supplies(&mut out, plan, width);
    push_rescue(&mut out, sheet, width);
    push_caps(&mut out, sheet, width);
    if !sheet.brittle.is_empty() {
        out.push_str(&heading("likely to break at this age"));
        out.push_str(&bullet(width, "  ", &sheet.brittle.join(", ")));
    }
    out
}

/// The verdict, how many fasteners it rests on, what prevents starting and what stands open.
#[must_use]
pub fn format_go_verdict(sheet: &Readiness, width: PageWidth) -> String {
    let mut out = bullet(width, "", &verdict_sentence(sheet));
    if !sheet.go {
        out.push_str(&bullet(width, "", &moments_words(sheet)));
    }
    if !sheet.coverage.is_whole() || sheet.proven_by_class > 0 {
        out.push_str(&bullet(width, "", &coverage_words(sheet)));
    }
    for line in sheet.against.iter().chain(sheet.open.iter().map(|line| &line.words)) {
        out.push_str(&bullet(width, "  - ", line));
    }
    for line in doubt_notes(sheet) {
        out.push_str(&bullet(width, "", &line));
    }
    out
}

/// "GO: every fastener in the way can be reached with the tools at hand."
#[must_use]
pub fn verdict_sentence(sheet: &Readiness) -> String {
    let against = sheet.against.len();
    if sheet.go {
        return String::from("GO: every fastener in the way can be reached with the tools at hand.");
    }
    if against > 0 {
        return format!("NO-GO: {} starting.", obstacle_words(against));
    }
    let questions = count_with_noun(sheet.open.len(), "question");
    let stand = if sheet.open.len() == 1 { "stands" } else { "stand" };
    match sheet.verdict.first_bolt {
        ReadinessVerdict::Go => format!("OPEN: the strip may begin; {questions} {stand} against the refit."),
        ReadinessVerdict::Open | ReadinessVerdict::No => {
            format!("OPEN: nothing known stands against starting; {questions} {stand} open.")
        }
    }
}

/// "first bolt: open; refit: open; first start: open".
#[must_use]
pub fn moments_words(sheet: &Readiness) -> String {
    format!("first bolt: {}; {}", sheet.verdict.first_bolt.spoken_word(), moments_to_come_words(sheet))
}

/// The same once the first bolt is behind: "refit: open; first start: open".
#[must_use]
pub fn moments_to_come_words(sheet: &Readiness) -> String {
    let verdict = sheet.verdict;
    format!("refit: {}; first start: {}", verdict.refit.spoken_word(), verdict.first_start.spoken_word())
}

/// "10 fasteners: 0 proven, 10 likely, 0 not known, 0 not to be worked".
#[must_use]
pub fn coverage_words(sheet: &Readiness) -> String {
    let covered = sheet.coverage;
    let by_class = match sheet.proven_by_class {
        0 => String::new(),
        count => format!(" ({count} by room class alone)"),
    };
    format!(
        "{}: {} proven{by_class}, {} likely, {} not known, {} not to be worked",
        count_with_noun(covered.fasteners() as usize, "fastener"),
        covered.proven,
        covered.likely,
        covered.not_known,
        covered.no
    )
}

/// Most looks in the text; the page and JSON have them all.
const MAX_LOOKS_SHOWN: usize = 5;

/// "Which room have the cover bolts? open: settles 10; deep: helps 10"; where all of several answers come to the same: "any answer
/// settles 10".
#[must_use]
pub fn look_words(look: &LookLine) -> String {
    let brings = |answer: &LookAnswer| match (answer.settles, answer.helps) {
        (0, 0) => String::from("nothing"),
        (settles, 0) => format!("settles {settles}"),
        (0, helps) => format!("helps {helps}"),
        (settles, helps) => format!("settles {settles}, helps {helps}"),
    };
    if let [first, _, ..] = look.answers.as_slice()
        && look.answers.iter().all(|answer| brings(answer) == brings(first))
    {
        return format!("{} Any answer {}.", look.question, brings(first));
    }
    let answer = |answer: &LookAnswer| format!("{}: {}", answer.answer, brings(answer));
    let answers: Vec<String> = look.answers.iter().map(answer).collect();
    format!("{} {}", look.question, answers.join("; "))
}

fn push_looks(out: &mut String, sheet: &Readiness, width: PageWidth) {
    if sheet.looks.is_empty() {
        return;
    }
    out.push_str(&heading("looks that would settle most"));
    for look in sheet.looks.iter().take(MAX_LOOKS_SHOWN) {
        out.push_str(&bullet(width, "  - ", &look_words(look)));
    }
    let more = sheet.looks.len().saturating_sub(MAX_LOOKS_SHOWN);
    if more > 0 {
        out.push_str(&format!("  and {more} more\n"));
    }
}

/// One line for what is assumed, and one for a book that is invented.
#[must_use]
pub fn doubt_notes(sheet: &Readiness) -> Vec<String> {
    let assumed = (!sheet.assumed.is_empty()).then(|| format!("~ assumed: {}", sheet.assumed.join("; ")));
    assumed.into_iter().chain(sheet.book_note.clone()).collect()
}

fn obstacle_words(count: usize) -> String {
    if count == 1 { String::from("one thing prevents") } else { format!("{count} things prevent") }
}

fn push_safety(out: &mut String, sheet: &Readiness, width: PageWidth) {
    if sheet.safety.is_empty() {
        return;
    }
    out.push_str(&heading("before the first step"));
    for line in &sheet.safety {
        out.push_str(&bullet(width, "  - ", line));
    }
}

/// Most fixings named in one line.
const MAX_NAMED: usize = 3;

fn push_gaps(out: &mut String, plan: &Plan, width: PageWidth) {
    let sheet = &plan.readiness;
    if sheet.gaps.is_empty() {
        return;
    }
    out.push_str(&heading("fasteners that nothing at hand can work"));
    let (sizes, others): (Vec<&Gap>, Vec<&Gap>) = sheet.gaps.iter().partition(|g| is_missing_size(g));
    let mut told: Vec<&str> = Vec::new();
    for gap in &sizes {
        if !told.contains(&gap.words.as_str()) {
            told.push(&gap.words);
            let same: Vec<&Gap> = sizes.iter().copied().filter(|g| g.words == gap.words).collect();
            out.push_str(&bullet(width, "  - ", &missing_size_words(plan, &same)));
        }
    }
    let mut last = "";
    for gap in others {
        if gap.fixing != last {
            out.push_str(&format!("  {}\n", gap.fixing));
            last = &gap.fixing;
        }
        let stage = gap.stage.map_or_else(String::new, |s| format!(", pass {}", s + 1));
        out.push_str(&bullet(width, "    - ", &format!("{}{stage}: {}", gap.act, gap.words)));
    }
}

/// Whether nothing at hand takes hold of the drive at all: then one line says so for every act and every fastener.
fn is_missing_size(gap: &Gap) -> bool {
    gap.kind == MissKind::NoGrip && gap.wanted.drive.is_some()
}

/// "nothing at hand takes hold of hexagon 9/16 in: 12 fasteners, of cover-screws, pan-screws, rail-screws and 2 more".
fn missing_size_words(plan: &Plan, same: &[&Gap]) -> String {
    let mut fixings: Vec<&str> = same.iter().map(|g| g.fixing.as_str()).collect();
    fixings.sort_unstable();
    fixings.dedup();
    let count = count_fasteners(plan, same);
    let fasteners = count_with_noun(count, "fastener");
    let more = match fixings.len().saturating_sub(MAX_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let named = fixings.iter().take(MAX_NAMED).copied().collect::<Vec<_>>().join(", ");
    let words = same.first().map_or("", |gap| gap.words.as_str());
    format!("{words}: {fasteners}, of {named}{more}")
}

/// Fasteners that the steps of a plan work through the duties of some gaps, each once.
fn count_fasteners(plan: &Plan, gaps: &[&Gap]) -> usize {
    let is_gap = |duty: &DutyLine| {
        gaps.iter().any(|g| {
            (g.fixing.as_str(), g.access, g.act, g.stage)
                == (duty.fixing.as_str(), duty.access, duty.act, duty.stage)
        })
    };
    let steps = [&plan.strip, &plan.work, &plan.refit].into_iter().flat_map(|s| &s.steps);
    let mut holes: BTreeSet<(&str, &str)> = BTreeSet::new();
    for action in steps.flat_map(|s| &s.actions) {
        let Some(duty) = plan.duties.get(action.duty).filter(|d| is_gap(d)) else { continue };
        holes.extend(action.holes.iter().map(|hole| (duty.fixing.as_str(), hole.as_str())));
    }
    holes.len()
}

fn push_shopping(out: &mut String, sheet: &Readiness, width: PageWidth) {
    if sheet.shopping.is_empty() {
        return;
    }
    out.push_str(&heading("buy, borrow or make"));
    for line in &sheet.shopping {
        let text = format!("{}: {}{}", obtain_verb(line.how), line.words, purpose_words(sheet, line));
        out.push_str(&bullet(width, "  [ ] ", &text));
    }
}

/// What a thing to get is for: what it opens, or else what it helps to open; nothing for a special tool, whose words say it.
fn purpose_words(sheet: &Readiness, line: &ShoppingLine) -> String {
    if !line.unlocks.is_empty() {
        return format!(" (for {})", line.unlocks.join(", "));
    }
    let helped: BTreeSet<&str> =
        line.closes.iter().filter_map(|at| sheet.gaps.get(*at)).map(|gap| gap.fixing.as_str()).collect();
    let helped: Vec<&str> = helped.into_iter().collect();
    if helped.is_empty() { String::new() } else { format!(" (for some acts of {})", helped.join(", ")) }
}

fn push_not_at_hand(out: &mut String, sheet: &Readiness, width: PageWidth) {
    if sheet.not_at_hand.is_empty() {
        return;
    }
    out.push_str(&heading("not at hand"));
    for line in &sheet.not_at_hand {
        out.push_str(&bullet(
            width,
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

fn push_supplies(out: &mut String, plan: &Plan, width: PageWidth) {
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
    out.push_str(&table.to_text(width));
    out.push_str(&format!("total {total} {}, for items with a known price\n", plan.currency));
}

fn push_rescue(out: &mut String, sheet: &Readiness, width: PageWidth) {
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
        out.push_str(&bullet(width, "  - ", &text));
    }
}

fn push_caps(out: &mut String, sheet: &Readiness, width: PageWidth) {
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
        out.push_str(&bullet(width, "  [ ] ", &text));
    }
}
