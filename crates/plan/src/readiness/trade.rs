//! What the trade asks of a part or a condition by its kind where the book tells nothing: who was never told does not know.
//!
//! | what comes off or is made | asked unless told |
//! |---|---|
//! | a mounting | what holds the engine meanwhile: a rule that one of several holds, this part among them |
//! | a part of no kind that is called a mounting, a subframe, a gearbox …, or hangs on bolts from M12 on | whether it carries, and what holds it |
//! | a part above [`ONE_PERSON_KG`] | a helper, or a support |
//! | a belt | its route and its tension: a tensioner in the way, a condition, acts or a task that say something of it |
//! | a drain, a drained condition, a pump where nothing is drained | what runs out, what closes and fills it again |
//! | a pipe, hose or union | its open ends, in a book that tells no opening at all |
//! | a wheel | the height at which its bolts are broken loose and tightened |
//! | the one bolt of a shaft | what holds the shaft |
//! | sealant | its times |
//! | a pressure, an airbag, a high voltage made dead | how long, or by which reading |
//! | a jack or stands below a lift | that the lift stays still |
//!
//! The kind `other` is an answer as well. Common practice, no single source, but for the mass: what one person lifts.

use model::plan::{OpenKind, OpenLine};
use model::{
    Book, Condition, ConditionKind, FixingId, Need, Part, PartId, PartKind, SettingKind, TaskKind,
    WorldRuleKind, WorldThing,
};

use crate::course::tension::has_tensioner;
use crate::scope::PlanScope;
use crate::words::mass_words;

/// The most that one person lifts, kg (23 kg: US Army TM 5-2420-222-34 para 3-10).
const ONE_PERSON_KG: f64 = 23.0;
/// Bolts from here on carry something (common practice, no single source).
const CARRYING_BOLT_MM: f64 = 12.0;
/// Words of a title that speak of carrying.
const CARRYING_WORDS: [&str; 7] =
    ["mounting", "mountings", "mount", "mounts", "subframe", "crossmember", "bearer"];
/// Ends of a title that speak of a weight.
const HEAVY_ENDS: [&str; 7] =
    ["engine", "gearbox", "transmission", "axle", "cylinder head", "flywheel", "cross member"];
/// Words of a fastener that sits in a shaft's end; those of the crank first.
const SHAFT_WORDS: [&str; 5] = ["crank", "crankshaft", "cam", "camshaft", "damper"];
/// Words of a setting that stands on the floor.
const FLOOR_WORDS: [&str; 5] = ["jack", "stand", "stands", "trestle", "trestles"];
/// Words of a state that is not there at once.
const LAPSING_WORDS: [&str; 4] = ["pressure", "airbag", "voltage", "restraint"];

/// The questions of a scope.
pub(super) fn trade_lines(book: &Book, scope: &PlanScope) -> Vec<OpenLine> {
    let mut lines = Vec::new();
    for (id, _) in &scope.parts {
        let part = book.part(*id);
        let support = support_question(book, *id).map(|words| (OpenKind::Support, words));
        let others = [
            belt_question(book, scope, *id),
            drain_question(book, scope, *id),
            open_ends_question(book, part),
            wheel_question(book, *id),
            sealant_question(part),
            shaft_question(book, *id),
        ];
        let others = others.into_iter().flatten().map(|words| (OpenKind::TradeQuestion, words));
        lines
            .extend(support.into_iter().chain(others).map(|(kind, words)| part_line(book, *id, kind, words)));
    }
    let conditions = scope.conditions.iter().map(|id| book.condition(*id));
    let of_conditions = conditions.flat_map(|c| [fill_question(c), wait_question(c)]).flatten();
    let of_tasks = scope.tasks.iter().filter_map(|task| reseal_question(book, *task));
    let others = of_conditions.chain(of_tasks).chain(floor_questions(book, scope));
    lines.extend(others.map(|words| OpenLine {
        kind: OpenKind::TradeQuestion,
        words,
        fasteners: 0,
        fixings: Vec::new(),
    }));
    lines
}

