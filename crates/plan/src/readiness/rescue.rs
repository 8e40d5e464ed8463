//! Rescue: what to have ready for a fixing that may break, round off or seize, in the order of use.
//!
//! The order (penetrant, a fresh six-point grip, heat, left-hand drill and extractor, thread insert) is common
//! practice, no single source. The drill of a wire thread insert follows from its thread's geometry: its tap has a
//! major diameter of d + 1.299 P, so its minor diameter is d + 0.2165 P (basic profile of ISO 68-1; the insert's rule
//! is from memory), rounded up to 0.1 mm; the kit's own sheet goes first.

use bolting::FastenerThread;
use model::plan::RescueLine;
use model::{Book, DriveForm, FastenerKind, Fixing, TappedIn};

use crate::scope::PlanScope;

/// Share of the nominal diameter for the first drill of an extractor (common practice, no single source).
const PILOT_RATIO: f64 = 0.5;
/// Minor diameter of an insert's tapped hole over the nominal one, in pitches (1.299 − 1.0825, see above).
const INSERT_MINOR_PITCHES: f64 = 0.2165;

/// The fixings of the parts that come off, in book order.
pub(super) fn fixings_off<'b>(book: &'b Book, scope: &PlanScope) -> Vec<&'b Fixing> {
    book.fixings.iter().filter(|f| scope.way_of(f.part).is_some()).collect()
}

/// Risky fixings of a scope, in book order.
pub(super) fn rescue_lines(book: &Book, scope: &PlanScope) -> Vec<RescueLine> {
    let risky = fixings_off(book, scope).into_iter().filter(|f| f.is_risky());
    let line = |fixing: &Fixing| RescueLine {
        fixing: fixing.key.clone(),
        count: u16::try_from(fixing.holes.len()).unwrap_or(u16::MAX),
        break_loose_factor: fixing.break_loose_factor(),
        items: rescue_items(fixing),
    };
    risky.map(line).collect()
}

fn rescue_items(fixing: &Fixing) -> Vec<String> {
    let mut items = vec!["penetrant, left to soak overnight".to_owned(), sound_grip_words(fixing)];
    if fixing.tapped_in != TappedIn::Plastic {
        items.push("heat, only well away from fuel, hoses, wiring and plastic".to_owned());
    }
    if fixing.kind == FastenerKind::Nut {
        items.push("nut splitter and a new nut".to_owned());
    } else if let Some(thread) = fixing.thread {
        items.extend(broken_off_items(thread));
    }
    items
}

/// A grip that does not round off the drive.
fn sound_grip_words(fixing: &Fixing) -> String {
    let drive = fixing.drive;
    match drive.form() {
        DriveForm::Hexagon => format!("six-point socket, {drive}, in good condition"),
        DriveForm::HexSocket
        | DriveForm::Hexalobular
        | DriveForm::CrossRecess
        | DriveForm::CrossRecessZ
        | DriveForm::Slot
        | DriveForm::SquareSocket => format!("new bit, {drive}, seated with a light hammer blow"),
        DriveForm::Square => format!("pipe wrench or gripping pliers over the {drive}"),
        DriveForm::BiHexagon
        | DriveForm::ExternalHexalobular
        | DriveForm::SpringClamp
        | DriveForm::PushClip
        | DriveForm::Latch
        | DriveForm::NotKnown
        | DriveForm::Hand => format!("socket, {drive}, in good condition"),
    }
}

/// For a fastener that broke off in its hole.
fn broken_off_items(thread: FastenerThread) -> Vec<String> {
    let tenths_up = |value_mm: f64| units::significant(units::math::ceil(value_mm * 10.0 - 1.0e-9) / 10.0, 4);
    let pilot = tenths_up(thread.d_mm() * PILOT_RATIO);
    let extractor = format!("left-hand drill {pilot} mm and an extractor for {thread}");
    let FastenerThread::Screw(screw) = thread else {
        // No insert of its own profile seals: the hole is cleaned and a new plug wound in.
        return vec![extractor, format!("tap {thread} to clean the hole")];
    };
    let drill = tenths_up(screw.d_mm() + INSERT_MINOR_PITCHES * screw.pitch_mm());
    let kit = format!(
        "thread insert kit {screw} with its drill (about {drill} mm; the kit's own instructions take precedence)"
    );
    vec![extractor, kit]
}
