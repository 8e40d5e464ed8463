//! May this vehicle be moved, lowered, started? Each rule says what prevents it and why.
//!
//! All rules are common practice, no single source: the count of everything before an engine is turned is how aviation
//! keeps tools and caps out of engines; the rest is care for the people beside and under the vehicle. No rule knows
//! the vehicle: the maker's service data and the eyes of the mechanic come first. A line that somebody accepted with a reason
//! and a name blocks nothing.

use std::collections::BTreeSet;

use model::{Book, ConditionKind, FastenerState, Fixing, SettingKind};
use serde::{Deserialize, Serialize};

use super::{LedgerLine, LedgerLineKind};
use crate::names::BookByKey;
use crate::{PutInKind, Visit};

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum VehicleQuestion {
    /// May it be pushed or rolled?
    Move,
    /// May it be let down from the lift or the stands?
    Lower,
    /// May the engine be turned or started?
    Start,
}

/// One open line that prevents it, and by which rule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VerdictReason {
    /// Key of the line.
    pub line: String,
    /// Name of the rule.
    pub rule: String,
}

/// The answer; advice, because the person at the vehicle decides.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VehicleVerdict {
    /// Whether nothing prevents it.
    pub yes: bool,
    /// What prevents it, in the order of the ledger.
    pub reasons: Vec<VerdictReason>,
}

/// A rule: which open lines prevent what, and why.
pub struct VehicleRule {
    /// Short name.
    pub name: &'static str,
    /// What it is about.
    pub questions: &'static [VehicleQuestion],
    /// Why it exists, in a sentence for the user.
    pub why: &'static str,
    stands: fn(&LedgerLine, &LedgerRuleContext<'_>) -> bool,
}

/// The rules, applied in this order; the first that fits names the reason.
pub const RULES: &[VehicleRule] = &[
    VehicleRule {
        name: "hanging",
        questions: &[VehicleQuestion::Move, VehicleQuestion::Lower],
        why: "A part that no tight fastener holds may fall when the vehicle moves.",
        stands: |line, scene| {
            line.kind.is_fastener() && scene.hanging.contains(line.at.part.as_deref().unwrap_or(""))
        },
    },
    VehicleRule {
        name: "critical",
        questions: &[VehicleQuestion::Move, VehicleQuestion::Lower],
        why: "The book marks this fastener as one that endangers people when it is not tight, or there is no book that says.",
        stands: |line, scene| line.kind.is_fastener() && scene.may_be_critical(line),
    },
    VehicleRule {
        name: "undecided",
        questions: &[VehicleQuestion::Move, VehicleQuestion::Lower],
        why: "What is not known for certain is assumed to be the worse case.",
        stands: |line, _| {
            let names_a_place = line.at.fixing.is_some() || line.at.part.is_some();
            line.kind == LedgerLineKind::Undecided || (line.kind == LedgerLineKind::Strange && names_a_place)
        },
    },
    VehicleRule {
        name: "sticks-out",
        questions: &[VehicleQuestion::Move, VehicleQuestion::Lower],
        why: "A tool on a tether or a locking pin is caught, bent or torn out when the vehicle moves.",
        stands: |line, scene| {
            let what = scene.visit.put_ins.get(&line.since.event).map(|p| p.what);
            let sticks_out = matches!(what, Some(PutInKind::TetheredTool | PutInKind::LockingPin));
            line.kind == LedgerLineKind::PutIn && sticks_out
        },
    },
    VehicleRule {
        name: "set",
        questions: &[VehicleQuestion::Move],
        why: "The vehicle or the engine is locked in a set position.",
        stands: |line, scene| {
            let condition = scene.names.condition(&line.of);
            let is_set = condition.map_or(scene.names.book.is_none(), |c| c.kind == ConditionKind::Set);
            line.kind == LedgerLineKind::Condition && is_set
        },
    },
    VehicleRule {
        name: "curing",
        questions: &[VehicleQuestion::Move, VehicleQuestion::Lower],
        why: "Sealant that is curing must not be disturbed.",
        stands: |line, _| line.kind == LedgerLineKind::Wait && line.at.part.is_some(),
    },
    VehicleRule {
        name: "raised",
        questions: &[VehicleQuestion::Move],
        why: "A vehicle on the lift is let down before it is pushed or rolled.",
        stands: |line, scene| scene.setting_kind(line) == Some(SettingKind::Lift),
    },
    VehicleRule {
        name: "pinned",
        questions: &[VehicleQuestion::Start],
        why: "What is put in bends, breaks or is thrown out when the engine is turned over.",
        stands: |line, scene| scene.setting_kind(line) == Some(SettingKind::PutIn),
    },
    VehicleRule {
        name: "supported",
        questions: &[VehicleQuestion::Start],
        why: "An engine that runs hangs on its own mountings, not on what was set under or over it.",
        stands: |line, scene| scene.setting_kind(line) == Some(SettingKind::Support),
    },
    VehicleRule {
        name: "count",
        questions: &[VehicleQuestion::Start],
        why: "The engine is turned over only when every count agrees, or somebody has accepted what is open.",
        stands: |_, _| true,
    },
];

/// What the rules may look at.
struct LedgerRuleContext<'a> {
    visit: &'a Visit,
    names: &'a BookByKey<'a>,
    /// Parts on the vehicle of which every fastener was touched and none is tight.
    hanging: BTreeSet<&'a str>,
}

