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
//! piece as the rules would allow it ([`slot`]); what is named has been checked against all rules, at both ends of its window of
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
mod usual;
mod vacancy;

use crate::fast::{self, sides_of_duty};
use crate::index::PieceIndex;
use crate::miss::near::NearChain;
use crate::miss::vacancy::{ChainVacancy, MissQuestion};
use crate::rules::drive;
use crate::rules::style::{StackRole, suits_drive};
use crate::site::{ReachSite, ReachWork};
use model::{
    Book, Duty, MissKind, NearestMiss, ObtainKind, Piece, PieceId, PieceKind, PieceSpec, Store, WorkingStack,
};

/// The store as the searches read it: what is at hand, and all that is owned where that is more.
#[derive(Debug)]
pub(crate) struct ReachShelf<'s> {
    pub store: &'s Store,
    pub index: PieceIndex<'s>,
    pub whole: Option<PieceIndex<'s>>,
}

/// The store with everything fetched back; `None` where nothing is away.
pub(crate) fn store_fetched_back(store: &Store) -> Option<Store> {
    let mut whole = store.clone();
    for piece in &mut whole.pieces {
        (piece.lent, piece.in_calibration) = (0, 0);
    }
    (whole != *store).then_some(whole)
}

/// The nearest miss of a duty that nothing at hand can do.
pub(crate) fn nearest_miss(book: &Book, shelf: &ReachShelf, duty: Duty) -> Option<NearestMiss> {
    let (site, hold, work) = sides_of_duty(book, duty)?;
    if let Some(away) = shelf.whole.as_ref().and_then(|whole| miss_for_away_piece(book, shelf, whole, duty)) {
        return Some(away);
    }
    let ask = MissQuestion { site: &site, work: &work, role: StackRole::Work };
    let Some(other) = hold else { return Some(side_miss(ask, &shelf.index)) };
    if !can_work_side(ask, &shelf.index) {
        return Some(side_miss(ask, &shelf.index));
    }
    let other = MissQuestion { site: &other, work: &work, role: StackRole::Hold };
    let miss = if can_work_side(other, &shelf.index) {
        miss_for_shared_piece(shelf, (&site, &work), other)
    } else {
        side_miss(other, &shelf.index)
    };
    let words = format!("the other side cannot be held: {}", miss.words);
    Some(NearestMiss { kind: MissKind::CounterHold, words, ..miss })
}

fn can_work_side(ask: MissQuestion, index: &PieceIndex) -> bool {
    if ask.site.takes_bare_hand() {
        return true;
    }
    let groups = crate::search::search_chains(index, ask.site, ask.role);
    match ask.role {
        StackRole::Work => !fast::find_hits(index, ask.site, ask.work, &groups).is_empty(),
        StackRole::Hold => crate::hold::can_hold_side(index, ask.site, &groups, ask.work),
    }
}

/// The miss of a duty that would work with what is lent or out for calibration.
fn miss_for_away_piece(
    book: &Book,
    shelf: &ReachShelf,
    whole: &PieceIndex,
    duty: Duty,
) -> Option<NearestMiss> {
    let (site, hold, work) = sides_of_duty(book, duty)?;
    let groups = crate::search::search_chains(whole, &site, StackRole::Work);
    let held = hold.as_ref().map(|h| crate::search::search_chains(whole, h, StackRole::Hold));
    let workings = match (&hold, &held) {
        (Some(other), Some(held)) => {
            crate::hold::workings_with_hold(whole, (&site, &groups), (other, held), &work)
        }
        _ => fast::workings_without_hold(whole, &site, &work, &groups),
    };
    let working: WorkingStack = workings.into_iter().next()?;
    let id = overused_pieces(shelf.store, &working.stack.pieces, &working.stack.hold).first().copied()?;
    let piece = shelf.store.piece(id);
    let state = piece.absence().spoken_word();
    let wanted = PieceSpec { how: ObtainKind::Borrow, words: piece.title.clone(), ..spec_like_piece(piece) };
    Some(NearestMiss {
        kind: MissKind::Away,
        stack: working.stack.pieces.clone(),
        piece: Some(id),
        short_by: 1.0,
        words: format!("the {} would work, but it is {state}", piece.title),
        wanted,
    })
}

