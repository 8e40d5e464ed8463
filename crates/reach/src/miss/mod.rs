//! The nearest miss: when nothing works, what fails by least, and what one piece would close the gap?
//!
//! # Question
//!
//! A duty has no working. Which chain of pieces at hand fails the fewest rules and by least, by how much, and what is
//! the geometry of a piece to buy, borrow or make?
//!
//! # Method
//!
//! First, pieces that are lent or out for calibration are thought to be at hand: if that is enough, one of them is
//! named. Else the nearest chains are found ([`near`]) and, in each, one place after the other is taken by an imagined
//! piece as the rules would allow it ([`slot`]); what is named has been asked all rules, at both ends of its window of
//! lengths. Where no place helps, a tool in one piece is tried, and where even that fails, the sentence says so.
//! Where only the other side lacks a tool, the same is done there.
//!
//! # Worked example
//!
//! Headroom 140 mm over a bore of 40 mm; socket 25, extension 75, ratchet 28 and 20 mm for the hand, 6 mm of which
//! engage: 142 mm. Short by 2 mm; the arm plane needs an extension of 7 mm at least, the headroom 73 mm at most, so
//! "extension 1/4 in, 8 to 73 mm long" is wanted.

mod imagine;
mod near;
mod say;
mod slot;
mod usual;

use crate::fast::{self, sides};
use crate::index::Index;
use crate::miss::near::Near;
use crate::miss::slot::{Ask, Slot};
use crate::rules::drive;
use crate::rules::style::{Role, suits_drive};
use crate::site::{Site, Work};
use model::{
    Book, Duty, MissKind, NearestMiss, Obtain, Piece, PieceId, PieceKind, PieceSpec, Store, Working,
};

/// The store as the searches read it: what is at hand, and all that is owned where that is more.
#[derive(Debug)]
pub(crate) struct Shelf<'s> {
    pub store: &'s Store,
    pub index: Index<'s>,
    pub whole: Option<Index<'s>>,
}

/// The store with everything fetched back; `None` where nothing is away.
pub(crate) fn fetched_back(store: &Store) -> Option<Store> {
    let mut whole = store.clone();
    for piece in &mut whole.pieces {
        (piece.lent, piece.in_calibration) = (0, 0);
    }
    (whole != *store).then_some(whole)
}

/// The nearest miss of a duty that nothing at hand can do.
pub(crate) fn nearest(book: &Book, shelf: &Shelf, duty: Duty) -> Option<NearestMiss> {
    let (site, hold, work) = sides(book, duty)?;
    if let Some(away) = shelf.whole.as_ref().and_then(|whole| away(book, shelf, whole, duty)) {
        return Some(away);
    }
    let ask = Ask { site: &site, work: &work, role: Role::Work };
    let Some(other) = hold else { return Some(side_miss(ask, &shelf.index)) };
    if !works(ask, &shelf.index) {
        return Some(side_miss(ask, &shelf.index));
    }
    let other = Ask { site: &other, work: &work, role: Role::Hold };
    let miss = if works(other, &shelf.index) {
        both_want(shelf, (&site, &work), other)
    } else {
        side_miss(other, &shelf.index)
    };
    let words = format!("the other side cannot be held: {}", miss.words);
    Some(NearestMiss { kind: MissKind::CounterHold, words, ..miss })
}

fn works(ask: Ask, index: &Index) -> bool {
    if ask.site.bare_hand() {
        return true;
    }
    let groups = crate::search::search(index, ask.site, ask.role);
    match ask.role {
        Role::Work => !fast::hits(index, ask.site, ask.work, &groups).is_empty(),
        Role::Hold => crate::hold::can_hold(index, ask.site, &groups, ask.work),
    }
}

