//! Shape: is this a chain from a grip to a handle, linked throughout and not too long?

use super::DutyNotes;
use model::{Grip, Handle, HandleStyle, Piece, PieceLink, rules};

/// Grip and handle of a chain that is one.
pub(super) fn judge_chain_ends<'p>(
    chain: &[&'p Piece],
    notes: &mut DutyNotes,
) -> Option<(&'p Grip, &'p Handle)> {
    let ends = chain_ends(chain);
    if ends.is_none() {
        notes.add("J414", "the stack does not go from a grip to a handle");
        return None;
    }
    let inner = chain.get(1..chain.len().saturating_sub(1)).unwrap_or_default();
    if inner.len() > rules::MAX_BETWEEN {
        notes.add("J414", format!("pieces between grip and handle: {}", inner.len()));
    }
    let last = chain.len() - 1;
    for (at, piece) in chain.iter().enumerate() {
        if (at > 0 && piece.grip.is_some()) || (at < last && piece.handle.is_some()) {
            notes.add("J414", format!("`{}` has a grip or a handle in the wrong place", piece.key));
        }
    }
    for pair in chain.windows(2) {
        if pair[0].toward_hand.is_none() || pair[0].toward_hand != pair[1].toward_fastener {
            notes.add("J414", format!("`{}` does not join `{}`", pair[0].key, pair[1].key));
        }
    }
    judge_link_order(chain, notes);
    ends
}

/// The links from the grip outward rise or fall, a bit's shank left out, and none is come back to.
fn judge_link_order(chain: &[&Piece], notes: &mut DutyNotes) {
    let mut links: Vec<PieceLink> = chain.iter().filter_map(|p| p.toward_hand).collect();
    links.dedup();
    let comes_back = (1..links.len()).any(|at| links[..at].contains(&links[at]));
    let squares: Vec<u32> =
        links.iter().skip_while(|l| **l == PieceLink::Hex6).map(|l| link_size_rank(*l)).collect();
    let runs_one_way = squares.is_sorted() || squares.iter().rev().is_sorted();
    if comes_back || !runs_one_way {
        let words: Vec<String> = links.iter().map(ToString::to_string).collect();
        notes.add("J414", format!("adapters up and down in one stack: {}", words.join(" to ")));
    }
}

/// Links by the torque that they may carry.
const fn link_size_rank(link: PieceLink) -> u32 {
    match link {
        PieceLink::Hex6 => 0,
        PieceLink::Square6 => 1,
        PieceLink::Square10 => 2,
        PieceLink::Square12 => 3,
        PieceLink::Square20 => 4,
    }
}

/// Grip of the first and handle of the last piece.
pub(super) fn chain_ends<'p>(chain: &[&'p Piece]) -> Option<(&'p Grip, &'p Handle)> {
    Some((chain.first()?.grip.as_ref()?, chain.last()?.handle.as_ref()?))
}

/// Whether a handle swings.
pub(super) fn is_swung_handle(handle: &Handle) -> bool {
    matches!(handle.style, HandleStyle::Ratchet | HandleStyle::Bar)
}
