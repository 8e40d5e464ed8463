//! A sample pack with every kind of page; everything in it is invented.

use model::{FastenerState, SignalWord};
use print::paper::{
    HoleCard, HoleSpot, LabelGrid, LabelSheet, Pack, PaperBlock, PaperCell, PaperColumn, PaperLabel,
    PaperRow, PaperSheet, PaperSize, PaperStep, SheetBody,
};
use print::view::{HoleView, PatternView};

/// Link of each label, by its code.
pub fn link(code: &str) -> String {
    format!("HTTP://192.168.4.20:8787/V/A/SLOT/{code}")
}

fn foot() -> Vec<(String, String)> {
    [("vehicle", "A  Tern 24"), ("visit", "2026-05-04, 93 400 km"), ("figures", "invented")]
        .map(|(n, v)| (n.into(), v.into()))
        .to_vec()
}

fn sheet(title: &str, subtitle: &str, body: SheetBody) -> PaperSheet {
    PaperSheet { title: title.into(), subtitle: subtitle.into(), foot: foot(), body }
}

/// All kinds of pages.
pub fn pack(size: PaperSize) -> Pack {
    Pack {
        title: "Bench pack of the Tern 24".into(),
        about: "Invented vehicle, invented figures. The maker's service data always win.".into(),
        date: "4 May 2026".into(),
        language: "en".into(),
        size,
        contents: true,
        sheets: vec![
            sheet("Job card 3", "front cover, strip", SheetBody::Flow(steps())),
            sheet("Kit sheet", "by where pieces are kept", SheetBody::Flow(kit())),
            sheet("Tightening: front cover", "three passes", SheetBody::Flow(tightening())),
            sheet("Labels", "", SheetBody::Labels(labels(size))),
            sheet("Hole card: front cover", "side seen from the front", SheetBody::HoleCard(card(1.0))),
            sheet("Hole card: lower frame", "larger than the page", SheetBody::HoleCard(card(2.4))),
        ],
    }
}

fn steps() -> Vec<PaperBlock> {
    let step = |n: u32| PaperStep {
        anchor: String::new(),
        number: n.to_string(),
        words: format!(
            "Run out the {n} bolts of the front cover, from the ends to the middle, and keep them in order."
        ),
        details: vec!["E10 deep socket, 150 mm extension, fine-tooth ratchet".into()],
        figure: if n.is_multiple_of(2) { "9 N·m".into() } else { String::new() },
        slot: format!("A-T1-{n:02}"),
        beside: String::new(),
        stop: String::new(),
        cautions: if n % 4 == 1 {
            vec![(SignalWord::Warning, "The coolant is under pressure while the engine is hot.".into())]
        } else {
            vec![]
        },
    };
    vec![
        PaperBlock::Caution {
            signal: SignalWord::Danger,
            text: "Battery off before the starter's cable is touched.".into(),
        },
        PaperBlock::Caution { signal: SignalWord::Notice, text: "The seal is used once.".into() },
        PaperBlock::Steps((1..=20).map(step).collect()),
        PaperBlock::Blanks { label: "Found on the way:".into(), lines: 4 },
    ]
}

fn kit() -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_words("lay out", 1.0),
        PaperColumn::of_words("piece", 4.0),
        PaperColumn::of_words("kept in", 2.0),
        PaperColumn::of_figures("count", 1.0),
    ];
    let mut rows = vec![PaperRow::heading("Upper drawer")];
    rows.extend((0..70).map(|i| PaperRow {
        cells: vec![
            PaperCell::Tick(String::new()),
            PaperCell::Words(format!(
                "piece {i} with a name that is long enough to need a second line in its column"
            )),
            PaperCell::Words(format!("drawer {}", i % 7)),
            PaperCell::Words(i.to_string()),
        ],
        is_heading: false,
    }));
    vec![
        PaperBlock::Text("One walk along the drawers gathers all.".into()),
        PaperBlock::Table { columns, rows },
    ]
}

fn tightening() -> Vec<PaperBlock> {
    let holes = (0..12_u32).map(|i| HoleView {
        label: (i + 1).to_string(),
        x_mm: f64::from(i % 6) * 60.0,
        y_mm: if i < 6 { 0.0 } else { 120.0 },
        turn: Some(i + 1),
        mark: [
            FastenerState::InPlace,
            FastenerState::Freed,
            FastenerState::Off,
            FastenerState::FingerTight,
            FastenerState::Tight,
        ][(i % 5) as usize],
        class: "a".into(),
        renewed: i % 4 == 0,
    });
    let drawing = print::draw_hole_pattern(&PatternView {
        id: "p".into(),
        title: "Front cover: tighten".into(),
        stages: vec!["4 N·m".into(), "9 N·m".into()],
        classes: vec![("a".into(), "M6 × 25".into())],
        holes: holes.collect(),
        foot: vec![],
    });
    vec![
        PaperBlock::Large("9 N·m".into()),
        PaperBlock::Picture { drawing, height_mm: 120.0 },
        PaperBlock::Columns(vec![
            vec![
                PaperBlock::Heading("Pass 1".into()),
                PaperBlock::Text("4 N·m, all twelve, in the order drawn.".into()),
            ],
            vec![
                PaperBlock::Heading("Pass 2".into()),
                PaperBlock::Text("9 N·m, all twelve, in the order drawn.".into()),
            ],
        ]),
        PaperBlock::Small("Source: invented figures of the demo.".into()),
    ]
}

/// Labels on plain paper.
pub fn labels(size: PaperSize) -> LabelSheet {
    let label = |i: u32| {
        let code = format!("A-T1-{i:02}");
        PaperLabel {
            link: link(&code),
            code,
            lines: vec![format!("{i} × M6 × 25, class 8.8"), "front cover, long (b)".into()],
            vehicle: "A  Tern 24".into(),
        }
    };
    LabelSheet { grid: LabelGrid::for_plain_paper(size), skip: 0, labels: (1..=14).map(label).collect() }
}

/// Holes on two rows, scaled.
pub fn card(scale: f64) -> HoleCard {
    let hole = |i: u32| HoleSpot {
        label: (i + 1).to_string(),
        at_mm: (f64::from(i % 5) * 34.5 * scale, f64::from(i / 5) * 61.3 * scale),
        diameter_mm: 6.6,
        turn: Some(10 - i),
        class: if i.is_multiple_of(3) { "b".into() } else { "a".into() },
    };
    let (w, h) = (138.0 * scale, 61.3 * scale);
    HoleCard {
        holes: (0..10).map(hole).collect(),
        outline_mm: vec![(-8.0, -8.0), (w + 8.0, -8.0), (w + 8.0, h + 8.0), (-8.0, h + 8.0)],
        classes: vec![("a".into(), "M6 × 25".into()), ("b".into(), "M6 × 35".into())],
        warnings: vec![(
            SignalWord::Caution,
            "b looks like a and is 10 mm longer: in a hole of a it bottoms before it clamps.".into(),
        )],
        short_warning: String::new(),
        is_tiled: true,
    }
}