fn part_line(book: &Book, id: PartId, kind: OpenKind, words: String) -> OpenLine {
    let fixings: Vec<FixingId> = book.fixings_of(id).collect();
    let fasteners: usize = fixings.iter().map(|f| book.fixing(*f).holes.len()).sum();
    let mut keys: Vec<String> = fixings.iter().map(|f| book.fixing(*f).key.clone()).collect();
    keys.sort();
    OpenLine { kind, words, fasteners: u32::try_from(fasteners).unwrap_or(u32::MAX), fixings: keys }
}

/// The words of a title before its first comma, in small letters.
fn title_words(title: &str) -> Vec<String> {
    let head = title.split(',').next().unwrap_or_default().to_lowercase();
    head.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_owned).collect()
}

fn has_any_word(title: &str, known: &[&str]) -> bool {
    title_words(title).iter().any(|word| known.contains(&word.as_str()))
}

/// What carries, or weighs more than one person lifts, and what holds it.
fn support_question(book: &Book, id: PartId) -> Option<String> {
    let part = book.part(id);
    if has_support_beside(book, id) {
        return None;
    }
    let title = &part.title;
    match part.kind {
        Some(PartKind::Mounting) => Some(format!(
            "What holds the engine while the {title} is off? Tell the support as a setting of the book and the rule that one of both holds."
        )),
        None if has_any_word(title, &CARRYING_WORDS) || hangs_on_large_bolts(book, id) => Some(format!(
            "Does the {title} carry the engine or the gearbox? Tell its kind, and what holds the weight while it is off."
        )),
        _ => weight_question(part),
    }
}

/// Whether a rule tells what takes a part's place: one of several, this part among them and something that is no mounting. Mountings
/// that count for each other carry nothing at the end where one is off.
fn has_support_beside(book: &Book, id: PartId) -> bool {
    let own = WorldThing::Part(id);
    let takes_its_place = |thing: WorldThing| match thing {
        WorldThing::Setting(_) => true,
        WorldThing::Part(other) => other != id && book.part(other).kind != Some(PartKind::Mounting),
    };
    book.rules.iter().any(|rule| match &rule.kind {
        WorldRuleKind::AtLeastOne(needs) => {
            needs.iter().any(|need| need.thing == own) && needs.iter().any(|need| takes_its_place(need.thing))
        }
        WorldRuleKind::NeverTogether(_) | WorldRuleKind::StaysStill(_) => false,
    })
}

/// Whether a part of no mass is held by bolts of a size that carries.
fn hangs_on_large_bolts(book: &Book, id: PartId) -> bool {
    let size = |fixing: FixingId| book.fixing(fixing).screw_thread().map_or(0.0, |t| t.d_mm());
    !book.part(id).mass.is_known() && book.fixings_of(id).any(|fixing| size(fixing) >= CARRYING_BOLT_MM)
}

fn weight_question(part: &Part) -> Option<String> {
    if part.helper {
        return None;
    }
    let title = &part.title;
    let ask = "Tell its helper, or the support as a setting.";
    match part.mass.ends() {
        Some((low, _)) if low.as_kg() >= ONE_PERSON_KG => {
            let mass = mass_words(part.mass).unwrap_or_default();
            Some(format!("Who or what holds the {title} ({mass}) while it comes off? {ask}"))
        }
        Some(_) => None,
        None => {
            let words = title_words(title).join(" ");
            let is_heavy = part.kind.is_none() && HEAVY_ENDS.iter().any(|end| words.ends_with(end));
            is_heavy.then(|| {
                format!("What does the {title} weigh, and who or what holds it while it comes off? {ask}")
            })
        }
    }
}

