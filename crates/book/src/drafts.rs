//! Rows of a book as they are written, where the model holds more or less than the text: parts, fixings, accesses.

use model::{
    Access, AccessFigures, Condition, Drive, DriveForm, FigureOrigins, Fixing, HeadDimensions, Known,
    Measure, Opening, Part, PartId, RoomClass, Setting, SettingWay, SpecialTool, Station, StationId, Task,
    Tightening, VisitGoal, WorldNeed,
};
use model::{ConditionKind, FastenerKind, PatternRule, Sight, TaskKind};
use units::{Duration, Force, Length};

/// A file of a book.
#[derive(Debug, Clone, Default)]
pub(crate) struct BookDraft {
    pub(crate) format: String,
    pub(crate) key: String,
    pub(crate) title: String,
    pub(crate) origin: String,
    pub(crate) currency: String,
    pub(crate) is_invented: bool,
    pub(crate) origins: FigureOrigins,
    pub(crate) stations: Vec<Station>,
    pub(crate) settings: Vec<SettingDraft>,
    pub(crate) rules: Vec<WorldRuleDraft>,
    pub(crate) goals: Vec<VisitGoal>,
    pub(crate) conditions: Vec<Condition>,
    pub(crate) openings: Vec<Opening>,
    pub(crate) special_tools: Vec<SpecialTool>,
    pub(crate) measures: Vec<Measure>,
    pub(crate) parts: Vec<PartDraft>,
    pub(crate) tasks: Vec<Task>,
}

/// A setting; where it stands at the start and the end, and its ways, as words of its values.
#[derive(Debug, Clone)]
pub(crate) struct SettingDraft {
    pub(crate) setting: Setting,
    pub(crate) start: Option<String>,
    pub(crate) end: Option<Vec<String>>,
    pub(crate) ways: Vec<SettingWayDraft>,
}

/// A way between values; from where and to where as words.
#[derive(Debug, Clone)]
pub(crate) struct SettingWayDraft {
    pub(crate) way: SettingWay,
    pub(crate) from: Option<Vec<String>>,
    pub(crate) to: String,
}

/// A rule; one of the three forms has to stand.
#[derive(Debug, Clone, Default)]
pub(crate) struct WorldRuleDraft {
    pub(crate) title: String,
    pub(crate) at_least_one: Option<Vec<WorldNeed>>,
    pub(crate) never_together: Option<Vec<WorldNeed>>,
    pub(crate) stays_still: Option<Vec<usize>>,
    pub(crate) during: Vec<WorldNeed>,
}

/// A part with the fixings below it.
#[derive(Debug, Clone)]
pub(crate) struct PartDraft {
    pub(crate) part: Part,
    pub(crate) fixings: Vec<FixingDraft>,
    /// Labels of the equal parts that it stands for; none where it is one.
    pub(crate) repeat: Vec<String>,
}

/// A fixing; its part, head, holes and accesses are those of the draft.
#[derive(Debug, Clone)]
pub(crate) struct FixingDraft {
    pub(crate) fixing: Fixing,
    /// Left out where the drive tells it.
    pub(crate) kind: Option<FastenerKind>,
    /// Of all its holes.
    pub(crate) room: Option<RoomClass>,
    pub(crate) count: Option<u16>,
    pub(crate) head: Option<HeadDraft>,
    pub(crate) holes: Option<Vec<HoleDraft>>,
    pub(crate) accesses: Vec<AccessDraft>,
    /// Keys of fixings of the whole book, which are known once all parts are read.
    pub(crate) tighten_after: Vec<String>,
}

/// A head: height of an outer drive, or recess of an inner one.
#[derive(Debug, Clone, Default)]
pub(crate) struct HeadDraft {
    pub(crate) height: Known<Length>,
    pub(crate) recess: Known<Length>,
    pub(crate) diameter: Known<Length>,
    pub(crate) protrusion: Known<Length>,
}

/// A hole; without a label it is called by its number on the part.
#[derive(Debug, Clone, Default)]
pub(crate) struct HoleDraft {
    pub(crate) label: Option<String>,
    pub(crate) x: Option<Length>,
    pub(crate) y: Option<Length>,
}

/// A space: what has no doubt in it, and its figures as told.
#[derive(Debug, Clone)]
pub(crate) struct SpaceDraft {
    pub(crate) access: Access,
    pub(crate) figures: AccessFigures,
}

/// An access with the names of its holes and its way.
#[derive(Debug, Clone)]
pub(crate) struct AccessDraft {
    pub(crate) space: SpaceDraft,
    pub(crate) hold: Option<HoldDraft>,
    pub(crate) holes: Option<Vec<String>>,
    pub(crate) way: Option<String>,
}

/// A held side, whose access is a table of its own.
#[derive(Debug, Clone)]
pub(crate) struct HoldDraft {
    pub(crate) drive: Drive,
    pub(crate) grip_height: Known<Length>,
    pub(crate) space: SpaceDraft,
}

