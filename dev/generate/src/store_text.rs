//! A store: sets of every usual kind, then further copies until there are enough pieces.

use core::fmt::Write as _;
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64Mcg;

/// Sets of the store: how many pieces each makes, its words, further keys of each; the first twenty alone make a workshop
/// that can do most acts.
const SETS: &[(usize, &str, &str)] = &[
    (13, "1/4 in sockets 4 to 14 mm", ""),
    (10, "1/4 in deep sockets 5 to 13 mm", "retention = \"magnet\"\n"),
    (14, "3/8 in sockets 8 to 22 mm", ""),
    (12, "3/8 in deep sockets 8 to 19 mm", "retention = \"magnet\"\n"),
    (16, "1/2 in sockets 10 to 32 mm", ""),
    (4, "3/8 in external hexalobular sockets E8 to E12", "strength = \"160 N·m\"\nretention = \"magnet\"\n"),
    (9, "hexalobular bits T8 to T40 on 1/4 in", "retention = \"magnet\"\n"),
    (8, "hexalobular bits T20 to T55 on 3/8 in", "retention = \"magnet\"\n"),
    (5, "hex socket bits 4 to 10 mm on 3/8 in", "retention = \"magnet\"\n"),
    (4, "1/4 in extensions 50, 100, 150, 250 mm", ""),
    (5, "3/8 in extensions 75, 125, 150, 250, 450 mm", ""),
    (3, "1/2 in extensions 75, 125, 250 mm", ""),
    (1, "1/4 in joint", ""),
    (1, "3/8 in joint", ""),
    (2, "adapters 3/8 in to 1/4 in, 1/2 in to 3/8 in", ""),
    (2, "adapters 1/4 in to 3/8 in, 3/8 in to 1/2 in", ""),
    (12, "ratcheting ring spanners 8 to 19 mm", ""),
    (17, "ring spanners 6 to 24 mm", ""),
    (13, "crow-feet 10 to 24 mm on 3/8 in", ""),
    (1, "1/4 in spinner handle", ""),
    (10, "1/2 in deep sockets 13 to 24 mm", ""),
    (3, "1/4 in tilting extensions 50, 100, 150 mm", ""),
    (3, "3/8 in tilting extensions 75, 150, 250 mm", ""),
    (6, "hexalobular long bits T25 to T50 on 3/8 in", ""),
    (9, "open spanners 6x7, 8x9, 10x11, 12x13, 14x15, 16x17, 18x19, 21x22, 24x27", ""),
    (7, "flare spanners 10, 11, 12, 13, 14, 17, 19 mm", ""),
    (5, "hex socket bits 3 to 8 mm on 1/4 in", ""),
    (7, "nut drivers 5 to 10 mm", ""),
    (8, "hex keys 2 to 10 mm", ""),
    (9, "hexalobular keys T10 to T50", ""),
    (9, "hexalobular bits T10 to T50, 1/4 in hex", "retention = \"magnet\"\n"),
    (1, "1/4 in bit holder", ""),
    (8, "hexalobular screwdrivers T8 to T30", ""),
];

/// Single pieces: key, kind and the other lines.
const SINGLES: &[(&str, &str, &str)] = &[
    ("ratchet-6", "ratchet", "link = \"1/4 in\"\nteeth = 72\n"),
    ("ratchet-10", "ratchet", "link = \"3/8 in\"\nteeth = 72\n"),
    ("ratchet-12", "ratchet", "link = \"1/2 in\"\nteeth = 72\n"),
    ("bar-12", "breaker-bar", "link = \"1/2 in\"\n"),
    ("torque-1-5", "torque-screwdriver", "link = \"1/4 in\"\nrange = \"1 to 5 N·m\"\n"),
    ("torque-4-20", "torque-wrench", "link = \"1/4 in\"\nrange = \"4 to 20 N·m\"\nteeth = 72\n"),
    ("torque-10-60", "torque-wrench", "link = \"3/8 in\"\nrange = \"10 to 60 N·m\"\nteeth = 72\n"),
    ("torque-40-200", "torque-wrench", "link = \"1/2 in\"\nrange = \"40 to 200 N·m\"\nteeth = 72\n"),
    (
        "clamp-pliers",
        "pliers",
        "fits = \"spring clamp 12 to 55 mm\"\noutline = [{ length = 70, diameter = 34 }, { length = 110, diameter = 52 }]\n",
    ),
    (
        "clip-lifter",
        "hook",
        "fits = \"push clip 5 to 12 mm\"\noutline = [{ length = 90, diameter = 8 }, { length = 70, diameter = 26 }]\n",
    ),
    (
        "latch-hook",
        "hook",
        "fits = \"latch\"\noutline = [{ length = 80, diameter = 6 }, { length = 60, diameter = 24 }]\n",
    ),
    ("bar-10", "breaker-bar", "link = \"3/8 in\"\n"),
    (
        "power-driver",
        "power-driver",
        "link = \"1/4 in hex\"\nspeed = \"1500 rpm\"\nmax_torque = \"20 N·m\"\nclutch = [\"1 N·m\", \"2 N·m\", \"4 N·m\", \"8 N·m\"]\n",
    ),
];

/// Fewest and most pieces.
const PIECES: (usize, usize) = (20, 500);

/// The text of a store of that many pieces, 20 to 500: single pieces, then every set that still goes in, then odd sockets.
#[must_use]
pub fn generate_store(seed: u64, pieces: usize) -> String {
    let pieces = pieces.clamp(PIECES.0, PIECES.1);
    let mut dice = Pcg64Mcg::seed_from_u64(seed ^ 0x5702_e5ee);
    let mut out = String::from(
        "format = \"traywright-store/1\"\ntitle = \"generated workshop\"\norigin = \"invented by a generator\"\n",
    );
    for key in ["A", "B", "C"] {
        let _ = write!(
            out,
            "\n[[tray]]\nkey = \"{key}\"\nrows = 10\ncolumns = 12\nwidth = 60\ndepth = 45\nheight = 35\n"
        );
    }
    for (key, kind, lines) in SINGLES {
        let place = random_drawer(&mut dice);
        let _ = write!(out, "\n[[piece]]\nkey = \"{key}\"\nkind = \"{kind}\"\n{lines}place = \"{place}\"\n");
    }
    let mut left = pieces - SINGLES.len();
    for (count, set, lines) in SETS {
        let Some(rest) = left.checked_sub(*count) else { continue };
        left = rest;
        let place = random_drawer(&mut dice);
        let _ = write!(out, "\n[[set]]\nset = \"{set}\"\n{lines}place = \"{place}\"\n");
    }
    for spare in 0..left {
        spare_socket(&mut out, &mut dice, spare);
    }
    out
}

/// A socket of an odd length, as they gather in a drawer.
fn spare_socket(out: &mut String, dice: &mut Pcg64Mcg, number: usize) {
    let (size_mm, length_mm) = (dice.random_range(8..20), dice.random_range(26..90));
    let place = random_drawer(dice);
    let _ = write!(
        out,
        "\n[[piece]]\nkey = \"spare-{number}\"\ntitle = \"odd {size_mm} mm socket, {length_mm} mm long\"\nkind = \"socket\"\n\
         link = \"3/8 in\"\nsize = \"{size_mm} mm\"\nlength = {length_mm}\nplace = \"{place}\"\n"
    );
}

fn random_drawer(dice: &mut Pcg64Mcg) -> String {
    format!("cabinet {} / drawer {}", dice.random_range(1..=3), dice.random_range(1..=8))
}
