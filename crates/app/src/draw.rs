//! From a plan to the drawings' views: stacks in their corridors, hole patterns, the time line, trays.

use model::plan::{DutyLine, Plan, StackLine, StepSequence};
use model::{Access, Book, Duty, FastenerState, Fixing, HoleOrderOrigin, PieceId, Stack, Store};
use print::drawing::Drawing;
use print::svg::write_svg;
use print::view::{
    BarView, BendView, CompartmentView, HoleView, PatternView, PhaseView, PieceView, SectionView,
    SegmentView, SideView, StackView, SwingView, TimelineView, TrayView,
};
use reach::PlacedStack;

use crate::bench::DrawingRoom;
use crate::size_letters::SizeLetters;

/// Name and value of the fields of a title block.
pub type TitleBlockFields = Vec<(String, String)>;

fn title_block_fields(fields: &[(&str, String)]) -> TitleBlockFields {
    fields.iter().map(|(name, value)| ((*name).to_owned(), value.clone())).collect()
}

/// The duty that a line of a plan names; `None` where book and plan do not belong together.
#[must_use]
pub fn duty_of_line(book: &Book, line: &DutyLine) -> Option<Duty> {
    let fixing = book.fixing_by_key(&line.fixing)?;
    (usize::from(line.access) < book.fixing(fixing).accesses.len()).then_some(Duty {
        fixing,
        access: line.access,
        act: line.act,
        stage: line.stage,
    })
}

fn piece_ids_of_keys(store: &Store, keys: &[String]) -> Option<Vec<PieceId>> {
    keys.iter().map(|key| store.piece_by_key(key)).collect()
}

/// The stack of a plan's line, by ids.
#[must_use]
pub fn stack_of_line(store: &Store, line: &StackLine) -> Option<Stack> {
    Some(Stack {
        pieces: piece_ids_of_keys(store, &line.pieces)?,
        bends: Vec::new(),
        hold: piece_ids_of_keys(store, &line.hold)?,
    })
}

/// The drawing of one duty of a plan in the room that a page has for it; `None` where there is no stack or it needs none.
#[must_use]
pub fn duty_in_room(
    book: &Book,
    store: &Store,
    plan: &Plan,
    index: usize,
    room: DrawingRoom,
) -> Option<String> {
    let view = duty_view(book, store, plan, index)?;
    Some(write_svg(&print::draw_stack_in_room(&view, (room.width_px, room.height_px))))
}

/// The same for paper that says the words itself.
#[must_use]
pub fn duty_picture(book: &Book, store: &Store, plan: &Plan, index: usize) -> Option<Drawing> {
    duty_view(book, store, plan, index).map(|view| print::draw_stack_alone(&view))
}

/// The same without the names of its pieces, for a page that says them beside it.
#[must_use]
pub fn duty_bare(
    book: &Book,
    store: &Store,
    plan: &Plan,
    index: usize,
    room: DrawingRoom,
) -> Option<Drawing> {
    let view = duty_view(book, store, plan, index)?;
    let drawing = print::draw_stack_bare(&view, (room.width_px, room.height_px));
    Some(Drawing { title: String::from("stack in its hole"), ..drawing })
}

fn duty_view(book: &Book, store: &Store, plan: &Plan, index: usize) -> Option<StackView> {
    let line = plan.duties.get(index)?;
    let duty = duty_of_line(book, line)?;
    let stack_line = plan.stacks.iter().find(|s| Some(&s.id) == line.stack.as_ref())?;
    let stack = stack_of_line(store, stack_line)?;
    if !is_drawn_true(book, duty) {
        return None;
    }
    let placed = reach::place_stack(book, store, duty, &stack).filter(|p| !p.pieces.is_empty())?;
    let mut facts = Vec::new();
    if let Some(set) = line.setting_n_m {
        facts.push(format!("set the wrench to {} N·m", units::significant(set, 3)));
    }
    if let Some(force) = line.force_n {
        facts.push(format!("force of the hand about {} N", units::significant(force, 2)));
    }
    let slot =
        plan.slots.iter().find(|s| s.fixing == line.fixing).map_or_else(String::new, |s| s.slot.to_string());
    let foot = title_block_fields(&[
        ("vehicle", format!("{}  {}", plan.asked.vehicle, plan.book_title)),
        ("station", duty_station_title(book, duty)),
        ("slot", slot),
        ("source of the figure", book.fixing(duty.fixing).tightening.source.clone()),
    ]);
    let id = format!("duty-{index}");
    Some(stack_view(book, store, duty, &placed, &stack_line.words, &id, facts, foot))
}

