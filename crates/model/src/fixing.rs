//! Fixings: sets of like fasteners holding one part, and their holes.

use crate::{
    Access, Drive, DriveForm, FastenerKind, FigureOrigins, FixingFigures, FixingWorld, Known, PartId, Spec,
};
use bolting::guard::{TorqueContext, TorqueWindow, torque_window, torque_window_of_hexagon};
use bolting::{FastenerThread, Lubrication, PropertyClass, TappedIn, Thread};
use units::{Angle, Length, Torque};

/// One hole of a fixing: its label on the part and its place on the part's face.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Label, unique on the part: `1`, `2`, `L3`.
    pub label: String,
    /// Place on the part's face, rightward.
    pub x: Length,
    /// Place on the part's face, upward.
    pub y: Length,
}

/// What one pass of tightening aims at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StageTarget {
    /// A torque.
    Torque(Torque),
    /// A further angle from where the stage before ended.
    Angle(Angle),
    /// Until it seats.
    Seat,
    /// By feel: the book says in writing that the hand decides.
    ByFeel,
    /// Loosened again, to be tightened anew by the passes behind.
    Loosen,
    /// The book has no figure; the fastener stays run in until a person gives one or answers for it by name.
    NotKnown,
}

impl StageTarget {
    /// The torque, where it aims at one.
    #[must_use]
    pub const fn torque(self) -> Option<Torque> {
        match self {
            Self::Torque(torque) => Some(torque),
            Self::Angle(_) | Self::Seat | Self::ByFeel | Self::Loosen | Self::NotKnown => None,
        }
    }

    /// The angle, where it aims at one.
    #[must_use]
    pub const fn angle(self) -> Option<Angle> {
        match self {
            Self::Angle(angle) => Some(angle),
            Self::Torque(_) | Self::Seat | Self::ByFeel | Self::Loosen | Self::NotKnown => None,
        }
    }

    /// Reads a torque with its unit, an angle, a specification of either, `seat`, `by feel`, or `loosen`; `None` for anything else.
    ///
    /// A specification is aimed at in its middle.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        match text {
            "seat" => return Some(Self::Seat),
            "by feel" => return Some(Self::ByFeel),
            "loosen" => return Some(Self::Loosen),
            _ => {}
        }
        if let Ok(torque) = Torque::parse(text) {
            return Some(Self::Torque(torque));
        }
        if let Ok(angle) = Angle::parse(text) {
            return Some(Self::Angle(angle));
        }
        if let Some(spec) = read_spec(text, |figure| Torque::parse(figure).ok()) {
            return Some(Self::Torque((spec.low + spec.high) * 0.5));
        }
        let spec = read_spec(text, |figure| Angle::parse(figure).ok())?;
        Some(Self::Angle((spec.low + spec.high) * 0.5))
    }
}

/// A specification: `21 to 26 N·m`, `90 to 100°`, `10 +5 -3 N·m`; nothing for any other text, or one whose ends are reversed.
fn read_spec<Q>(text: &str, read: impl Fn(&str) -> Option<Q>) -> Option<Spec<Q>>
where
    Q: Copy + PartialOrd + core::ops::Add<Output = Q> + core::ops::Sub<Output = Q>,
{
    let ends = match text.split_once(" to ") {
        Some((low, high)) => {
            let high = high.trim();
            let unit = high.trim_start_matches(|c: char| c.is_ascii_digit() || ".,/ ".contains(c));
            let low = low.trim();
            let with_unit = if low.ends_with(|c: char| c.is_ascii_digit()) {
                format!("{low} {unit}")
            } else {
                low.into()
            };
            (read(&with_unit)?, read(high)?)
        }
        None => {
            let (middle, rest) = text.split_once('+')?;
            let (above, rest) = rest.split_once(['-', '\u{2212}'])?;
            let below = rest.trim();
            let unit = below.trim_start_matches(|c: char| c.is_ascii_digit() || ".,/ ".contains(c));
            let figure = |figure: &str| read(&format!("{} {unit}", figure.trim()));
            let middle = figure(middle)?;
            (middle - read(below)?, middle + figure(above)?)
        }
    };
    (ends.0 <= ends.1).then_some(Spec { low: ends.0, high: ends.1 })
}

/// What stands where a tightening figure would stand and the book has none.
pub const FIGURE_MISSING_WORDS: &str = "figure missing";

/// What a step says that tightens without a figure in the book.
pub const FIGURE_MISSING_ADVICE: &str = "Give the missing figure with its source before this step, or answer for it by name; run in is not tight.";

