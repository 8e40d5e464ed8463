//! The book: one engine as installed in one vehicle family.

use std::collections::BTreeSet;

use crate::{
    ActWorld, Caution, ConditionId, FigureOrigins, Fixing, FixingId, HoleOrderOrigin, Known, Measure,
    OpeningId, PartId, PartWorld, Setting, SpecialToolId, StationId, TaskId, TaskInterval, VisitGoal,
    WorldNeed, WorldRule,
};
use serde::{Deserialize, Serialize};
use units::{Duration, Force, Mass, Money};

/// A working position: over the front, over the side, underneath, through the wheel arch.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// Time to get into the position, lift or lower the vehicle included.
    pub enter: Known<Duration>,
    /// The greatest force a hand can give there.
    pub hand_force: Force,
    /// Cautions that hold while working there.
    pub cautions: Vec<Caution>,
    /// What has to hold to work there, such as the height of the lift.
    pub needs: Vec<WorldNeed>,
}

/// What has to hold before a part can come off, a condition be made or a task be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Need {
    /// A part is off.
    Off(PartId),
    /// A condition of the vehicle holds.
    Condition(ConditionId),
}

/// A state of the vehicle: drained, cooled, battery disconnected, fuel pressure relieved.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// What establishes it, in the imperative.
    pub establish: String,
    /// What is done to undo it at refit, in the imperative; `None` if nothing (an engine warms up by itself).
    pub restore: Option<String>,
    /// Kind of the establishing step.
    pub kind: ConditionKind,
    /// Hands-on time to bring it about.
    pub establish_time: Duration,
    /// Hands-on time to undo it.
    pub restore_time: Duration,
    /// Wait after establishing before it holds; other work may go on meanwhile.
    pub hold_up: Duration,
    /// What has to hold before it can be made.
    pub needs: Vec<Need>,
    /// Working position.
    pub station: StationId,
    /// Working position where it is undone, if that is another.
    pub restore_station: Option<StationId>,
    /// Supplies for the refill.
    pub supplies: Vec<Supply>,
    /// Cautions before establishing.
    pub cautions: Vec<Caution>,
    /// Whether it is a safety state, shown on the readiness sheet before the first step.
    pub safety: bool,
    /// What making it asks of the world and changes there.
    pub making: ActWorld,
    /// What undoing it asks of the world and changes there.
    pub undoing: ActWorld,
}

units::worded! {
    /// What kind of condition it is; names its steps.
    pub enum ConditionKind {
        /// A fluid is out; the step is *drain*, undone by *fill*.
        Drained = "drained",
        /// Waiting is all there is to it (cooling down).
        Waited = "waited",
        /// Something is switched off, disconnected or relieved; the step is *open*, undone by *refit*.
        Isolated = "isolated",
        /// Turned or set to a mark and locked; the step is *open*, undone by *refit*.
        Set = "set",
    }
}

/// An opening into the engine that a removed part uncovers.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// The cap that closes it, in words with its size; `None` if it cannot be closed.
    pub cap: Option<String>,
    /// How many caps.
    pub count: u16,
}

/// One of several alternative ways to get at a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Short name, unique on the part: `from-above`.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// What has to hold on this way, besides [`Part::needs`].
    pub needs: Vec<Need>,
    /// Working position on this way, where it differs from the part's.
    pub station: Option<StationId>,
}

units::worded! {
    /// What a wait at refit holds back.
    pub enum HoldsBack {
        /// The final tightening of the part's own fixings (sealant skins over first).
        Tightening = "tightening",
        /// Filling of any fluid.
        Filling = "filling",
        /// Fitting of any part that needed this one off.
        NextPart = "next-part" / "the next part",
    }
}

/// A wait at refit: sealant, thread-locker, cooling.
#[derive(Debug, Clone, PartialEq)]
pub struct RefitWait {
    /// What is waited for.
    pub title: String,
    /// How long.
    pub time: Duration,
    /// What may not start before.
    pub holds_back: HoldsBack,
}

/// Anything that comes off, opens or unplugs.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// What kind of part it is, which rules of the trade hang on.
    pub kind: Option<PartKind>,
    /// Mass.
    pub mass: Known<Mass>,
    /// Needs a second pair of hands.
    pub helper: bool,
    /// Working position.
    pub station: StationId,
    /// What has to hold before it can come off, whichever way is taken.
    pub needs: Vec<Need>,
    /// Alternative ways in; empty or at least two, of which one is taken.
    pub ways: Vec<Way>,
    /// Openings that it uncovers.
    pub uncovers: Vec<OpeningId>,
    /// Time to lift it off once its fixings are out.
    pub lift_time: Known<Duration>,
    /// Time to set it back in place.
    pub place_time: Known<Duration>,
    /// What to renew with it at refit: gasket, seal, sealant.
    pub renew_with: Vec<Supply>,
    /// Waits at refit.
    pub refit_waits: Vec<RefitWait>,
    /// Special tools that must be at hand to take it off or fit it.
    pub special_tools: Vec<SpecialToolId>,
    /// Likely to break at this age.
    pub brittle: bool,
    /// Cautions before taking it off.
    pub cautions: Vec<Caution>,
    /// Cautions before setting it in place.
    pub refit_cautions: Vec<Caution>,
    /// Advice that helps the hand while it comes off.
    pub tip: Option<String>,
    /// Advice that helps the hand while it is set in place.
    pub refit_tip: Option<String>,
    /// Where its figures come from, where it says so itself.
    pub origins: FigureOrigins,
    /// What the acts on it ask of the world and change there.
    pub world: PartWorld,
}

