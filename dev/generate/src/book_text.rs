//! A book: layers of parts, fixings with usual fasteners, spaces of every kind, tasks on inner parts.

use crate::GeneratedSize;
use crate::fasteners::{GeneratedRoom, UsualFastener, draw_fastener, total_shares};
use crate::space::{self, GeneratedSpace};
use core::fmt::Write as _;
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64Mcg;

const STATIONS: &[(&str, &str, u32)] = &[
    ("front", "over the front", 20),
    ("left", "over the left side", 25),
    ("right", "over the right side", 25),
    ("rear", "at the rear of the engine", 40),
    ("wheel", "through the wheel arch", 90),
    ("under", "underneath", 120),
];

const NOUNS: &[&str] =
    &["cover", "bracket", "duct", "housing", "shield", "pump", "rail", "manifold", "pipe", "carrier"];

/// Coolant is let out from below once the outermost part is off, so that only parts further in may ask for it.
const CONDITIONS: &str = r#"
[[condition]]
key = "cold"
title = "engine cold"
kind = "waited"
establish = "Let the engine cool."
establish_time = "1 min"
hold_up = "40 min"
station = "front"

[[condition]]
key = "battery-off"
title = "battery off"
kind = "isolated"
establish = "Disconnect the battery, negative first."
restore = "Connect the battery, negative last."
establish_time = "3 min"
restore_time = "3 min"
station = "front"
safety = true

[[condition]]
key = "fuel-relieved"
title = "fuel pressure relieved"
kind = "isolated"
establish = "Relieve the fuel pressure into a rag."
restore = "Prime the fuel system and look for leaks."
establish_time = "4 min"
restore_time = "3 min"
conditions = ["battery-off"]
station = "left"
safety = true
cautions = [{ word = "WARNING", text = "Fuel burns; keep flames away and catch what runs out." }]

[[condition]]
key = "coolant-drained"
title = "coolant drained"
kind = "drained"
establish = "Drain the coolant into a clean pan."
restore = "Fill with coolant and bleed."
establish_time = "8 min"
restore_time = "12 min"
hold_up = "10 min"
off_first = ["part-0"]
conditions = ["cold"]
station = "under"
supplies = [{ name = "coolant, 6 L", count = 1, price = "32.00", before_start = true }]
"#;

/// Parts of one layer.
const LAYER: usize = 12;
/// Which of every nine parts covers an opening.
const OPENING_AT: usize = 4;
/// The ways of a part that has two, with their stations.
const WAYS: [(&str, &str); 2] = [("from-above", "front"), ("from-below", "under")];
/// Parts for each task.
const PARTS_A_TASK: usize = 8;

/// The text of a book of that size, within [`GeneratedSize::within_limits`].
#[must_use]
pub fn generate_book(seed: u64, size: GeneratedSize) -> String {
    let size = size.within_limits();
    let mut dice = Pcg64Mcg::seed_from_u64(seed);
    let mut out = book_head(seed);
    let mut left = size.fasteners;
    for part in 0..size.parts {
        let share = left.div_ceil(size.parts - part);
        left -= write_part(&mut out, &mut dice, part, share).min(left);
    }
    for task in 0..size.parts / PARTS_A_TASK {
        let part = task * PARTS_A_TASK + PARTS_A_TASK - 1;
        let (station, ..) = STATIONS[part % STATIONS.len()];
        let (kind, minutes) = if task.is_multiple_of(2) { ("renew", 12) } else { ("inspect", 6) };
        let _ = write!(
            out,
            "\n[[task]]\nkey = \"task-{task}\"\ntitle = \"{kind} what lies behind part {part}\"\nkind = \"{kind}\"\n\
             off_first = [\"part-{part}\"]\nwork = \"{minutes} min\"\nstation = \"{station}\"\n"
        );
    }
    out
}

fn book_head(seed: u64) -> String {
    let mut out = format!(
        "format = \"traywright-book/2\"\nkey = \"generated-{seed}\"\ntitle = \"generated engine {seed}\"\n\
         origin = \"invented by a generator; no real engine\"\ninvented = true\ncurrency = \"EUR\"\n"
    );
    for (key, title, enter_s) in STATIONS {
        let _ = write!(out, "\n[[station]]\nkey = \"{key}\"\ntitle = \"{title}\"\nenter = \"{enter_s} s\"\n");
    }
    out.push_str(CONDITIONS);
    out
}

