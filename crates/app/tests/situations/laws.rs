//! Laws of an order of events, as the situations write them, told from the steps of a plan alone.
//!
//! | law | met when |
//! |---|---|
//! | `a, b < c < d` | before the first `c` stand an `a` and a `b`, before the first `d` a `c`; no law where the later one never happens |
//! | `a > b < c`, `a > b` | after each `a` a `b` comes before the next `c`; after the last `a` comes a `b` |
//! | `a @ S=v\|w & T=x`, `a !@ S=v` | at every `a` all these hold; this does not |
//! | `n of {S=v, T=w}` | at every moment at least n hold |
//! | `never S=v & T=w`, `still S while T=v` | never both; S does not change while |
//! | `end S=v, T=w`, `once a` | at the end; exactly once |

use app::model::plan::{Plan, Step, StepKind};
use app::model::{Act, Book, PartStanding};
use std::collections::BTreeMap;

/// What is so: settings, parts (`on`, `loose`, `off`, `held`), `place`.
pub type LawState = BTreeMap<String, Vec<String>>;

/// One event with what was so before it and what is so after it.
pub struct LawEvent {
    pub name: String,
    /// Position of its step among all steps.
    pub step: usize,
    before: LawState,
    after: LawState,
}

/// The events of a plan in order.
pub fn events_of_plan(book: &Book, plan: &Plan) -> Vec<LawEvent> {
    let mut state = start_state(book);
    let mut events = Vec::new();
    let steps: Vec<&Step> = plan.all_steps().collect();
    let closing = last_closing_steps(&steps);
    for (at, step) in steps.iter().enumerate().filter(|(_, step)| step.kind != StepKind::Wait) {
        // Where a step is worked counts as so before it.
        state.insert(String::from("place"), vec![plain(&step.station)]);
        let before = state.clone();
        for (setting, value) in step.sets.iter().map(|set| (&set.setting, &set.value)) {
            state.insert(setting.clone(), vec![plain(value)]);
        }
        if let Some(part) = &step.part {
            let standing = match step.kind {
                StepKind::Undo => Some(PartStanding::Loose),
                StepKind::Remove => Some(PartStanding::Off),
                _ if closing.get(part) == Some(&at) => Some(PartStanding::Held),
                StepKind::Refit => Some(PartStanding::Loose),
                _ => None,
            };
            if let Some(standing) = standing {
                let on = if standing == PartStanding::Off { vec![] } else { vec![String::from("on")] };
                let word = standing.file_word().to_owned();
                state.insert(part.clone(), on.into_iter().chain([word]).collect());
            }
        }
        for name in names_of_step(plan, step) {
            events.push(LawEvent { name, step: at, before: before.clone(), after: state.clone() });
        }
    }
    events
}

fn start_state(book: &Book) -> LawState {
    let settings = book.settings.iter().map(|s| (s.key.clone(), vec![plain(s.word(s.start))]));
    let held = || vec![String::from("on"), String::from("held")];
    settings.chain(book.parts.iter().map(|part| (part.key.clone(), held()))).collect()
}

/// The last step of each part that sets it in place, runs in or tightens.
fn last_closing_steps(steps: &[&Step]) -> BTreeMap<String, usize> {
    let closes = |step: &Step| matches!(step.kind, StepKind::Refit | StepKind::RunIn | StepKind::Tighten);
    let closing = steps.iter().enumerate().filter(|(_, step)| closes(step));
    closing.filter_map(|(at, step)| Some((step.part.clone()?, at))).collect()
}

/// A word of a law: no blanks.
fn plain(words: &str) -> String {
    words.replace(' ', "-")
}

fn names_of_step(plan: &Plan, step: &Step) -> Vec<String> {
    let mut verbs: Vec<&str> = Vec::new();
    match step.kind {
        StepKind::Set | StepKind::Wait | StepKind::Extra => {}
        StepKind::Undo => {
            let does = |act: Act| step.actions.iter().any(|action| plan.duties[action.duty].act == act);
            verbs.extend(
                [(Act::Free, "loosen"), (Act::RunOut, "out")].iter().filter(|(a, _)| does(*a)).map(|v| v.1),
            );
        }
        StepKind::Remove => verbs.push("off"),
        StepKind::Cap => verbs.push("cap"),
        StepKind::Uncap => verbs.push("uncap"),
        StepKind::Refit => verbs.push("on"),
        StepKind::RunIn => verbs.push("in"),
        StepKind::Tighten => verbs.push("tight"),
        StepKind::Open | StepKind::Drain => verbs.push("made"),
        StepKind::Fill | StepKind::Restore => verbs.push("undone"),
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => verbs.push("done"),
    }
    let mut names: Vec<String> = Vec::new();
    let subjects =
        step.part.iter().chain(&step.fixings).chain(&step.condition).chain(&step.opening).chain(&step.task);
    for subject in subjects {
        names.extend(verbs.iter().map(|verb| format!("{subject}.{verb}")));
    }
    names.extend(step.sets.iter().map(|set| format!("{}={}", set.setting, plain(&set.value))));
    names
}

