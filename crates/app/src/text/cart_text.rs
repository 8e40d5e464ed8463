//! The loading of the cart as text: what it comes to, the walks in order, and what would save time.

use super::table::{
    PageWidth, TextAlign, TextTable, bullet, count_with_noun, heading, outcome_words, spoken_time,
};
use model::cart::{CartLoad, CartStage, SecondPieceLine};

/// The whole loading.
#[must_use]
pub fn format_cart(load: &CartLoad, width: PageWidth) -> String {
    let mut out = cart_summary(load, width);
    push_walks(&mut out, load, width);
    push_other_places(&mut out, load, width);
    push_standing_stacks(&mut out, load, width);
    push_second_pieces(&mut out, load, width);
    push_cart_pieces(&mut out, load, width);
    out
}

fn cart_summary(load: &CartLoad, width: PageWidth) -> String {
    let different: usize = load.pieces.iter().map(|p| usize::from(p.count)).sum();
    let mut out = format!(
        "{} on the cart, {} for the job\n",
        count_with_noun(usize::from(load.places), "place"),
        count_with_noun(different, "piece")
    );
    let (bring, take) = if load.trips == 1 { ("brings", "takes") } else { ("bring", "take") };
    let line = format!(
        "{} to the cabinets {bring} {} and {take} about {} ({})",
        count_with_noun(load.trips as usize, "walk"),
        count_with_noun(load.brought as usize, "piece"),
        spoken_time(load.outcome.value),
        outcome_words(&load.outcome)
    );
    out.push_str(&bullet(width, "", &line));
    let walk = |w: &model::cart::CabinetWalk| format!("{} {} s", w.cabinet, units::significant(w.seconds, 3));
    let each: Vec<String> = load.walks.iter().map(walk).collect();
    out.push_str(&bullet(width, "there and back: ", &each.join(", ")));
    out
}

fn push_walks(out: &mut String, load: &CartLoad, width: PageWidth) {
    out.push_str(&heading("the cart, walk by walk"));
    let mut goes: &[String] = &[];
    for stage in &load.stages {
        out.push_str(&bullet(width, "", &stage_head(stage)));
        out.push_str(&keys_line("  back   ", goes, width));
        for trip in &stage.trips {
            out.push_str(&keys_line("  bring  ", &trip.bring, width));
            out.push_str(&bullet(width, "         ", &format!("from {}", trip.cabinet)));
        }
        out.push_str(&keys_line("  now    ", &stage.now, width));
        out.push_str(&keys_line("  next   ", &stage.next, width));
        goes = &stage.back;
    }
}

fn stage_head(stage: &CartStage) -> String {
    let steps = if stage.from_step == stage.to_step {
        format!("step {}", stage.from_step)
    } else {
        format!("steps {} to {}", stage.from_step, stage.to_step)
    };
    let places = count_with_noun(usize::from(stage.places), "place");
    format!("{steps}: {places}, {}", spoken_time(stage.seconds))
}

/// A line of keys; nothing for none.
fn keys_line(mark: &str, keys: &[String], width: PageWidth) -> String {
    if keys.is_empty() { String::new() } else { bullet(width, mark, &keys.join(", ")) }
}

fn push_other_places(out: &mut String, load: &CartLoad, width: PageWidth) {
    out.push_str(&heading("more or fewer places"));
    let mut table = TextTable::new(&[
        ("places", TextAlign::Right),
        ("walks", TextAlign::Right),
        ("time", TextAlign::Left),
    ]);
    for line in &load.others {
        table.add_row(&[line.places.to_string(), line.trips.to_string(), spoken_time(line.seconds)]);
    }
    out.push_str(&table.to_text(width));
}

fn push_standing_stacks(out: &mut String, load: &CartLoad, width: PageWidth) {
    if load.standing.is_empty() {
        return;
    }
    out.push_str(&heading("worth leaving joined"));
    for line in &load.standing {
        let text = format!(
            "{} ({}): used {}; saves about {} of swapping",
            line.stacks.join(" and "),
            line.pieces.join(", "),
            count_with_noun(line.uses as usize, "time"),
            spoken_time(line.saves_s)
        );
        out.push_str(&bullet(width, "  - ", &text));
    }
}

fn push_second_pieces(out: &mut String, load: &CartLoad, width: PageWidth) {
    if load.second_pieces.is_empty() {
        return;
    }
    out.push_str(&heading("where a second piece would help"));
    for line in &load.second_pieces {
        out.push_str(&bullet(width, "  - ", &second_piece_words(line, &load.currency)));
    }
}

fn second_piece_words(line: &SecondPieceLine, currency: &str) -> String {
    let price = line.price_cents.map_or_else(String::new, |cents| {
        format!("; one costs {} {currency}", units::Money::from_cents(cents))
    });
    let lets = if line.stacks.is_empty() {
        String::new()
    } else {
        format!(", so that {} can stay joined", line.stacks.join(", "))
    };
    format!("one more {} saves about {} of swapping{lets}{price}", line.title, spoken_time(line.saves_s))
}

fn push_cart_pieces(out: &mut String, load: &CartLoad, width: PageWidth) {
    out.push_str(&heading("the pieces"));
    let mut table = TextTable::new(&[
        ("piece", TextAlign::Whole),
        ("kept in", TextAlign::Left),
        ("steps", TextAlign::Right),
        ("brought", TextAlign::Right),
    ]);
    for line in &load.pieces {
        let count = if line.count > 1 { format!("{} x ", line.count) } else { String::new() };
        table.add_row(&[
            format!("{count}{}", line.piece),
            line.place.to_string(),
            line.steps.to_string(),
            line.brought.to_string(),
        ]);
    }
    out.push_str(&table.to_text(width));
}
