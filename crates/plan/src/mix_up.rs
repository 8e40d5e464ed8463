//! Mix-ups: which fastener does harm in which other hole, and whether the two lie apart while they are off.
//!
//! Looked at are ordered pairs of bolts and screws of the parts that come off that start into each other's hole and
//! look alike, on the same part or on parts worked from the same position. What happens is `bolting::mixup`'s.

use bolting::mixup::{Bolt, Consequence, Seat, Severity, consequences};
use model::plan::{MixUpLine, SlotLine};
use model::{Book, FastenerKind, Fixing, StationId, Store};

use crate::scope::Scope;
use crate::slots;

/// Heads whose diameters differ by no more look alike, mm (assumption).
const LIKE_HEAD_MM: f64 = 0.5;

/// Pairs that do harm, in book order of the fastener, then of the hole.
#[must_use]
pub fn find(book: &Book, store: &Store, scope: &Scope, slots: &[SlotLine]) -> Vec<MixUpLine> {
    let loose: Vec<(&Fixing, StationId)> = book
        .fixings
        .iter()
        .filter(|f| matches!(f.kind, FastenerKind::Bolt | FastenerKind::Screw) && !f.captive)
        .filter_map(|f| Some((f, station_of(book, scope, f)?)))
        .collect();
    let mut lines = Vec::new();
    for (fastener, from) in &loose {
        for (hole, at) in &loose {
            let near = fastener.part == hole.part || from == at;
            if near && fastener.key != hole.key && alike(fastener, hole) {
                lines.extend(line(store, slots, fastener, hole));
            }
        }
    }
    lines
}

/// The position that the part of a fixing is worked from; `None` if it stays on.
fn station_of(book: &Book, scope: &Scope, fixing: &Fixing) -> Option<StationId> {
    let way = scope.way_of(fixing.part)?;
    let part = book.part(fixing.part);
    let of_way = way.and_then(|w| part.ways.get(usize::from(w))).and_then(|w| w.station);
    Some(of_way.unwrap_or(part.station))
}

fn alike(a: &Fixing, b: &Fixing) -> bool {
    let threads = a.thread.is_some() && a.thread == b.thread;
    let heads = (a.head.diameter - b.head.diameter).as_mm().abs() <= LIKE_HEAD_MM;
    threads && (a.drive == b.drive || heads) && (a.length != b.length || a.class != b.class)
}

fn line(store: &Store, slots: &[SlotLine], fastener: &Fixing, hole: &Fixing) -> Option<MixUpLine> {
    let mut harm = consequences(&bolt(fastener)?, &seat(hole)?);
    harm.retain(|c| c.severity() >= Severity::Weakened);
    let worst = harm.first()?;
    let happens: Vec<String> = harm.iter().map(ToString::to_string).collect();
    Some(MixUpLine {
        fastener_of: fastener.key.clone(),
        hole_of: hole.key.clone(),
        words: format!("{} in a hole of {}: {}.", fastener.title, hole.title, happens.join("; ")),
        consequence: name(worst).to_owned(),
        kept_apart: kept_apart(store, slots, fastener, hole),
    })
}

fn bolt(fixing: &Fixing) -> Option<Bolt> {
    Some(Bolt { thread: fixing.thread?, length: fixing.length?, class: fixing.class })
}

fn seat(fixing: &Fixing) -> Option<Seat> {
    Some(Seat {
        intended: bolt(fixing)?,
        clamped: fixing.clamped?,
        tapped_depth: fixing.tapped_depth,
        torque: fixing.greatest_torque(),
        tapped_in: fixing.tapped_in,
        lubrication: fixing.lubrication,
    })
}

const fn name(consequence: &Consequence) -> &'static str {
    match consequence {
        Consequence::BottomsBeforeClamping { .. } => "bottoms-out",
        Consequence::TooLittleEngagement { .. } | Consequence::DoesNotGrip => "too-little-thread",
        Consequence::WeakerClass { .. } => "weaker-class",
        Consequence::ProtrudesTooFar { .. } => "stands-out",
        Consequence::CrossThreads { .. } => "cross-threads",
        Consequence::WillNotEnter => "will-not-enter",
        Consequence::Harmless => "harmless",
    }
}

/// Whether all slots of two fixings are known and lie apart.
fn kept_apart(store: &Store, slots: &[SlotLine], a: &Fixing, b: &Fixing) -> bool {
    let of = |f: &Fixing| -> Vec<&SlotLine> { slots.iter().filter(|s| s.fixing == f.key).collect() };
    let (of_a, of_b) = (of(a), of(b));
    let apart = |x: &&SlotLine| of_b.iter().all(|y| slots::kept_apart(store, x, y));
    !of_a.is_empty() && !of_b.is_empty() && of_a.iter().all(apart)
}
