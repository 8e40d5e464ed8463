//! A piece or a set as its owner wrote it, before what is not written is taken from the tables of standard dimensions.

use model::{
    DimensionsSource, Grip, GripApproach, GripFit, HandleStyle, OutlineSection, Piece, PieceLink, Retention,
    StorePlace, Tray,
};
use units::{Angle, Length, Money, Range, Torque};

use crate::recipe::{KINDS, RecipeKind};

/// A file of a store.
#[derive(Debug, Clone, Default)]
pub(crate) struct StoreDraft {
    pub(crate) format: String,
    pub(crate) title: Option<String>,
    pub(crate) origin: Option<String>,
    pub(crate) cart_places: Option<u16>,
    pub(crate) trays: Vec<Tray>,
    pub(crate) sets: Vec<PieceDraft>,
    pub(crate) pieces: Vec<PieceDraft>,
}

/// A piece or a set as it is written.
#[derive(Debug, Clone, Default)]
pub(crate) struct PieceDraft {
    pub(crate) set: Option<String>,
    pub(crate) except: Vec<String>,
    pub(crate) also: Vec<String>,
    pub(crate) key: Option<String>,
    pub(crate) title: Option<String>,
    pub(crate) kind: Option<RecipeKind>,
    pub(crate) size: Option<String>,
    pub(crate) fits: Option<Vec<GripFit>>,
    pub(crate) place: Option<StorePlace>,
    pub(crate) count: Option<u16>,
    pub(crate) lent: u16,
    pub(crate) in_calibration: u16,
    pub(crate) figures: OwnerFigures,
}

impl PieceDraft {
    /// How many are owned; one if nothing is stated.
    pub(crate) fn owned_count(&self) -> u16 {
        self.count.unwrap_or(1)
    }
}

/// The figures that the owner gives with a piece or with a whole set.
#[derive(Debug, Clone, Default)]
pub(crate) struct OwnerFigures {
    pub(crate) points: Option<i64>,
    pub(crate) thin: bool,
    pub(crate) link: Option<PieceLink>,
    pub(crate) hand_link: Option<PieceLink>,
    pub(crate) fastener_link: Option<PieceLink>,
    pub(crate) length: Option<Length>,
    pub(crate) diameter: Option<Length>,
    pub(crate) height: Option<Length>,
    pub(crate) outline: Option<Vec<OutlineSection>>,
    pub(crate) depth: Option<Length>,
    pub(crate) thickness: Option<Length>,
    pub(crate) head_width: Option<Length>,
    pub(crate) offset: Option<Length>,
    pub(crate) approach: Option<GripApproach>,
    pub(crate) index: Option<Angle>,
    pub(crate) retention: Option<Retention>,
    pub(crate) max_angle: Option<Angle>,
    pub(crate) bend_at: Option<Length>,
    pub(crate) stays_straight: Option<bool>,
    pub(crate) handle: Option<HandleStyle>,
    pub(crate) teeth: Option<i64>,
    pub(crate) step: Option<Angle>,
    pub(crate) radius: Option<Length>,
    pub(crate) arm: Option<Length>,
    pub(crate) hand_room: Option<Length>,
    pub(crate) range: Option<Range<Torque>>,
    pub(crate) tolerance_fraction: Option<f64>,
    pub(crate) scale_step: Option<Torque>,
    pub(crate) speed_rpm: Option<f64>,
    pub(crate) max_torque: Option<Torque>,
    pub(crate) clutch: Option<Vec<Torque>>,
    pub(crate) strength: Option<Torque>,
    pub(crate) answers: Option<Vec<String>>,
    pub(crate) price: Option<Money>,
    pub(crate) dimensions: Option<String>,
    pub(crate) exact: bool,
}

/// A piece written out in full, nothing left to the tables.
///
/// Of a torque tool's two levers, its handle's `arm` is written as such and its scale's as `length`.
pub(crate) fn draft_piece(piece: &Piece) -> PieceDraft {
    let kind = KINDS.iter().map(|(_, kind)| *kind).find(|kind| kind.kind == piece.kind);
    let mut figures = OwnerFigures {
        fastener_link: piece.toward_fastener,
        hand_link: piece.toward_hand,
        outline: Some(piece.outline.clone()),
        strength: Some(piece.strength),
        answers: Some(piece.answers.clone()),
        price: piece.price,
        dimensions: match &piece.dimensions {
            DimensionsSource::Standard(source) => Some(source.clone()),
            DimensionsSource::Stated => None,
        },
        exact: true,
        ..OwnerFigures::default()
    };
    if let Some(bend) = &piece.bend {
        figures.max_angle = Some(bend.max_angle);
        figures.bend_at = Some(bend.at);
        figures.stays_straight = Some(bend.may_stay_straight);
    }
    piece.grip.iter().for_each(|grip| draft_grip(grip, &mut figures));
    draft_moving_parts(piece, &mut figures);
    PieceDraft {
        key: Some(piece.key.clone()),
        title: Some(piece.title.clone()),
        kind,
        fits: piece.grip.as_ref().map(|grip| grip.fits.clone()),
        place: Some(piece.place.clone()),
        count: Some(piece.count),
        lent: piece.lent,
        in_calibration: piece.in_calibration,
        figures,
        ..PieceDraft::default()
    }
}

/// The figures of a grip.
fn draft_grip(grip: &Grip, figures: &mut OwnerFigures) {
    figures.approach = Some(grip.approach);
    figures.depth = Some(grip.depth);
    if grip.approach == GripApproach::Side || grip.head_width > Length::ZERO || grip.offset > Length::ZERO {
        figures.head_width = Some(grip.head_width);
        figures.offset = Some(grip.offset);
    }
    figures.index = Some(grip.index);
    figures.retention = Some(grip.retention);
}

/// The figures of handle, torque scale and motor.
fn draft_moving_parts(piece: &Piece, figures: &mut OwnerFigures) {
    if let Some(handle) = &piece.handle {
        figures.handle = Some(handle.style);
        figures.radius = Some(handle.radius);
        figures.arm = Some(handle.arm);
        figures.hand_room = Some(handle.hand_room);
        figures.step = handle.step;
    }
    if let Some(measure) = &piece.measure {
        figures.range = Some(measure.range);
        figures.tolerance_fraction = Some(measure.tolerance_fraction);
        figures.scale_step = measure.scale_step;
        figures.length = Some(measure.arm);
    }
    if let Some(power) = &piece.power {
        figures.speed_rpm = Some(power.speed_rpm);
        figures.max_torque = Some(power.max);
        figures.clutch = Some(power.clutch.clone());
    }
}
