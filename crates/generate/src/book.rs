//! A book: layers of parts, fixings with usual fasteners, spaces of every kind, tasks on inner parts.

use crate::Size;
use core::fmt::Write as _;
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64Mcg;

/// A usual fastener: thread, drive, head lines, lengths under the head, torque passes, width of a socket over it.
struct Fastener {
    thread: &'static str,
    drive: &'static str,
    head: &'static str,
    lengths_mm: &'static [u32],
    engagement_mm: u32,
    passes: &'static str,
    wide_mm: u32,
}

/// Class 8.8 into cast aluminium; torques inside what the book's rules find plausible (invented figures).
const FASTENERS: &[Fastener] = &[
    Fastener {
        thread: "M6",
        drive: "hexagon 10 mm",
        head: "height = 6, diameter = 13.5",
        lengths_mm: &[20, 25, 30, 40],
        engagement_mm: 12,
        passes: "\"5 N·m\", \"9 N·m\"",
        wide_mm: 19,
    },
    Fastener {
        thread: "M8",
        drive: "hexagon 13 mm",
        head: "height = 8, diameter = 17",
        lengths_mm: &[30, 40, 55],
        engagement_mm: 16,
        passes: "\"10 N·m\", \"21 N·m\"",
        wide_mm: 24,
    },
    Fastener {
        thread: "M10",
        drive: "hexagon 16 mm",
        head: "height = 10, diameter = 21",
        lengths_mm: &[40, 60, 80],
        engagement_mm: 20,
        passes: "\"20 N·m\", \"42 N·m\"",
        wide_mm: 30,
    },
    Fastener {
        thread: "M6",
        drive: "T30",
        head: "recess = 4, diameter = 11",
        lengths_mm: &[16, 20, 30],
        engagement_mm: 12,
        passes: "\"8 N·m\"",
        wide_mm: 19,
    },
    Fastener {
        thread: "M8",
        drive: "E10",
        head: "height = 7, diameter = 16",
        lengths_mm: &[35, 50],
        engagement_mm: 16,
        passes: "\"8 N·m\", \"20 N·m\"",
        wide_mm: 25,
    },
];

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

/// Parts of one layer.
const LAYER: usize = 12;
/// A task for every so many parts.
const PARTS_A_TASK: usize = 8;

/// The text of a book of that size, within [`Size::limited`].
#[must_use]
pub fn book(seed: u64, size: Size) -> String {
    let size = size.limited();
    let mut dice = Pcg64Mcg::seed_from_u64(seed);
    let mut out = head(seed);
    let mut left = size.fasteners;
    for part in 0..size.parts {
        let share = left.div_ceil(size.parts - part);
        left -= write_part(&mut out, &mut dice, part, share).min(left);
    }
    for task in 0..size.parts / PARTS_A_TASK {
        let part = task * PARTS_A_TASK + PARTS_A_TASK - 1;
        let (station, ..) = STATIONS[part % STATIONS.len()];
        let (kind, minutes) = if task % 2 == 0 { ("renew", 12) } else { ("inspect", 6) };
        let _ = write!(
            out,
            "\n[[task]]\nkey = \"task-{task}\"\ntitle = \"{kind} what lies behind part {part}\"\nkind = \"{kind}\"\n\
             off_first = [\"part-{part}\"]\nwork = \"{minutes} min\"\nstation = \"{station}\"\n"
        );
    }
    out
}

fn head(seed: u64) -> String {
    let mut out = format!(
        "format = \"traywright-book/1\"\nkey = \"generated-{seed}\"\ntitle = \"generated engine {seed}\"\n\
         origin = \"invented by a generator; no real engine\"\ncurrency = \"EUR\"\n"
    );
    for (key, title, enter_s) in STATIONS {
        let _ = write!(out, "\n[[station]]\nkey = \"{key}\"\ntitle = \"{title}\"\nenter = \"{enter_s} s\"\n");
    }
    out.push_str(
        "\n[[condition]]\nkey = \"cold\"\ntitle = \"engine cold\"\nkind = \"waited\"\nestablish = \"Let the engine cool.\"\n\
         establish_time = \"1 min\"\nhold_up = \"40 min\"\nstation = \"front\"\n\
         \n[[condition]]\nkey = \"battery-off\"\ntitle = \"battery off\"\nkind = \"isolated\"\n\
         establish = \"Disconnect the battery, negative first.\"\nrestore = \"Connect the battery, negative last.\"\n\
         establish_time = \"3 min\"\nrestore_time = \"3 min\"\nstation = \"front\"\nsafety = true\n",
    );
    out
}

