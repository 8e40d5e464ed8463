//! Fixings between text and model: labels of holes, heads and accesses need several keys at once.

use faults::{SourceSpan, Spanned};
use fields::{NameIndex, ReadingDesk, ValueSpot};
use model::{Access, Book, Drive, Fixing, HeadDimensions, Hole, PartId, Stage, StageTarget};
use units::Length;

use crate::drafts::{AccessDraft, FixingDraft, HeadDraft, HoleDraft};
use crate::tables::{HOLES, WAYS};

/// Height and diameter taken for clips, latches and clamps where the book gives none (assumption: a finger's width);
/// no rule of reach asks for them.
const BARE_HEAD_MM: f64 = 10.0;

/// The part that a fixing belongs to.
pub(crate) struct FixingOwner<'p> {
    pub(crate) part: PartId,
    pub(crate) ways: &'p NameIndex,
    /// Holes of the part's fixings before this one: labels count on from there.
    pub(crate) holes_before: usize,
}

/// The fixing of a draft, with the places of its accesses beside it.
pub(crate) fn finish_fixing(
    draft: FixingDraft,
    mut spot: ValueSpot,
    owner: &FixingOwner<'_>,
    desk: &ReadingDesk<'_>,
) -> (Fixing, ValueSpot) {
    let holes = finish_holes(draft.holes, draft.count, owner.holes_before);
    let labels = NameIndex::of_names(holes.iter().map(|hole| hole.label.as_str()));
    let head = if spot.bad {
        // No book comes of it; a head of zero size keeps the rules about room from reporting.
        HeadDimensions { grip_height: Length::ZERO, diameter: Length::ZERO, protrusion: Length::ZERO }
    } else {
        finish_head(draft.head.as_ref(), draft.fixing.drive)
    };
    let places = spot.take_items("access");
    let finished = draft.accesses.into_iter().zip(places);
    let (accesses, places): (Vec<Access>, Vec<ValueSpot>) =
        finished.map(|(access, at)| finish_access(access, at, &labels, owner, desk)).unzip();
    let span = places.first().map_or(spot.span, |first| first.span);
    spot.keys.insert("access", ValueSpot::of_list(span, places));
    let mut fixing = Fixing { part: owner.part, head, holes, accesses, ..draft.fixing };
    if fixing.is_figure_missing() {
        fixing.tightening.stages = vec![Stage::figure_missing()];
    }
    (fixing, spot)
}

/// The holes; one at the origin where none is written and there is one fastener.
fn finish_holes(drafts: Option<Vec<HoleDraft>>, count: Option<u16>, holes_before: usize) -> Vec<Hole> {
    let is_single = count.is_none_or(|count| count == 1);
    let drafts = drafts.unwrap_or_else(|| if is_single { vec![HoleDraft::default()] } else { Vec::new() });
    let number = |index: usize| (holes_before + index + 1).to_string();
    let holes = drafts.into_iter().enumerate();
    holes
        .map(|(i, hole)| Hole { label: hole.label.unwrap_or_else(|| number(i)), x: hole.x, y: hole.y })
        .collect()
}

fn finish_head(draft: Option<&HeadDraft>, drive: Drive) -> HeadDimensions {
    let bare = Length::from_mm(BARE_HEAD_MM);
    let Some(head) = draft else {
        let diameter = if drive.size() > 0.0 { Length::from_mm(drive.size()) } else { bare };
        return HeadDimensions { grip_height: bare, diameter, protrusion: Length::ZERO };
    };
    let own = if drive.is_internal() { head.recess } else { head.height };
    HeadDimensions {
        grip_height: own.or(head.height).or(head.recess).unwrap_or(bare),
        diameter: head.diameter,
        protrusion: head.protrusion.unwrap_or_default(),
    }
}

/// An access with its holes and its way as positions.
fn finish_access(
    draft: AccessDraft,
    mut spot: ValueSpot,
    labels: &NameIndex,
    owner: &FixingOwner<'_>,
    desk: &ReadingDesk<'_>,
) -> (Access, ValueSpot) {
    let known = desk.bag.len();
    let position = |position: usize| u16::try_from(position).ok();
    let mut holes: Vec<u16> = match draft.holes {
        None => (0..labels.len()).filter_map(position).collect(),
        Some(names) => {
            let names = place_names(names, spot.key("holes"));
            let found = desk.resolve_names(&HOLES, labels, &names);
            found.into_iter().filter_map(|(index, _)| position(index)).collect()
        }
    };
    holes.sort_unstable();
    let way = draft.way.map(|way| Spanned::new(way, spot.key("way").span));
    let way = way.and_then(|way| desk.resolve_name(&WAYS, owner.ways, &way)).and_then(position);
    spot.bad |= desk.bag.len() > known;
    (Access { holes, way, ..draft.access }, spot)
}

/// Names of a list, each with its place.
fn place_names(names: Vec<String>, list: &ValueSpot) -> Vec<Spanned<String>> {
    let place = |index: usize| -> SourceSpan { list.item(index).span };
    names.into_iter().enumerate().map(|(index, name)| Spanned::new(name, place(index))).collect()
}

/// A fixing as it is written.
pub(crate) fn draft_fixing(book: &Book, fixing: &Fixing) -> FixingDraft {
    let HeadDimensions { grip_height, diameter, protrusion } = fixing.head;
    let grip = Some(grip_height);
    let (height, recess) = if fixing.drive.is_internal() { (None, grip) } else { (grip, None) };
    let protrusion = Some(protrusion).filter(|length| *length != Length::ZERO);
    let holes = fixing.holes.iter().map(|h| HoleDraft { label: Some(h.label.clone()), x: h.x, y: h.y });
    let mut written = fixing.clone();
    written.tightening.stages.retain(|stage| stage.target != StageTarget::NotKnown);
    FixingDraft {
        fixing: written,
        count: u16::try_from(fixing.holes.len()).ok(),
        head: Some(HeadDraft { height, recess, diameter, protrusion }),
        holes: Some(holes.collect()),
        accesses: fixing.accesses.iter().map(|access| draft_access(book, fixing, access)).collect(),
    }
}

/// An access as it is written.
fn draft_access(book: &Book, fixing: &Fixing, access: &Access) -> AccessDraft {
    let label = |hole: &u16| fixing.holes[usize::from(*hole)].label.clone();
    let holes = (access.holes.len() != fixing.holes.len()).then(|| access.holes.iter().map(label).collect());
    let ways = &book.part(fixing.part).ways;
    let way = access.way.map(|way| ways[usize::from(way)].key.clone());
    AccessDraft { access: access.clone(), holes, way }
}
