//! Fixings between text and model: labels of holes, heads and accesses need several keys at once.

use faults::{SourceSpan, Spanned};
use fields::{NameIndex, ReadingDesk, ValueSpot};
use model::{
    Access, AccessFigures, Book, CounterHold, Drive, DriveForm, FastenerKind, Fixing, FixingFigures,
    HoldFigures, Hole, Known, PartId, Stage, StageTarget,
};
use units::Length;

use crate::drafts::{AccessDraft, FixingDraft, HeadDraft, HoldDraft, HoleDraft, SpaceDraft, blank_space};
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
    mut draft: FixingDraft,
    mut spot: ValueSpot,
    owner: &FixingOwner<'_>,
    desk: &ReadingDesk<'_>,
) -> (Fixing, ValueSpot) {
    let kind = draft.kind.unwrap_or_else(|| kind_by_drive(draft.fixing.drive));
    if kind.is_small_hardware() && draft.fixing.drive.form() == DriveForm::NotKnown {
        // Nothing turns it; what draws or bends it is told in its tip.
        draft.fixing.drive = Drive::new(DriveForm::Hand, 0.0);
    }
    let drafts = draft.holes.take();
    let are_places_known =
        drafts.as_ref().is_some_and(|holes| holes.iter().all(|hole| hole.x.is_some() && hole.y.is_some()));
    let holes = finish_holes(drafts, draft.count, owner.holes_before);
    let labels = NameIndex::of_names(holes.iter().map(|hole| hole.label.as_str()));
    let places = spot.take_items("access");
    if draft.accesses.is_empty() {
        draft.accesses.push(AccessDraft { space: blank_space(), hold: None, holes: None, way: None });
    }
    for access in &mut draft.accesses {
        let figures = &mut access.space.figures;
        figures.room = figures.room.or(draft.room);
    }
    let places = places.into_iter().chain(core::iter::repeat_with(|| ValueSpot::new(spot.span)));
    let finished = draft.accesses.into_iter().zip(places);
    let (accesses, places): (Vec<(Access, AccessFigures)>, Vec<ValueSpot>) =
        finished.map(|(access, at)| finish_access(access, at, &labels, owner, desk)).unzip();
    let (plain, told): (Vec<Access>, Vec<AccessFigures>) = accesses.into_iter().unzip();
    let span = places.first().map_or(spot.span, |first| first.span);
    spot.keys.insert("access", ValueSpot::of_list(span, places));
    let head = head_figures(draft.head.as_ref(), draft.fixing.drive, kind);
    let figures = FixingFigures { accesses: told, ..head };
    let fixing = Fixing { part: owner.part, kind, holes, are_places_known, accesses: plain, ..draft.fixing };
    let mut fixing = fixing.with_figures(figures);
    if fixing.is_figure_missing() {
        fixing.tightening.stages = vec![Stage::figure_missing()];
    }
    (fixing, spot)
}

/// The kind of a fastener that the book leaves out, by its drive: what is turned is a bolt until somebody says otherwise, and a latch is
/// that of a plug.
fn kind_by_drive(drive: Drive) -> FastenerKind {
    match drive.form() {
        DriveForm::SpringClamp => FastenerKind::Clamp,
        DriveForm::PushClip | DriveForm::Hand => FastenerKind::Clip,
        DriveForm::Latch => FastenerKind::Connector,
        _ => FastenerKind::Bolt,
    }
}

/// The holes; as many as fasteners where none is written.
fn finish_holes(drafts: Option<Vec<HoleDraft>>, count: Option<u16>, holes_before: usize) -> Vec<Hole> {
    let fasteners = usize::from(count.unwrap_or(1)).clamp(1, crate::limits::MAX_HOLES);
    let drafts = drafts.unwrap_or_else(|| vec![HoleDraft::default(); fasteners]);
    let number = |index: usize| (holes_before + index + 1).to_string();
    let holes = drafts.into_iter().enumerate();
    holes
        .map(|(i, hole)| Hole {
            label: hole.label.unwrap_or_else(|| number(i)),
            x: hole.x.unwrap_or_default(),
            y: hole.y.unwrap_or_default(),
        })
        .collect()
}

/// The head as told; what is not turned has none that anybody asks for.
fn head_figures(draft: Option<&HeadDraft>, drive: Drive, kind: FastenerKind) -> FixingFigures {
    let told = draft.cloned().unwrap_or_default();
    let own = if drive.is_internal() { told.recess } else { told.height };
    let mut figures = FixingFigures {
        grip_height: first_known([own, told.height, told.recess]),
        diameter: told.diameter,
        protrusion: told.protrusion,
        accesses: Vec::new(),
    };
    if !drive.is_turned() {
        let bare = Known::Exact(Length::from_mm(BARE_HEAD_MM));
        let size = if drive.size() > 0.0 { Known::Exact(Length::from_mm(drive.size())) } else { bare };
        figures.grip_height = first_known([figures.grip_height, bare, bare]);
        figures.diameter = first_known([figures.diameter, size, bare]);
    }
    if kind != FastenerKind::Nut || !drive.is_turned() {
        figures.protrusion = first_known([figures.protrusion, Known::Exact(Length::ZERO), Known::Nothing]);
    }
    figures
}

