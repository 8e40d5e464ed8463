//! The kit as the plan prints it: pieces by cabinet, drawer and key, and the special tools.

use std::collections::BTreeSet;

use model::plan::{Kit, KitLine};
use model::{Book, PieceId, SpecialToolId, Stack, Store};

use super::{KitAnswer, doubt};
use crate::scope::PlanScope;

/// The kit of a plan; `used` gives the stack that each duty of the scope is done with in the end.
#[must_use]
pub fn kit_sheet(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
    answer: &KitAnswer,
    used: &[Option<&Stack>],
) -> Kit {
    let duties = |id: PieceId| {
        let uses = |s: &&Stack| s.pieces.contains(&id) || s.hold.contains(&id);
        used.iter().flatten().copied().filter(uses).count() as u32
    };
    let line = |(id, count): &(PieceId, u16)| {
        let piece = store.piece(*id);
        KitLine {
            piece: piece.key.clone(),
            title: piece.title.clone(),
            count: *count,
            place: piece.place.clone(),
            duties: duties(*id),
            rooms: doubt::rooms_only_with(scope, answer, used, *id),
        }
    };
    let mut pieces: Vec<KitLine> = answer.pieces.iter().map(line).collect();
    pieces.sort_by(|a, b| (&a.place, &a.piece).cmp(&(&b.place, &b.piece)));
    let named = |(tool, piece): (SpecialToolId, Option<PieceId>)| {
        Some((book.special_tools[tool.index()].key.clone(), store.piece(piece?).key.clone()))
    };
    let special = special_tools_needed(book, store, scope).into_iter().filter_map(named).collect();
    let doubt = doubt::kit_doubt(book, store, scope, answer, used);
    Kit { pieces, special, outcome: answer.outcome.clone(), doubt }
}

/// The special tools that the scope's tasks, parts and ways between settings name, by key, each with the first piece at hand that answers.
#[must_use]
pub fn special_tools_needed(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
) -> Vec<(SpecialToolId, Option<PieceId>)> {
    let tasks = scope.tasks.iter().flat_map(|t| &book.task(*t).special_tools);
    let parts = scope.parts.iter().flat_map(|(p, _)| &book.part(*p).special_tools);
    let ways = scope.ways_taken.iter().flat_map(|(id, way)| &book.setting(*id).ways[*way].special_tools);
    let tools: BTreeSet<SpecialToolId> = tasks.chain(parts).chain(ways).copied().collect();
    let answering = |tool: SpecialToolId| {
        let key = &book.special_tools[tool.index()].key;
        store.piece_ids().find(|p| store.piece(*p).at_hand() > 0 && store.piece(*p).answers.contains(key))
    };
    let mut found: Vec<_> = tools.into_iter().map(|t| (t, answering(t))).collect();
    found.sort_by(|a, b| book.special_tools[a.0.index()].key.cmp(&book.special_tools[b.0.index()].key));
    found
}