impl Station {
    /// Time to get into the position; assumed where nothing is told.
    #[must_use]
    pub fn enter_s(&self) -> f64 {
        middle_s(self.enter, times::ASSUMED_ENTER_S)
    }
}

impl Condition {
    /// Working position where it is undone.
    #[must_use]
    pub fn undoing_station(&self) -> StationId {
        self.restore_station.unwrap_or(self.station)
    }
}

impl Part {
    /// Its title as a sentence says it: "the valve cover"; what ends in a number is a name already: "part 14".
    #[must_use]
    pub fn title_in_sentence(&self) -> String {
        let last = self.title.rsplit(' ').next().unwrap_or_default();
        let is_numbered = !last.is_empty() && last.bytes().all(|byte| byte.is_ascii_digit());
        if is_numbered { self.title.clone() } else { format!("the {}", self.title) }
    }

    /// Time to lift it off; assumed where nothing is told.
    #[must_use]
    pub fn lift_s(&self) -> f64 {
        middle_s(self.lift_time, times::ASSUMED_LIFT_S)
    }

    /// Time to set it in place; assumed where nothing is told.
    #[must_use]
    pub fn place_s(&self) -> f64 {
        middle_s(self.place_time, times::ASSUMED_PLACE_S)
    }
}

impl Task {
    /// Its own work; assumed where nothing is told.
    #[must_use]
    pub fn work_s(&self) -> f64 {
        middle_s(self.work, times::ASSUMED_WORK_S)
    }
}

/// The middle of a time in doubt, in seconds.
fn middle_s(time: Known<Duration>, assumed_s: f64) -> f64 {
    time.ends().map_or(assumed_s, |(low, high)| (low.as_s() + high.as_s()) * 0.5)
}

units::worded! {
    /// What kind of part it is.
    pub enum PartKind {
        /// Carries the engine or the gearbox.
        Mounting = "mounting",
        /// An electrical connector or quick coupling.
        Connector = "connector",
        /// A hose.
        Hose = "hose",
        /// A rigid pipe.
        Pipe = "pipe",
        /// A pipe union.
        Union = "union",
        /// A belt or chain.
        Belt = "belt",
        /// What tensions a belt or chain.
        Tensioner = "tensioner",
        /// A road wheel.
        Wheel = "wheel",
        /// A drain.
        Drain = "drain",
        /// A cover, guard or liner.
        Cover = "cover",
        /// A wiring loom.
        Loom = "loom",
        /// A bracket.
        Bracket = "bracket",
        /// A pump.
        Pump = "pump",
        /// A sensor or sender.
        Sensor = "sensor",
        /// A filter.
        Filter = "filter",
        /// Anything else.
        Other = "other",
    }
}

/// Something to buy for the work: a new part, a gasket, a fluid.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Supply {
    /// What it is, with its specification.
    pub name: String,
    /// How many, in the unit that the name says.
    pub count: u16,
    /// Price of one.
    pub price_cents: Option<Money>,
    /// Must be in hand before the first step.
    pub before_start: bool,
}

units::worded! {
    /// What kind of work a task is.
    pub enum TaskKind {
        /// Renew a part.
        Renew = "renew",
        /// Look at something.
        Inspect = "inspect",
        /// Measure something.
        Measure = "measure",
        /// Reseal a joint.
        Reseal = "reseal",
    }
}

/// A piece of work wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// Kind of work.
    pub kind: TaskKind,
    /// What has to hold before it can be done.
    pub needs: Vec<Need>,
    /// Its own work, once the way is open.
    pub work: Known<Duration>,
    /// Working position.
    pub station: StationId,
    /// Parts and consumables.
    pub supplies: Vec<Supply>,
    /// Special tools that must be at hand.
    pub special_tools: Vec<SpecialToolId>,
    /// What is expected to be lost if it is left for the next visit.
    pub leaving: Option<Money>,
    /// How often it falls due, whichever comes first; empty where nobody says.
    pub every: Vec<TaskInterval>,
    /// Cautions before the work.
    pub cautions: Vec<Caution>,
    /// What to do, in a sentence or two.
    pub note: Option<String>,
    /// What it asks of the world and changes there.
    pub world: ActWorld,
}

