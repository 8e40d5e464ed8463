//! A stack in its place: where every piece starts and ends along the axis, for drawings.

use crate::answer::pieces_of;
use crate::chain::{Audit, audit};
use crate::rules::style::Role;
use crate::site::{Site, Work};
use model::{Approach, Book, Duty, HandleStyle, PieceId, Stack, Store};
use units::{Angle, Length};

/// A stretch of a piece's outline in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedSection {
    /// Where it starts, from the top of the head outward.
    pub start: Length,
    /// Where it ends.
    pub end: Length,
    /// Diameter.
    pub diameter: Length,
}

/// A bend that a piece takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedBend {
    /// Where the joint's centre lies.
    pub at: Length,
    /// Angle taken; 0 where it stays straight.
    pub angle: Angle,
}

/// A piece in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedPiece {
    /// The piece.
    pub piece: PieceId,
    /// Its end nearer the fastener.
    pub start: Length,
    /// Its end nearer the hand.
    pub end: Length,
    /// Its outline.
    pub sections: Vec<PlacedSection>,
    /// Its joint, where it has one.
    pub bend: Option<PlacedBend>,
    /// How far its axis stands beside the fastener's (behind a crow-foot).
    pub offset: Length,
}

/// How the handle moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedHandle {
    /// How it is moved.
    pub style: HandleStyle,
    /// Radius that needs free swing.
    pub radius: Length,
    /// Arc that is free for it.
    pub free_arc: Angle,
    /// Usable stroke; 0 for handles that are not swung.
    pub stroke: Angle,
    /// Room for the hand beyond the top.
    pub hand_room: Length,
}

/// A stack in its place; without pieces and handle for the bare hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// From where the grip comes.
    pub approach: Approach,
    /// How far the grip takes hold.
    pub engagement: Length,
    /// Outer end of the handle piece.
    pub top: Length,
    /// Plane in which the handle's arm moves.
    pub arm_plane: Length,
    /// From the fastener to the hand.
    pub pieces: Vec<PlacedPiece>,
    /// The handle.
    pub handle: Option<PlacedHandle>,
    /// The stack that holds the other side, along that side's axis.
    pub hold: Option<Box<Placed>>,
}

/// Where the pieces of a stack lie; `None` where they make no chain for the duty's drive and act.
///
/// A stack that falls short of a rule has its place too, so that a nearest miss can be drawn.
#[must_use]
pub fn placements(book: &Book, store: &Store, duty: Duty, stack: &Stack) -> Option<Placed> {
    let (site, work) = (Site::of_duty(book, duty)?, Work::of_duty(book, duty)?);
    let known = |id: &PieceId| id.index() < store.pieces.len();
    if !stack.pieces.iter().chain(&stack.hold).all(known) {
        return None;
    }
    let mut placed = side(store, &site, &work, Role::Work, &stack.pieces)?;
    if let Some(other) = Site::of_hold(book, duty).filter(|_| !stack.hold.is_empty()) {
        placed.hold = Some(Box::new(side(store, &other, &work, Role::Hold, &stack.hold)?));
    }
    Some(placed)
}

fn side(store: &Store, site: &Site, work: &Work, role: Role, ids: &[PieceId]) -> Option<Placed> {
    if ids.is_empty() {
        return site.bare_hand().then(|| Placed {
            approach: Approach::Axial,
            engagement: Length::ZERO,
            top: Length::ZERO,
            arm_plane: Length::ZERO,
            pieces: Vec::new(),
            handle: None,
            hold: None,
        });
    }
    let chain = pieces_of(store, ids);
    let audit = audit(site, work, role, &chain)?;
    let grip = chain.first()?.grip.as_ref()?;
    let handle = chain.last()?.handle?;
    Some(Placed {
        approach: grip.approach,
        engagement: Length::from_mm(audit.engaged_mm),
        top: Length::from_mm(audit.top_mm),
        arm_plane: Length::from_mm(audit.arm_plane_mm),
        pieces: laid_out(store, ids, &audit, grip.offset),
        handle: Some(PlacedHandle {
            style: handle.style,
            radius: handle.radius,
            free_arc: Angle::from_deg(audit.swung.arc_deg),
            stroke: Angle::from_deg(audit.swung.stroke_deg),
            hand_room: handle.hand_room,
        }),
        hold: None,
    })
}

fn laid_out(store: &Store, ids: &[PieceId], audit: &Audit, offset: Length) -> Vec<PlacedPiece> {
    let mut start = Length::from_mm(-audit.engaged_mm);
    let mut pieces = Vec::with_capacity(ids.len());
    for (at, id) in ids.iter().enumerate() {
        let piece = store.piece(*id);
        let sections = sections(piece, start);
        let angle_of = |taken: &model::BendTaken| (usize::from(taken.piece) == at).then_some(taken.angle);
        let angle = audit.taken.iter().flatten().find_map(angle_of).unwrap_or(Angle::ZERO);
        let end = start + piece.length();
        pieces.push(PlacedPiece {
            piece: *id,
            start,
            end,
            sections,
            bend: piece.bend.map(|bend| PlacedBend { at: start + bend.at, angle }),
            offset: if at == 0 { Length::ZERO } else { offset },
        });
        start = end;
    }
    pieces
}

fn sections(piece: &model::Piece, start: Length) -> Vec<PlacedSection> {
    let mut from = start;
    let mut sections = Vec::with_capacity(piece.outline.len());
    for section in &piece.outline {
        let end = from + section.length;
        sections.push(PlacedSection { start: from, end, diameter: section.diameter });
        from = end;
    }
    sections
}
