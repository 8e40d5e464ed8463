//! Spaces round fasteners: open, deep, bent, from the side, felt only; most are open or moderately deep.

use crate::fasteners::{GeneratedRoom, UsualFastener};
use core::fmt::Write as _;
use rand::RngExt as _;
use rand_pcg::Pcg64Mcg;

/// What a space belongs to, besides its fastener.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct GeneratedSpace<'a> {
    /// The one way of the part that it holds on.
    pub(crate) way: Option<&'a str>,
    /// An opening that a dropped fastener falls into.
    pub(crate) over: Option<usize>,
}

/// Writes one access.
pub(crate) fn write_access(
    out: &mut String,
    dice: &mut Pcg64Mcg,
    f: &UsualFastener,
    around: GeneratedSpace<'_>,
) {
    out.push_str("\n    [[part.fixing.access]]\n");
    if let Some(way) = around.way {
        let _ = writeln!(out, "    way = \"{way}\"");
    }
    if let Some(opening) = around.over {
        let _ = writeln!(out, "    drop_over = [\"opening-{opening}\"]");
    }
    let straight = around.over.is_some();
    let lines = match f.room {
        GeneratedRoom::Wide => wide_access(dice, f),
        GeneratedRoom::Long => long_access(dice, f),
        GeneratedRoom::Any => any_access(dice, f, straight),
    };
    let _ = writeln!(out, "    {lines}");
    let told = |key: &str| lines.lines().any(|line| line.trim_start().starts_with(key));
    for (key, none) in [("bends", "[]"), ("swings", "[]"), ("side", "\"none\"")] {
        if !told(key) {
            let _ = writeln!(out, "    {key} = {none}");
        }
    }
    if around.over.is_none() {
        out.push_str("    drop_over = []\n");
    }
}

fn wide_access(dice: &mut Pcg64Mcg, f: &UsualFastener) -> String {
    let room_mm = dice.random_range(350..600);
    let more = if f.held.is_empty() { "sight = \"felt\"" } else { f.held };
    let more = if f.held.is_empty() && dice.random_range(0..3) > 0 { "" } else { more };
    format!("corridor = [{{ clear = 90 }}]\n    headroom = {room_mm}\n    {more}")
}

fn long_access(dice: &mut Pcg64Mcg, f: &UsualFastener) -> String {
    let deep_mm = dice.random_range(10..60);
    let clear_mm = f.wide_mm + dice.random_range(6..20);
    format!(
        "corridor = [{{ length = {deep_mm}, clear = {clear_mm} }}, {{ clear = 120 }}]\n    headroom = 450\n    \
         swings = [{{ radius = 700, arc = \"{}°\" }}]",
        dice.random_range(40..120)
    )
}

fn any_access(dice: &mut Pcg64Mcg, f: &UsualFastener, straight: bool) -> String {
    let deep_mm = dice.random_range(30..140);
    let clear_mm = f.wide_mm + dice.random_range(4..14);
    let room_mm = deep_mm + dice.random_range(150..260);
    let arc_deg = dice.random_range(20..90);
    let swings = format!(
        "swings = [{{ radius = 260, arc = \"{arc_deg}°\" }}, {{ radius = 500, arc = \"{}°\" }}]",
        arc_deg / 2 + 8
    );
    let deep = format!(
        "corridor = [{{ length = {deep_mm}, clear = {clear_mm} }}, {{ clear = 80 }}]\n    headroom = {room_mm}\n    {swings}"
    );
    match dice.random_range(0..if straight { 18 } else { 20 }) {
        0..=8 => String::from("corridor = [{ clear = 90 }]\n    headroom = 400"),
        9..=15 => deep,
        16 | 17 => format!("{deep}\n    sight = \"felt\""),
        18 => format!(
            "corridor = [{{ length = 60, clear = {} }}, {{ clear = 80 }}]\n    bends = [{{ at = 45, angle = \"12°\" }}]\n    headroom = 320",
            clear_mm + 6
        ),
        _ => format!(
            "corridor = [{{ clear = 60 }}]\n    headroom = 26\n    side = {{ radial = 24, height = 20, reach = 60, headroom = 200, swings = [{{ radius = 300, arc = \"{}°\" }}] }}",
            arc_deg + 20
        ),
    }
}
