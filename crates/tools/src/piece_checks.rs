//! What cannot be true of a tool: rules over one piece once its figures are known.

use faults::{Fault, SourceSpan};
use model::{DriveForm, GripApproach, HandleStyle, PieceKind};
use units::Length;

use crate::build::PieceShape;
use crate::draft::OwnerFigures;
use crate::item::WrittenPiece;
use crate::keys;
use crate::recipe::{PieceRecipe, RecipeKind};
use crate::standard::CORNERS_RATIO;
use crate::standard::link;
use crate::tables::PIECE;

/// Greatest error that a torque tool may have and still be one (assumption).
const MAX_TOLERANCE_FRACTION: f64 = 0.25;
/// Greatest angle of a joint: beyond it the torque turns back.
const MAX_JOINT_DEG: f64 = 90.0;
/// Finest and coarsest step of a ratchet (assumption).
const STEP_DEG: core::ops::RangeInclusive<f64> = 0.5..=90.0;

/// Whether the kind has what it needs: a link, a size, what makes it a torque tool or a driver.
pub(crate) fn check_kind_needs(entry: &WrittenPiece<'_>, make: &PieceRecipe) -> bool {
    let before = entry.bag.len();
    check_links(entry, make);
    check_required_keys(entry, make);
    entry.bag.len() == before
}

/// S108: a link that the kind cannot do without; S109: one that it cannot have.
fn check_links(entry: &WrittenPiece<'_>, make: &PieceRecipe) {
    use PieceKind as K;
    let kind = make.kind.kind;
    let one = make.kind.word_with_article();
    let both = matches!(kind, K::Adapter);
    let bare = keys::has_grip(kind) && !matches!(kind, K::Socket | K::BitSocket | K::Bit | K::CrowFoot);
    if !bare && make.link().is_none() {
        let help = if both { "write `hand_link` and `fastener_link`" } else { "write `link = \"1/4 in\"`" };
        let fault = Fault::error("S108", format!("{one} needs a square drive or shank"));
        entry.bag.push(fault.at(entry.spot.span, "no link here").help(help));
    } else if both && (make.hand.is_none() || make.fastener.is_none() || make.hand == make.fastener) {
        let fault = Fault::error("S108", "an adapter needs two unlike links");
        entry.bag.push(fault.at(entry.spot.span, "here").help("write `hand_link` and `fastener_link`"));
    }
    let fixed = bare && kind != K::Special && entry.has("link");
    if fixed {
        let fault = Fault::error("S109", format!("{one} has no square drive"));
        entry
            .bag
            .push(fault.at(entry.place_of("link"), "remove it").help("a tool on a square is another kind"));
    }
}

/// S119: what else the kind cannot do without.
fn check_required_keys(entry: &WrittenPiece<'_>, make: &PieceRecipe) {
    use PieceKind as K;
    let kind = make.kind.kind;
    let no_length = !entry.has("length") && !entry.has("outline");
    let lacking: &[(bool, &str)] = &[
        (
            keys::has_grip(kind) && kind != K::Special && !entry.has("fits") && !entry.has("size"),
            "size` or `fits",
        ),
        (matches!(kind, K::Extension | K::TiltingExtension) && no_length, "length"),
        (matches!(kind, K::TorqueWrench | K::TorqueScrewdriver) && !entry.has("range"), "range"),
        (kind == K::PowerDriver && !entry.has("speed"), "speed"),
        (kind == K::PowerDriver && !entry.has("max_torque"), "max_torque"),
        (kind == K::Special && make.fits.is_empty() && !entry.has("answers"), "answers` or `fits"),
    ];
    for (_, key) in lacking.iter().filter(|(lacks, _)| *lacks) {
        let fault = Fault::error("S119", format!("{} needs `{key}`", make.kind.word_with_article()));
        entry.bag.push(
            fault.at(entry.spot.span, "not here").help("docs/store-format.md lists what each kind needs"),
        );
    }
}