/// The drawing of any stack for a duty, outside a plan.
#[must_use]
pub fn stack_drawing(book: &Book, store: &Store, duty: Duty, stack: &Stack, id: &str) -> Option<String> {
    let placed = reach::place_stack(book, store, duty, stack).filter(|p| !p.pieces.is_empty())?;
    if !is_drawn_true(book, duty) {
        return None;
    }
    let foot = title_block_fields(&[
        ("book", book.title.clone()),
        ("station", duty_station_title(book, duty)),
        ("source of the figure", book.fixing(duty.fixing).tightening.source.clone()),
    ]);
    let words = reach::describe_stack(store, stack);
    Some(write_svg(&print::draw_stack(&stack_view(book, store, duty, &placed, &words, id, Vec::new(), foot))))
}

/// Whether head and room are told exactly: a drawing to scale of figures that nobody gave is no drawing.
fn is_drawn_true(book: &Book, duty: Duty) -> bool {
    let figures = book.fixing(duty.fixing).figures.as_deref();
    figures.is_none_or(|told| {
        told.accesses.get(usize::from(duty.access)).is_some_and(model::AccessFigures::is_exact)
            && told.grip_height.exact().is_some()
            && told.protrusion.exact().is_some()
    })
}

fn duty_station_title(book: &Book, duty: Duty) -> String {
    let fixing = book.fixing(duty.fixing);
    let access = &fixing.accesses[usize::from(duty.access)];
    let part = book.part(fixing.part);
    let way = access.way.and_then(|w| part.ways.get(usize::from(w))).and_then(|w| w.station);
    book.station(access.station.or(way).unwrap_or(part.station)).title.clone()
}

#[expect(
    clippy::too_many_arguments,
    reason = "a view gathers what one sheet shows; a struct would only move the list"
)]
fn stack_view(
    book: &Book,
    store: &Store,
    duty: Duty,
    placed: &PlacedStack,
    words: &str,
    id: &str,
    mut facts: Vec<String>,
    foot: TitleBlockFields,
) -> StackView {
    let fixing = book.fixing(duty.fixing);
    let access = &fixing.accesses[usize::from(duty.access)];
    facts.push(format!("{} x {}", access.holes.len(), fixing.drive));
    if access.sight == model::Sight::FeltOnly {
        facts.push(String::from("felt only, cannot be seen"));
    }
    StackView {
        id: id.into(),
        title: format!("{}: {}", fixing.title, duty.act),
        words: words.into(),
        figure: figure_of_duty(fixing, duty),
        facts,
        head_height_mm: if fixing.drive.is_internal() {
            fixing.head.grip_height.as_mm().max(2.0)
        } else {
            fixing.head.grip_height.as_mm()
        },
        head_diameter_mm: fixing.head.diameter.as_mm(),
        internal: fixing.drive.is_internal(),
        segments: corridor_segments(access),
        bends: access
            .bends
            .iter()
            .map(|b| BendView { at_mm: b.at.as_mm(), angle_deg: b.angle.as_deg() })
            .collect(),
        headroom_mm: access.headroom.as_mm(),
        hand_room_mm: placed.handle.map_or(0.0, |h| h.hand_room.as_mm()),
        pieces: placed.pieces.iter().map(|p| piece_view(store, p)).collect(),
        swing: placed.handle.filter(|h| h.stroke.as_deg() > 0.0).map(|h| SwingView {
            arm_plane_mm: placed.arm_plane.as_mm(),
            radius_mm: h.radius.as_mm(),
            free_arc_deg: h.free_arc.as_deg(),
            stroke_deg: h.stroke.as_deg(),
        }),
        side: (placed.approach == model::GripApproach::Side)
            .then_some(access.side.as_ref())
            .flatten()
            .map(|s| SideView { radial_mm: s.radial.as_mm(), height_mm: s.height.as_mm() }),
        openings_below: access.drop_over.iter().map(|o| book.opening(*o).title.clone()).collect(),
        foot,
    }
}

