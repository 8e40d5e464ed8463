//! Happenings: what each kind adds to the job, in steps with seconds.
//!
//! The seconds are assumptions, to be refitted from the journal; the steps are common practice, no single source. **They are the
//! usual ones: the maker's service data and the mechanic's own inspection take precedence.**
//!
//! | kind | state it leaves | usual steps |
//! |---|---|---|
//! | seized | as it is | penetrant and 15 minutes, then shock and heat, before it is freed |
//! | rounded | in place, brought out by the step | grip it from outside or extract it, before the part comes off |
//! | broken | broken; no longer holds the part | rest out of the hole and thread chased, between part off and run in |
//! | thread came out | off | thread repaired, between part off and run in |
//! | extra part | – | it comes off before the part's fixings, goes back on at refit |
//! | wrong part, part missing | – | sorted out before the part goes on |
//! | lost | missing | looked for at once; a new one at hand before run in |
//! | dropped | – | looked for at once |
//! | missing when found | missing | hole and its thread looked at before run in |
//! | found like this | as it is | looked at, measured and written down at once |
//! | interrupted | – | last closed steps looked at again at once |

use model::FastenerState;
use model::progress::{ExtraStep, FastenerProgress, Happening, HappeningKind, JobPoint, Progress};
use model::{Book, Fixing};
use times::{
    BREAK_OUT_S, CHASE_S, CREEP_S, GRIP_OUT_S, INSERT_S, LOOK_AGAIN_S, LOOK_AT_S, ORDER_S, PENETRANT_S,
    REPLACE_S, SEARCH_FALLEN_S, SEARCH_S, SHOCK_S, UNKNOWN_PART_S,
};

/// The progress with some happenings taken in: states changed, extra steps added. One that is already in is passed over.
#[must_use]
pub fn take_in(book: &Book, progress: &Progress, happenings: &[Happening]) -> Progress {
    let mut progress = progress.clone();
    for happening in happenings {
        let prefix = format!("{}/", happening.key);
        if progress.extra.iter().any(|e| e.key.starts_with(&prefix)) {
            continue;
        }
        let fixing = happening.fixing.as_ref().and_then(|f| book.fixing_by_key(f)).map(|id| book.fixing(id));
        let holes = affected_holes(fixing, happening, &progress);
        if let (Some(fixing), Some(state)) = (fixing, happening.kind.state_left()) {
            for hole in &holes {
                progress.set_fastener(&fixing.key, hole, FastenerProgress { state, passes: 0 });
            }
        }
        let extra = if happening.extra.is_empty() {
            usual_steps(book, happening, &holes)
        } else {
            happening.extra.clone()
        };
        progress.extra.extend(extra.into_iter().enumerate().map(|(at, e)| name_extra_step(e, &prefix, at)));
    }
    progress
}

fn name_extra_step(mut extra: ExtraStep, prefix: &str, at: usize) -> ExtraStep {
    if !extra.key.starts_with(prefix) {
        extra.key = format!("{prefix}{}", at + 1);
    }
    extra
}

/// The holes concerned: those named, or else every hole of the fixing that this kind can affect.
fn affected_holes(fixing: Option<&Fixing>, happening: &Happening, progress: &Progress) -> Vec<String> {
    let Some(fixing) = fixing.filter(|_| happening.holes.is_empty()) else { return happening.holes.clone() };
    let open = |hole: &&model::Hole| {
        let state = progress.fastener(&fixing.key, &hole.label).state;
        match happening.kind {
            HappeningKind::Seized | HappeningKind::Rounded => {
                matches!(state, FastenerState::InPlace | FastenerState::Freed)
            }
            HappeningKind::Lost => state == FastenerState::Off,
            HappeningKind::Broken
            | HappeningKind::ThreadCameOut
            | HappeningKind::ExtraPart
            | HappeningKind::WrongPart
            | HappeningKind::PartMissing
            | HappeningKind::Dropped
            | HappeningKind::MissingWhenFound
            | HappeningKind::FoundLikeThis
            | HappeningKind::Interrupted => true,
        }
    };
    fixing.holes.iter().filter(open).map(|h| h.label.clone()).collect()
}

/// The usual steps for a happening, by the table of this module.
#[must_use]
pub fn usual_steps(book: &Book, happening: &Happening, holes: &[String]) -> Vec<ExtraStep> {
    let case = HappeningCase::new(book, happening, holes);
    match happening.kind {
        HappeningKind::Seized => steps_for_seized(&case),
        HappeningKind::Rounded => {
            let out = "Grip from the outside, or extract,";
            vec![ExtraStep {
                brings_out: true,
                ..case.extra_step(1, out, GRIP_OUT_S, JobPoint::Any, case.part_off_point())
            }]
        }
        HappeningKind::Broken => steps_for_broken(&case),
        HappeningKind::ThreadCameOut => {
            vec![case.extra_step(
                1,
                "Repair the thread of",
                INSERT_S,
                case.part_off_point(),
                case.run_in_point(),
            )]
        }
        HappeningKind::ExtraPart => steps_for_extra_part(&case),
        HappeningKind::WrongPart | HappeningKind::PartMissing => {
            vec![case.extra_step(
                1,
                "Identify the correct part and obtain it:",
                ORDER_S,
                JobPoint::Any,
                case.part_on_or_any_point(),
            )]
        }
        HappeningKind::Lost => {
            let look = case.extra_step(1, "Look for", SEARCH_S, JobPoint::Any, JobPoint::Any);
            let after = JobPoint::Extra(look.key.clone());
            vec![
                look,
                case.extra_step(2, "Have a replacement ready for", REPLACE_S, after, case.run_in_point()),
            ]
        }
        HappeningKind::Dropped => {
            vec![case.extra_step(
                1,
                "Before anything is turned or closed, find what was dropped:",
                SEARCH_FALLEN_S,
                JobPoint::Any,
                JobPoint::Any,
            )]
        }
        HappeningKind::MissingWhenFound => {
            let look = "Inspect the hole and its thread, and have a replacement ready for";
            vec![case.extra_step(1, look, LOOK_AT_S, JobPoint::Any, case.run_in_point())]
        }
        HappeningKind::FoundLikeThis => {
            vec![case.extra_step(1, "Inspect, measure and record", LOOK_AT_S, JobPoint::Any, JobPoint::Any)]
        }
        HappeningKind::Interrupted => {
            vec![case.extra_step(
                1,
                "Look again at the last three steps before",
                LOOK_AGAIN_S,
                JobPoint::Any,
                JobPoint::Any,
            )]
        }
    }
}

