//! Drives: the size goes with the thread and the head, and withstands the torque.
//!
//! **Question.** Can this drive sit on that fastener, and does it withstand the figure?
//!
//! **Assumptions and range.** Usual hexagons are those of ISO 272 and the older DIN 931/933, with flange heads and their
//! neighbours; others exist and only raise a question. Plugs, unions and sensors have hexagons of their own.
//!
//! **Worked example.** M6 takes 10 mm; 8 mm is the small head; 17 mm is asked about.
//!
//! **Sources.** Hexagons: ISO 272, ISO 4014, DIN 931/933, EN 1665 and ISO 4162 for flange heads. Hexalobular torques:
//! the low ends of the bands in [`bolting::drive`].

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{DriveForm, FastenerKind as Kind, Fixing, StageTarget};
use units::{Torque, math};

rule! { B320 "unusual size for the thread",
why "A hexagon that no standard gives to this thread is most often a slip, and the wrong socket would be laid out.",
bad "drive       = \"hexagon 17 mm\"\n  head        = { height = 6, diameter = 22 }",
help "measure across the flats; keep it if that is the size." }
rule! { B321 "drive larger than its head",
why "What a tool takes hold of cannot be larger than the head that it is on.",
bad "drive       = \"hexagon 16 mm\"",
help "check both: `diameter` is the largest of the head, flange or washer included." }
rule! { B322 "drive too weak for the torque",
why "A recess that gives way before the torque is reached rounds off, and the bolt has to be drilled.",
bad "drive       = \"T15\"\n  head        = { recess = 3, diameter = 13.5 }",
help "check size and torque; a T30 withstands about 31 N·m." }
rule! { B323 "height and recess mixed up",
why "A tool goes over an outer drive by its `height` and into an inner one by its `recess`; the depth it gets hold of follows.",
bad "head        = { recess = 6, diameter = 13.5 }",
help "write `height` for hexagons and E sizes, `recess` for hex sockets, T sizes, cross recesses and slots." }
rule! { B324 "nut with a drive inside",
why "A nut is taken hold of from outside: the stud fills its middle.",
bad "kind        = \"nut\"\n  thread      = \"M6\"\n  drive       = \"hex socket 5 mm\"\n  head        = { recess = 4, diameter = 13.5 }",
help "write the outer drive, or another kind." }
pub(super) const RULES: &[FaultRule] = &[B320, B321, B322, B323, B324];

/// A head is read to a tenth of a millimetre, so that half of one says nothing (assumption).
const HEAD_READING_MM: f64 = 0.05;

/// Thread diameter (mm) and the widths across flats (mm) met on it, flange, small and old heads included.
const HEXAGONS_MM: &[(f64, &[f64])] = &[
    (3.0, &[5.5]),
    (4.0, &[7.0]),
    (5.0, &[7.0, 8.0]),
    (6.0, &[8.0, 10.0]),
    (7.0, &[10.0, 11.0]),
    (8.0, &[10.0, 11.0, 12.0, 13.0]),
    (10.0, &[13.0, 14.0, 15.0, 16.0, 17.0]),
    (12.0, &[15.0, 16.0, 17.0, 18.0, 19.0]),
    (14.0, &[18.0, 19.0, 21.0, 22.0]),
    (16.0, &[21.0, 22.0, 24.0]),
    (18.0, &[24.0, 27.0]),
    (20.0, &[27.0, 30.0]),
    (22.0, &[30.0, 32.0, 34.0]),
    (24.0, &[32.0, 36.0]),
];

pub(super) fn check_drives(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.sound_fixings() {
        if fixing.drive.is_turned() {
            b323_head(subject, fixing, spot);
            b322_weak(subject, fixing, spot);
        }
        if b321_size(subject, fixing, spot) {
            b320_usual(subject, fixing, spot);
        }
        if fixing.kind == Kind::Nut {
            check_nut(subject, fixing, spot);
        }
    }
}

