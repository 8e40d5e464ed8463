//! Writes a store as text: every piece in full, so that reading gives the same store again.

use std::fmt::Write as _;

use model::{
    DimensionsSource, Drive, Grip, GripApproach, GripFit, Handle, Piece, PowerSource, Store, StorePlace,
    TorqueMeasure,
};

use crate::figures::{APPROACHES, HANDLES, RETENTIONS};
use crate::gather::FORMAT;
use crate::recipe::{KINDS, LINKS};

/// The text of a store; `read` of it gives the same store, for stores that `read` could have given.
///
/// Of a torque tool's two levers, its handle's `arm` is written as such and its scale's as `length`.
#[must_use]
pub fn write_store(store: &Store) -> String {
    let mut text = format!("format = \"{FORMAT}\"\ntitle = {}\n", quote_store_text(&store.title));
    if let Some(places) = store.cart_places {
        write_value(&mut text, "cart_places", places);
    }
    for tray in &store.trays {
        let _ = write!(text, "\n[[tray]]\nkey = {}\n", quote_store_text(&tray.key));
        write_value(&mut text, "rows", tray.rows);
        write_value(&mut text, "columns", tray.columns);
        write_value(&mut text, "width", tray.width.as_mm());
        write_value(&mut text, "depth", tray.depth.as_mm());
        write_value(&mut text, "height", tray.height.as_mm());
    }
    for one in &store.pieces {
        write_piece(&mut text, one);
    }
    text
}

/// One key with a number or a word that needs no quotes.
fn write_value(text: &mut String, key: &str, value: impl core::fmt::Display) {
    let _ = writeln!(text, "{key} = {value}");
}

/// One key with a text.
fn write_text(text: &mut String, key: &str, value: &str) {
    let _ = writeln!(text, "{key} = {}", quote_store_text(value));
}