/// One pass of tightening over all holes of the joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// What the pass aims at.
    pub target: StageTarget,
    /// The figure as the book writes it; [`FIGURE_MISSING_WORDS`] where it has none.
    pub as_written: String,
}

impl Stage {
    /// The torques that are all right, where the book gives a specification instead of one figure.
    #[must_use]
    pub fn torque_spec(&self) -> Option<Spec<Torque>> {
        read_spec(&self.as_written, |figure| Torque::parse(figure).ok())
    }

    /// The pass of a fastener whose figure the book does not have.
    #[must_use]
    pub fn figure_missing() -> Self {
        Self { target: StageTarget::NotKnown, as_written: FIGURE_MISSING_WORDS.into() }
    }
}

/// The order in which a joint's holes are tightened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PatternRule {
    /// Chosen from the hole positions.
    Auto,
    /// Opposite pairs, then the pairs between.
    CrissCross,
    /// From the centre outwards.
    Spiral,
    /// The maker's sequence, by hole labels.
    Given(Vec<String>),
}

units::worded! {
    /// Where the order of tightening of some holes is from.
    pub enum HoleOrderOrigin {
        /// The maker's sequence stands in the book.
        MakersSequence = "makers-sequence" / "maker's sequence",
        /// Worked out from the positions of the holes in the book.
        Positions = "positions",
        /// None: the fasteners have nothing to do with each other.
        Unrelated = "unrelated",
        /// None: the places of the holes are not told, nor the maker's sequence.
        NotKnown = "not-known" / "not known",
    }
}

impl HoleOrderOrigin {
    /// Of fixings that are tightened together.
    #[must_use]
    pub fn of_fixings(fixings: &[&Fixing]) -> Self {
        let by = |is: fn(&PatternRule) -> bool| fixings.iter().any(|f| is(&f.tightening.pattern));
        if by(|rule| matches!(rule, PatternRule::Given(_))) {
            Self::MakersSequence
        } else if by(|rule| *rule != PatternRule::Auto) || fixings.iter().any(|f| f.kind.clamps_a_face()) {
            let is_alone = fixings.iter().map(|f| f.holes.len()).sum::<usize>() <= 1;
            let are_known = is_alone || fixings.iter().all(|f| f.are_places_known);
            if are_known { Self::Positions } else { Self::NotKnown }
        } else {
            Self::Unrelated
        }
    }

    /// Whether there is an order to go by.
    #[must_use]
    pub const fn has_order(self) -> bool {
        match self {
            Self::MakersSequence | Self::Positions => true,
            Self::Unrelated | Self::NotKnown => false,
        }
    }

    /// What is said below an order, in a sentence without its full stop.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::MakersSequence => "the maker's sequence, from the book",
            Self::Positions => "order worked out from the positions in the book",
            Self::Unrelated => "each by itself, in any order",
            Self::NotKnown => {
                "order not known: the book tells neither the places of the holes nor the maker's sequence"
            }
        }
    }
}

/// How a fixing is tightened.
#[derive(Debug, Clone, PartialEq)]
pub struct Tightening {
    /// Passes in order; empty where nothing is tightened. A turned thread without a figure has the one pass
    /// [`Stage::figure_missing`].
    pub stages: Vec<Stage>,
    /// Order of the holes.
    pub pattern: PatternRule,
    /// Torque at the end of an angle stage, where the book gives one.
    pub end_torque: Option<Torque>,
    /// Allowed deviation of the torque, as a fraction.
    pub tolerance_fraction: f64,
    /// Whether one more pass at the last torque closes the joint.
    pub closing_pass: bool,
    /// Where the figures come from.
    pub source: String,
}

units::worded! {
    /// Why a fastener breaks loose harder than it was tightened.
    pub enum HistoryCause {
        /// Heat cycles.
        Heat = "heat",
        /// Corrosion.
        Corrosion = "corrosion",
        /// Thread-locker.
        ThreadLocker = "thread-locker",
        /// Paint or dirt.
        Paint = "paint",
        /// Worked before by an unknown hand.
        UnknownHand = "unknown-hand" / "an unknown hand",
    }
}

units::worded! {
    /// Where the mechanic wants a fixing kept while it is off.
    pub enum KeepPlace {
        /// A compartment of the tray.
        Tray = "tray",
        /// A labelled bag.
        Bag = "bag",
        /// A cardboard hole card with the bolt pattern.
        HoleCard = "hole-card" / "hole card",
        /// On the part that came off.
        OnPart = "on-part" / "on part",
        /// Back in its hole, by hand.
        InHole = "in-hole" / "in hole",
    }
}