pub(crate) fn blank_station() -> Station {
    Station {
        key: String::new(),
        title: String::new(),
        enter: Known::Nothing,
        hand_force: Force::from_n(model::rules::HAND_FORCE_N),
        cautions: Vec::new(),
        needs: Vec::new(),
    }
}

pub(crate) fn blank_condition() -> Condition {
    Condition {
        key: String::new(),
        title: String::new(),
        kind: ConditionKind::Drained,
        establish: String::new(),
        restore: None,
        establish_time: Duration::ZERO,
        restore_time: Duration::ZERO,
        hold_up: Duration::ZERO,
        needs: Vec::new(),
        station: StationId::new(0),
        restore_station: None,
        supplies: Vec::new(),
        cautions: Vec::new(),
        safety: false,
        making: model::ActWorld::default(),
        undoing: model::ActWorld::default(),
    }
}

pub(crate) fn blank_measure() -> Measure {
    Measure {
        key: String::new(),
        title: String::new(),
        kind: None,
        task: None,
        places: Vec::new(),
        unit: None,
        low: None,
        high: None,
        apart: None,
        lowest_of_highest: None,
        gauge_error: None,
        grades: Vec::new(),
        worst: None,
        with: None,
        source: String::new(),
    }
}

pub(crate) fn blank_task() -> Task {
    Task {
        key: String::new(),
        title: String::new(),
        kind: TaskKind::Inspect,
        needs: Vec::new(),
        work: Known::Nothing,
        station: StationId::new(0),
        supplies: Vec::new(),
        special_tools: Vec::new(),
        leaving: None,
        every: Vec::new(),
        cautions: Vec::new(),
        note: None,
        world: model::ActWorld::default(),
    }
}

pub(crate) fn blank_part() -> PartDraft {
    let part = Part {
        key: String::new(),
        title: String::new(),
        kind: None,
        mass: Known::Nothing,
        helper: false,
        station: StationId::new(0),
        needs: Vec::new(),
        ways: Vec::new(),
        uncovers: Vec::new(),
        lift_time: Known::Nothing,
        place_time: Known::Nothing,
        renew_with: Vec::new(),
        refit_waits: Vec::new(),
        special_tools: Vec::new(),
        brittle: false,
        cautions: Vec::new(),
        refit_cautions: Vec::new(),
        tip: None,
        refit_tip: None,
        origins: FigureOrigins::default(),
        world: model::PartWorld::default(),
    };
    PartDraft { part, fixings: Vec::new(), repeat: Vec::new() }
}

/// A fixing of which nothing is known.
pub(crate) fn blank_fixing() -> FixingDraft {
    let tightening = Tightening {
        stages: Vec::new(),
        pattern: PatternRule::Auto,
        end_torque: None,
        tolerance_fraction: model::rules::TORQUE_TOLERANCE_FRACTION,
        closing_pass: false,
        source: String::new(),
    };
    let fixing = Fixing {
        key: String::new(),
        title: String::new(),
        part: PartId::new(0),
        kind: FastenerKind::Bolt,
        thread: None,
        is_left_hand: false,
        length: None,
        class: None,
        drive: Drive::new(DriveForm::NotKnown, 0.0),
        head: HeadDimensions { grip_height: Length::ZERO, diameter: Length::ZERO, protrusion: Length::ZERO },
        holes: Vec::new(),
        are_places_known: false,
        engagement: Known::Nothing,
        clamped: None,
        tapped_depth: None,
        tapped_in: model::TappedIn::Steel,
        tightening,
        joint: None,
        lubrication: model::Lubrication::Unstated,
        one_time: false,
        price: None,
        captive: false,
        slackened: false,
        critical: false,
        history: Vec::new(),
        keep: None,
        accesses: Vec::new(),
        origins: FigureOrigins::default(),
        figures: None,
        reckoned_torque: None,
        world: model::FixingWorld::default(),
    };
    FixingDraft {
        fixing,
        kind: None,
        room: None,
        count: None,
        head: None,
        holes: None,
        accesses: Vec::new(),
        tighten_after: Vec::new(),
    }
}

/// The drive of what nothing is known of.
pub(crate) fn blank_drive() -> Drive {
    Drive::new(DriveForm::Hand, 0.0)
}

pub(crate) fn blank_space() -> SpaceDraft {
    SpaceDraft { access: blank_access(), figures: AccessFigures::default() }
}

pub(crate) fn blank_access() -> Access {
    Access {
        holes: Vec::new(),
        way: None,
        station: None,
        corridor: Vec::new(),
        bends: Vec::new(),
        headroom: Length::ZERO,
        swings: Vec::new(),
        side: None,
        sight: Sight::Seen,
        drop_over: Vec::new(),
        counter_hold: None,
    }
}
