//! Tools not at hand: special tools that the book names, and pieces that are owned but away.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{Gap, NotAtHand, ShoppingLine};
use model::{Book, MissKind, Obtain, Piece, SpecialToolId, Store};

use crate::scope::Scope;

const NOT_OWNED: &str = "not owned";
const LENT: &str = "lent out";
const CALIBRATION: &str = "out for calibration";

/// Special tools and pieces not at hand, sorted by key.
pub(super) fn not_at_hand(book: &Book, store: &Store, scope: &Scope, gaps: &[Gap]) -> Vec<NotAtHand> {
    let mut all = away(store, book, scope, gaps);
    all.extend(special(book, store, scope));
    all.sort_by(|a, b| a.key.cmp(&b.key).then_with(|| a.title.cmp(&b.title)));
    all
}

/// Shopping lines of the special tools that are not owned.
pub(super) fn shopping(book: &Book, store: &Store, scope: &Scope) -> Vec<ShoppingLine> {
    let missing = wanted(book, scope).into_keys().map(|id| &book.special_tools[id.index()]);
    missing
        .filter(|tool| state(store, &tool.key) == Some(NOT_OWNED))
        .map(|tool| ShoppingLine {
            how: if tool.can_be_made { Obtain::Make } else { Obtain::Borrow },
            words: tool.specification.clone(),
            spec: None,
            closes: Vec::new(),
            unlocks: Vec::new(),
        })
        .collect()
}

/// Special tools of the scope's tasks and parts, with the keys that want them.
fn wanted(book: &Book, scope: &Scope) -> BTreeMap<SpecialToolId, BTreeSet<String>> {
    let tasks = scope.tasks.iter().map(|id| book.task(*id)).map(|t| (&t.special_tools, &t.key));
    let parts = scope.parts.iter().map(|(id, _)| book.part(*id)).map(|p| (&p.special_tools, &p.key));
    let mut all: BTreeMap<SpecialToolId, BTreeSet<String>> = BTreeMap::new();
    for (tools, key) in tasks.chain(parts) {
        for tool in tools {
            all.entry(*tool).or_default().insert(key.clone());
        }
    }
    all
}

fn special(book: &Book, store: &Store, scope: &Scope) -> Vec<NotAtHand> {
    let line = |(id, by): (SpecialToolId, BTreeSet<String>)| {
        let tool = &book.special_tools[id.index()];
        Some(NotAtHand {
            key: tool.key.clone(),
            title: tool.title.clone(),
            state: state(store, &tool.key)?.to_owned(),
            wanted_by: by.into_iter().collect(),
        })
    };
    wanted(book, scope).into_iter().filter_map(line).collect()
}

/// Why no piece that answers to a name is at hand; `None` if one is.
fn state(store: &Store, key: &str) -> Option<&'static str> {
    let answering: Vec<&Piece> = store.pieces.iter().filter(|p| p.answers.iter().any(|a| a == key)).collect();
    if answering.iter().any(|p| p.at_hand() > 0) {
        return None;
    }
    Some(answering.iter().find(|p| p.count > 0).map_or(NOT_OWNED, |p| where_is(p)))
}

const fn where_is(piece: &Piece) -> &'static str {
    if piece.count == 0 {
        NOT_OWNED
    } else if piece.lent > 0 {
        LENT
    } else {
        CALIBRATION
    }
}

/// Pieces that would have done, were they not away, with the fixings that want them.
fn away(store: &Store, book: &Book, scope: &Scope, gaps: &[Gap]) -> Vec<NotAtHand> {
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
        Some(NotAtHand {
            key: piece.key.clone(),
            title: piece.title.clone(),
            state: where_is(piece).to_owned(),
            wanted_by: by.into_iter().collect(),
        })
    };
    wanted.into_iter().filter_map(line).collect()
}