/// The miss of a duty that would work with what is lent or out for calibration.
fn away(book: &Book, shelf: &Shelf, whole: &Index, duty: Duty) -> Option<NearestMiss> {
    let (site, hold, work) = sides(book, duty)?;
    let groups = crate::search::search(whole, &site, Role::Work);
    let held = hold.as_ref().map(|h| crate::search::search(whole, h, Role::Hold));
    let workings = match (&hold, &held) {
        (Some(other), Some(held)) => crate::hold::with_hold(whole, (&site, &groups), (other, held), &work),
        _ => fast::without_hold(whole, &site, &work, &groups),
    };
    let working: Working = workings.into_iter().next()?;
    let id = lacking(shelf.store, &working.stack.pieces, &working.stack.hold).first().copied()?;
    let piece = shelf.store.piece(id);
    let state = if piece.lent > 0 { "lent out" } else { "out for calibration" };
    let wanted = PieceSpec { how: Obtain::Borrow, words: piece.title.clone(), ..like(piece) };
    Some(NearestMiss {
        kind: MissKind::Away,
        stack: working.stack.pieces.clone(),
        piece: Some(id),
        short_by: 1.0,
        words: format!("the {} would do, but it is {state}", piece.title),
        wanted,
    })
}

/// Stacks of each side that are paired when both want the same pieces.
const PAIRED: usize = 60;

/// Both sides can be worked, but not at once: one more of what both want is wanted, of the pair that wants least.
fn both_want(shelf: &Shelf, (site, work): (&Site, &Work), other: Ask) -> NearestMiss {
    let index = &shelf.index;
    let groups = crate::search::search(index, site, Role::Work);
    let held = crate::search::search(index, other.site, Role::Hold);
    let stacks: Vec<Vec<PieceId>> =
        fast::hits(index, site, work, &groups).iter().take(PAIRED).map(fast::Hit::pieces).collect();
    let holds = crate::hold::holds(index, other.site, &held, work, PAIRED);
    let pairs = stacks.iter().flat_map(|stack| holds.iter().map(move |hold| (stack, hold)));
    let wanting = pairs.map(|(stack, hold)| (lacking(shelf.store, stack, hold), stack.clone()));
    let (short, stack) = wanting.min_by_key(|(short, _)| short.len()).unwrap_or_default();
    let pieces: Vec<&Piece> = short.iter().map(|id| shelf.store.piece(*id)).collect();
    let titles: Vec<&str> = pieces.iter().map(|p| p.title.as_str()).collect();
    let titles = titles.join(" and the ");
    let more = if short.len() == 1 { "one more would do" } else { "one more of each would do" };
    let wanted = pieces.first().map_or_else(|| fallback(other), |piece| like(piece));
    NearestMiss {
        kind: MissKind::CounterHold,
        stack,
        piece: short.first().copied(),
        short_by: short.len() as f64,
        words: format!("both sides want the {titles}; {more}"),
        wanted: PieceSpec { words: format!("one more {titles}"), how: Obtain::Buy, ..wanted },
    }
}

/// The pieces that two stacks together use more often than they are at hand, once for each time.
fn lacking(store: &Store, stack: &[PieceId], hold: &[PieceId]) -> Vec<PieceId> {
    let mut all: Vec<PieceId> = stack.iter().chain(hold).copied().collect();
    all.sort_unstable();
    let same = all.chunk_by(|a, b| a == b);
    same.flat_map(|ids| ids.iter().skip(usize::from(store.piece(ids[0]).at_hand())).copied()).collect()
}

/// A specification of a piece like one that is owned.
fn like(piece: &Piece) -> PieceSpec {
    let length_mm = piece.length().as_mm();
    let fit = piece.grip.as_ref().and_then(|g| g.fits.first());
    PieceSpec {
        kind: piece.kind,
        drive: fit.map(|f| model::Drive::new(f.form, f.low)),
        link: piece.toward_hand.or(piece.toward_fastener),
        min_length_mm: Some(length_mm),
        max_length_mm: Some(length_mm),
        max_diameter_mm: Some(piece.diameter().as_mm()),
        torque_n_m: Some(piece.strength.as_n_m()),
        max_step_deg: piece.handle.and_then(|h| h.step).map(units::Angle::as_deg),
        bend_deg: piece.bend.map(|b| b.max_angle.as_deg()),
        retention: piece.grip.as_ref().is_some_and(|g| g.retention != model::Retention::None),
        how: Obtain::Buy,
        words: piece.title.clone(),
    }
}