/// A text as TOML writes it.
fn quote_store_text(value: &str) -> String {
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
fn find_word<T: PartialEq>(words: &[(&'static str, T)], value: &T) -> &'static str {
    words.iter().find(|(_, known)| known == value).map_or("", |(word, _)| word)
}

/// One piece in full.
fn write_piece(text: &mut String, piece: &Piece) {
    text.push_str("\n[[piece]]\nexact = true\n");
    write_text(text, "key", &piece.key);
    write_text(text, "title", &piece.title);
    let kind = KINDS.iter().find(|(_, kind)| kind.kind == piece.kind).map_or("special", |(word, _)| word);
    write_text(text, "kind", kind);
    if let Some(link) = piece.toward_fastener {
        write_text(text, "fastener_link", find_word(LINKS, &link));
    }
    if let Some(link) = piece.toward_hand {
        write_text(text, "hand_link", find_word(LINKS, &link));
    }
    write_body(text, piece);
    for (part, write) in [
        (piece.grip.is_some(), write_grip_if_any as fn(&mut String, &Piece)),
        (true, write_handle_scale_motor),
    ] {
        if part {
            write(text, piece);
        }
    }
    write_owner_keys(text, piece);
}

/// Outline, strength and joint.
fn write_body(text: &mut String, piece: &Piece) {
    let section = |s: &model::OutlineSection| {
        format!("{{ length = {}, diameter = {} }}", s.length.as_mm(), s.diameter.as_mm())
    };
    let sections: Vec<String> = piece.outline.iter().map(section).collect();
    write_value(text, "outline", format!("[{}]", sections.join(", ")));
    write_text(text, "strength", &format!("{} N·m", piece.strength.as_n_m()));
    if let Some(bend) = &piece.bend {
        write_text(text, "max_angle", &format!("{}°", bend.max_angle.as_deg()));
        write_value(text, "bend_at", bend.at.as_mm());
        write_value(text, "stays_straight", bend.may_stay_straight);
    }
}

/// The grip of a piece that has one.
fn write_grip_if_any(text: &mut String, piece: &Piece) {
    if let Some(found) = &piece.grip {
        write_grip(text, found);
    }
}

/// A grip.
fn write_grip(text: &mut String, grip: &Grip) {
    let fits: Vec<String> = grip.fits.iter().map(|f| quote_store_text(&format_fit(f))).collect();
    write_value(text, "fits", format!("[{}]", fits.join(", ")));
    write_text(text, "approach", find_word(APPROACHES, &grip.approach));
    write_value(text, "depth", grip.depth.as_mm());
    if grip.approach == GripApproach::Side || grip.head_width.as_mm() > 0.0 || grip.offset.as_mm() > 0.0 {
        write_value(text, "head_width", grip.head_width.as_mm());
        write_value(text, "offset", grip.offset.as_mm());
    }
    write_text(text, "index", &format!("{}°", grip.index.as_deg()));
    write_text(text, "retention", find_word(RETENTIONS, &grip.retention));
}

/// A drive, or a range of its sizes, with every digit.
fn format_fit(fit: &GripFit) -> String {
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
fn write_handle_scale_motor(text: &mut String, piece: &Piece) {
    if let Some(found) = &piece.handle {
        write_handle(text, found);
    }
    if let Some(found) = &piece.measure {
        write_torque_scale(text, found);
    }
    if let Some(found) = &piece.power {
        write_motor(text, found);
    }
}

/// A handle.
fn write_handle(text: &mut String, handle: &Handle) {
    write_text(text, "handle", find_word(HANDLES, &handle.style));
    write_value(text, "radius", handle.radius.as_mm());
    write_value(text, "arm", handle.arm.as_mm());
    write_value(text, "hand_room", handle.hand_room.as_mm());
    if let Some(step) = handle.step {
        write_text(text, "step", &format!("{}°", step.as_deg()));
    }
}

/// A torque scale.
fn write_torque_scale(text: &mut String, measure: &TorqueMeasure) {
    let (low, high) = (measure.range.low().as_n_m(), measure.range.high().as_n_m());
    write_text(text, "range", &format!("{low} to {high} N·m"));
    write_text(text, "tolerance", &format!("{}", measure.tolerance_fraction));
    if let Some(step) = measure.scale_step {
        write_text(text, "scale_step", &format!("{} N·m", step.as_n_m()));
    }
    write_value(text, "length", measure.arm.as_mm());
}

/// A motor.
fn write_motor(text: &mut String, power: &PowerSource) {
    write_text(text, "speed", &format!("{} rpm", power.speed_rpm));
    write_text(text, "max_torque", &format!("{} N·m", power.max.as_n_m()));
    let steps: Vec<String> = power.clutch.iter().map(|t| format!("\"{} N·m\"", t.as_n_m())).collect();
    write_value(text, "clutch", format!("[{}]", steps.join(", ")));
}

/// Answers, place, counts, price, source of the dimensions.
fn write_owner_keys(text: &mut String, piece: &Piece) {
    let answers: Vec<String> = piece.answers.iter().map(|a| quote_store_text(a)).collect();
    write_value(text, "answers", format!("[{}]", answers.join(", ")));
    write_value(text, "place", format_place(&piece.place));
    write_value(text, "count", piece.count);
    write_value(text, "lent", piece.lent);
    write_value(text, "in_calibration", piece.in_calibration);
    if let Some(price) = piece.price {
        write_text(text, "price", &price.to_string());
    }
    if let DimensionsSource::Standard(source) = &piece.dimensions {
        write_text(text, "dimensions", source);
    }
}

/// Cabinet and drawer, as a table where a stroke in the name would mislead.
fn format_place(place: &StorePlace) -> String {
    if place.cabinet.contains('/') {
        return format!(
            "{{ cabinet = {}, drawer = {} }}",
            quote_store_text(&place.cabinet),
            quote_store_text(&place.drawer)
        );
    }
    quote_store_text(&place.to_string())
}