/// The head, or what is taken hold of, in the dimensions that tools need.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadDimensions {
    /// Height of an external drive, or depth of an internal recess.
    pub grip_height: Length,
    /// Largest diameter, flange or washer included.
    pub diameter: Length,
    /// How far a stud projects above its nut; 0 otherwise.
    pub protrusion: Length,
}

/// A set of like fasteners holding one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Fixing {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// The part that it holds.
    pub part: PartId,
    /// Kind of fastener.
    pub kind: FastenerKind,
    /// Thread, where there is one.
    pub thread: Option<FastenerThread>,
    /// Whether the thread is left-handed: undone clockwise.
    pub is_left_hand: bool,
    /// Length under the head (studs: whole length).
    pub length: Option<Length>,
    /// Property class.
    pub class: Option<PropertyClass>,
    /// What the tool takes hold of.
    pub drive: Drive,
    /// Head dimensions.
    pub head: HeadDimensions,
    /// Holes, at least one.
    pub holes: Vec<Hole>,
    /// Whether the places of the holes are told; else they are all at zero and mean nothing.
    pub are_places_known: bool,
    /// Length of thread engaged; turns follow from it and the pitch.
    pub engagement: Known<Length>,
    /// Thickness clamped under the head.
    pub clamped: Option<Length>,
    /// Depth of usable thread from the joint face; `None` for a through hole or unknown.
    pub tapped_depth: Option<Length>,
    /// What it is tapped into.
    pub tapped_in: TappedIn,
    /// How it is tightened.
    pub tightening: Tightening,
    /// Fixings of one part with the same joint name are tightened as one pattern.
    pub joint: Option<String>,
    /// Surface and lubrication that the figures hold for.
    pub lubrication: Lubrication,
    /// Renewed each time.
    pub one_time: bool,
    /// Price of one new fastener.
    pub price: Option<units::Money>,
    /// Stays on the part by itself when undone.
    pub captive: bool,
    /// Only loosened: it stays in its hole while its part comes away, and is tightened again at refit. An adjuster's lock nut, a pinch
    /// bolt, a hose clamp that is slid back.
    pub slackened: bool,
    /// Never finished by a power driver, and looked at a second time.
    pub critical: bool,
    /// What makes it break loose harder, as factors on the tightening torque.
    pub history: Vec<(HistoryCause, f64)>,
    /// The mechanic's or the book's wish for where to keep it.
    pub keep: Option<KeepPlace>,
    /// The spaces round its holes; each hole has at least one.
    pub accesses: Vec<Access>,
    /// Where its figures come from, where it says so itself.
    pub origins: FigureOrigins,
    /// What is told of head and room, where something is left out or in doubt; then [`Self::head`] and [`Self::accesses`] are
    /// those of the roomy reading.
    pub figures: Option<Box<FixingFigures>>,
    /// The torque to reckon reach with at a tight reading, where no figure is told; never a figure to tighten to.
    pub reckoned_torque: Option<Torque>,
    /// What the acts on it ask of the world and change there.
    pub world: FixingWorld,
}

impl Fixing {
    /// The greatest torque of its stages, end torque of an angle stage included.
    ///
    /// An angle stage without a stated end torque counts as the last torque times
    /// [`crate::rules::ANGLE_STAGE_TORQUE_RATIO`].
    #[must_use]
    pub fn greatest_torque(&self) -> Option<Torque> {
        let stages = &self.tightening.stages;
        let torque = stages.iter().filter_map(|s| s.target.torque()).reduce(Torque::max)?;
        let has_angle = stages.iter().any(|s| s.target.angle().is_some());
        let end = match self.tightening.end_torque {
            Some(end) => end,
            None if has_angle => torque * crate::rules::ANGLE_STAGE_TORQUE_RATIO,
            None => torque,
        };
        Some(torque.max(end))
    }

    /// Whether it is held by a thread that is turned and has to be tightened: by its kind, or by the thread that it names.
    #[must_use]
    pub fn wants_tightening(&self) -> bool {
        self.drive.is_turned() && (self.kind.has_thread() || self.thread.is_some())
    }

    /// Whether it is turned out of its hole and in again: a slackened one is broken loose and tightened, and no more.
    #[must_use]
    pub fn is_run_out(&self) -> bool {
        self.drive.is_turned() && !self.slackened
    }

    /// Whether it is still in its hole once it is broken loose; what is not turned comes out by that act.
    #[must_use]
    pub fn stays_when_freed(&self) -> bool {
        self.drive.is_turned() || self.slackened
    }

