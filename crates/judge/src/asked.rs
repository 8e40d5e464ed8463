//! What the trade asks by the kind of a part or a condition: is every question that nobody answered in the book on the sheet?
//!
//! Worked out again from the book and the way in alone. A question is known by its subject: an open line of its kind that names the
//! title of the part, condition or setting. The table of what is asked stands in docs/book-format.md, "What is asked".

use crate::FoundViolations;
use crate::case::PlanCase;
use model::plan::OpenKind;
use model::{
    Book, Condition, ConditionKind, Fixing, Need, Part, PartId, PartKind, SettingId, SettingKind, TaskKind,
    WorldRuleKind, WorldThing,
};
use std::collections::BTreeSet;

/// The most that one person lifts, kg (23 kg: US Army TM 5-2420-222-34 para 3-10).
const ONE_PERSON_KG: f64 = 23.0;

/// Title and kind of everything that has to be asked about.
pub(crate) fn subjects_to_ask(case: &PlanCase) -> BTreeSet<(OpenKind, String)> {
    let mut subjects = BTreeSet::new();
    for id in case.off.keys() {
        let part = case.book.part(*id);
        if lacks_support(case.book, *id) {
            subjects.insert((OpenKind::Support, part.title.clone()));
        }
        if let Some(bolt) = unheld_shaft_bolt(case.book, *id) {
            subjects.insert((OpenKind::TradeQuestion, bolt.title.clone()));
        }
        if is_part_untold(case, *id) {
            subjects.insert((OpenKind::TradeQuestion, part.title.clone()));
        }
    }
    let mut ask = |title: &str| _ = subjects.insert((OpenKind::TradeQuestion, title.to_owned()));
    for condition in case.conditions.iter().map(|id| case.book.condition(*id)) {
        if is_condition_untold(condition) {
            ask(&condition.title);
        }
    }
    for task in case.tasks.iter().map(|id| case.book.task(*id)).filter(|t| t.kind == TaskKind::Reseal) {
        let parts: Vec<&Part> = task.needs.iter().filter_map(|need| part_of_need(case.book, *need)).collect();
        let is_told = |part: &&Part| !(part.refit_waits.is_empty() && part.renew_with.is_empty());
        if let Some(first) = parts.first().filter(|_| !parts.iter().any(is_told)) {
            ask(&first.title);
        }
    }
    for (at, setting) in case.book.settings.iter().enumerate() {
        let is_taken =
            case.plan.all_steps().any(|step| step.sets.iter().any(|set| set.setting == setting.key));
        if is_taken && stands_unruled(case.book, SettingId::new(at)) {
            ask(&setting.title);
        }
    }
    subjects
}

/// J912: what nobody told is asked.
pub(crate) fn judge_asked(case: &PlanCase, found: &mut FoundViolations) {
    for (kind, title) in subjects_to_ask(case) {
        let open = &case.plan.readiness.open;
        if !open.iter().any(|line| line.kind == kind && line.words.contains(&title)) {
            let what = match kind {
                OpenKind::Support => "what holds the weight",
                _ => "what the trade wants to know",
            };
            found.add("J912", "readiness", format!("nobody told {what} of `{title}`, and no open line asks"));
        }
    }
}

fn part_of_need(book: &Book, need: Need) -> Option<&Part> {
    match need {
        Need::Off(part) => Some(book.part(part)),
        Need::Condition(_) => None,
    }
}

/// "Right engine mounting, upper half" as " right engine mounting ".
fn padded(title: &str) -> String {
    let lower = title.to_lowercase();
    let head = lower.split(',').next().unwrap_or_default();
    let spaced: String = head.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    format!(" {} ", spaced.split_whitespace().collect::<Vec<_>>().join(" "))
}

fn says(title: &str, words: &[&str]) -> bool {
    let title = padded(title);
    words.iter().any(|word| title.contains(&format!(" {word} ")))
}

/// Whether something that carries or weighs comes off and nothing tells what holds it.
fn lacks_support(book: &Book, id: PartId) -> bool {
    let part = book.part(id);
    let is_ruled = book.rules.iter().any(|rule| {
        let WorldRuleKind::AtLeastOne(needs) = &rule.kind else { return false };
        let others = needs.iter().filter(|need| match need.thing {
            WorldThing::Part(other) => book.part(other).kind != Some(PartKind::Mounting) && other != id,
            WorldThing::Setting(_) => true,
        });
        others.count() > 0 && needs.iter().any(|need| need.thing == WorldThing::Part(id))
    });
    if is_ruled {
        return false;
    }
    let carrying = ["mounting", "mountings", "mount", "mounts", "subframe", "crossmember", "bearer"];
    let heavy = ["engine", "gearbox", "transmission", "axle", "cylinder head", "flywheel", "cross member"];
    let is_large = |id: model::FixingId| book.fixing(id).screw_thread().is_some_and(|t| t.d_mm() >= 12.0);
    let hangs = part.mass.ends().is_none() && book.fixings_of(id).any(is_large);
    let carries = part.kind.is_none() && (says(&part.title, &carrying) || hangs);
    if part.kind == Some(PartKind::Mounting) || carries {
        return true;
    }
    let title = padded(&part.title);
    let is_called_heavy = heavy.iter().any(|end| title.trim_end().ends_with(end));
    !part.helper
        && match part.mass.ends() {
            Some((low, _)) => low.as_kg() >= ONE_PERSON_KG,
            None => part.kind.is_none() && is_called_heavy,
        }
}