/// The first of some figures of which anything is known.
fn first_known(figures: [Known<Length>; 3]) -> Known<Length> {
    figures.into_iter().find(|figure| figure.is_known()).unwrap_or_default()
}

/// An access with its holes and its way as positions, and its figures as told.
fn finish_access(
    draft: AccessDraft,
    mut spot: ValueSpot,
    labels: &NameIndex,
    owner: &FixingOwner<'_>,
    desk: &ReadingDesk<'_>,
) -> ((Access, AccessFigures), ValueSpot) {
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
    let SpaceDraft { access, mut figures } = draft.space;
    figures.hold = draft.hold.as_ref().map(|hold| {
        Box::new(HoldFigures { grip_height: hold.grip_height, access: hold.space.figures.clone() })
    });
    let counter_hold = draft.hold.map(|hold| CounterHold {
        drive: hold.drive,
        grip_height: Length::ZERO,
        access: Box::new(hold.space.access),
    });
    ((Access { holes, way, counter_hold, ..access }, figures), spot)
}

/// Names of a list, each with its place.
pub(crate) fn place_names(names: Vec<String>, list: &ValueSpot) -> Vec<Spanned<String>> {
    let place = |index: usize| -> SourceSpan { list.item(index).span };
    names.into_iter().enumerate().map(|(index, name)| Spanned::new(name, place(index))).collect()
}

/// A fixing as it is written.
pub(crate) fn draft_fixing(book: &Book, fixing: &Fixing) -> FixingDraft {
    let told = fixing.told_figures();
    let nothing = Known::Nothing;
    let (height, recess) =
        if fixing.drive.is_internal() { (nothing, told.grip_height) } else { (told.grip_height, nothing) };
    let is_usual = fixing.kind != FastenerKind::Nut && told.protrusion == Known::Exact(Length::ZERO);
    let protrusion = if is_usual { nothing } else { told.protrusion };
    let head = HeadDraft { height, recess, diameter: told.diameter, protrusion };
    let has_head =
        [head.height, head.recess, head.diameter, head.protrusion].iter().any(|figure| figure.is_known());
    let place = |length: Length| fixing.are_places_known.then_some(length);
    let holes = fixing.holes.iter();
    let holes = holes.map(|h| HoleDraft { label: Some(h.label.clone()), x: place(h.x), y: place(h.y) });
    let mut written = fixing.clone();
    written.tightening.stages.retain(|stage| stage.target != StageTarget::NotKnown);
    let (room, accesses) = draft_spaces(book, fixing, told.accesses);
    FixingDraft {
        fixing: written,
        kind: Some(fixing.kind),
        room,
        count: u16::try_from(fixing.holes.len()).ok(),
        head: has_head.then_some(head),
        holes: Some(holes.collect()),
        accesses,
        tighten_after: fixing.world.tighten_after.iter().map(|id| book.fixing(*id).key.clone()).collect(),
    }
}

/// The spaces as they are written: one of which only the class is known goes in a word, one of which nothing is in none.
fn draft_spaces(
    book: &Book,
    fixing: &Fixing,
    told: Vec<AccessFigures>,
) -> (Option<model::RoomClass>, Vec<AccessDraft>) {
    let blank = Access {
        holes: (0..fixing.holes.len()).filter_map(|at| u16::try_from(at).ok()).collect(),
        ..blank_space().access
    };
    if let ([access], [figures]) = (fixing.accesses.as_slice(), told.as_slice()) {
        let only_room = AccessFigures { room: figures.room, ..AccessFigures::default() };
        let is_bare = (&access.holes, access.way, access.station, &access.drop_over, &access.counter_hold)
            == (&blank.holes, None, None, &blank.drop_over, &None);
        if *figures == only_room && is_bare {
            return (figures.room, Vec::new());
        }
    }
    let spaces = fixing.accesses.iter().zip(told);
    (None, spaces.map(|(access, figures)| draft_access(book, fixing, access, figures)).collect())
}

/// An access as it is written.
fn draft_access(book: &Book, fixing: &Fixing, access: &Access, figures: AccessFigures) -> AccessDraft {
    let label = |hole: &u16| fixing.holes[usize::from(*hole)].label.clone();
    let holes = (access.holes.len() != fixing.holes.len()).then(|| access.holes.iter().map(label).collect());
    let ways = &book.part(fixing.part).ways;
    let way = access.way.map(|way| ways[usize::from(way)].key.clone());
    let hold = access.counter_hold.as_ref().map(|hold| {
        let told = figures.hold.as_deref().cloned().unwrap_or_default();
        let space = SpaceDraft { access: (*hold.access).clone(), figures: told.access };
        HoldDraft { drive: hold.drive, grip_height: told.grip_height, space }
    });
    AccessDraft { space: SpaceDraft { access: access.clone(), figures }, hold, holes, way }
}
