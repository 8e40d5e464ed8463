//! What the answer about one access rests on: figures that are not known, assumed, or bounded by a class.

use crate::figures::{AccessFigures, SegmentFigures};
use crate::{
    Book, DriveForm, FigureGrade, Fixing, FixingId, Known, Stage, StageTarget, is_citation, reckoned_torques,
};
use units::Length;

units::worded! {
    /// What is known about whether a fastener can be worked, best first.
    pub enum ReachVerdict {
        /// One stack at hand does each act at every value of every figure it rests on, none of them assumed.
        Proven = "proven",
        /// A stack at hand may do each act.
        Likely = "likely",
        /// A figure that the rules need has neither a value nor a class.
        NotKnown = "not-known" / "not known",
        /// Nothing at hand does one of the acts, at any value.
        No = "no",
    }
}

/// The drive, as a figure that may not be known.
pub const DRIVE_FIGURE: &str = "the drive";

/// A tightening torque that no document is cited for, as a figure that is assumed.
pub const UNCITED_TORQUE_FIGURE: &str = "the tightening torque (not cited)";

/// What the answer about one access rests on.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReachDoubts {
    /// Figures that have neither a value nor a class, as a person says them.
    pub not_known: Vec<&'static str>,
    /// Figures that are assumed.
    pub assumed: Vec<&'static str>,
    /// Whether a class bounds what is not measured.
    pub is_by_class: bool,
    /// Whether a figure is in doubt whose ends bound nothing, so that neither a proof nor a refusal holds.
    pub is_unbounded: bool,
}

impl ReachDoubts {
    /// Whether nothing here stands against a proof.
    #[must_use]
    pub fn allows_proof(&self) -> bool {
        self.not_known.is_empty() && self.assumed.is_empty() && !self.is_unbounded
    }
}

/// What each flag that is left out is read as in a proof.
///
/// (flag, read as, asked of the person who writes the book). The cautious reading may add a demand, never a figure.
pub const FLAGS_LEFT_OUT: &[(&str, &str, bool)] = &[
    ("side", "no room beside the head", true),
    ("swings", "no arc is free", true),
    ("bends", "straight, which is assumed", true),
    ("drop_over", "above every opening that cannot be capped: a piece has to hold the fastener", true),
    ("counter_hold", "nothing to hold on the far side", false),
    ("captive", "not captive", false),
    ("slackened", "taken out", false),
    ("one_time", "used again", true),
    ("critical", "not critical; without a figure no driver runs it in", true),
    ("helper", "one person lifts it", true),
    ("brittle", "not brittle", false),
];

impl Book {
    /// The grade of a fixing's tightening figure.
    #[must_use]
    pub fn tightening_grade(&self, fixing: &Fixing) -> FigureGrade {
        let origin = fixing.origins.or_else(self.part(fixing.part).origins).or_else(self.origins).tightening;
        let is_cited = is_citation(&fixing.tightening.source);
        match origin {
            _ if self.is_invented => FigureGrade::Firm,
            Some(origin) if origin.grade() != FigureGrade::Firm => origin.grade(),
            _ if is_cited => FigureGrade::Firm,
            _ => FigureGrade::Assumed,
        }
    }

    /// The grade of a fixing's head and room, as far as they are told.
    #[must_use]
    pub fn space_grade(&self, fixing: &Fixing) -> FigureGrade {
        let origin = fixing.origins.or_else(self.part(fixing.part).origins).or_else(self.origins).space;
        if self.is_invented {
            FigureGrade::Firm
        } else {
            origin.map_or(FigureGrade::Firm, crate::FigureOrigin::grade)
        }
    }