/// The one bolt of a shaft, of which nothing tells what keeps the shaft from turning.
fn unheld_shaft_bolt(book: &Book, id: PartId) -> Option<&Fixing> {
    let part = book.part(id);
    if !part.special_tools.is_empty() || !part.world.taking_off.is_untold() {
        return None;
    }
    book.fixings_of(id).map(|fixing| book.fixing(fixing)).find(|fixing| {
        let title = padded(&fixing.title);
        let shafts = ["crank", "crankshaft", "cam", "camshaft", "damper"];
        let carried = ["", "pulley ", "sprocket ", "gear ", "hub ", "damper ", "wheel "];
        let is_shaft = shafts.iter().any(|shaft| {
            let ends = |what: &str, end: &str| title.contains(&format!(" {shaft} {what}{end} "));
            carried.iter().any(|what| ["bolt", "screw", "nut"].iter().any(|end| ends(what, end)))
        });
        let is_told = !fixing.world.loosening.is_untold() && !fixing.world.tightening.is_untold();
        let is_held = fixing.accesses.iter().any(|access| access.counter_hold.is_some());
        is_shaft && fixing.holes.len() == 1 && fixing.drive.is_turned() && !(is_told || is_held)
    })
}

/// Whether a part of a kind that the trade asks about tells nothing of it.
fn is_part_untold(case: &PlanCase, id: PartId) -> bool {
    let book = case.book;
    let part = book.part(id);
    let sealed = part.renew_with.iter().any(|supply| says(&supply.name, &["sealant"]));
    if sealed && part.refit_waits.is_empty() {
        return true;
    }
    let conditions = part.needs.iter().filter_map(|need| match need {
        Need::Condition(id) => Some(book.condition(*id)),
        Need::Off(_) => None,
    });
    let conditions: Vec<&Condition> = conditions.collect();
    match part.kind {
        Some(PartKind::Belt) => {
            let mut tasks = case.tasks.iter().map(|task| book.task(*task));
            let acts = &part.world;
            conditions.is_empty()
                && acts.taking_off.is_untold()
                && acts.setting_on.is_untold()
                && !case.off.keys().any(|other| crate::kinds::is_tensioner_of(case, *other, id))
                && tasks.all(|t| t.world.needs.iter().all(|need| need.thing != WorldThing::Part(id)))
        }
        Some(PartKind::Drain) => {
            let drains = |c: &Condition| c.kind == ConditionKind::Drained;
            let after = case.conditions.iter().map(|c| book.condition(*c));
            !conditions.iter().any(|c| drains(c))
                && !after.filter(|c| drains(c)).any(|c| c.needs.contains(&Need::Off(id)))
        }
        Some(PartKind::Pump) => {
            let is_drained = |c: &Condition| c.kind == ConditionKind::Drained;
            part.world.taking_off.is_untold() && !book.conditions.iter().any(is_drained)
        }
        Some(PartKind::Pipe | PartKind::Hose | PartKind::Union) => book.openings.is_empty(),
        Some(PartKind::Wheel) => book.fixings_of(id).any(|fixing| {
            let world = &book.fixing(fixing).world;
            world.loosening.is_untold() || world.tightening.is_untold()
        }),
        _ => false,
    }
}

fn is_condition_untold(condition: &Condition) -> bool {
    let lapses = says(&condition.title, &["pressure", "airbag", "voltage", "restraint"]);
    let is_timed = condition.hold_up.as_s() > 0.0 || !condition.making.is_untold();
    match condition.kind {
        ConditionKind::Drained => condition.restore.is_none(),
        ConditionKind::Isolated => lapses && !is_timed,
        ConditionKind::Waited | ConditionKind::Set => false,
    }
}

/// Whether a support stands on the floor below a lift that may move while it carries.
fn stands_unruled(book: &Book, id: SettingId) -> bool {
    let setting = book.setting(id);
    let on_floor = says(&setting.title, &["jack", "stand", "stands", "trestle", "trestles"]);
    let is_lift = |other: &model::Setting| other.kind == SettingKind::Lift;
    let is_still = book.rules.iter().any(|rule| match &rule.kind {
        WorldRuleKind::StaysStill(still) => {
            still.iter().any(|s| is_lift(book.setting(*s)))
                && rule.during.iter().any(|need| need.thing == WorldThing::Setting(id))
        }
        WorldRuleKind::AtLeastOne(_) | WorldRuleKind::NeverTogether(_) => false,
    });
    setting.kind == SettingKind::Support && on_floor && book.settings.iter().any(is_lift) && !is_still
}