/// A belt whose route and tension nothing tells.
fn belt_question(book: &Book, scope: &PlanScope, id: PartId) -> Option<String> {
    let part = book.part(id);
    let speaks_of_it = |needs: &[model::WorldNeed]| needs.iter().any(|n| n.thing == WorldThing::Part(id));
    let is_told = has_tensioner(book, scope, id)
        || part.needs.iter().any(|need| matches!(need, Need::Condition(_)))
        || !part.world.taking_off.is_untold()
        || !part.world.setting_on.is_untold()
        || scope.tasks.iter().any(|task| speaks_of_it(&book.task(*task).world.needs));
    (part.kind == Some(PartKind::Belt) && !is_told).then(|| {
        format!(
            "Which way does the {} run, and how is it brought to its tension, by which mark or measure? Draw its route, and tell a tensioner, a condition or a task.",
            part.title
        )
    })
}

/// A drain plug that nothing speaks of filling for; a pump, in a book that tells of nothing drained.
fn drain_question(book: &Book, scope: &PlanScope, id: PartId) -> Option<String> {
    let part = book.part(id);
    let is_drained = |c: &Condition| c.kind == ConditionKind::Drained;
    let mut own = part.needs.iter().filter_map(|need| match need {
        Need::Condition(c) => Some(book.condition(*c)),
        Need::Off(_) => None,
    });
    let mut after = scope.conditions.iter().map(|c| book.condition(*c));
    let is_told = own.any(is_drained) || after.any(|c| is_drained(c) && c.needs.contains(&Need::Off(id)));
    let is_drained_nowhere = !book.conditions.iter().any(is_drained);
    let runs_out = match part.kind {
        Some(PartKind::Drain) => !is_told,
        Some(PartKind::Pump) => is_drained_nowhere && part.world.taking_off.is_untold(),
        _ => false,
    };
    runs_out.then(|| {
        format!(
            "What runs out at the {}, and how is it closed and filled again? Tell it as a condition that is drained.",
            part.title
        )
    })
}

/// The ends of a pipe or hose, in a book that tells no opening.
fn open_ends_question(book: &Book, part: &Part) -> Option<String> {
    let has_ends = matches!(part.kind, Some(PartKind::Pipe | PartKind::Hose | PartKind::Union));
    (has_ends && book.openings.is_empty()).then(|| open_ends_words(&part.title))
}

/// The question about the open ends of a part, by its title.
#[must_use]
pub fn open_ends_words(title: &str) -> String {
    format!(
        "What closes the open ends of the {title} while it is off? Tell the openings that it uncovers, with their caps."
    )
}

/// Wheel bolts of which nothing says that the wheel stands on the ground.
fn wheel_question(book: &Book, id: PartId) -> Option<String> {
    let part = book.part(id);
    let mut worlds = book.fixings_of(id).map(|f| &book.fixing(f).world);
    let is_untold = worlds.any(|world| world.loosening.is_untold() || world.tightening.is_untold());
    (part.kind == Some(PartKind::Wheel) && is_untold).then(|| {
        format!(
            "Where does the {} stand when its bolts are broken loose and tightened? On the ground, by common practice: tell the lift as a setting, and what loosening and tightening need of it.",
            part.title
        )
    })
}

/// The one bolt of a shaft, of which nothing tells what keeps the shaft from turning.
fn shaft_question(book: &Book, id: PartId) -> Option<String> {
    let is_open = |fixing: &&model::Fixing| {
        let is_held = fixing.accesses.iter().any(|access| access.counter_hold.is_some());
        is_shaft_bolt(&fixing.title)
            && fixing.holes.len() == 1
            && fixing.drive.is_turned()
            && !is_held
            && (fixing.world.loosening.is_untold() || fixing.world.tightening.is_untold())
    };
    let fixings = book.fixings_of(id).map(|fixing| book.fixing(fixing));
    let is_told = !book.part(id).special_tools.is_empty() || !book.part(id).world.taking_off.is_untold();
    let open = fixings.filter(|_| !is_told).find(is_open)?;
    let shaft = if has_any_word(&open.title, &SHAFT_WORDS[..2]) { "crank" } else { "shaft" };
    Some(format!(
        "What holds the {shaft} while the {} is broken loose and tightened? Tell the holder as a special tool, a counter-hold or a setting; not known whether a pin may hold is no.",
        open.title
    ))
}

