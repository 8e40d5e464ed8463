//! Gaps: every duty of the scope that no stack can do, with what came nearest.

use model::plan::Gap;
use model::{
    Book, DriveForm, Fixing, MissKind, NearestMiss, ObtainKind, PieceKind, PieceSpec, ReachVerdict, Store,
};

use crate::scope::{PlanScope, ScopedDuty};

/// The gaps of a scope, in the order of its duties.
pub(super) fn list_gaps(book: &Book, store: &Store, scope: &PlanScope) -> Vec<Gap> {
    let open = scope.duties.iter().filter(|d| d.workings.is_empty() && d.verdict != ReachVerdict::NotKnown);
    open.map(|d| gap_of_duty(book, store, d)).collect()
}

fn gap_of_duty(book: &Book, store: &Store, scoped: &ScopedDuty) -> Gap {
    let fixing = book.fixing(scoped.duty.fixing);
    let miss = scoped.miss.clone().unwrap_or_else(|| unexplained_miss(fixing));
    let nearest = miss.stack.iter().filter_map(|id| store.pieces.get(id.index()));
    Gap {
        fixing: fixing.key.clone(),
        access: scoped.duty.access,
        act: scoped.duty.act,
        stage: scoped.duty.stage,
        kind: miss.kind,
        short_by: miss.short_by,
        words: miss.words,
        nearest: nearest.map(|p| p.key.clone()).collect(),
        wanted: miss.wanted,
    }
}

/// The miss for a duty without a nearest miss: ask for a grip that fits the drive.
fn unexplained_miss(fixing: &Fixing) -> NearestMiss {
    let kind = match fixing.drive.form() {
        DriveForm::SpringClamp => PieceKind::Pliers,
        DriveForm::PushClip | DriveForm::Latch | DriveForm::Hand => PieceKind::Hook,
        DriveForm::HexSocket
        | DriveForm::Hexalobular
        | DriveForm::CrossRecess
        | DriveForm::CrossRecessZ
        | DriveForm::Slot
        | DriveForm::SquareSocket => PieceKind::BitSocket,
        DriveForm::Square => PieceKind::OpenSpanner,
        DriveForm::Hexagon | DriveForm::BiHexagon | DriveForm::ExternalHexalobular | DriveForm::NotKnown => {
            PieceKind::Socket
        }
    };
    let mut wanted = PieceSpec {
        kind,
        drive: Some(fixing.drive),
        link: None,
        min_length_mm: None,
        max_length_mm: None,
        max_diameter_mm: None,
        torque_n_m: None,
        max_step_deg: None,
        bend_deg: None,
        retention: false,
        how: ObtainKind::Buy,
        words: String::new(),
    };
    wanted.words = super::shopping::wanted_piece_words(&wanted);
    NearestMiss {
        kind: MissKind::NoGrip,
        stack: Vec::new(),
        piece: None,
        short_by: 0.0,
        words: format!("no tool at hand fits {}", fixing.drive),
        wanted,
    }
}
