//! Writes a store as text: every piece in full, so that reading gives the same store again.

use std::fmt::Write as _;

use model::{Approach, Dimensions, Drive, Fit, Grip, Handle, Measure, Piece, Place, Power, Store};

use crate::figures::{APPROACHES, HANDLES, RETENTIONS};
use crate::gather::FORMAT;
use crate::make::{KINDS, LINKS};

/// The text of a store; `read` of it gives the same store, for stores that `read` could have given.
///
/// Of a torque tool's two levers, its handle's `arm` is written as such and its scale's as `length`.
#[must_use]
pub fn write(store: &Store) -> String {
    let mut text = format!("format = \"{FORMAT}\"\ntitle = {}\n", quoted(&store.title));
    if let Some(places) = store.cart_places {
        line(&mut text, "cart_places", places);
    }
    for tray in &store.trays {
        let _ = write!(text, "\n[[tray]]\nkey = {}\n", quoted(&tray.key));
        line(&mut text, "rows", tray.rows);
        line(&mut text, "columns", tray.columns);
        line(&mut text, "width", tray.width.as_mm());
        line(&mut text, "depth", tray.depth.as_mm());
        line(&mut text, "height", tray.height.as_mm());
    }
    for one in &store.pieces {
        piece(&mut text, one);
    }
    text
}

/// One key with a number or a word that needs no quotes.
fn line(text: &mut String, key: &str, value: impl core::fmt::Display) {
    let _ = writeln!(text, "{key} = {value}");
}

/// One key with a text.
fn words(text: &mut String, key: &str, value: &str) {
    let _ = writeln!(text, "{key} = {}", quoted(value));
}

/// A text as TOML writes it.
fn quoted(value: &str) -> String {
    let mut text = String::from("\"");
    for sign in value.chars() {
        match sign {
            '"' | '\\' => text.extend(['\\', sign]),
            '\n' => text.push_str("\\n"),
            c if c.is_control() => {
                let _ = write!(text, "\\u{:04X}", u32::from(c));
            }
            c => text.push(c),
        }
    }
    text.push('"');
    text
}

