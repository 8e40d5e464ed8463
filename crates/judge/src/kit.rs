//! Kit: does every stack lie on the cart, and is everything on the cart owned, at hand and where the plan says?

use crate::case::PlanCase;
use crate::{FoundViolations, kit_doubt};
use std::collections::{BTreeMap, BTreeSet};

/// J501 stacks inside the kit, J502 at hand, J503 places, J504 doubles, J505 special tools, J506 uses.
pub(crate) fn judge_kit(case: &PlanCase, found: &mut FoundViolations) {
    let mut counts = BTreeMap::new();
    for line in &case.plan.kit.pieces {
        let place = format!("kit line `{}`", line.piece);
        let Some(id) = case.store.piece_by_key(&line.piece) else {
            found.add("J102", place, format!("there is no piece `{}`", line.piece));
            continue;
        };
        let piece = case.store.piece(id);
        if line.count > piece.at_hand() {
            found.add("J502", place.clone(), format!("{} needed, {} at hand", line.count, piece.at_hand()));
        }
        if line.place != piece.place {
            found.add("J503", place.clone(), "the piece is kept elsewhere");
        }
        if counts.insert(id, usize::from(line.count)).is_some() {
            found.add("J504", place.clone(), "the piece is listed twice");
        }
        judge_piece_uses(case, id, line.duties, &place, found);
    }
    for (id, stack) in &case.stacks {
        let pieces: BTreeSet<_> = stack.all_pieces().collect();
        for piece in pieces {
            let used = stack.all_pieces().filter(|p| *p == piece).count();
            if used > counts.get(&piece).copied().unwrap_or(0) {
                let key = &case.store.piece(piece).key;
                found.add(
                    "J501",
                    format!("stack {id}"),
                    format!("`{key}` is not in the kit as often as it is used"),
                );
            }
        }
    }
    judge_special_tools(case, found);
    kit_doubt::judge_kit_doubt(case, found);
}

fn judge_piece_uses(
    case: &PlanCase,
    id: model::PieceId,
    said: u32,
    place: &str,
    found: &mut FoundViolations,
) {
    let in_use = case.duties.iter().flatten().filter_map(|d| case.stack_by_id(d.line.stack.as_ref()));
    let count = in_use.filter(|s| s.all_pieces().any(|p| p == id)).count();
    if count != said as usize {
        found.add("J506", place, format!("{count} duties use it, the plan says {said}"));
    }
}

fn judge_special_tools(case: &PlanCase, found: &mut FoundViolations) {
    for (tool, piece) in &case.plan.kit.special {
        let place = format!("special tool `{tool}`");
        let answers = case.store.piece_by_key(piece).map(|id| case.store.piece(id));
        if !answers.is_some_and(|p| p.answers.contains(tool) && p.at_hand() > 0) {
            found.add("J505", place.clone(), format!("`{piece}` does not replace it or is not at hand"));
        }
        if !case.book.special_tools.iter().any(|t| t.key == *tool) {
            found.add("J102", place, "the book names no such tool");
        }
    }
}