/// Stacks of each side that are paired when both need the same pieces.
const MAX_PAIRED: usize = 60;

/// Both sides can be worked, but not at once: one more of what both need is missing, for the pair that needs least.
fn miss_for_shared_piece(
    shelf: &ReachShelf,
    (site, work): (&ReachSite, &ReachWork),
    other: MissQuestion,
) -> NearestMiss {
    let index = &shelf.index;
    let groups = crate::search::search_chains(index, site, StackRole::Work);
    let held = crate::search::search_chains(index, other.site, StackRole::Hold);
    let stacks: Vec<Vec<PieceId>> = fast::find_hits(index, site, work, &groups)
        .iter()
        .take(MAX_PAIRED)
        .map(fast::ChainHit::piece_ids)
        .collect();
    let holds = crate::hold::shortest_holding_stacks(index, other.site, &held, work, MAX_PAIRED);
    let pairs = stacks.iter().flat_map(|stack| holds.iter().map(move |hold| (stack, hold)));
    let wanting = pairs.map(|(stack, hold)| (overused_pieces(shelf.store, stack, hold), stack.clone()));
    let (short, stack) = wanting.min_by_key(|(short, _)| short.len()).unwrap_or_default();
    let pieces: Vec<&Piece> = short.iter().map(|id| shelf.store.piece(*id)).collect();
    let titles: Vec<&str> = pieces.iter().map(|p| p.title.as_str()).collect();
    let titles = titles.join(" and the ");
    let more = if short.len() == 1 { "one more would be enough" } else { "one more of each would be enough" };
    let wanted = pieces.first().map_or_else(|| fallback_spec(other), |piece| spec_like_piece(piece));
    NearestMiss {
        kind: MissKind::CounterHold,
        stack,
        piece: short.first().copied(),
        short_by: short.len() as f64,
        words: format!("both sides need the {titles}; {more}"),
        wanted: PieceSpec { words: format!("one more {titles}"), how: ObtainKind::Buy, ..wanted },
    }
}

/// The pieces that two stacks together use more often than they are at hand, once for each time.
fn overused_pieces(store: &Store, stack: &[PieceId], hold: &[PieceId]) -> Vec<PieceId> {
    let mut all: Vec<PieceId> = stack.iter().chain(hold).copied().collect();
    all.sort_unstable();
    let same = all.chunk_by(|a, b| a == b);
    same.flat_map(|ids| ids.iter().skip(usize::from(store.piece(ids[0]).at_hand())).copied()).collect()
}

/// A specification of a piece like one that is owned.
fn spec_like_piece(piece: &Piece) -> PieceSpec {
    let length_mm = piece.length_in_stack().as_mm();
    let fit = piece.grip.as_ref().and_then(|g| g.fits.first());
    PieceSpec {
        kind: piece.kind,
        drive: fit.map(|f| model::Drive::new(f.form, f.low)),
        link: piece.toward_hand.or(piece.toward_fastener),
        min_length_mm: Some(length_mm),
        max_length_mm: Some(length_mm),
        max_diameter_mm: Some(piece.largest_diameter().as_mm()),
        torque_n_m: Some(piece.strength.as_n_m()),
        max_step_deg: piece.handle.and_then(|h| h.step).map(units::Angle::as_deg),
        bend_deg: piece.bend.map(|b| b.max_angle.as_deg()),
        retention: piece.grip.as_ref().is_some_and(|g| g.retention != model::Retention::None),
        how: ObtainKind::Buy,
        words: piece.title.clone(),
    }
}

/// The miss on one side of the fastener.
fn side_miss(ask: MissQuestion, index: &PieceIndex) -> NearestMiss {
    let near = near::nearest_chains(index, ask.site, ask.work, ask.role);
    match near.first() {
        Some(first) => miss_of_chain(ask, index, first, &near),
        None => miss_without_chain(ask, index),
    }
}

