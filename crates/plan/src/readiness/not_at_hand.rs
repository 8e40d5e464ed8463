//! Tools not at hand: special tools that the book names, and pieces that are owned but away.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{Gap, NotAtHandLine, ShoppingLine};
use model::{Book, MissKind, ObtainKind, Piece, PieceAbsence, SpecialToolId, Store};

use crate::scope::PlanScope;

/// Special tools and pieces not at hand, sorted by key.
pub(super) fn list_not_at_hand(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
    gaps: &[Gap],
) -> Vec<NotAtHandLine> {
    let mut all = pieces_away(store, book, scope, gaps);
    all.extend(special_not_at_hand(book, store, scope));
    all.sort_by(|a, b| a.key.cmp(&b.key).then_with(|| a.title.cmp(&b.title)));
    all
}

/// Shopping lines of the special tools that are not owned.
pub(super) fn special_tool_shopping(book: &Book, store: &Store, scope: &PlanScope) -> Vec<ShoppingLine> {
    let missing = special_tools_wanted(book, scope).into_keys().map(|id| &book.special_tools[id.index()]);
    missing
        .filter(|tool| absence_of_tool(store, &tool.key) == Some(PieceAbsence::NotOwned))
        .map(|tool| ShoppingLine {
            how: if tool.can_be_made { ObtainKind::Make } else { ObtainKind::Borrow },
            words: tool.specification.clone(),
            spec: None,
            closes: Vec::new(),
            unlocks: Vec::new(),
        })
        .collect()
}

/// Special tools of the scope's tasks, parts and ways between settings, with the keys that need them.
fn special_tools_wanted(book: &Book, scope: &PlanScope) -> BTreeMap<SpecialToolId, BTreeSet<String>> {
    let tasks = scope.tasks.iter().map(|id| book.task(*id)).map(|t| (&t.special_tools, &t.key));
    let parts = scope.parts.iter().map(|(id, _)| book.part(*id)).map(|p| (&p.special_tools, &p.key));
    let mut all: BTreeMap<SpecialToolId, BTreeSet<String>> = BTreeMap::new();
    let ways = scope.ways_taken.iter().map(|(id, way)| (book.setting(*id), *way));
    let ways = ways.map(|(setting, way)| (&setting.ways[way].special_tools, &setting.key));
    for (tools, key) in tasks.chain(parts).chain(ways) {
        for tool in tools {
            all.entry(*tool).or_default().insert(key.clone());
        }
    }
    all
}

fn special_not_at_hand(book: &Book, store: &Store, scope: &PlanScope) -> Vec<NotAtHandLine> {
    let line = |(id, by): (SpecialToolId, BTreeSet<String>)| {
        let tool = &book.special_tools[id.index()];
        Some(NotAtHandLine {
            key: tool.key.clone(),
            title: tool.title.clone(),
            state: absence_of_tool(store, &tool.key)?,
            wanted_by: by.into_iter().collect(),
        })
    };
    special_tools_wanted(book, scope).into_iter().filter_map(line).collect()
}

/// Why no piece that answers to a name is at hand; `None` if one is.
fn absence_of_tool(store: &Store, key: &str) -> Option<PieceAbsence> {
    let answering: Vec<&Piece> = store.pieces.iter().filter(|p| p.answers.iter().any(|a| a == key)).collect();
    if answering.iter().any(|p| p.at_hand() > 0) {
        return None;
    }
    Some(answering.iter().find(|p| p.count > 0).map_or(PieceAbsence::NotOwned, |p| p.absence()))
}

/// Pieces that would have done, were they not away, with the fixings that need them.
fn pieces_away(store: &Store, book: &Book, scope: &PlanScope, gaps: &[Gap]) -> Vec<NotAtHandLine> {
    let mut wanted: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    let mut want = |piece: &'_ str, fixing: &str| {
        let known = store.pieces.iter().find(|p| p.key == piece && p.at_hand() == 0);
        if let Some(known) = known {
            wanted.entry(known.key.as_str()).or_default().insert(fixing.to_owned());
        }
    };
    for gap in gaps.iter().filter(|g| g.kind == MissKind::Away) {
        gap.nearest.iter().for_each(|key| want(key, &gap.fixing));
    }
    for duty in scope.duties.iter().filter(|d| d.workings.is_empty()) {
        let miss = duty.miss.as_ref().filter(|m| m.kind == MissKind::Away);
        if let Some(piece) = miss.and_then(|m| store.pieces.get(m.piece?.index())) {
            want(&piece.key, &book.fixing(duty.duty.fixing).key);
        }
    }
    let line = |(key, by): (&str, BTreeSet<String>)| {
        let piece = store.pieces.iter().find(|p| p.key == key)?;
        Some(NotAtHandLine {
            key: piece.key.clone(),
            title: piece.title.clone(),
            state: piece.absence(),
            wanted_by: by.into_iter().collect(),
        })
    };
    wanted.into_iter().filter_map(line).collect()
}
