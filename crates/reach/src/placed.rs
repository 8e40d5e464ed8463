//! A stack in its place: where every piece starts and ends along the axis, for drawings.

use crate::answer::pieces_of;
use crate::chain::{ChainAudit, audit_chain};
use crate::rules::style::StackRole;
use crate::site::{ReachSite, ReachWork};
use model::{Book, Duty, GripApproach, HandleStyle, PieceId, Stack, Store};
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
    /// How far its axis is beside the fastener's (behind a crow-foot).
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
pub struct PlacedStack {
    /// From where the grip comes.
    pub approach: GripApproach,
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
    pub hold: Option<Box<PlacedStack>>,
}

/// Where the pieces of a stack lie; `None` where they make no chain for the duty's drive and act.
///
/// A stack that falls short of a rule has its place too, so that a nearest miss can be drawn.
#[must_use]
pub fn place_stack(book: &Book, store: &Store, duty: Duty, stack: &Stack) -> Option<PlacedStack> {
    let (site, work) = (ReachSite::of_duty(book, duty)?, ReachWork::of_duty(book, duty)?);
    let known = |id: &PieceId| id.index() < store.pieces.len();
    if !stack.pieces.iter().chain(&stack.hold).all(known) {
        return None;
    }
    let mut placed = place_side(store, &site, &work, StackRole::Work, &stack.pieces)?;
    if let Some(other) = ReachSite::of_hold(book, duty).filter(|_| !stack.hold.is_empty()) {
        placed.hold = Some(Box::new(place_side(store, &other, &work, StackRole::Hold, &stack.hold)?));
    }
    Some(placed)
}

fn place_side(
    store: &Store,
    site: &ReachSite,
    work: &ReachWork,
    role: StackRole,
    ids: &[PieceId],
) -> Option<PlacedStack> {
    if ids.is_empty() {
        return site.takes_bare_hand().then(|| PlacedStack {
            approach: GripApproach::Axial,
            engagement: Length::ZERO,
            top: Length::ZERO,
            arm_plane: Length::ZERO,
            pieces: Vec::new(),
            handle: None,
            hold: None,
        });
    }
    let chain = pieces_of(store, ids);
    let audit = audit_chain(site, work, role, &chain)?;
    let grip = chain.first()?.grip.as_ref()?;
    let handle = chain.last()?.handle?;
    Some(PlacedStack {
        approach: grip.approach,
        engagement: Length::from_mm(audit.engaged_mm),
        top: Length::from_mm(audit.top_mm),
        arm_plane: Length::from_mm(audit.arm_plane_mm),
        pieces: lay_out_pieces(store, ids, &audit, grip.offset),
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

fn lay_out_pieces(store: &Store, ids: &[PieceId], audit: &ChainAudit, offset: Length) -> Vec<PlacedPiece> {
    let mut start = Length::from_mm(-audit.engaged_mm);
    let mut pieces = Vec::with_capacity(ids.len());
    for (at, id) in ids.iter().enumerate() {
        let piece = store.piece(*id);
        let sections = place_sections(piece, start);
        let angle_of = |taken: &model::BendTaken| (usize::from(taken.piece) == at).then_some(taken.angle);
        let angle = audit.taken.iter().flatten().find_map(angle_of).unwrap_or(Angle::ZERO);
        let end = start + piece.length_in_stack();
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

fn place_sections(piece: &model::Piece, start: Length) -> Vec<PlacedSection> {
    let mut from = start;
    let mut sections = Vec::with_capacity(piece.outline.len());
    for section in &piece.outline {
        let end = from + section.length;
        sections.push(PlacedSection { start: from, end, diameter: section.diameter });
        from = end;
    }
    sections
}