/// The miss on one side of the fastener.
fn side_miss(ask: Ask, index: &Index) -> NearestMiss {
    let near = near::nearest(index, ask.site, ask.work, ask.role);
    match near.first() {
        Some(first) => of_chain(ask, index, first, &near),
        None => without_chain(ask, index),
    }
}

/// The miss of the nearest chain, closed in it or in another that fails the same rule.
fn of_chain(ask: Ask, index: &Index, first: &Near, near: &[Near]) -> NearestMiss {
    let mut best: Option<(&Near, PieceSpec)> = None;
    for chain in near.iter().filter(|n| n.failed == first.failed && n.kind == first.kind) {
        let pieces = chain.pieces(index);
        let slots = slot::slots(ask, &pieces, chain.kind, chain.audit.culprit(chain.kind));
        if let Some(spec) = easiest(ask, slots)
            && best.as_ref().is_none_or(|(_, b)| rank(&spec) < rank(b))
        {
            let sold = spec.how != Obtain::Make;
            best = Some((chain, spec));
            if sold {
                break;
            }
        }
    }
    let alone = || easiest(ask, slot::alone(ask));
    let (chain, wanted) = match best {
        Some((chain, spec)) if spec.how != Obtain::Make => (chain, Some(spec)),
        Some((chain, spec)) => match alone().filter(|a| rank(a) < rank(&spec)) {
            Some(alone) => (first, Some(alone)),
            None => (chain, Some(spec)),
        },
        None => (first, alone().or_else(|| any_grip(ask, index)).or_else(|| any_handle(ask, index))),
    };
    let pieces = chain.pieces(index);
    let culprit = chain.audit.culprit(chain.kind);
    let short_by = chain.audit.short_by(chain.kind);
    let said = say::short_words(ask, chain.kind, short_by, &pieces, culprit);
    NearestMiss {
        kind: chain.kind,
        stack: chain.bodies.iter().map(|at| index.bodies[*at].id).collect(),
        piece: chain.bodies.get(culprit).map(|at| index.bodies[*at].id),
        short_by,
        words: sentence(said, wanted.as_ref()),
        wanted: wanted.map_or_else(|| fallback(ask), worded),
    }
}

/// No chain fits the drive at all: a grip is missing, or a handle that joins one.
fn without_chain(ask: Ask, index: &Index) -> NearestMiss {
    let fitting = index
        .grips
        .iter()
        .copied()
        .find(|at| index.bodies[*at].piece.grip.as_ref().is_some_and(|g| drive::fits(g, ask.site.drive)));
    let (kind, wanted) = match fitting {
        Some(_) => (MissKind::NoJoin, any_handle(ask, index)),
        None => (MissKind::NoGrip, any_grip(ask, index)),
    };
    let wanted = wanted.or_else(|| easiest(ask, slot::alone(ask)));
    let piece: Vec<&Piece> = fitting.iter().map(|at| index.bodies[*at].piece).collect();
    NearestMiss {
        kind,
        stack: fitting.iter().map(|at| index.bodies[*at].id).collect(),
        piece: fitting.map(|at| index.bodies[at].id),
        short_by: 1.0,
        words: sentence(say::short_words(ask, kind, 1.0, &piece, 0), wanted.as_ref()),
        wanted: wanted.map_or_else(|| fallback(ask), worded),
    }
}

/// A grip for the handles that are owned, straight or behind one piece.
fn any_grip(ask: Ask, index: &Index) -> Option<PieceSpec> {
    let handles = || {
        index.handles.iter().map(|at| index.bodies[*at].piece).filter(|p| suits_drive(ask.site, ask.role, p))
    };
    let betweens = || index.betweens.iter().map(|b| index.bodies[b.body].piece);
    let straight = handles().map(|h| vec![h]);
    let behind = handles().flat_map(|h| {
        betweens().filter(move |b| b.toward_hand == h.toward_fastener).map(move |b| vec![b, h])
    });
    let tails = straight.chain(behind);
    let slots = tails.flat_map(|after| {
        let link = after[0].toward_fastener;
        slot::grip_kinds(ask).into_iter().map(move |kind| Slot {
            before: Vec::new(),
            kind,
            link,
            after: after.clone(),
        })
    });
    easiest(ask, slots.chain(slot::alone(ask)))
}