/// S127: keys that the kind has no use for.
pub(crate) fn warn_unused_keys(entry: &WrittenPiece<'_>, kind: RecipeKind) {
    for field in PIECE.fields() {
        let key = field.key();
        let bent = kind.bent && key == "height";
        if entry.has(key)
            && !field.scope().is_none_or(|scope| keys::applies_to_kind(scope, kind.kind))
            && !bent
        {
            let fault = Fault::warning("S127", format!("{} does not use `{key}`", kind.word_with_article()));
            entry
                .bag
                .push(fault.at(entry.place_of(key), "has no effect").help("remove it, or check the kind"));
        }
    }
}

/// Whether the figures can be true together.
pub(crate) fn check_shape(
    entry: &WrittenPiece<'_>,
    shape: &PieceShape,
    make: &PieceRecipe,
    figures: &OwnerFigures,
    at: SourceSpan,
) -> bool {
    let before = entry.bag.len();
    let say = |code, message: String, key: &str, help: &str| {
        let span = entry.spot.keys.get(key).map_or(at, |spot| spot.span);
        entry.bag.push(Fault::error(code, message).at(span, "impossible").help(help));
    };
    check_joint(shape, &say);
    check_bore(shape, make, figures, &say);
    check_drive_forms(shape, make, &say);
    check_torque_scale(shape, make, &say);
    check_motor(shape, &say);
    check_ratchet_step(shape, figures, &say);
    if shape.outline.is_empty() || shape.strength.as_n_m() <= 0.0 {
        say("S119", "a body and a strength are needed".into(), "", "write `outline` and `strength`");
    }
    entry.bag.len() == before
}

/// Reports a fault: code, message, the key that it is about (the whole piece if it is not there), help.
type FaultReporter<'s> = dyn Fn(&'static str, String, &str, &str) + 's;

/// S111: a joint that bends too far, or lies outside its piece.
fn check_joint(shape: &PieceShape, say: &FaultReporter<'_>) {
    let Some(bend) = shape.bend else { return };
    let whole: Length = shape.outline.iter().map(|s| s.length).sum();
    let deg = bend.max_angle.as_deg();
    if deg > MAX_JOINT_DEG {
        say(
            "S111",
            format!("a joint cannot take {}", bend.max_angle),
            "max_angle",
            "write at most 90°; usual joints take 40°",
        );
    }
    if bend.at.as_mm() > whole.as_mm() + 0.001 {
        say(
            "S111",
            format!("the joint lies {} along a piece {whole} long", bend.at),
            "bend_at",
            "measure it from the fastener's end",
        );
    }
}

/// S112: a body thinner than what it goes over; a head narrower than its opening.
fn check_bore(shape: &PieceShape, make: &PieceRecipe, figures: &OwnerFigures, say: &FaultReporter<'_>) {
    let Some(grip) = &shape.grip else { return };
    let flats = grip.fits.iter().filter(|f| matches!(f.form, DriveForm::Hexagon | DriveForm::BiHexagon));
    let Some(flats_mm) = flats.map(|f| f.high).reduce(f64::max) else { return };
    let (width, what, key) = match grip.approach {
        GripApproach::Side => (grip.head_width, "head", "head_width"),
        GripApproach::Axial => {
            let widest = shape.outline.iter().map(|s| s.diameter).fold(Length::ZERO, Length::max);
            let key = if figures.diameter.is_some() { "diameter" } else { "outline" };
            (widest, make.kind.word(), key)
        }
    };
    let corners_mm = if grip.approach == GripApproach::Axial { CORNERS_RATIO * flats_mm } else { flats_mm };
    if width.as_mm() <= corners_mm {
        let opening = units::significant(corners_mm, 4);
        let message = format!("a {what} {width} wide cannot have an opening of {opening} mm");
        say("S112", message, key, "measure the outer diameter again");
    }
}