/// The miss of the nearest chain, closed in it or in another that fails the same rule.
fn miss_of_chain(
    ask: MissQuestion,
    index: &PieceIndex,
    first: &NearChain,
    near: &[NearChain],
) -> NearestMiss {
    let mut best: Option<(&NearChain, PieceSpec)> = None;
    for chain in near.iter().filter(|n| n.failed == first.failed && n.kind == first.kind) {
        let pieces = chain.pieces(index);
        let slots = vacancy::vacancies_of_chain(ask, &pieces, chain.kind, chain.audit.culprit(chain.kind));
        if let Some(spec) = easiest_spec(ask, slots)
            && best.as_ref().is_none_or(|(_, b)| spec_rank(&spec) < spec_rank(b))
        {
            let sold = spec.how != ObtainKind::Make;
            best = Some((chain, spec));
            if sold {
                break;
            }
        }
    }
    let alone = || easiest_spec(ask, vacancy::one_piece_vacancies(ask));
    let (chain, wanted) = match best {
        Some((chain, spec)) if spec.how != ObtainKind::Make => (chain, Some(spec)),
        Some((chain, spec)) => match alone().filter(|a| spec_rank(a) < spec_rank(&spec)) {
            Some(alone) => (first, Some(alone)),
            None => (chain, Some(spec)),
        },
        None => (first, alone().or_else(|| specify_grip(ask, index)).or_else(|| specify_handle(ask, index))),
    };
    let pieces = chain.pieces(index);
    let culprit = chain.audit.culprit(chain.kind);
    let short_by = chain.audit.short_by(chain.kind);
    let said = say::shortfall_words(ask, chain.kind, short_by, &pieces, culprit);
    NearestMiss {
        kind: chain.kind,
        stack: chain.bodies.iter().map(|at| index.bodies[*at].id).collect(),
        piece: chain.bodies.get(culprit).map(|at| index.bodies[*at].id),
        short_by,
        words: miss_sentence(said, wanted.as_ref()),
        wanted: wanted.map_or_else(|| fallback_spec(ask), with_spec_words),
    }
}

/// No chain fits the drive at all: a grip is missing, or a handle that joins one.
fn miss_without_chain(ask: MissQuestion, index: &PieceIndex) -> NearestMiss {
    let fitting = index.grips.iter().copied().find(|at| {
        index.bodies[*at].piece.grip.as_ref().is_some_and(|g| drive::can_grip_take_hold(g, ask.site))
    });
    let (kind, wanted) = match fitting {
        Some(_) => (MissKind::NoJoin, specify_handle(ask, index)),
        None => (MissKind::NoGrip, specify_grip(ask, index)),
    };
    let wanted = wanted.or_else(|| easiest_spec(ask, vacancy::one_piece_vacancies(ask)));
    let piece: Vec<&Piece> = fitting.iter().map(|at| index.bodies[*at].piece).collect();
    NearestMiss {
        kind,
        stack: fitting.iter().map(|at| index.bodies[*at].id).collect(),
        piece: fitting.map(|at| index.bodies[at].id),
        short_by: 1.0,
        words: miss_sentence(say::shortfall_words(ask, kind, 1.0, &piece, 0), wanted.as_ref()),
        wanted: wanted.map_or_else(|| fallback_spec(ask), with_spec_words),
    }
}

/// A grip for the handles that are owned, straight or behind one piece.
fn specify_grip(ask: MissQuestion, index: &PieceIndex) -> Option<PieceSpec> {
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
        vacancy::grip_kinds(ask).into_iter().map(move |kind| ChainVacancy {
            before: Vec::new(),
            kind,
            link,
            after: after.clone(),
        })
    });
    easiest_spec(ask, slots.chain(vacancy::one_piece_vacancies(ask)))
}