    /// What the answer about one access of a fixing rests on.
    #[must_use]
    pub fn reach_doubts(&self, id: FixingId, access: u16) -> ReachDoubts {
        let fixing = self.fixing(id);
        let mut doubts = ReachDoubts::default();
        if fixing.drive.form() == DriveForm::NotKnown {
            doubts.not_known.push(DRIVE_FIGURE);
        }
        self.add_torque_doubts(fixing, &mut doubts);
        if self.space_grade(fixing) == FigureGrade::Assumed {
            doubts.assumed.push("the room");
        }
        doubts.is_by_class |= self.space_grade(fixing) == FigureGrade::Seen;
        let Some(figures) = &fixing.figures else { return doubts };
        let told = figures.accesses.get(usize::from(access));
        told.into_iter().for_each(|told| add_space_doubts(told, &mut doubts));
        if fixing.drive.is_turned() && fixing.drive.form() != DriveForm::NotKnown {
            add_head_doubts(fixing, figures.grip_height, figures.protrusion, &mut doubts);
        }
        let bends = |told: &&AccessFigures| told.bends.iter().flatten().next().is_some();
        let narrows = |told: &&AccessFigures| told.corridor.as_deref().is_some_and(narrows_outward);
        let sinks = !matches!((figures.grip_height, figures.protrusion), (Known::Exact(_), Known::Exact(_)));
        doubts.is_unbounded |= sinks && told.as_ref().is_some_and(|told| bends(told) || narrows(told));
        doubts
    }

    fn add_torque_doubts(&self, fixing: &Fixing, doubts: &mut ReachDoubts) {
        if fixing.is_figure_missing() {
            if reckoned_torques(fixing).is_some() {
                doubts.assumed.push("the tightening torque");
            } else {
                doubts.not_known.push("the tightening torque");
            }
            return;
        }
        let by_figure =
            |stage: &Stage| matches!(stage.target, StageTarget::Torque(_) | StageTarget::Angle(_));
        let has_figure = fixing.tightening.stages.iter().any(by_figure);
        if has_figure && self.tightening_grade(fixing) == FigureGrade::Assumed {
            doubts.assumed.push(UNCITED_TORQUE_FIGURE);
        }
    }
}

/// Whether a way has a stretch that is wider than the one behind it.
fn narrows_outward(segments: &[SegmentFigures]) -> bool {
    let low = |s: &SegmentFigures| s.clear.ends().map_or(Length::ZERO, |ends| ends.0);
    let high = |s: &SegmentFigures| s.clear.ends().map_or(Length::from_mm(f64::MAX), |ends| ends.1);
    segments.windows(2).any(|pair| high(&pair[0]) > low(&pair[1]))
}

fn add_space_doubts(told: &AccessFigures, doubts: &mut ReachDoubts) {
    let by_class = told.room.is_some();
    doubts.is_by_class |= by_class && !told.is_exact();
    let lacks_width =
        |s: &SegmentFigures| !s.clear.is_known() || s.length.is_some_and(|length| !length.is_known());
    let is_told = told.corridor.as_ref().is_some_and(|segments| !segments.iter().any(lacks_width));
    if !by_class && (!is_told || !told.headroom.is_known()) {
        doubts.not_known.push("the room");
    }
    // A class says that the way is straight; of a measured way without a class nobody has said so.
    if told.bends.is_none() && !by_class {
        doubts.assumed.push("that the way is straight");
        doubts.is_unbounded = true;
    }
    let exact = |figure: Known<Length>| matches!(figure, Known::Exact(_));
    doubts.is_unbounded |= told.bends.iter().flatten().any(|bend| !exact(bend.at));
    if let Some(segments) = &told.corridor {
        let is_loose = segments.iter().any(|s| s.length.is_some_and(|length| !exact(length)));
        doubts.is_unbounded |= is_loose && narrows_outward(segments);
    }
    if let Some(hold) = &told.hold {
        add_space_doubts(&hold.access, doubts);
    }
}

fn add_head_doubts(fixing: &Fixing, grip: Known<Length>, stud: Known<Length>, doubts: &mut ReachDoubts) {
    if !grip.is_known() && !crate::standard_grip_height(fixing.drive).is_known() {
        doubts.not_known.push("the height of the head");
    }
    if !stud.is_known() {
        doubts.assumed.push("how far the stud stands above the nut");
    }
}
