//! What stands open: one line for each question, with all fasteners that it is asked of, and looks at what is open only.

use crate::FoundViolations;
use crate::asked::subjects_to_ask;
use crate::case::PlanCase;
use model::plan::{OpenKind, OpenLine};
use model::{DriveForm, FixingId, ReachVerdict, tightening_verdict};
use std::collections::{BTreeMap, BTreeSet};

/// The question of a line: its kind, and the words that it has to name.
type OpenQuestion = (OpenKind, String);

/// What figures between two ends are called where nothing is assumed.
const IN_DOUBT_WORDS: &str = "figures of head or room that are in doubt";

/// J911: the questions that follow from verdicts, missing figures, supports and figures that something stands against.
pub(super) fn judge_open_lines(case: &PlanCase, found: &mut FoundViolations) {
    let mut said: Vec<&OpenLine> = case.plan.readiness.open.iter().collect();
    for ((kind, names), fixings) in wanted_questions(case) {
        let fasteners: usize = fixings.values().map(BTreeSet::len).sum();
        let mut keys: Vec<&str> = fixings.keys().map(|id| case.book.fixing(*id).key.as_str()).collect();
        keys.sort_unstable();
        let is_it = |line: &&OpenLine| {
            line.kind == kind
                && line.fasteners as usize == fasteners
                && line.fixings.iter().map(String::as_str).eq(keys.iter().copied())
                && line.words.to_lowercase().contains(&names.to_lowercase())
        };
        match said.iter().position(is_it) {
            Some(at) => _ = said.remove(at),
            None => {
                let words = format!(
                    "no open line asks ({}) about `{names}` for {fasteners} of {}",
                    kind.spoken_word(),
                    keys.join(", ")
                );
                found.add("J911", "readiness", words);
            }
        }
    }
    // What the trade asks is known by its subject; that each is asked is judged in `asked`.
    let subjects = subjects_to_ask(case);
    let is_subject = |line: &&OpenLine| {
        let names =
            |(kind, title): &(OpenKind, String)| *kind == line.kind && line.words.contains(title.as_str());
        let fixings = line.fixings.iter().filter_map(|key| case.book.fixing_by_key(key));
        let holes: usize = fixings.map(|id| case.book.fixing(id).holes.len()).sum();
        subjects.iter().any(names) && holes == line.fasteners as usize
    };
    for line in said.into_iter().filter(|line| !is_subject(line)) {
        found.add("J911", "readiness", format!("nothing asks for this line: {}", line.words));
    }
}

/// Every question with its fixings and their holes.
fn wanted_questions(case: &PlanCase) -> BTreeMap<OpenQuestion, BTreeMap<FixingId, BTreeSet<u16>>> {
    let mut asked: BTreeMap<OpenQuestion, BTreeMap<FixingId, BTreeSet<u16>>> = BTreeMap::new();
    let mut ask = |question: OpenQuestion, id: FixingId, holes: BTreeSet<u16>| {
        asked.entry(question).or_default().entry(id).or_default().extend(holes);
    };
    for (duty, holes) in case.duties.iter().zip(&case.holes) {
        let Some(duty) = duty.filter(|duty| duty.line.sure != ReachVerdict::Proven) else { continue };
        let doubts = case.book.reach_doubts(duty.id, duty.line.access);
        for figure in &doubts.not_known {
            ask((OpenKind::FigureNotKnown, (*figure).to_owned()), duty.id, holes.clone());
        }
        let rests_on: Vec<&str> = match (duty.line.sure, &doubts.assumed[..]) {
            (ReachVerdict::Likely, []) => vec![IN_DOUBT_WORDS],
            (ReachVerdict::Likely, assumed) => assumed.to_vec(),
            _ => Vec::new(),
        };
        for figure in rests_on {
            // Of a torque without a citation the line says just that.
            let uncited = figure == model::UNCITED_TORQUE_FIGURE;
            let names = if uncited { "tightening torque has no citation" } else { figure };
            ask((OpenKind::NotProven, names.to_owned()), duty.id, holes.clone());
        }
    }
    let all_holes = |id: FixingId| (0..case.book.fixing(id).holes.len() as u16).collect::<BTreeSet<u16>>();
    for id in case.fixings_off() {
        let fixing = case.book.fixing(id);
        if fixing.is_figure_missing() {
            ask(
                (OpenKind::TighteningMissing, String::from("tightening figure is missing")),
                id,
                all_holes(id),
            );
        }
        let verdict = tightening_verdict(case.book, fixing);
        let against = verdict.as_ref().and_then(|one| Some((one.standing(), one.against_words()?)));
        if let Some((standing, against)) = against {
            let names = format!("{}: {against}", standing.spoken_word());
            ask((OpenKind::AskFirst, names), id, all_holes(id));
        }
    }
    asked
}

/// J920: a look is at a fixing that is open, asks something, and settles no more than it has fasteners.
pub(super) fn judge_looks(case: &PlanCase, found: &mut FoundViolations) {
    for look in &case.plan.readiness.looks {
        let place = format!("look at `{}`", look.fixing);
        let Some(id) = case.book.fixing_by_key(&look.fixing) else {
            found.add("J102", place, format!("there is no fixing `{}`", look.fixing));
            continue;
        };
        let of = |duty: &&crate::case::DutyFacts| duty.id == id && duty.line.sure != ReachVerdict::Proven;
        if !case.duties.iter().flatten().any(|duty| of(&duty)) {
            found.add("J920", place.clone(), "everything about it is proven");
        }
        let fixing = case.book.fixing(id);
        if look.fasteners as usize != fixing.holes.len() {
            let words = format!("it has {} fasteners, the look says {}", fixing.holes.len(), look.fasteners);
            found.add("J920", place.clone(), words);
        }
        let is_more =
            |answer: &model::plan::LookAnswer| answer.settles.saturating_add(answer.helps) > look.fasteners;
        if look.answers.iter().any(is_more) {
            found.add("J920", place.clone(), "an answer settles more fasteners than there are");
        }
        if look.answers.is_empty() || look.question.is_empty() || look.seconds <= 0.0 {
            found.add("J920", place, "it asks nothing, has no answer or takes no time");
        }
    }
    let is_open = case.duties.iter().flatten().any(|duty| duty.line.sure == ReachVerdict::NotKnown);
    let sees_drive = case.duties.iter().flatten().any(|duty| duty.fixing.drive.form() == DriveForm::NotKnown);
    if is_open && sees_drive && case.plan.readiness.looks.is_empty() {
        found.add("J920", "readiness", "a drive is not known, and no look asks for it");
    }
}