/// A handle for the grips that are owned, straight or behind one piece.
fn specify_handle(ask: MissQuestion, index: &PieceIndex) -> Option<PieceSpec> {
    let fits = |p: &&Piece| p.grip.as_ref().is_some_and(|g| drive::can_grip_take_hold(g, ask.site));
    let grips = || index.grips.iter().map(|at| index.bodies[*at].piece).filter(fits);
    let betweens = || index.betweens.iter().map(|b| index.bodies[b.body].piece);
    let straight = grips().map(|g| vec![g]);
    let behind = grips().flat_map(|g| {
        betweens().filter(move |b| b.toward_fastener == g.toward_hand).map(move |b| vec![g, b])
    });
    let slots = straight.chain(behind).filter_map(|before| Some((before.last()?.toward_hand?, before)));
    easiest_spec(
        ask,
        slots.flat_map(|(link, before)| {
            vacancy::handle_kinds(ask).into_iter().map(move |kind| ChainVacancy {
                before: before.clone(),
                kind,
                link: Some(link),
                after: Vec::new(),
            })
        }),
    )
}

/// Slots tried for one duty at most.
const MAX_VACANCIES: usize = 120;

/// The first slot that takes a piece as it is sold, else the first that takes any.
fn easiest_spec<'p>(
    ask: MissQuestion,
    slots: impl IntoIterator<Item = ChainVacancy<'p>>,
) -> Option<PieceSpec> {
    let mut made = None;
    for slot in slots.into_iter().take(MAX_VACANCIES) {
        match slot.specify_piece(ask) {
            Some(spec) if spec.how != ObtainKind::Make => return Some(spec),
            Some(spec) if made.is_none() => made = Some(spec),
            _ => {}
        }
    }
    made
}

/// Lower is easier to obtain; a one-piece tool ranks last.
fn spec_rank(spec: &PieceSpec) -> (u8, bool) {
    let how = match spec.how {
        ObtainKind::Buy => 0,
        ObtainKind::Borrow => 1,
        ObtainKind::Make => 2,
    };
    (how, spec.kind == PieceKind::Special)
}

fn with_spec_words(spec: PieceSpec) -> PieceSpec {
    PieceSpec { words: say::spec_words(&spec), ..spec }
}

fn miss_sentence(said: String, wanted: Option<&PieceSpec>) -> String {
    match wanted {
        Some(spec) => format!("{said}; needed: {}", say::spec_words(spec)),
        None => format!("{said}; no single piece would close the gap"),
    }
}

/// What is named where nothing that was tried would do: the drive and the torque, to be made or the access changed.
fn fallback_spec(ask: MissQuestion) -> PieceSpec {
    with_spec_words(PieceSpec {
        kind: PieceKind::Special,
        drive: Some(ask.site.drive),
        link: None,
        min_length_mm: None,
        max_length_mm: None,
        max_diameter_mm: None,
        torque_n_m: ask.work.torque.map(units::Torque::as_n_m),
        max_step_deg: None,
        bend_deg: None,
        retention: ask.role == StackRole::Work && ask.work.wants_retention,
        how: ObtainKind::Make,
        words: String::new(),
    })
}
/// The piece that a specification of a duty's miss describes, at the middle of its window of lengths.
///
/// Adding it to the store makes the duty workable, unless the miss says that no single piece closes the gap. Where the
/// other side is what cannot be held, the piece is for that side.
#[must_use]
pub fn imagine_wanted_piece(book: &Book, duty: Duty, miss: &NearestMiss) -> Option<Piece> {
    let (site, hold, work) = sides_of_duty(book, duty)?;
    let spec = &miss.wanted;
    let length_mm = match (spec.min_length_mm, spec.max_length_mm) {
        (Some(low), Some(high)) => 0.5 * (low + high),
        (one, other) => one.or(other).or(spec.max_diameter_mm).unwrap_or(10.0),
    };
    let other_side = hold.filter(|_| miss.kind == MissKind::CounterHold);
    Some(match other_side {
        Some(other) => imagine::imagine_piece(&other, &work, StackRole::Hold, spec, length_mm),
        None => imagine::imagine_piece(&site, &work, StackRole::Work, spec, length_mm),
    })
}