/// A handle for the grips that are owned, straight or behind one piece.
fn any_handle(ask: Ask, index: &Index) -> Option<PieceSpec> {
    let fits = |p: &&Piece| p.grip.as_ref().is_some_and(|g| drive::fits(g, ask.site.drive));
    let grips = || index.grips.iter().map(|at| index.bodies[*at].piece).filter(fits);
    let betweens = || index.betweens.iter().map(|b| index.bodies[b.body].piece);
    let straight = grips().map(|g| vec![g]);
    let behind = grips().flat_map(|g| {
        betweens().filter(move |b| b.toward_fastener == g.toward_hand).map(move |b| vec![g, b])
    });
    let slots = straight.chain(behind).filter_map(|before| Some((before.last()?.toward_hand?, before)));
    easiest(
        ask,
        slots.flat_map(|(link, before)| {
            slot::handle_kinds(ask).into_iter().map(move |kind| Slot {
                before: before.clone(),
                kind,
                link: Some(link),
                after: Vec::new(),
            })
        }),
    )
}

/// Slots tried for one duty at most.
const SLOTS: usize = 120;

/// The first slot that takes a piece as it is sold, else the first that takes any.
fn easiest<'p>(ask: Ask, slots: impl IntoIterator<Item = Slot<'p>>) -> Option<PieceSpec> {
    let mut made = None;
    for slot in slots.into_iter().take(SLOTS) {
        match slot.specify(ask) {
            Some(spec) if spec.how != Obtain::Make => return Some(spec),
            Some(spec) if made.is_none() => made = Some(spec),
            _ => {}
        }
    }
    made
}

/// The easier to come by, the lower; a tool in one piece last.
fn rank(spec: &PieceSpec) -> (u8, bool) {
    let how = match spec.how {
        Obtain::Buy => 0,
        Obtain::Borrow => 1,
        Obtain::Make => 2,
    };
    (how, spec.kind == PieceKind::Special)
}

fn worded(spec: PieceSpec) -> PieceSpec {
    PieceSpec { words: say::spec_words(&spec), ..spec }
}

fn sentence(said: String, wanted: Option<&PieceSpec>) -> String {
    match wanted {
        Some(spec) => format!("{said}; wanted: {}", say::spec_words(spec)),
        None => format!("{said}; no single piece closes the gap"),
    }
}

/// What is named where nothing that was tried would do: the drive and the torque, to be made or the access changed.
fn fallback(ask: Ask) -> PieceSpec {
    worded(PieceSpec {
        kind: PieceKind::Special,
        drive: Some(ask.site.drive),
        link: None,
        min_length_mm: None,
        max_length_mm: None,
        max_diameter_mm: None,
        torque_n_m: ask.work.torque.map(units::Torque::as_n_m),
        max_step_deg: None,
        bend_deg: None,
        retention: ask.role == Role::Work && ask.work.wants_retention,
        how: Obtain::Make,
        words: String::new(),
    })
}
/// The piece that a specification of a duty's miss describes, at the middle of its window of lengths.
///
/// Adding it to the store makes the duty workable, unless the miss says that no single piece closes the gap. Where the
/// other side is what cannot be held, the piece is for that side.
#[must_use]
pub fn imagined(book: &Book, duty: Duty, miss: &NearestMiss) -> Option<Piece> {
    let (site, hold, work) = sides(book, duty)?;
    let spec = &miss.wanted;
    let length_mm = match (spec.min_length_mm, spec.max_length_mm) {
        (Some(low), Some(high)) => 0.5 * (low + high),
        (one, other) => one.or(other).or(spec.max_diameter_mm).unwrap_or(10.0),
    };
    match (miss.kind, hold) {
        (MissKind::CounterHold, Some(other)) => {
            Some(imagine::imagine(&other, &work, Role::Hold, spec, length_mm))
        }
        _ => Some(imagine::imagine(&site, &work, Role::Work, spec, length_mm)),
    }
}