/// A tool that the book asks for by name: a locking pin, a puller, a gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct SpecialTool {
    /// Short name, unique in the book; a piece of the store says which it answers to.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// What it has to be able to do, with its geometry.
    pub specification: String,
    /// Whether it can be made in the workshop.
    pub can_be_made: bool,
}

/// One engine as installed in one vehicle family.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// Short name.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// Where it comes from; says so when it is invented.
    pub origin: String,
    /// Whether all its figures are invented, and taken at their word.
    pub is_invented: bool,
    /// Where its figures come from, by kind.
    pub origins: FigureOrigins,
    /// Three-letter currency of all prices.
    pub currency: String,
    /// Working positions; the vehicle starts at the first.
    pub stations: Vec<Station>,
    /// States of the vehicle with values and ways between them.
    pub settings: Vec<Setting>,
    /// What must hold at every moment.
    pub rules: Vec<WorldRule>,
    /// States that a visit may be brought to before it is whole.
    pub goals: Vec<VisitGoal>,
    /// States of the vehicle.
    pub conditions: Vec<Condition>,
    /// Openings.
    pub openings: Vec<Opening>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Fixings.
    pub fixings: Vec<Fixing>,
    /// Tasks.
    pub tasks: Vec<Task>,
    /// Tools asked for by name.
    pub special_tools: Vec<SpecialTool>,
    /// What is to be measured, with limits.
    pub measures: Vec<Measure>,
}

impl Book {
    /// A part by id.
    #[must_use]
    pub fn part(&self, id: PartId) -> &Part {
        &self.parts[id.index()]
    }
    /// A fixing by id.
    #[must_use]
    pub fn fixing(&self, id: FixingId) -> &Fixing {
        &self.fixings[id.index()]
    }
    /// A station by id.
    #[must_use]
    pub fn station(&self, id: StationId) -> &Station {
        &self.stations[id.index()]
    }
    /// A condition by id.
    #[must_use]
    pub fn condition(&self, id: ConditionId) -> &Condition {
        &self.conditions[id.index()]
    }
    /// An opening by id.
    #[must_use]
    pub fn opening(&self, id: OpeningId) -> &Opening {
        &self.openings[id.index()]
    }
    /// A task by id.
    #[must_use]
    pub fn task(&self, id: TaskId) -> &Task {
        &self.tasks[id.index()]
    }
    /// All part ids.
    pub fn part_ids(&self) -> impl Iterator<Item = PartId> + use<> {
        (0..self.parts.len()).map(PartId::new)
    }
    /// All fixing ids.
    pub fn fixing_ids(&self) -> impl Iterator<Item = FixingId> + use<> {
        (0..self.fixings.len()).map(FixingId::new)
    }
    /// The fixings of a part, in book order.
    pub fn fixings_of(&self, part: PartId) -> impl Iterator<Item = FixingId> + '_ {
        self.fixing_ids().filter(move |id| self.fixing(*id).part == part)
    }
    /// Where the order of a fixing's holes is from, its joint's other fixings included.
    #[must_use]
    pub fn hole_order_of(&self, id: FixingId) -> HoleOrderOrigin {
        let fixing = self.fixing(id);
        let is_joined = |other: &&Fixing| other.part == fixing.part && other.joint == fixing.joint;
        let together: Vec<&Fixing> = match fixing.joint {
            Some(_) => self.fixings.iter().filter(is_joined).collect(),
            None => vec![fixing],
        };
        HoleOrderOrigin::of_fixings(&together)
    }
    /// The number of fasteners in all fixings.
    #[must_use]
    pub fn fastener_count(&self) -> usize {
        self.fixings.iter().map(|f| f.holes.len()).sum()
    }
    /// Keys of the fixings that have to be tightened and for which the book has no figure.
    #[must_use]
    pub fn figures_missing(&self) -> BTreeSet<String> {
        self.fixings.iter().filter(|f| f.is_figure_missing()).map(|f| f.key.clone()).collect()
    }
    /// The task of a key.
    #[must_use]
    pub fn task_by_key(&self, key: &str) -> Option<TaskId> {
        self.tasks.iter().position(|t| t.key == key).map(TaskId::new)
    }
    /// The part of a key.
    #[must_use]
    pub fn part_by_key(&self, key: &str) -> Option<PartId> {
        self.parts.iter().position(|p| p.key == key).map(PartId::new)
    }
    /// The fixing of a key.
    #[must_use]
    pub fn fixing_by_key(&self, key: &str) -> Option<FixingId> {
        self.fixings.iter().position(|f| f.key == key).map(FixingId::new)
    }
}