fn b320_usual(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    let plain = matches!(fixing.kind, Kind::Bolt | Kind::Nut | Kind::Stud | Kind::Screw);
    let hexagon = matches!(fixing.drive.form(), DriveForm::Hexagon | DriveForm::BiHexagon);
    let Some(thread) = fixing.screw_thread().filter(|t| plain && hexagon && t.is_metric()) else { return };
    let same = |a_mm: f64, b_mm: f64| (a_mm - b_mm).abs() < 0.1;
    let Some((_, usual)) = HEXAGONS_MM.iter().find(|(d, _)| same(*d, thread.d_mm())) else { return };
    if !usual.iter().any(|s| same(*s, fixing.drive.size())) {
        let sizes: Vec<String> = usual.iter().map(f64::to_string).collect();
        let message = format!("{} is unusual on {thread}", fixing.drive);
        let label = format!("usual: {} mm", sizes.join(", "));
        subject.bag.push(super::rule_warning(&B320, message, spot.key("drive").span, label));
    }
}

/// Whether the drive fits on its head.
///
/// An outer hexagon counts by its flats, because rounded corners may lie within a flange; an inner one by its corners,
/// `s/cos 30°`.
fn b321_size(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) -> bool {
    let size_mm = fixing.drive.size();
    let width_mm = match fixing.drive.form() {
        DriveForm::Hexagon | DriveForm::BiHexagon => size_mm,
        DriveForm::HexSocket => size_mm / math::cos_deg(30.0),
        DriveForm::SquareSocket => size_mm * core::f64::consts::SQRT_2,
        DriveForm::Slot | DriveForm::Square => size_mm,
        _ => return true,
    };
    let told = fixing.told_figures().diameter.ends();
    if told.is_some_and(|(_, widest)| width_mm > widest.as_mm() + HEAD_READING_MM) {
        let message = format!("{} does not fit on a head of {}", fixing.drive, fixing.head.diameter);
        let fault = super::rule_error(&B321, message, spot.key("drive").span, "larger than the head");
        subject.bag.push(fault.note(spot.key("head").key("diameter").span, "the head"));
        return false;
    }
    true
}

fn b322_weak(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    if fixing.drive.form() != DriveForm::Hexalobular {
        return;
    }
    let torques = fixing.tightening.stages.iter().filter_map(|s| match s.target {
        StageTarget::Torque(torque) => Some(torque),
        _ => None,
    });
    let Some(torque) = torques.chain(fixing.tightening.end_torque).reduce(Torque::max) else { return };
    // Sizes are whole numbers of at most 100, as the drive's own reader sees to.
    let stands = bolting::drive::find_hexalobular(math::round(fixing.drive.size()) as u32)
        .and_then(|row| row.torque_n_m);
    if let Some((stands_n_m, _)) = stands.filter(|(stands_n_m, _)| torque.as_n_m() > *stands_n_m) {
        let message = format!("{} withstands about {stands_n_m} N·m, less than {torque}", fixing.drive);
        let fault = super::rule_error(&B322, message, spot.key("drive").span, "too weak");
        subject.bag.push(fault.note(spot.key("tighten").span, "tightened to"));
    }
}

fn b323_head(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    let head = spot.key("head");
    let (wanted, other) =
        if fixing.drive.is_internal() { ("recess", "height") } else { ("height", "recess") };
    if head.has(wanted) || !head.has(other) {
        return;
    }
    let message = format!("{} of `{}` has a `{other}` and no `{wanted}`", fixing.drive, fixing.key);
    let label = format!("this drive has a `{wanted}`");
    subject.bag.push(super::rule_error(&B323, message, head.key(other).span, label));
}

fn check_nut(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    if fixing.drive.is_internal() {
        let message = format!("the nut `{}` has {} inside", fixing.key, fixing.drive);
        subject.bag.push(super::rule_error(&B324, message, spot.key("drive").span, "inside a nut"));
    }
}
