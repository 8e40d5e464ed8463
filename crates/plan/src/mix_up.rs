//! Mix-ups: which fastener does harm in which other hole, and whether the two lie apart while they are off.
//!
//! The ordered pairs considered are bolts and screws of the parts that come off that start into each other's hole and
//! look alike, on the same part or on parts worked from the same position. What happens is `bolting::mixup`'s.

use bolting::mixup::{MixUpBolt, MixUpSeat, MixUpSeverity, mix_up_consequences};
use model::plan::{MixUpLine, Plan, SlotLine};
use model::{Book, FastenerKind, Fixing, StationId, Store};

use crate::scope::PlanScope;
use crate::slots;

/// Heads whose diameters differ by no more look alike, mm (assumption).
const MAX_HEAD_DIFFERENCE_MM: f64 = 0.5;

/// Pairs that do harm or may, worst first: by severity, by how far the torque passes what gives way, then in book order.
#[must_use]
pub fn find_mix_ups(book: &Book, store: &Store, scope: &PlanScope, slots: &[SlotLine]) -> Vec<MixUpLine> {
    let loose: Vec<(&Fixing, StationId)> = book
        .fixings
        .iter()
        .filter(|f| matches!(f.kind, FastenerKind::Bolt | FastenerKind::Screw))
        .filter(|f| !f.captive && !f.slackened)
        .filter_map(|f| Some((f, fixing_station(book, scope, f)?)))
        .collect();
    let mut weighed: Vec<WeighedMixUp> = Vec::new();
    for (fastener, from) in &loose {
        for (hole, at) in &loose {
            let near = fastener.part == hole.part || from == at;
            if near && fastener.key != hole.key && bolts_look_alike(fastener, hole) {
                weighed.extend(weigh_mix_up(store, slots, fastener, hole));
            }
        }
    }
    weighed.sort_by(|a, b| b.severity.cmp(&a.severity).then(b.overload_ratio.total_cmp(&a.overload_ratio)));
    weighed.into_iter().map(|one| one.line).collect()
}

/// Writes anew which look-alikes lie apart, after slots were moved.
pub(crate) fn renew_kept_apart(book: &Book, store: &Store, plan: &mut Plan) {
    let fixing = |key: &str| book.fixing_by_key(key).map(|id| book.fixing(id));
    for line in &mut plan.mix_ups {
        if let (Some(a), Some(b)) = (fixing(&line.fastener_of), fixing(&line.hole_of)) {
            line.kept_apart = fixings_kept_apart(store, &plan.slots, a, b);
        }
    }
}

/// A line with what it is sorted by.
struct WeighedMixUp {
    severity: MixUpSeverity,
    overload_ratio: f64,
    line: MixUpLine,
}

/// The position that the part of a fixing is worked from; `None` if it stays on.
fn fixing_station(book: &Book, scope: &PlanScope, fixing: &Fixing) -> Option<StationId> {
    let way = scope.way_of(fixing.part)?;
    let part = book.part(fixing.part);
    let of_way = way.and_then(|w| part.ways.get(usize::from(w))).and_then(|w| w.station);
    Some(of_way.unwrap_or(part.station))
}

fn bolts_look_alike(a: &Fixing, b: &Fixing) -> bool {
    let threads = a.thread.is_some() && a.thread == b.thread;
    let heads = (a.head.diameter - b.head.diameter).as_mm().abs() <= MAX_HEAD_DIFFERENCE_MM;
    threads && (a.drive == b.drive || heads) && (a.length != b.length || a.class != b.class)
}

fn weigh_mix_up(store: &Store, slots: &[SlotLine], fastener: &Fixing, hole: &Fixing) -> Option<WeighedMixUp> {
    let mut harm = mix_up_consequences(&bolt_of_fixing(fastener)?, &seat_of_fixing(hole)?);
    harm.retain(|c| c.severity() >= MixUpSeverity::Unknown);
    let worst = harm.first()?;
    let happens: Vec<String> = harm.iter().map(ToString::to_string).collect();
    let line = MixUpLine {
        fastener_of: fastener.key.clone(),
        hole_of: hole.key.clone(),
        words: format!("{} in a hole of {}: {}.", fastener.title, hole.title, happens.join("; ")),
        consequence: worst.kind(),
        kept_apart: fixings_kept_apart(store, slots, fastener, hole),
    };
    Some(WeighedMixUp { severity: worst.severity(), overload_ratio: worst.overload_ratio(), line })
}

fn bolt_of_fixing(fixing: &Fixing) -> Option<MixUpBolt> {
    Some(MixUpBolt { thread: fixing.screw_thread()?, length: fixing.length?, class: fixing.class })
}

fn seat_of_fixing(fixing: &Fixing) -> Option<MixUpSeat> {
    Some(MixUpSeat {
        intended: bolt_of_fixing(fixing)?,
        clamped: fixing.clamped?,
        tapped_depth: fixing.tapped_depth,
        torque: fixing.greatest_torque(),
        tapped_in: fixing.tapped_in,
        lubrication: fixing.lubrication,
    })
}

/// Whether all slots of two fixings are known and lie apart.
fn fixings_kept_apart(store: &Store, slots: &[SlotLine], a: &Fixing, b: &Fixing) -> bool {
    let of = |f: &Fixing| -> Vec<&SlotLine> { slots.iter().filter(|s| s.fixing == f.key).collect() };
    let (of_a, of_b) = (of(a), of(b));
    let apart = |x: &&SlotLine| of_b.iter().all(|y| slots::kept_apart(store, x, y));
    !of_a.is_empty() && !of_b.is_empty() && of_a.iter().all(apart)
}
