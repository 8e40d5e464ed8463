//! Shape: is this a chain from a grip to a handle, linked throughout and not too long?

use super::DutyNotes;
use model::{Grip, Handle, HandleStyle, Piece, rules};

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
    ends
}

/// Grip of the first and handle of the last piece.
pub(super) fn chain_ends<'p>(chain: &[&'p Piece]) -> Option<(&'p Grip, &'p Handle)> {
    Some((chain.first()?.grip.as_ref()?, chain.last()?.handle.as_ref()?))
}

/// Whether a handle swings.
pub(super) fn is_swung_handle(handle: &Handle) -> bool {
    matches!(handle.style, HandleStyle::Ratchet | HandleStyle::Bar)
}