/// Writes a part with its fixings; returns how many fasteners it has.
fn write_part(out: &mut String, dice: &mut Pcg64Mcg, part: usize, share: usize) -> usize {
    let layer = part / LAYER;
    let noun = NOUNS[part % NOUNS.len()];
    let (station, ..) = STATIONS[part % STATIONS.len()];
    let opening = part % 9 == OPENING_AT;
    if opening {
        let cap = if part.is_multiple_of(2) { "cap = \"plug 30 mm\"\n" } else { "" };
        let _ = write!(
            out,
            "\n[[opening]]\nkey = \"opening-{part}\"\ntitle = \"port behind part {part}\"\n{cap}count = 1\n"
        );
    }
    let mass_kg = dice.random_range(2..80) as f64 / 10.0;
    let _ = write!(
        out,
        "\n[[part]]\nkey = \"part-{part}\"\ntitle = \"{noun} {part}\"\nmass = \"{mass_kg} kg\"\nstation = \"{station}\"\n\
         lift_time = \"{} s\"\nplace_time = \"{} s\"\n",
        dice.random_range(8..60),
        dice.random_range(10..90)
    );
    let outer = |dice: &mut Pcg64Mcg| (layer - 1) * LAYER + dice.random_range(0..LAYER);
    if layer > 0 {
        let _ = writeln!(out, "off_first = [\"part-{}\"]", outer(dice));
    }
    if let Some(conditions) = part_conditions(part) {
        let _ = writeln!(out, "conditions = [{conditions}]");
    }
    if part % 7 == 3 {
        let _ = writeln!(
            out,
            "renew_with = [{{ name = \"gasket of part {part}\", count = 1, price = \"6.50\" }}]"
        );
    }
    if opening {
        let _ = writeln!(out, "uncovers = [\"opening-{part}\"]");
    }
    let two_ways = layer > 1 && part % 11 == 7;
    for (way, station) in WAYS.iter().filter(|_| two_ways) {
        let _ = write!(
            out,
            "\n  [[part.way]]\n  key = \"{way}\"\n  title = \"{way}\"\n  station = \"{station}\"\n  off_first = [\"part-{}\"]\n",
            outer(dice)
        );
    }
    let mut done = 0;
    let mut number = 0;
    while done < share {
        let count = dice.random_range(1..=12).min(share - done);
        write_fixing(out, dice, GeneratedFixing { part, number, two_ways }, count);
        done += count;
        number += 1;
    }
    done
}

/// Every third part needs something of the vehicle; the outermost ones nothing that needs a part off.
fn part_conditions(part: usize) -> Option<&'static str> {
    if !part.is_multiple_of(3) {
        return None;
    }
    Some(match part % 5 {
        0 => "\"battery-off\"",
        1 if part >= LAYER => "\"coolant-drained\"",
        2 => "\"fuel-relieved\"",
        _ => "\"cold\"",
    })
}

/// The place of a fixing in the book.
#[derive(Debug, Clone, Copy)]
struct GeneratedFixing {
    part: usize,
    number: usize,
    two_ways: bool,
}

impl GeneratedFixing {
    /// An opening uncovered by a part of an outer layer, over which some fixings lie.
    fn opening_below(self, dice: &mut Pcg64Mcg, f: &UsualFastener) -> Option<usize> {
        let outside = self.part / LAYER * LAYER;
        let openings = (outside + 9 - OPENING_AT - 1) / 9;
        let over = openings > 0 && f.room == GeneratedRoom::Any && dice.random_range(0..16) == 0;
        over.then(|| dice.random_range(0..openings) * 9 + OPENING_AT)
    }
}

fn write_fixing(out: &mut String, dice: &mut Pcg64Mcg, place: GeneratedFixing, count: usize) {
    let f = draw_fastener(dice.random_range(0..total_shares()));
    let GeneratedFixing { part, number, two_ways } = place;
    let noun = f.noun;
    let _ = write!(
        out,
        "\n  [[part.fixing]]\n  key = \"fixing-{part}-{number}\"\n  title = \"{noun} {number} of part {part}\"\n  {}\n  \
         count = {count}\n  holes = [{}]\n  source = \"invented figure\"\n",
        f.lines,
        hole_table(number, count)
    );
    if f.engagement_mm > 0 {
        let _ = writeln!(out, "  engagement = {}", f.engagement_mm);
    }
    if !f.lengths_mm.is_empty() {
        let length_mm = f.lengths_mm[dice.random_range(0..f.lengths_mm.len())];
        let (clamped_mm, tapped_mm) = (length_mm - f.engagement_mm, f.engagement_mm + 5);
        let _ = writeln!(out, "  length = {length_mm}\n  clamped = {clamped_mm}");
        if f.held.is_empty() {
            let _ = writeln!(out, "  tapped_depth = {tapped_mm}");
        }
    }
    if f.engagement_mm > 0 && dice.random_range(0..15) == 0 {
        out.push_str("  one_time = true\n  price = \"1.40\"\n");
    }
    match dice.random_range(0..8) {
        0 if f.engagement_mm > 0 => out.push_str("  history = [{ cause = \"corrosion\", factor = 1.4 }]\n"),
        1 if f.engagement_mm > 0 => out.push_str("  history = [{ cause = \"heat\", factor = 1.2 }]\n"),
        _ => {}
    }
    let over = place.opening_below(dice, f);
    if two_ways {
        for (way, _) in WAYS {
            space::write_access(out, dice, f, GeneratedSpace { way: Some(way), over });
        }
    } else {
        space::write_access(out, dice, f, GeneratedSpace { way: None, over });
    }
}

/// Rows of four, with labels that are not met twice on a part.
fn hole_table(number: usize, count: usize) -> String {
    let hole = |i: usize| {
        let (x_mm, y_mm) = ((i % 4) * 45, number * 120 + (i / 4) * 40);
        format!("{{ label = \"{}\", x = {x_mm}, y = {y_mm} }}", number * 100 + i + 1)
    };
    let list: Vec<String> = (0..count).map(hole).collect();
    list.join(", ")
}