/// Soak, then shock and heat.
fn steps_for_seized(case: &HappeningCase<'_>) -> Vec<ExtraStep> {
    let mut soak = case.extra_step(1, "Apply penetrant to", PENETRANT_S, JobPoint::Any, case.undo_point());
    soak.hold_up_s = CREEP_S;
    let after = JobPoint::Extra(soak.key.clone());
    vec![soak, case.extra_step(2, "Shock and heat", SHOCK_S, after, case.undo_point())]
}

/// Extract the remainder once the part is off, then chase the thread before anything is run in.
fn steps_for_broken(case: &HappeningCase<'_>) -> Vec<ExtraStep> {
    let (off, in_again) = (case.part_off_point(), case.run_in_point());
    let out = case.extra_step(1, "Extract the broken remainder of", BREAK_OUT_S, off, in_again.clone());
    let after = JobPoint::Extra(out.key.clone());
    let chase = case.extra_step(2, "Chase the thread and blow out the hole of", CHASE_S, after, in_again);
    vec![ExtraStep { brings_out: true, ..out }, chase]
}

/// Off now, back on where the part that it was found on goes back.
fn steps_for_extra_part(case: &HappeningCase<'_>) -> Vec<ExtraStep> {
    let words = "Photograph, then take off,";
    let off = case.extra_step(1, words, UNKNOWN_PART_S, JobPoint::Any, case.undo_point());
    vec![off, case.extra_step(2, "Refit", UNKNOWN_PART_S, case.part_on_or_refit_point(), JobPoint::Any)]
}

/// A happening with the part that it is about.
struct HappeningCase<'a> {
    happening: &'a Happening,
    holes: &'a [String],
    part: Option<String>,
    about: String,
}

impl<'a> HappeningCase<'a> {
    fn new(book: &Book, happening: &'a Happening, holes: &'a [String]) -> Self {
        let fixing = happening.fixing.as_ref().and_then(|f| book.fixing_by_key(f)).map(|id| book.fixing(id));
        let part = fixing.map(|f| book.part(f.part).key.clone()).or_else(|| happening.part.clone());
        let title = part.as_ref().and_then(|p| book.part_by_key(p)).map(|p| book.part(p).title.clone());
        let about = match (fixing, title) {
            (Some(fixing), _) => {
                let noun = if holes.len() == 1 { "hole" } else { "holes" };
                format!("{} × {} ({noun} {})", holes.len(), fixing.title, holes.join(", "))
            }
            (None, Some(title)) => format!("the {title}"),
            (None, None) => String::from("what was reported"),
        };
        Self { happening, holes, part, about }
    }

    /// A step; its seconds are for each hole, or once where no hole is meant.
    fn extra_step(
        &self,
        at: usize,
        doing: &str,
        each_s: f64,
        after: JobPoint,
        before: JobPoint,
    ) -> ExtraStep {
        let note = match self.happening.note.trim() {
            "" => String::new(),
            note => format!(" ({note})"),
        };
        ExtraStep {
            key: format!("{}/{at}", self.happening.key),
            text: format!("{doing} {}{note}.", self.about),
            part: self.part.clone(),
            fixing: self.happening.fixing.clone(),
            holes: self.holes.to_vec(),
            work_s: each_s * self.holes.len().max(1) as f64,
            hold_up_s: 0.0,
            after,
            before,
            brings_out: false,
            helper: false,
            done: false,
        }
    }

    fn undo_point(&self) -> JobPoint {
        self.happening.fixing.clone().map_or_else(|| self.part_off_point(), JobPoint::Undo)
    }

    fn run_in_point(&self) -> JobPoint {
        self.happening.fixing.clone().map_or_else(|| self.part_on_or_any_point(), JobPoint::RunIn)
    }

    fn part_off_point(&self) -> JobPoint {
        self.part.clone().map_or(JobPoint::Any, JobPoint::PartOff)
    }

    fn part_on_or_refit_point(&self) -> JobPoint {
        self.part.clone().map_or(JobPoint::Refit, JobPoint::PartOn)
    }

    fn part_on_or_any_point(&self) -> JobPoint {
        self.part.clone().map_or(JobPoint::Any, JobPoint::PartOn)
    }
}
