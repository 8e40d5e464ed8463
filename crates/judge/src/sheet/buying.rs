//! What is not at hand and what to buy, borrow or make: every tool that a book names and nobody owns, and for every gap a line that closes it.

use crate::FoundViolations;
use crate::case::PlanCase;
use crate::texts::figures_in;
use model::plan::{Gap, ShoppingLine};
use model::{MissKind, ObtainKind, PieceAbsence, PieceKind, PieceSpec, SpecialTool, SpecialToolId};
use std::collections::{BTreeMap, BTreeSet};

/// Each special tool that is wanted with the keys that want it.
fn wanted_tools<'a>(
    case: &PlanCase<'a>,
    of_ways: &BTreeSet<SpecialToolId>,
) -> BTreeMap<SpecialToolId, BTreeSet<&'a str>> {
    let book = case.book;
    let tasks = case.tasks.iter().map(|id| book.task(*id)).map(|task| (&task.special_tools, &task.key));
    let parts = case.off.keys().map(|id| book.part(*id)).map(|part| (&part.special_tools, &part.key));
    let mut wanted: BTreeMap<SpecialToolId, BTreeSet<&str>> = BTreeMap::new();
    for (tools, key) in tasks.chain(parts) {
        tools.iter().for_each(|tool| _ = wanted.entry(*tool).or_default().insert(key));
    }
    for setting in &book.settings {
        for tool in
            setting.ways.iter().flat_map(|way| &way.special_tools).filter(|tool| of_ways.contains(tool))
        {
            wanted.entry(*tool).or_default().insert(&setting.key);
        }
    }
    wanted
}

/// Why nothing at hand answers to a special tool; `None` where something does.
fn absence_of_tool(case: &PlanCase, tool: &SpecialTool) -> Option<PieceAbsence> {
    let answers = case.store.pieces.iter().filter(|piece| piece.answers.contains(&tool.key));
    let (mut owned, mut at_hand) = (None, false);
    for piece in answers {
        at_hand |= piece.at_hand() > 0;
        owned = owned.or_else(|| (piece.count > 0).then(|| piece.absence()));
    }
    (!at_hand).then(|| owned.unwrap_or(PieceAbsence::NotOwned))
}

/// J915: special tools that nothing at hand answers to, and pieces that would do were they at hand; each with why and for what.
pub(super) fn judge_not_at_hand(
    case: &PlanCase,
    of_ways: &BTreeSet<SpecialToolId>,
    found: &mut FoundViolations,
) {
    type AwayFacts<'a> = (&'a str, PieceAbsence, BTreeSet<&'a str>);
    let mut wanted: BTreeMap<&str, AwayFacts> = BTreeMap::new();
    for (id, by) in wanted_tools(case, of_ways) {
        let tool = &case.book.special_tools[id.index()];
        if let Some(absence) = absence_of_tool(case, tool) {
            wanted.insert(&tool.key, (&tool.title, absence, by));
        }
    }
    for gap in case.plan.readiness.gaps.iter().filter(|gap| gap.kind == MissKind::Away) {
        let nearest = gap.nearest.iter().filter_map(|key| case.store.piece_by_key(key));
        for piece in nearest.map(|id| case.store.piece(id)).filter(|piece| piece.at_hand() == 0) {
            let facts = (piece.title.as_str(), piece.absence(), BTreeSet::new());
            wanted.entry(&piece.key).or_insert(facts).2.insert(&gap.fixing);
        }
    }
    for line in &case.plan.readiness.not_at_hand {
        let place = format!("not at hand: `{}`", line.key);
        let Some((title, state, by)) = wanted.remove(line.key.as_str()) else {
            // A piece that is away may have been missed by the nearest stack of a gap; it is really away.
            let piece = case.store.piece_by_key(&line.key).map(|id| case.store.piece(id));
            let is_away = piece.is_some_and(|piece| {
                piece.at_hand() == 0 && piece.absence() == line.state && piece.title == line.title
            });
            let is_gap = |key: &String| case.plan.readiness.gaps.iter().any(|gap| gap.fixing == *key);
            if !is_away || line.wanted_by.is_empty() || !line.wanted_by.iter().all(is_gap) {
                found.add("J915", place, "it is at hand, wanted by nothing, or listed twice");
            }
            continue;
        };
        let said: BTreeSet<&str> = line.wanted_by.iter().map(String::as_str).collect();
        if title != line.title || state != line.state || !by.is_subset(&said) {
            let by = by.into_iter().collect::<Vec<_>>().join(", ");
            found.add("J915", place, format!("is {title}, {}, wanted by {by}", state.spoken_word()));
        } else if case.book.special_tools.iter().any(|tool| tool.key == line.key) && by != said {
            found.add("J915", place, "is told as wanted by what does not want it");
        }
    }
    for key in wanted.keys() {
        found.add("J915", format!("not at hand: `{key}`"), "is not at hand, and the sheet does not say so");
    }
}