/// "Crank bolt", "camshaft sprocket bolt", and no bolt of a sensor at the crank.
fn is_shaft_bolt(title: &str) -> bool {
    let words = title_words(title);
    let is_one_of = |at: usize, known: &[&str]| words.get(at).is_some_and(|w| known.contains(&w.as_str()));
    (0..words.len()).filter(|at| is_one_of(*at, &SHAFT_WORDS)).any(|at| {
        let between =
            usize::from(is_one_of(at + 1, &["pulley", "sprocket", "gear", "hub", "damper", "wheel"]));
        is_one_of(at + 1 + between, &["bolt", "screw", "nut"])
    })
}

/// Sealant without its times.
fn sealant_question(part: &Part) -> Option<String> {
    let is_sealed = part.renew_with.iter().any(|supply| has_any_word(&supply.name, &["sealant"]));
    (is_sealed && part.refit_waits.is_empty()).then(|| sealant_words(&part.title))
}

fn sealant_words(title: &str) -> String {
    format!(
        "How long does the sealant of the {title} take to skin over and to cure? The tube says; tell the waits at refit."
    )
}

/// A joint that is resealed, without the times of what it is resealed with.
fn reseal_question(book: &Book, id: model::TaskId) -> Option<String> {
    let task = book.task(id);
    let parts = task.needs.iter().filter_map(|need| match need {
        Need::Off(part) => Some(book.part(*part)),
        Need::Condition(_) => None,
    });
    let parts: Vec<&Part> = parts.collect();
    let is_told = parts.iter().any(|part| !part.refit_waits.is_empty() || !part.renew_with.is_empty());
    let first = parts.first().filter(|_| task.kind == TaskKind::Reseal && !is_told)?;
    Some(sealant_words(&first.title))
}

/// What was drained and is never filled, or beneath.
fn fill_question(condition: &Condition) -> Option<String> {
    let is_open = condition.kind == ConditionKind::Drained && condition.restore.is_none();
    is_open.then(|| {
        format!("How is it closed and filled again: {}? Tell what undoes the condition.", condition.title)
    })
}

/// A state that is not there at once, without its time and without a reading.
fn wait_question(condition: &Condition) -> Option<String> {
    let lapses = match condition.kind {
        ConditionKind::Isolated => has_any_word(&condition.title, &LAPSING_WORDS),
        // A wait without its time is a fault of the book.
        ConditionKind::Waited | ConditionKind::Drained | ConditionKind::Set => false,
    };
    let is_told = condition.hold_up.as_s() > 0.0 || !condition.making.is_untold();
    (lapses && !is_told).then(|| {
        format!(
            "How long does it take, or which reading proves it: {}? The maker's time is the wait of the condition.",
            condition.title
        )
    })
}

/// A support that stands on the floor while the lift holds the body.
fn floor_questions<'a>(book: &'a Book, scope: &'a PlanScope) -> impl Iterator<Item = String> + 'a {
    let has_lift = book.settings.iter().any(|s| s.kind == SettingKind::Lift);
    let ids = (0..book.settings.len()).map(model::SettingId::new);
    let is_asked = move |id: &model::SettingId| {
        let setting = book.setting(*id);
        let stands = setting.kind == SettingKind::Support && has_any_word(&setting.title, &FLOOR_WORDS);
        has_lift && stands && scope.ways_taken.iter().any(|(s, _)| s == id) && !is_lift_still(book, *id)
    };
    ids.filter(is_asked).map(|id| {
        format!(
            "May the lift move while the {} carries? A support on the floor and a body on the lift are torn apart: tell the rule that the lift stays still.",
            book.setting(id).title
        )
    })
}

fn is_lift_still(book: &Book, support: model::SettingId) -> bool {
    book.rules.iter().any(|rule| {
        let WorldRuleKind::StaysStill(still) = &rule.kind else { return false };
        let has_lift = still.iter().any(|s| book.setting(*s).kind == SettingKind::Lift);
        has_lift && rule.during.iter().any(|need| need.thing == WorldThing::Setting(support))
    })
}
