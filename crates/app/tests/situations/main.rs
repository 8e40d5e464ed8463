//! Situations from the bench, each a small book that says in remarks what must hold of its plan.
//!
//! | remark | what must hold |
//! |---|---|
//! | `# law: …` | laws of the order, see `laws`, with semicolons between them |
//! | `# wrong: a before b = J621` | the plan with the step of `a` moved before (`after`) that of `b` is refused by the judge with one of these codes |
//! | `# wrong: without a = J621` | the same with the step of `a` left out |
//! | `# ask: …` | the readiness sheet asks in these words, and says no *go* |
//! | `# says: …` | a step says so |
//! | `# refused: …` | there is no plan, for this reason |
//!
//! A book without `# ask:` is asked nothing by the trade. Each law names only events that happen, unless it says *never* by name.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[path = "../common/mod.rs"]
mod common;
mod laws;

use app::ask::{AskError, JudgedPlan};
use app::load;
use app::model::plan::{OpenKind, Plan, Step};
use app::model::{Book, Store};
use common::plan_all_tasks;
use laws::{LawEvent, break_of_law, events_of_plan, names_in};
use std::path::{Path, PathBuf};

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

/// A book with its remarks.
struct Situation {
    name: String,
    book: Book,
    remarks: Vec<(String, String)>,
}

impl Situation {
    fn remarks_of<'s>(&'s self, kind: &'s str) -> impl Iterator<Item = &'s str> {
        self.remarks.iter().filter(move |(k, _)| k == kind).map(|(_, text)| text.as_str())
    }
}

fn situations() -> Vec<Situation> {
    let folder = root("validation/worlds/situations");
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let read = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).unwrap();
        let remarks = text.lines().filter_map(|line| line.strip_prefix("# ")?.split_once(": "));
        let kinds = ["law", "wrong", "ask", "says", "refused"];
        let remarks = remarks.filter(|(kind, _)| kinds.contains(kind));
        let remarks = remarks.map(|(kind, text)| (kind.to_owned(), text.to_owned())).collect();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        match load::load_book(&path) {
            Ok(book) => Ok(Situation { name, book, remarks }),
            Err(error) => Err(format!("{name}: {error}")),
        }
    };
    let (read, faults): (Vec<_>, Vec<_>) = paths.into_iter().map(read).partition(Result::is_ok);
    let faults: Vec<String> = faults.into_iter().filter_map(Result::err).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    read.into_iter().filter_map(Result::ok).collect()
}

fn planned(book: &Book, store: &Store) -> Result<JudgedPlan, AskError> {
    plan_all_tasks(book, store, 2)
}

/// What does not hold of a situation.
fn faults_of(situation: &Situation, store: &Store) -> Vec<String> {
    let JudgedPlan { plan, violations } = match planned(&situation.book, store) {
        Ok(planned) => planned,
        Err(error) => {
            let error = error.to_string();
            let reasons: Vec<&str> = situation.remarks_of("refused").collect();
            let missing = reasons.iter().filter(|reason| !error.contains(**reason));
            return if reasons.is_empty() {
                vec![error]
            } else {
                missing.map(|m| format!("not `{m}`: {error}")).collect()
            };
        }
    };
    let mut faults: Vec<String> = violations.iter().map(|v| format!("the judge finds {v:?}")).collect();
    if situation.remarks_of("refused").next().is_some() {
        faults.push(String::from("a plan, where none is safe"));
    }
    let events = events_of_plan(&situation.book, &plan);
    for law in situation.remarks_of("law").flat_map(|line| line.split(';').map(str::trim)) {
        let unknown = names_in(law)
            .into_iter()
            .find(|name| !law.starts_with("never") && !events.iter().any(|e| e.name == *name));
        faults.extend(unknown.map(|name| format!("`{law}`: `{name}` never happens")));
        faults.extend(break_of_law(law, &situation.book, &events));
    }
    faults.extend(
        situation
            .remarks_of("wrong")
            .filter_map(|line| fault_of_wrong_plan(situation, store, &plan, &events, line)),
    );
    faults.extend(faults_of_questions(situation, &plan));
    let says = |words: &str| {
        plan.all_steps()
            .any(|step| step.text.contains(words) || step.cautions.iter().any(|c| c.text.contains(words)))
    };
    faults.extend(situation.remarks_of("says").filter(|w| !says(w)).map(|w| format!("no step says `{w}`")));
    if !faults.is_empty() {
        faults.extend(plan.all_steps().map(|s| format!("    {} {} {}", s.number, s.station, s.text)));
    }
    faults
}

