//! Draws sample sheets into a folder, for looking at them.
#![expect(clippy::print_stdout, reason = "an example talks to its caller")]

use model::FastenerState;
use print::svg::write_svg;
use print::view::{
    BendView, HoleView, PatternView, PieceView, SectionView, SegmentView, StackView, SwingView,
};

fn piece(name: &str, start_mm: f64, sections: &[(f64, f64)]) -> PieceView {
    let mut at_mm = start_mm;
    let sections = sections
        .iter()
        .map(|(length_mm, diameter_mm)| {
            let start_mm = at_mm;
            at_mm += length_mm;
            SectionView { start_mm, end_mm: at_mm, diameter_mm: *diameter_mm }
        })
        .collect();
    PieceView { name: name.into(), sections, offset_mm: 0.0 }
}

fn foot() -> Vec<(String, String)> {
    [
        ("vehicle", "A  Tern 24"),
        ("station", "over the front"),
        ("slot", "A-T1-03"),
        ("source", "invented figure"),
    ]
    .map(|(n, v)| (n.into(), v.into()))
    .to_vec()
}

fn main() {
    let folder = std::env::args().nth(1).unwrap_or_else(|| String::from("."));
    let view = StackView {
        id: "sample".into(),
        title: "Cover bolts, long: tighten".into(),
        words: "E10 deep socket 1/4 in, 150 mm extension, joint at 20°, fine-tooth ratchet".into(),
        figure: "9 N·m".into(),
        facts: vec!["set the wrench to 9 N·m".into(), "hand force 33 N".into()],
        head_height_mm: 7.0,
        head_diameter_mm: 13.0,
        internal: false,
        segments: vec![
            SegmentView { start_mm: 0.0, end_mm: Some(40.0), clear_mm: 22.0 },
            SegmentView { start_mm: 40.0, end_mm: Some(120.0), clear_mm: 34.0 },
            SegmentView { start_mm: 120.0, end_mm: None, clear_mm: 60.0 },
        ],
        bends: vec![BendView { at_mm: 60.0, angle_deg: 20.0 }],
        headroom_mm: 290.0,
        hand_room_mm: 25.0,
        pieces: vec![
            piece("E10 deep socket, 1/4 in", -7.0, &[(20.0, 13.0), (30.0, 14.0)]),
            piece("universal joint, 1/4 in", 43.0, &[(34.0, 14.0)]),
            piece("extension 150 mm, 1/4 in", 77.0, &[(150.0, 9.0)]),
            piece("torque wrench 2 to 25 N·m", 227.0, &[(30.0, 28.0)]),
        ],
        swing: Some(SwingView {
            arm_plane_mm: 242.0,
            radius_mm: 200.0,
            free_arc_deg: 60.0,
            stroke_deg: 55.0,
        }),
        side: None,
        openings_below: vec!["intake ports".into()],
        foot: foot(),
    };
    let pattern = pattern_view();
    for (name, text) in [
        ("stack.svg", write_svg(&print::draw_stack(&view))),
        ("stack-bench.svg", write_svg(&print::draw_stack_alone(&view))),
        ("pattern.svg", write_svg(&print::draw_hole_pattern(&pattern))),
        ("pattern-bench.svg", write_svg(&print::draw_hole_pattern_alone(&pattern))),
    ] {
        let path = format!("{folder}/{name}");
        if let Err(error) = std::fs::write(&path, text) {
            println!("{path}: {error}");
        }
    }
}

fn pattern_view() -> PatternView {
    let mark = |i: usize| {
        [
            FastenerState::InPlace,
            FastenerState::Freed,
            FastenerState::Off,
            FastenerState::FingerTight,
            FastenerState::Tight,
            FastenerState::Checked,
            FastenerState::Broken,
        ][i % 7]
    };
    let holes = (0..12)
        .map(|i| HoleView {
            label: (i + 1).to_string(),
            x_mm: f64::from(i % 6) * 60.0,
            y_mm: if i < 6 { 0.0 } else { 120.0 },
            turn: Some(i + 1),
            mark: mark(i as usize),
            class: if i % 3 == 0 { "b".into() } else { "a".into() },
            renewed: i % 4 == 0,
        })
        .collect();
    PatternView {
        id: "pattern".into(),
        title: "Front cover: tighten".into(),
        stages: vec!["4 N·m".into(), "9 N·m".into()],
        classes: vec![("a".into(), "M6 × 25".into()), ("b".into(), "M6 × 35".into())],
        holes,
        foot: foot(),
    }
}
