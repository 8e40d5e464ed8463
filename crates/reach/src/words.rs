//! A stack in one line of words, as one mechanic would ask another to hand it over.

use model::{Drive, DriveForm, Grip, Piece, PieceKind, Stack, Store};
use units::{Angle, Length};

/// Sockets from this length on are called deep (common practice, no single source: short ones end near 40 mm).
const DEEP: Length = Length::from_mm(45.0);

/// The stack in one line: "E10 deep 1/4 in, 150 mm extension, joint at 20°, fine-tooth ratchet".
#[must_use]
pub fn describe_stack(store: &Store, stack: &Stack) -> String {
    let piece_words = |ids: &[model::PieceId], stack: Option<&Stack>| -> Vec<String> {
        ids.iter()
            .enumerate()
            .map(|(at, id)| format!("{}{}", words_of_piece(store.piece(*id)), bent_words(stack, at)))
            .collect()
    };
    let worked = match stack.pieces.as_slice() {
        [] => "bare hand".to_owned(),
        ids => piece_words(ids, Some(stack)).join(", "),
    };
    if stack.hold.is_empty() {
        return worked;
    }
    format!("{worked}; other side held with {}", piece_words(&stack.hold, None).join(", "))
}

fn bent_words(stack: Option<&Stack>, at: usize) -> String {
    let taken = stack.and_then(|s| s.bends.iter().find(|b| usize::from(b.piece) == at));
    taken.filter(|b| b.angle > Angle::ZERO).map_or_else(String::new, |b| format!(" at {}", b.angle))
}

/// One piece by its kind and size; its title where that is clearer.
pub(crate) fn words_of_piece(piece: &Piece) -> String {
    let length = piece.length_in_stack();
    let drive = piece.grip.as_ref().and_then(drive_words);
    let with_drive =
        |rest: &str| drive.as_ref().map_or_else(|| piece.title.clone(), |drive| format!("{drive}{rest}"));
    let kind = piece.kind.spoken_word();
    match piece.kind {
        PieceKind::Socket => {
            with_drive(&format!("{}{}", if length >= DEEP { " deep" } else { "" }, link_words(piece)))
        }
        PieceKind::BitSocket => with_drive(&format!(" bit{}", link_words(piece))),
        PieceKind::CrowFoot => with_drive(&format!(" {kind}{}", link_words(piece))),
        PieceKind::Bit
        | PieceKind::RingSpanner
        | PieceKind::OpenSpanner
        | PieceKind::FlareSpanner
        | PieceKind::RatchetingRing
        | PieceKind::NutDriver
        | PieceKind::Screwdriver => with_drive(&format!(" {kind}")),
        PieceKind::Extension | PieceKind::TiltingExtension => format!("{length} {kind}"),
        PieceKind::Joint => kind.to_owned(),
        PieceKind::Adapter => adapter_words(piece),
        PieceKind::TorqueWrench | PieceKind::TorqueScrewdriver => measure_words(piece, kind),
        PieceKind::BitHolder
        | PieceKind::Ratchet
        | PieceKind::BreakerBar
        | PieceKind::SpinnerHandle
        | PieceKind::PowerDriver
        | PieceKind::Pliers
        | PieceKind::Hook
        | PieceKind::Special => title_words(piece),
    }
}

/// The drive that a grip takes; of a hexagon, the usual case, its width alone, and both widths of a double-ended spanner.
fn drive_words(grip: &Grip) -> Option<String> {
    let fit = grip.fits.first().filter(|f| f.low == f.high)?;
    let drive = Drive::new(fit.form, fit.low);
    Some(if drive.form() == DriveForm::Hexagon {
        let widths = grip.fits.iter().filter(|f| f.form == fit.form && f.low == f.high);
        let sizes: Vec<String> = widths.map(|f| Drive::new(f.form, f.low).width_words()).collect();
        match sizes.iter().map(|size| size.strip_suffix(" mm")).collect::<Option<Vec<_>>>() {
            Some(figures) => format!("{} mm", figures.join("x")),
            None => sizes.join(" x "),
        }
    } else if drive.form() == DriveForm::SquareSocket {
        format!("{} square", drive.width_words())
    } else {
        drive.to_string()
    })
}

fn link_words(piece: &Piece) -> String {
    piece.toward_hand.map_or_else(String::new, |link| format!(" {link}"))
}

fn adapter_words(piece: &Piece) -> String {
    match (piece.toward_fastener, piece.toward_hand) {
        // From the hand's square to the fastener's, as it is sold.
        (Some(inner), Some(outer)) => format!("adapter {outer} to {inner}"),
        _ => piece.title.clone(),
    }
}

/// The title as the kit has it; of a handle on a square without the commas, which part the pieces of a stack.
fn title_words(piece: &Piece) -> String {
    if piece.toward_fastener.is_some() { piece.title.replace(", ", " ") } else { piece.title.clone() }
}

fn measure_words(piece: &Piece, kind: &str) -> String {
    piece.measure.as_ref().map_or_else(
        || piece.title.clone(),
        |m| format!("{kind} {} to {}", units::significant(m.range.low().as_n_m(), 4), m.range.high()),
    )
}
