//! The loading of the cart as text: what it comes to, the walks in order, and what would save time.

use super::table::{Align, Table, bullet, heading, spoken, standing};
use model::cart::{CartLoad, SecondLine, Stage};

/// The whole loading.
#[must_use]
pub fn cart(load: &CartLoad) -> String {
    let mut out = summary(load);
    walks(&mut out, load);
    others(&mut out, load);
    standing_stacks(&mut out, load);
    seconds(&mut out, load);
    pieces(&mut out, load);
    out
}

fn summary(load: &CartLoad) -> String {
    let different: u32 = load.pieces.iter().map(|p| u32::from(p.count)).sum();
    let mut out = format!("{} places on the cart, {different} pieces for the job\n", load.places);
    let line = format!(
        "{} walks to the cabinets bring {} pieces and take about {} ({})",
        load.trips,
        load.brought,
        spoken(load.outcome.value),
        standing(&load.outcome)
    );
    out.push_str(&bullet("", &line));
    let walk = |w: &model::cart::Walk| format!("{} {} s", w.cabinet, units::significant(w.seconds, 3));
    let each: Vec<String> = load.walks.iter().map(walk).collect();
    out.push_str(&bullet("there and back: ", &each.join(", ")));
    out
}

fn walks(out: &mut String, load: &CartLoad) {
    out.push_str(&heading("the cart, walk by walk"));
    let mut goes: &[String] = &[];
    for stage in &load.stages {
        out.push_str(&bullet("", &stage_head(stage)));
        out.push_str(&named("  back   ", goes));
        for trip in &stage.trips {
            out.push_str(&named("  bring  ", &trip.bring));
            out.push_str(&bullet("         ", &format!("from {}", trip.cabinet)));
        }
        out.push_str(&named("  now    ", &stage.now));
        out.push_str(&named("  next   ", &stage.next));
        goes = &stage.back;
    }
}

fn stage_head(stage: &Stage) -> String {
    let steps = if stage.from_step == stage.to_step {
        format!("step {}", stage.from_step)
    } else {
        format!("steps {} to {}", stage.from_step, stage.to_step)
    };
    let places = if stage.places == 1 { "place" } else { "places" };
    format!("{steps}: {} {places}, {}", stage.places, spoken(stage.seconds))
}

/// A line of keys; nothing for none.
fn named(mark: &str, keys: &[String]) -> String {
    if keys.is_empty() { String::new() } else { bullet(mark, &keys.join(", ")) }
}

fn others(out: &mut String, load: &CartLoad) {
    out.push_str(&heading("more or fewer places"));
    let mut table = Table::new(&[("places", Align::Right), ("walks", Align::Right), ("time", Align::Left)]);
    for line in &load.others {
        table.row(&[line.places.to_string(), line.trips.to_string(), spoken(line.seconds)]);
    }
    out.push_str(&table.show());
}

fn standing_stacks(out: &mut String, load: &CartLoad) {
    if load.standing.is_empty() {
        return;
    }
    out.push_str(&heading("worth leaving joined"));
    for line in &load.standing {
        let text = format!(
            "{} ({}): taken up {} times, saves about {} of swapping",
            line.stacks.join(" and "),
            line.pieces.join(", "),
            line.uses,
            spoken(line.saves_s)
        );
        out.push_str(&bullet("  - ", &text));
    }
}

fn seconds(out: &mut String, load: &CartLoad) {
    if load.second_pieces.is_empty() {
        return;
    }
    out.push_str(&heading("one more of a piece"));
    for line in &load.second_pieces {
        out.push_str(&bullet("  - ", &second(line, &load.currency)));
    }
}

fn second(line: &SecondLine, currency: &str) -> String {
    let price = line
        .price_cents
        .map_or_else(String::new, |cents| format!("; one is {} {currency}", units::Money::from_cents(cents)));
    let lets = if line.stacks.is_empty() {
        String::new()
    } else {
        format!(", so that {} can stand joined", line.stacks.join(", "))
    };
    format!("one more {} saves about {} of swapping{lets}{price}", line.title, spoken(line.saves_s))
}

fn pieces(out: &mut String, load: &CartLoad) {
    out.push_str(&heading("the pieces"));
    let mut table = Table::new(&[
        ("piece", Align::Left),
        ("kept in", Align::Left),
        ("steps", Align::Right),
        ("brought", Align::Right),
    ]);
    for line in &load.pieces {
        let count = if line.count > 1 { format!("{} x ", line.count) } else { String::new() };
        table.row(&[
            format!("{count}{}", line.piece),
            line.place.to_string(),
            line.steps.to_string(),
            line.brought.to_string(),
        ]);
    }
    out.push_str(&table.show());
}