    /// The greatest torque to reckon reach with: of its stages, else what a tight reading reckons with.
    #[must_use]
    pub fn torque_for_reach(&self) -> Option<Torque> {
        self.greatest_torque().or(self.reckoned_torque)
    }

    /// Whether it has to be tightened and the book gives no figure; *by feel* and *until it seats* are figures.
    #[must_use]
    pub fn is_figure_missing(&self) -> bool {
        let stages = &self.tightening.stages;
        let unknown = stages.iter().any(|s| s.target == StageTarget::NotKnown);
        unknown || (stages.is_empty() && self.wants_tightening())
    }

    /// Its thread where loads can be reckoned from it; `None` for a pipe thread, and where no thread is told.
    #[must_use]
    pub fn screw_thread(&self) -> Option<Thread> {
        self.thread.and_then(FastenerThread::screw)
    }

    /// The torques that raise no question for it: by its thread, else by the threads that its hexagon may carry; `None`
    /// where neither is known, for a pipe thread, and for plugs, unions, clamps and sensors, which obey other rules.
    ///
    /// A guard, never an instruction: the maker's figure wins.
    #[must_use]
    pub fn plausible_torques(&self) -> Option<TorqueWindow> {
        use FastenerKind::{Bolt, Nut, Screw, Stud};
        if !matches!(self.kind, Bolt | Nut | Stud | Screw) {
            return None;
        }
        let (class, lubrication, tapped_in) = (self.class, self.lubrication, self.tapped_in);
        match self.thread {
            Some(FastenerThread::Screw(thread)) => {
                return Some(torque_window(&TorqueContext { thread, class, lubrication, tapped_in }));
            }
            Some(FastenerThread::Pipe(_)) => return None,
            None => {}
        }
        let hexagon = matches!(self.drive.form(), DriveForm::Hexagon | DriveForm::BiHexagon);
        let width = hexagon.then(|| Length::from_mm(self.drive.size()))?;
        torque_window_of_hexagon(width, class, lubrication, tapped_in)
    }

    /// The factor from tightening torque to the torque that breaks it loose.
    #[must_use]
    pub fn break_loose_factor(&self) -> f64 {
        let product: f64 = self.history.iter().map(|(_, factor)| factor).product();
        crate::rules::BREAK_LOOSE_RATIO * product
    }

    /// The torque expected to break it loose.
    #[must_use]
    pub fn break_loose_torque(&self) -> Option<Torque> {
        self.torque_for_reach().map(|t| t * self.break_loose_factor())
    }

    /// Whether it may well break, round off or seize on the way out.
    #[must_use]
    pub fn is_risky(&self) -> bool {
        self.drive.is_turned() && self.break_loose_factor() >= crate::rules::RISKY_BREAK_LOOSE_RATIO
    }

    /// Thread, length and class as a person writes them, "M6 × 25, 8.8"; `None` without a thread.
    #[must_use]
    pub fn size_words(&self) -> Option<String> {
        let thread = self.thread?;
        let length =
            self.length.map_or_else(String::new, |l| format!(" × {}", units::significant(l.as_mm(), 4)));
        let class = self.class.map_or_else(String::new, |c| format!(", {c}"));
        let hand = if self.is_left_hand { " LH" } else { "" };
        Some(format!("{thread}{hand}{length}{class}"))
    }

    /// As [`Self::size_words`]; the drive where there is no thread.
    #[must_use]
    pub fn size_or_drive_words(&self) -> String {
        self.size_words().unwrap_or_else(|| self.drive.to_string())
    }

    /// Turns from seated to free of the thread; 0 without a thread.
    #[must_use]
    pub fn turns_to_free(&self) -> f64 {
        self.thread.map_or(0.0, |t| self.engagement_or_assumed(t).as_mm() / t.pitch_mm())
    }

    /// The length of thread engaged; the middle of a doubt. Where nothing is told, [`crate::rules::ASSUMED_ENGAGEMENT_RATIO`] of a screw
    /// thread, and the usual turns of a pipe thread.
    #[must_use]
    pub fn engagement_or_assumed(&self, thread: FastenerThread) -> Length {
        let assumed = match thread {
            FastenerThread::Screw(screw) => {
                Length::from_mm(screw.d_mm() * crate::rules::ASSUMED_ENGAGEMENT_RATIO)
            }
            FastenerThread::Pipe(pipe) => pipe.usual_engagement(),
        };
        let (low, high) = self.engagement.ends_or((assumed, assumed));
        (low + high) * 0.5
    }
}