/// The figure shown large enough to read at arm's length.
fn figure_of_duty(fixing: &Fixing, duty: Duty) -> String {
    let stage = duty.stage.and_then(|s| fixing.tightening.stages.get(usize::from(s)));
    match (stage, duty.torque(fixing)) {
        (Some(stage), _) => stage.as_written.clone(),
        (None, Some(torque)) => format!("about {}", torque.show_in(&units::Torque::UNITS[0], 2)),
        (None, None) => String::new(),
    }
}

fn corridor_segments(access: &Access) -> Vec<SegmentView> {
    let mut start_mm = 0.0;
    access
        .corridor
        .iter()
        .map(|s| {
            let end_mm = s.length.map(|l| start_mm + l.as_mm());
            let view = SegmentView { start_mm, end_mm, clear_mm: s.clear.as_mm() };
            start_mm = end_mm.unwrap_or(start_mm);
            view
        })
        .collect()
}

fn piece_view(store: &Store, placed: &reach::PlacedPiece) -> PieceView {
    let section = |s: &reach::PlacedSection| SectionView {
        start_mm: s.start.as_mm(),
        end_mm: s.end.as_mm(),
        diameter_mm: s.diameter.as_mm(),
    };
    PieceView {
        name: store.piece(placed.piece).title.clone(),
        sections: placed.sections.iter().map(section).collect(),
        offset_mm: placed.offset.as_mm(),
    }
}

/// The holes of a tightening step, with the order of its last pass, for a page or sheet that says the words itself.
#[must_use]
pub fn pattern_picture(book: &Book, plan: &Plan, step: &model::plan::Step) -> Option<Drawing> {
    pattern_view(book, plan, step).map(|view| print::draw_hole_pattern_alone(&view))
}

/// The same for the sheet of joints, its letters as large as the sheet's own.
#[must_use]
pub fn pattern_for_paper(book: &Book, plan: &Plan, step: &model::plan::Step) -> Option<Drawing> {
    pattern_view(book, plan, step).map(|view| print::draw_hole_pattern_on_paper(&view))
}

/// The holes of a joint whose order matters; `None` where it does not.
fn pattern_view(book: &Book, plan: &Plan, step: &model::plan::Step) -> Option<PatternView> {
    let part = book.part_by_key(step.part.as_ref()?)?;
    let fixings: Vec<&Fixing> =
        step.fixings.iter().filter_map(|key| book.fixing_by_key(key)).map(|id| book.fixing(id)).collect();
    let first = fixings.first()?;
    let lengths = SizeLetters::of_fixings(book, &fixings);
    let origin = HoleOrderOrigin::of_fixings(&fixings);
    if !origin.has_order() {
        return None;
    }
    let order = last_pass(plan, step);
    let hole = |f: &Fixing, h: &model::Hole| HoleView {
        label: h.label.clone(),
        x_mm: h.x.as_mm(),
        y_mm: h.y.as_mm(),
        turn: order.iter().position(|l| *l == h.label).map(|p| p as u32 + 1),
        mark: FastenerState::Off,
        class: lengths.letter_of_fixing(f),
        renewed: f.one_time,
    };
    let all = fixings.iter().flat_map(|f| f.holes.iter().map(move |h| (*f, h)));
    let holes: Vec<HoleView> = all.map(|(f, h)| hole(f, h)).collect();
    (holes.len() > 1).then(|| PatternView {
        id: format!("pattern-{}", step.number),
        title: format!("{}: tighten in this order", book.part(part).title),
        stages: first.tightening.stages.iter().map(|s| s.as_written.clone()).collect(),
        classes: lengths.letters_with_sizes(),
        holes,
        foot: title_block_fields(&[
            ("vehicle", format!("{}  {}", plan.asked.vehicle, plan.book_title)),
            ("step", step.number.to_string()),
            ("source of the figures", first.tightening.source.clone()),
            ("order", origin.words().into()),
        ]),
    })
}