impl<'a> LedgerRuleContext<'a> {
    fn new(visit: &'a Visit, names: &'a BookByKey<'a>) -> Self {
        let hanging = names.book.map_or_else(BTreeSet::new, |book| find_hanging_parts(visit, names, book));
        Self { visit, names, hanging }
    }

    /// What the setting of a line is about; `None` where the line is about something else.
    fn setting_kind(&self, line: &LedgerLine) -> Option<SettingKind> {
        let setting = self.names.setting(&line.of).filter(|_| line.kind == LedgerLineKind::Setting);
        setting.map(|setting| setting.kind)
    }

    /// Whether the book marks the fastener of a line; without a book nobody knows, and it is taken for the worse.
    fn may_be_critical(&self, line: &LedgerLine) -> bool {
        let fixing = line.at.fixing.as_deref().and_then(|key| self.names.fixing(key));
        fixing.map_or(self.names.book.is_none(), |f| f.critical)
    }
}

fn find_hanging_parts<'a>(visit: &Visit, names: &BookByKey<'a>, book: &'a Book) -> BTreeSet<&'a str> {
    let touched = visit.fasteners.iter().filter_map(|(fixing, _, _)| names.fixing(fixing));
    let parts: BTreeSet<_> = touched.map(|f| f.part).collect();
    let hangs = |id: &model::PartId| {
        let part = book.part(*id);
        let mut own = book.fixings_of(*id).map(|f| book.fixing(f));
        !visit.is_part_off(&part.key) && own.all(|f| is_loose(visit, f))
    };
    parts.into_iter().filter(hangs).map(|id| book.part(id).key.as_str()).collect()
}

/// Whether no fastener of a fixing holds; a captive or a clip that is undone holds nothing either.
fn is_loose(visit: &Visit, fixing: &Fixing) -> bool {
    let holds = |state: FastenerState| state.is_closed();
    fixing.holes.iter().all(|h| match visit.fasteners.get(&fixing.key, &h.label) {
        Some(f) => f.is_undecided() || !holds(f.state),
        None => false,
    })
}

/// Answers a question from the open lines.
pub(super) fn answer_question(
    question: VehicleQuestion,
    lines: &[LedgerLine],
    visit: &Visit,
    names: &BookByKey<'_>,
) -> VehicleVerdict {
    let scene = LedgerRuleContext::new(visit, names);
    let reason = |line: &LedgerLine| {
        let rule = RULES.iter().find(|r| r.questions.contains(&question) && (r.stands)(line, &scene))?;
        Some(VerdictReason { line: line.key.clone(), rule: rule.name.into() })
    };
    let open = lines.iter().filter(|l| l.accepted.is_none());
    let reasons: Vec<VerdictReason> = open.filter_map(reason).collect();
    VehicleVerdict { yes: reasons.is_empty(), reasons }
}