/// Writes a part with its fixings; gives back how many fasteners it has.
fn write_part(out: &mut String, dice: &mut Pcg64Mcg, part: usize, share: usize) -> usize {
    let layer = part / LAYER;
    let noun = NOUNS[part % NOUNS.len()];
    let (station, ..) = STATIONS[part % STATIONS.len()];
    let opening = part % 9 == 4;
    if opening {
        let cap = if part % 2 == 0 { "cap = \"plug 30 mm\"\n" } else { "" };
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
    let conditions = if part % 5 == 0 { "\"battery-off\"" } else { "\"cold\"" };
    if part % 3 == 0 {
        let _ = writeln!(out, "conditions = [{conditions}]");
    }
    if opening {
        let _ = writeln!(out, "uncovers = [\"opening-{part}\"]");
    }
    if layer > 1 && part % 23 == 7 {
        for way in ["from-above", "from-below"] {
            let _ = write!(
                out,
                "\n  [[part.way]]\n  key = \"{way}\"\n  title = \"{way}\"\n  off_first = [\"part-{}\"]\n",
                outer(dice)
            );
        }
    }
    let mut done = 0;
    let mut number = 0;
    while done < share {
        let count = dice.random_range(1..=12).min(share - done);
        write_fixing(out, dice, part, number, count);
        done += count;
        number += 1;
    }
    done
}

fn write_fixing(out: &mut String, dice: &mut Pcg64Mcg, part: usize, number: usize, count: usize) {
    let f = &FASTENERS[dice.random_range(0..FASTENERS.len())];
    let length_mm = f.lengths_mm[dice.random_range(0..f.lengths_mm.len())];
    let one_time = if dice.random_range(0..15) == 0 { "one_time = true\n  price = \"1.40\"\n  " } else { "" };
    let history = match dice.random_range(0..8) {
        0 => "history = [{ cause = \"corrosion\", factor = 1.4 }]\n  ",
        1 => "history = [{ cause = \"heat\", factor = 1.2 }]\n  ",
        _ => "",
    };
    let holes: Vec<String> = (0..count)
        .map(|i| {
            format!(
                "{{ label = \"{}\", x = {}, y = {} }}",
                number * 100 + i + 1,
                (i % 4) * 45,
                number * 120 + (i / 4) * 40
            )
        })
        .collect();
    let _ = write!(
        out,
        "\n  [[part.fixing]]\n  key = \"fixing-{part}-{number}\"\n  title = \"bolts {number} of part {part}\"\n  kind = \"bolt\"\n  \
         thread = \"{}\"\n  length = {length_mm}\n  class = \"8.8\"\n  drive = \"{}\"\n  head = {{ {} }}\n  count = {count}\n  \
         holes = [{}]\n  engagement = {}\n  clamped = {}\n  tapped_depth = {}\n  tapped_in = \"cast-aluminium\"\n  \
         tighten = [{}]\n  source = \"invented figure\"\n  {one_time}{history}lubrication = \"dry\"\n",
        f.thread,
        f.drive,
        f.head,
        holes.join(", "),
        f.engagement_mm,
        length_mm - f.engagement_mm,
        f.engagement_mm + 5,
        f.passes
    );
    write_access(out, dice, f);
}

/// An open, deep, bent, one-sided or felt space; most are open or moderately deep, as on a real engine.
fn write_access(out: &mut String, dice: &mut Pcg64Mcg, f: &Fastener) {
    let deep_mm = dice.random_range(30..140);
    let clear_mm = f.wide_mm + dice.random_range(4..14);
    let room_mm = deep_mm + dice.random_range(150..260);
    let arc_deg = dice.random_range(20..90);
    let swings = format!(
        "swings = [{{ radius = 260, arc = \"{arc_deg}°\" }}, {{ radius = 500, arc = \"{}°\" }}]",
        arc_deg / 2 + 8
    );
    let lines = match dice.random_range(0..20) {
        0..=8 => String::from("corridor = [{ clear = 90 }]\n    headroom = 400"),
        9..=15 => format!(
            "corridor = [{{ length = {deep_mm}, clear = {clear_mm} }}, {{ clear = 80 }}]\n    headroom = {room_mm}\n    {swings}"
        ),
        16 | 17 => format!(
            "corridor = [{{ length = {deep_mm}, clear = {clear_mm} }}, {{ clear = 80 }}]\n    headroom = {room_mm}\n    {swings}\n    sight = \"felt\""
        ),
        18 => format!(
            "corridor = [{{ length = 60, clear = {} }}, {{ clear = 80 }}]\n    bends = [{{ at = 45, angle = \"12°\" }}]\n    headroom = 320",
            clear_mm + 6
        ),
        _ => format!(
            "corridor = [{{ clear = 60 }}]\n    headroom = 26\n    side = {{ radial = 24, height = 20, reach = 60, headroom = 200, swings = [{{ radius = 300, arc = \"{}°\" }}] }}",
            arc_deg + 20
        ),
    };
    let _ = write!(out, "\n    [[part.fixing.access]]\n    {lines}\n");
}