/// Hole labels of the last stage of a tightening step, in the order of the work.
pub(crate) fn last_pass(plan: &Plan, step: &model::plan::Step) -> Vec<String> {
    let stage = |a: &model::plan::StepAction| plan.duties.get(a.duty).and_then(|d| d.stage);
    let last = step.actions.iter().filter_map(stage).max();
    let mut order: Vec<String> = Vec::new();
    for action in step.actions.iter().filter(|a| stage(a) == last) {
        for label in &action.holes {
            if !order.contains(label) {
                order.push(label.clone());
            }
        }
    }
    order
}

/// The time line of a whole plan.
#[must_use]
pub fn timeline_drawing(book: &Book, plan: &Plan) -> Drawing {
    let mut bars = Vec::new();
    let mut phases = Vec::new();
    let mut now_s = 0.0;
    for (phase, sequence) in plan.sequences() {
        if !sequence.steps.is_empty() {
            phases.push(PhaseView { start_s: now_s, name: phase.spoken_word().into() });
        }
        now_s = lay_bars(book, sequence, now_s, &mut bars);
    }
    print::draw_timeline(&TimelineView {
        id: format!("timeline-{}", plan.book),
        title: format!("The visit by station: {}", plan.book_title),
        lanes: book.stations.iter().map(|s| s.title.clone()).collect(),
        bars,
        phases,
        foot: title_block_fields(&[
            ("vehicle", format!("{}  {}", plan.asked.vehicle, plan.book_title)),
            ("tasks", plan.asked.tasks.len().to_string()),
            ("hands-on and waiting", crate::text::table::spoken_time(now_s)),
        ]),
    })
}

fn lay_bars(book: &Book, sequence: &StepSequence, from_s: f64, bars: &mut Vec<BarView>) -> f64 {
    let mut now_s = from_s;
    let mut in_hand: Option<&String> = None;
    for step in &sequence.steps {
        let lane = book.stations.iter().position(|s| s.key == step.station).unwrap_or(0);
        if step.wait_s > 0.0 {
            bars.push(BarView {
                lane,
                start_s: now_s,
                setup_s: 0.0,
                work_s: step.wait_s,
                swap: false,
                wait: true,
            });
            now_s += step.wait_s;
        }
        let stack = step.actions.iter().find_map(|a| a.stack.as_ref());
        let swap = stack.is_some() && stack != in_hand;
        in_hand = step.actions.iter().rev().find_map(|a| a.stack.as_ref()).or(in_hand);
        bars.push(BarView {
            lane,
            start_s: now_s,
            setup_s: step.setup_s,
            work_s: step.work_s,
            swap,
            wait: false,
        });
        now_s += step.setup_s + step.work_s;
    }
    now_s
}

/// The trays in use, as they lie, for sheets and pages with a title block of their own.
#[must_use]
pub fn tray_pictures(book: &Book, store: &Store, plan: &Plan) -> Vec<Drawing> {
    let views = tray_views(book, store, plan).into_iter();
    views.map(|view| print::draw_tray(&TrayView { foot: Vec::new(), ..view })).collect()
}

fn tray_views(book: &Book, store: &Store, plan: &Plan) -> Vec<TrayView> {
    store
        .trays
        .iter()
        .filter_map(|tray| {
            let compartments: Vec<CompartmentView> = plan
                .slots
                .iter()
                .filter_map(|s| Some((s, s.slot.compartment_of(&plan.asked.vehicle, &tray.key)?)))
                .filter_map(|(s, n)| Some((s, u16::try_from(n).ok().filter(|n| *n >= 1)?)))
                .map(|(s, n)| CompartmentView {
                    row: (n - 1) / tray.columns.max(1),
                    column: (n - 1) % tray.columns.max(1),
                    code: format!("{n:02}"),
                    lines: vec![
                        format!("{} × {}", s.count, s.size),
                        crate::titles::fixing_title(book, &s.fixing),
                    ],
                })
                .collect();
            (!compartments.is_empty()).then(|| TrayView {
                id: format!("tray-{}-{}", plan.book, tray.key),
                title: format!("Tray {}-{}, compartments from 01", plan.asked.vehicle, tray.key),
                rows: tray.rows,
                columns: tray.columns,
                compartments,
                foot: title_block_fields(&[
                    ("vehicle", format!("{}  {}", plan.asked.vehicle, plan.book_title)),
                    ("tray", tray.key.clone()),
                ]),
            })
        })
        .collect()
}