/// J916: every gap is closed by a line whose piece answers to it, and every special tool that nobody owns is to be got.
pub(super) fn judge_shopping(
    case: &PlanCase,
    of_ways: &BTreeSet<SpecialToolId>,
    found: &mut FoundViolations,
) {
    let ready = &case.plan.readiness;
    let mut closed: BTreeSet<usize> = BTreeSet::new();
    for line in &ready.shopping {
        let place = format!("shopping: {}", line.words);
        match &line.spec {
            Some(spec) => judge_bought_piece(&ready.gaps, line, spec, &place, found),
            None if line.closes.is_empty() && line.unlocks.is_empty() => {}
            None => found.add("J916", place.clone(), "a special tool closes no gap"),
        }
        let unlocked = unlocked_fixings(&ready.gaps, &line.closes);
        if line.unlocks.iter().map(String::as_str).ne(unlocked.iter().copied()) {
            let words = format!("unlocks `{}`, not `{}`", unlocked.join(", "), line.unlocks.join(", "));
            found.add("J916", place, words);
        }
        closed.extend(&line.closes);
    }
    for (at, gap) in ready.gaps.iter().enumerate().filter(|(at, _)| !closed.contains(at)) {
        let words = format!("nothing on the list closes gap {at} ({} of `{}`)", gap.act, gap.fixing);
        found.add("J916", "shopping", words);
    }
    judge_tools_to_get(case, of_ways, found);
}

/// The piece of a line answers to what each of its gaps wants, and its words give its figures.
fn judge_bought_piece(
    gaps: &[Gap],
    line: &ShoppingLine,
    spec: &PieceSpec,
    place: &str,
    found: &mut FoundViolations,
) {
    if line.closes.is_empty() {
        found.add("J916", place, "it closes no gap");
    }
    for gap in line.closes.iter().filter_map(|at| gaps.get(*at)) {
        if !does_answer(spec, &gap.wanted) {
            let words = format!("it does not answer to what {} of `{}` wants", gap.act, gap.fixing);
            found.add("J916", place, words);
        }
    }
    if line.how != spec.how || line.words != spec.words {
        found.add("J916", place, "the words or the way of getting it are not those of its specification");
    }
    let bare = |spec: &PieceSpec| PieceSpec { words: String::new(), ..spec.clone() };
    let closed = line.closes.iter().filter_map(|at| gaps.get(*at));
    let alike: Vec<&Gap> = closed.filter(|gap| bare(&gap.wanted) == bare(spec)).collect();
    // Two pieces of one specification may differ in what it does not tell: a ratchet and a longer one.
    if !alike.is_empty() && alike.iter().all(|gap| gap.wanted.words != line.words) {
        found.add("J916", place, "the words are not those of a gap that asks for just this piece");
    }
    let size = spec.drive.map(|drive| figures_in(&drive.to_string())).unwrap_or_default();
    let said = figures_in(&line.words);
    if spec.how != ObtainKind::Borrow && size.iter().any(|figure| !said.contains(figure)) {
        found.add("J916", place, "the words do not give the size of the drive");
    }
}

/// Whether a piece by one specification does what another asks for.
fn does_answer(spec: &PieceSpec, wanted: &PieceSpec) -> bool {
    let at_least =
        |has: Option<f64>, asks: Option<f64>| asks.is_none_or(|asks| has.is_some_and(|has| has >= asks));
    let at_most =
        |has: Option<f64>, asks: Option<f64>| asks.is_none_or(|asks| has.is_some_and(|has| has <= asks));
    let is_torque = matches!(spec.kind, PieceKind::TorqueWrench | PieceKind::TorqueScrewdriver);
    let torque_agrees = if is_torque {
        spec.torque_n_m == wanted.torque_n_m
    } else {
        at_least(spec.torque_n_m, wanted.torque_n_m)
    };
    (spec.kind, spec.drive, spec.link, spec.how) == (wanted.kind, wanted.drive, wanted.link, wanted.how)
        && at_least(spec.min_length_mm, wanted.min_length_mm)
        && at_most(spec.max_length_mm, wanted.max_length_mm)
        && at_most(spec.max_diameter_mm, wanted.max_diameter_mm)
        && at_most(spec.max_step_deg, wanted.max_step_deg)
        && at_least(spec.bend_deg, wanted.bend_deg)
        && torque_agrees
        && (spec.retention || !wanted.retention)
}

/// Fixings that have no gap left once some are closed, sorted.
fn unlocked_fixings<'g>(gaps: &'g [Gap], closes: &[usize]) -> Vec<&'g str> {
    let touched: BTreeSet<&str> = closes.iter().filter_map(|at| gaps.get(*at)).map(|g| &*g.fixing).collect();
    let is_left =
        |fixing: &str| gaps.iter().enumerate().any(|(at, gap)| gap.fixing == fixing && !closes.contains(&at));
    touched.into_iter().filter(|fixing| !is_left(fixing)).collect()
}

fn judge_tools_to_get(case: &PlanCase, of_ways: &BTreeSet<SpecialToolId>, found: &mut FoundViolations) {
    let mut left: Vec<&ShoppingLine> =
        case.plan.readiness.shopping.iter().filter(|l| l.spec.is_none()).collect();
    for id in wanted_tools(case, of_ways).into_keys() {
        let tool = &case.book.special_tools[id.index()];
        if absence_of_tool(case, tool) != Some(PieceAbsence::NotOwned) {
            continue;
        }
        let how = if tool.can_be_made { ObtainKind::Make } else { ObtainKind::Borrow };
        match left.iter().position(|line| line.words == tool.specification && line.how == how) {
            Some(at) => _ = left.remove(at),
            None => {
                let words = format!("special tool `{}` is not owned, and not on the list", tool.key);
                found.add("J916", "shopping", words);
            }
        }
    }
    for line in left {
        found.add("J916", "shopping", format!("nothing asks for `{}`", line.words));
    }
}