/// What breaks a law; nothing where it is kept.
pub fn break_of_law(law: &str, book: &Book, events: &[LawEvent]) -> Option<String> {
    let states = || core::iter::once(start_state(book)).chain(events.iter().map(|e| e.after.clone()));
    let broken = |is_so: bool| is_so.then(|| format!("`{law}` is broken"));
    if let Some(facts) = law.strip_prefix("never ") {
        return broken(states().any(|state| all_hold(facts, &state)));
    }
    if let Some(rest) = law.strip_prefix("still ") {
        let (setting, during) = rest.split_once(" while ")?;
        let moved = |e: &LawEvent| e.before.get(setting) != e.after.get(setting);
        return broken(events.iter().any(|e| moved(e) && all_hold(during, &e.before)));
    }
    if let Some(facts) = law.strip_prefix("end ") {
        return broken(
            !states().last().is_some_and(|state| facts.split(',').all(|fact| all_hold(fact, &state))),
        );
    }
    if let Some(name) = law.strip_prefix("once ") {
        return broken(events.iter().filter(|e| e.name == name).count() != 1);
    }
    if let Some((count, facts)) = law.split_once(" of ") {
        let count: usize = count.trim().parse().ok()?;
        let facts: Vec<&str> = facts.trim().trim_matches(['{', '}']).split(',').collect();
        let held = |state: &LawState| facts.iter().filter(|fact| all_hold(fact, state)).count();
        return broken(states().any(|state| held(&state) < count));
    }
    if let Some((names, facts)) = law.split_once("!@") {
        return broken(happening(names, events).any(|e| all_hold(facts, &e.before)));
    }
    if let Some((names, facts)) = law.split_once('@') {
        return broken(happening(names, events).any(|e| !all_hold(facts, &e.before)));
    }
    broken(if law.contains('>') { !is_followed(law, events) } else { !is_in_order(law, events) })
}

/// The events that a law names.
pub fn names_in(law: &str) -> Vec<String> {
    let words = law.split(|c: char| " ,<>@!&{}|;".contains(c)).filter(|word| word.contains('.'));
    words.map(str::to_owned).collect()
}

fn happening<'e>(names: &'e str, events: &'e [LawEvent]) -> impl Iterator<Item = &'e LawEvent> {
    events.iter().filter(move |e| names.split(',').any(|name| name.trim() == e.name))
}

fn all_hold(facts: &str, state: &LawState) -> bool {
    facts.split('&').all(|fact| {
        let Some((thing, values)) = fact.trim().split_once('=') else { return false };
        let is = state.get(thing);
        values.split('|').any(|value| is.is_some_and(|is| is.iter().any(|word| word == value)))
    })
}

fn is_in_order(law: &str, events: &[LawEvent]) -> bool {
    let groups: Vec<Vec<&str>> = law.split('<').map(|g| g.split(',').map(str::trim).collect()).collect();
    let first = |name: &str| events.iter().position(|e| e.name == name);
    groups.windows(2).all(|pair| {
        pair[1]
            .iter()
            .filter_map(|name| first(name))
            .all(|later| pair[0].iter().all(|name| first(name).is_some_and(|earlier| earlier < later)))
    })
}

fn is_followed(law: &str, events: &[LawEvent]) -> bool {
    let Some((first, rest)) = law.split_once('>') else { return false };
    let (then, next) = rest.split_once('<').map_or((rest, None), |(then, next)| (then, Some(next.trim())));
    let (first, then) = (first.trim(), then.trim());
    let at = |name: &str| {
        events.iter().enumerate().filter(move |(_, e)| e.name == name).map(|(at, _)| at).collect::<Vec<_>>()
    };
    let (firsts, thens) = (at(first), at(then));
    match next {
        None => firsts.last().is_none_or(|last| thens.iter().any(|then| then > last)),
        Some(next) => at(next).into_iter().all(|next| {
            firsts
                .iter()
                .rfind(|f| **f < next)
                .is_none_or(|first| thens.iter().any(|t| t > first && *t < next))
        }),
    }
}