/// The word of a value.
fn word<T: PartialEq>(words: &[(&'static str, T)], value: &T) -> &'static str {
    words.iter().find(|(_, known)| known == value).map_or("", |(word, _)| word)
}

/// One piece in full.
fn piece(text: &mut String, piece: &Piece) {
    text.push_str("\n[[piece]]\nexact = true\n");
    words(text, "key", &piece.key);
    words(text, "title", &piece.title);
    let kind = KINDS.iter().find(|(_, kind)| kind.kind == piece.kind).map_or("special", |(word, _)| word);
    words(text, "kind", kind);
    if let Some(link) = piece.toward_fastener {
        words(text, "fastener_link", word(LINKS, &link));
    }
    if let Some(link) = piece.toward_hand {
        words(text, "hand_link", word(LINKS, &link));
    }
    body(text, piece);
    for (part, write) in [(piece.grip.is_some(), grip_of as fn(&mut String, &Piece)), (true, rest)] {
        if part {
            write(text, piece);
        }
    }
    owner(text, piece);
}

/// Outline, strength and joint.
fn body(text: &mut String, piece: &Piece) {
    let section = |s: &model::Section| {
        format!("{{ length = {}, diameter = {} }}", s.length.as_mm(), s.diameter.as_mm())
    };
    let sections: Vec<String> = piece.outline.iter().map(section).collect();
    line(text, "outline", format!("[{}]", sections.join(", ")));
    words(text, "strength", &format!("{} N·m", piece.strength.as_n_m()));
    if let Some(bend) = &piece.bend {
        words(text, "max_angle", &format!("{}°", bend.max_angle.as_deg()));
        line(text, "bend_at", bend.at.as_mm());
        line(text, "stays_straight", bend.may_stay_straight);
    }
}

/// The grip of a piece that has one.
fn grip_of(text: &mut String, piece: &Piece) {
    if let Some(found) = &piece.grip {
        grip(text, found);
    }
}

/// A grip.
fn grip(text: &mut String, grip: &Grip) {
    let fits: Vec<String> = grip.fits.iter().map(|f| quoted(&fit(f))).collect();
    line(text, "fits", format!("[{}]", fits.join(", ")));
    words(text, "approach", word(APPROACHES, &grip.approach));
    line(text, "depth", grip.depth.as_mm());
    if grip.approach == Approach::Side || grip.head_width.as_mm() > 0.0 || grip.offset.as_mm() > 0.0 {
        line(text, "head_width", grip.head_width.as_mm());
        line(text, "offset", grip.offset.as_mm());
    }
    words(text, "index", &format!("{}°", grip.index.as_deg()));
    words(text, "retention", word(RETENTIONS, &grip.retention));
}

/// A drive, or a range of its sizes, with every digit.
fn fit(fit: &Fit) -> String {
    let shown = Drive::new(fit.form, 1.0).to_string();
    let sized = |size: f64| match shown.find('1') {
        Some(at) => format!("{}{size}{}", &shown[..at], &shown[at + 1..]),
        None => shown.clone(),
    };
    if fit.low == fit.high {
        return sized(fit.low);
    }
    let low = sized(fit.low);
    format!("{} to {}", low.trim_end_matches(" mm"), fit.high)
}

/// Handle, scale and motor.
fn rest(text: &mut String, piece: &Piece) {
    if let Some(found) = &piece.handle {
        handle(text, found);
    }
    if let Some(found) = &piece.measure {
        measure(text, found);
    }
    if let Some(found) = &piece.power {
        power(text, found);
    }
}

/// A handle.
fn handle(text: &mut String, handle: &Handle) {
    words(text, "handle", word(HANDLES, &handle.style));
    line(text, "radius", handle.radius.as_mm());
    line(text, "arm", handle.arm.as_mm());
    line(text, "hand_room", handle.hand_room.as_mm());
    if let Some(step) = handle.step {
        words(text, "step", &format!("{}°", step.as_deg()));
    }
}

/// A torque scale.
fn measure(text: &mut String, measure: &Measure) {
    let (low, high) = (measure.range.low().as_n_m(), measure.range.high().as_n_m());
    words(text, "range", &format!("{low} to {high} N·m"));
    words(text, "tolerance", &format!("{}", measure.tolerance_fraction));
    if let Some(step) = measure.scale_step {
        words(text, "scale_step", &format!("{} N·m", step.as_n_m()));
    }
    line(text, "length", measure.arm.as_mm());
}

/// A motor.
fn power(text: &mut String, power: &Power) {
    words(text, "speed", &format!("{} rpm", power.speed_rpm));
    words(text, "max_torque", &format!("{} N·m", power.max.as_n_m()));
    let steps: Vec<String> = power.clutch.iter().map(|t| format!("\"{} N·m\"", t.as_n_m())).collect();
    line(text, "clutch", format!("[{}]", steps.join(", ")));
}

/// Answers, place, counts, price, source of the dimensions.
fn owner(text: &mut String, piece: &Piece) {
    let answers: Vec<String> = piece.answers.iter().map(|a| quoted(a)).collect();
    line(text, "answers", format!("[{}]", answers.join(", ")));
    line(text, "place", place(&piece.place));
    line(text, "count", piece.count);
    line(text, "lent", piece.lent);
    line(text, "in_calibration", piece.in_calibration);
    if let Some(price) = piece.price {
        words(text, "price", &price.to_string());
    }
    if let Dimensions::Standard(source) = &piece.dimensions {
        words(text, "dimensions", source);
    }
}

/// Cabinet and drawer, as a table where a stroke in the name would mislead.
fn place(place: &Place) -> String {
    if place.cabinet.contains('/') {
        return format!("{{ cabinet = {}, drawer = {} }}", quoted(&place.cabinet), quoted(&place.drawer));
    }
    quoted(&place.to_string())
}