fn faults_of_questions(situation: &Situation, plan: &Plan) -> Vec<String> {
    let ready = &plan.readiness;
    let asked: Vec<&str> = situation.remarks_of("ask").collect();
    let mut faults = Vec::new();
    for words in &asked {
        if !ready.open.iter().any(|line| line.words.contains(words)) {
            faults.push(format!(
                "nobody asks `{words}`: {:?}",
                ready.open.iter().map(|l| &l.words).collect::<Vec<_>>()
            ));
        }
    }
    if !asked.is_empty() && ready.go {
        faults.push(String::from("says go, and something is not told"));
    }
    let by_trade = |kind: OpenKind| matches!(kind, OpenKind::Support | OpenKind::TradeQuestion);
    let too_much = ready
        .open
        .iter()
        .filter(|line| by_trade(line.kind) && !asked.iter().any(|words| line.words.contains(words)));
    faults.extend(too_much.map(|line| format!("asks besides: {}", line.words)));
    faults
}

/// Moves or drops a step of a plan, and asks the judge.
fn fault_of_wrong_plan(
    situation: &Situation,
    store: &Store,
    plan: &Plan,
    events: &[LawEvent],
    line: &str,
) -> Option<String> {
    let (change, codes) = line.rsplit_once('=')?;
    let codes: Vec<&str> = codes.split('|').map(str::trim).collect();
    let step_of = |name: &str| events.iter().find(|e| e.name == name.trim()).map(|e| e.step);
    let mut wrong = plan.clone();
    let change = change.trim();
    let done = if let Some(name) = change.strip_prefix("without ") {
        step_of(name).map(|at| _ = take_step(&mut wrong, at))
    } else {
        let (sign, (name, other)) = change
            .split_once(" before ")
            .map(|pair| (0, pair))
            .or_else(|| Some((1, change.split_once(" after ")?)))?;
        step_of(name).zip(step_of(other)).map(|(from, to)| {
            let step = take_step(&mut wrong, from);
            put_step(&mut wrong, to + sign - usize::from(from < to), step);
        })
    };
    let Some(()) = done else { return Some(format!("`{line}`: no such step")) };
    let found = judge::judge_plan(&situation.book, store, &wrong);
    let is_found = found.iter().any(|v| codes.contains(&v.code));
    (!is_found)
        .then(|| format!("`{line}`: the judge finds {:?}", found.iter().map(|v| v.code).collect::<Vec<_>>()))
}

fn lists(plan: &mut Plan) -> [&mut Vec<Step>; 3] {
    [&mut plan.strip.steps, &mut plan.work.steps, &mut plan.refit.steps]
}

fn take_step(plan: &mut Plan, mut at: usize) -> Step {
    for list in lists(plan) {
        if at < list.len() {
            return list.remove(at);
        }
        at -= list.len();
    }
    panic!("no step {at}")
}

fn put_step(plan: &mut Plan, mut at: usize, step: Step) {
    for list in lists(plan) {
        if at <= list.len() {
            list.insert(at, step);
            return;
        }
        at -= list.len();
    }
}

#[test]
fn each_situation_is_planned_right_refused_wrong_and_asked_for_what_is_missing() {
    let store = load::load_store(&root("demo/store")).unwrap();
    let only = std::env::var("SITUATION").unwrap_or_default();
    let mut faults = Vec::new();
    let situations: Vec<Situation> = situations().into_iter().filter(|s| s.name.contains(&only)).collect();
    for situation in &situations {
        assert!(!situation.remarks.is_empty(), "{} says nothing", situation.name);
        faults.extend(
            faults_of(situation, &store).into_iter().map(|fault| format!("{}: {fault}", situation.name)),
        );
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(situations.len() > 40 || !only.is_empty(), "{} books", situations.len());
}