/// S124: a drive that the kind cannot take hold of.
fn check_drive_forms(shape: &PieceShape, make: &PieceRecipe, say: &FaultReporter<'_>) {
    use PieceKind as K;
    let Some(grip) = &shape.grip else { return };
    let internal = matches!(make.kind.kind, K::Bit | K::BitSocket | K::Screwdriver);
    let squeezed = matches!(make.kind.kind, K::Pliers | K::Hook);
    if matches!(make.kind.kind, K::Special)
        || shape.handle.is_some_and(|h| h.style == HandleStyle::Squeeze) != squeezed
    {
        return;
    }
    for fit in &grip.fits {
        let drive = model::Drive::new(fit.form, fit.high);
        let good =
            if squeezed { !drive.is_turned() } else { drive.is_turned() && drive.is_internal() == internal };
        if !good {
            let message = format!("{} does not take {drive}", make.kind.word_with_article());
            say("S124", message, "", "check kind and size; a tool unlike any kind is `special`");
        }
    }
}

/// S113 and S114: a tolerance or a full scale that no torque tool has.
fn check_torque_scale(shape: &PieceShape, make: &PieceRecipe, say: &FaultReporter<'_>) {
    let Some(measure) = &shape.measure else { return };
    let fraction = measure.tolerance_fraction;
    if fraction <= 0.0 || fraction > MAX_TOLERANCE_FRACTION {
        let message =
            format!("no torque tool has a tolerance of {} %", units::significant(100.0 * fraction, 4));
        say(
            "S113",
            message,
            "tolerance",
            "ISO 6789 allows 4 %, small tools 6 %; write `tolerance = \"4 %\"`",
        );
    }
    let Some(row) = make.fastener.map(link::row_of_link) else { return };
    let full = measure.range.high();
    if full.as_n_m() > row.test_torque_n_m() {
        let message = format!(
            "a full scale of {full} exceeds the {} N·m test torque of a {} drive",
            row.test_torque_n_m(),
            row.link
        );
        say("S114", message, "range", "check figure, unit and square");
    }
}

/// S115: clutch steps that do not rise, or go beyond the greatest torque.
fn check_motor(shape: &PieceShape, say: &FaultReporter<'_>) {
    let Some(power) = &shape.power else { return };
    if power.clutch.windows(2).any(|w| w[0] >= w[1]) {
        say(
            "S115",
            "the steps of the clutch do not rise".into(),
            "clutch",
            "write them from the lowest to the highest",
        );
    }
    if power.clutch.last().is_some_and(|last| *last > power.max) {
        let message = format!("the clutch goes beyond the greatest torque, {}", power.max);
        say("S115", message, "clutch", "check `clutch` and `max_torque`");
    }
}

/// S123: a ratchet's step that is impossible, or that contradicts its teeth.
fn check_ratchet_step(shape: &PieceShape, figures: &OwnerFigures, say: &FaultReporter<'_>) {
    let Some(handle) = shape.handle else { return };
    let key = if figures.step.is_some() { "step" } else { "teeth" };
    match handle.step {
        Some(step) if !STEP_DEG.contains(&step.as_deg()) => {
            say(
                "S123",
                format!("a ratchet does not step by {step}"),
                key,
                "count the teeth: the step is 360° over them",
            );
        }
        None if handle.style == HandleStyle::Ratchet => {
            say("S123", "a ratchet without a step".into(), key, "write `teeth = 72` or `step = \"5°\"`");
        }
        _ => {}
    }
    if let (Some(step), Some(teeth)) = (figures.step, figures.teeth)
        && (step.as_deg() * teeth as f64 - 360.0).abs() > 3.6
    {
        let message = format!(
            "{} teeth make a step of {}°, not {}",
            teeth,
            units::significant(360.0 / teeth as f64, 4),
            step
        );
        say("S123", message, "step", "write one of the two");
    }
}
