//! Sheets as they come out of the printer's own reading: rasterised pages, extracted words, codes read back.

#[path = "paper/kept.rs"]
mod kept;
mod raster;
mod sample;

use model::SignalWord;
use print::paper::{
    HoleCard, HoleSpot, LabelGrid, LabelSheet, Pack, PaperBlock, PaperCell, PaperColumn, PaperError,
    PaperLabel, PaperRow, PaperSheet, PaperSize, PaperStep, PartBox, SheetBody, write_html, write_pdf,
};
use proptest::prelude::*;
use raster::{Word, pages, words};

const SIZES: [PaperSize; 2] = [PaperSize::A4, PaperSize::Letter];

/// No word leaves its page, and no two on one line lie over each other.
fn check_words(bytes: &[u8], size: PaperSize) -> Vec<Word> {
    let found = words(bytes);
    let (width_mm, height_mm) = size.size_mm();
    let (right_pt, bottom_pt) = (width_mm * 72.0 / 25.4, height_mm * 72.0 / 25.4);
    for w in &found {
        let inside = w.left_pt >= 0.0 && w.right_pt <= right_pt + 0.1;
        assert!(inside && w.top_pt >= -0.1 && w.bottom_pt <= bottom_pt + 0.1, "leaves the page: {w:?}");
    }
    for (i, a) in found.iter().enumerate() {
        for b in found[i + 1..].iter().take_while(|b| b.page == a.page) {
            let same_line = (a.top_pt - b.top_pt).abs() < 0.5;
            let over_pt = a.right_pt.min(b.right_pt) - a.left_pt.max(b.left_pt);
            assert!(!same_line || over_pt < 0.5, "over each other: {a:?} {b:?}");
        }
    }
    found
}

#[test]
fn the_sample_pack_stays_within_its_pages() {
    for size in SIZES {
        let bytes = write_pdf(&sample::pack(size)).expect("the sample prints");
        let found = check_words(&bytes, size);
        let last = found.iter().map(|w| w.page).max().expect("there are words");
        assert!(last >= 12, "{last} pages");
        // The heading row of the kit's table stands again on each of its pages.
        let heads = found.iter().filter(|w| w.text == "kept").count();
        let titles = found.windows(2).filter(|w| w[0].text == "Kit" && w[1].text == "sheet").count();
        assert_eq!(heads, titles - 1 + found.iter().filter(|w| w.text == "pieces").count());
    }
}

#[test]
fn the_same_pack_gives_the_same_bytes() {
    let pack = sample::pack(PaperSize::A4);
    assert_eq!(write_pdf(&pack), write_pdf(&pack));
    assert_eq!(write_html(&pack), write_html(&pack));
}

#[test]
fn what_cannot_be_printed_is_said() {
    let mut pack = sample::pack(PaperSize::A4);
    pack.sheets.clear();
    assert_eq!(write_pdf(&pack), Err(PaperError::Empty));
    let mut labels = sample::labels(PaperSize::A4);
    labels.grid.columns = 3;
    let result = write_pdf(&one(PaperSize::A4, SheetBody::Labels(labels)));
    assert!(matches!(result, Err(PaperError::Grid { .. })), "three columns of 90 mm on 210 mm");
    let photo = PaperBlock::Photo { jpeg: b"no picture".to_vec(), caption: "belt".into(), height_mm: 40.0 };
    let result = write_pdf(&one(PaperSize::A4, SheetBody::Flow(vec![photo])));
    assert_eq!(result, Err(PaperError::Photo { caption: "belt".into() }));
}

fn one(size: PaperSize, body: SheetBody) -> Pack {
    let sheet = PaperSheet { title: "Test".into(), subtitle: String::new(), foot: vec![], body };
    let (title, about, date) = ("Test".into(), String::new(), "4 May 2026".into());
    Pack { title, about, date, language: "en".into(), size, contents: false, sheets: vec![sheet] }
}

#[test]
fn codes_are_read_back_from_every_grid() {
    let grids = [
        (PaperSize::A4, LabelGrid::A4_3_BY_8),
        (PaperSize::A4, LabelGrid::A4_2_BY_4),
        (PaperSize::A4, LabelGrid::for_plain_paper(PaperSize::A4)),
        (PaperSize::Letter, LabelGrid::LETTER_3_BY_10),
        (PaperSize::Letter, LabelGrid::LETTER_2_BY_5),
        (PaperSize::Letter, LabelGrid::for_plain_paper(PaperSize::Letter)),
    ];
    for (size, grid) in grids {
        let sheet = LabelSheet { grid, ..sample::labels(size) };
        let expected: Vec<String> = sheet.labels.iter().map(|l| l.link.clone()).collect();
        let bytes = write_pdf(&one(size, SheetBody::Labels(sheet))).expect("labels print");
        check_words(&bytes, size);
        let per_page = (grid.columns * grid.rows) as usize;
        let pages = pages(&bytes, 300);
        for (i, link) in expected.iter().enumerate() {
            // One label at a time, as a phone is held over it.
            let (page, place) = (&pages[i / per_page], (i % per_page) as u32);
            let (column, row) = (f64::from(place % grid.columns), f64::from(place / grid.columns));
            let left_mm = grid.margin_mm.0 + grid.pitch_mm.0 * column;
            let top_mm = grid.margin_mm.1 + grid.pitch_mm.1 * row;
            let read = page.codes((left_mm, top_mm), grid.label_mm);
            assert_eq!(read, [link.as_str()], "label {i} of {grid:?}");
        }
    }
}

#[test]
fn codes_beside_words_and_on_a_tag_are_read_back() {
    let link = "http://192.0.2.7:7420/v/01M8AS20T57CR2NFQ9HCTBHH7Y/step/tighten.sump-short";
    let label = PaperLabel { code: "A".into(), link: link.into(), ..PaperLabel::default() };
    let code = PaperBlock::Code { link: link.into(), words: "opens this step".into() };
    for block in [code, PaperBlock::Tag(label)] {
        let bytes = write_pdf(&one(PaperSize::A4, SheetBody::Flow(vec![block]))).expect("it prints");
        let read = pages(&bytes, 300)[0].codes((0.0, 0.0), (210.0, 150.0));
        assert_eq!(read, [link]);
    }
}

#[test]
fn a_pattern_larger_than_the_page_is_one_page_unless_it_is_wished_in_true_size() {
    // Holes at two corners of 400 mm by 500 mm: of the tiles only those two have a hole.
    let spot = |label: &str, at_mm| HoleSpot {
        label: label.into(),
        at_mm,
        diameter_mm: 8.4,
        turn: None,
        class: String::new(),
    };
    let holes = vec![spot("P1", (0.0, 0.0)), spot("P2", (400.0, 500.0))];
    let card = HoleCard {
        holes,
        outline_mm: vec![],
        classes: vec![],
        warnings: vec![],
        short_warning: String::new(),
        is_tiled: true,
    };
    let count = |card: HoleCard| {
        let bytes = write_pdf(&one(PaperSize::A4, SheetBody::HoleCard(card))).expect("the card prints");
        let found = check_words(&bytes, PaperSize::A4);
        assert!(["P1", "P2"].iter().all(|label| found.iter().any(|w| w.text == *label)));
        found.iter().map(|w| w.page).max().expect("there are words")
    };
    assert_eq!(count(card.clone()), 3, "words with the map, and two tiles");
    assert_eq!(count(HoleCard { is_tiled: false, ..card }), 1);
}

#[test]
fn a_box_of_steps_breaks_between_steps_only_and_keeps_its_order() {
    let line = |n: u32| PaperStep {
        number: n.to_string(),
        words: format!("Undo bolt number{n} of the cover and keep it."),
        details: vec![format!("tool{n} 10 mm deep socket, extension, ratchet")],
        figure: format!("{n} N·m"),
        slot: format!("A-T1-{n:02}"),
        ..PaperStep::default()
    };
    let part =
        PartBox { title: "Cover".into(), beside: "about 9 min".into(), lines: (1..=90).map(line).collect() };
    for size in SIZES {
        let body = SheetBody::TwoColumns(vec![PaperBlock::PartBox(part.clone())]);
        let found = check_words(&write_pdf(&one(size, body)).expect("it prints"), size);
        let place = |text: String| {
            let w = found.iter().find(|w| w.text == text).unwrap_or_else(|| panic!("{text} is missing"));
            (w.page, w.left_pt > size.size_mm().0 / 2.0 * 72.0 / 25.4, w.top_pt)
        };
        let mut last = (0, false, 0.0);
        for n in 1..=90 {
            let (words, tool) = (place(format!("number{n}")), place(format!("tool{n}")));
            assert_eq!((words.0, words.1), (tool.0, tool.1), "step {n} is whole");
            assert!((words.0, words.1, words.2) > last, "step {n} comes after step {}", n - 1);
            last = words;
        }
    }
}

/// A card without outline and words near the holes' lines, so that each hole is a spot of its own.
fn spots() -> HoleCard {
    let hole = |i: u32| HoleSpot {
        label: String::new(),
        at_mm: (f64::from(i % 4) * 41.37, f64::from(i / 4) * 37.91 + f64::from(i % 3) * 3.3),
        diameter_mm: 6.6,
        turn: None,
        class: String::new(),
    };
    HoleCard {
        holes: (0..12).map(hole).collect(),
        outline_mm: vec![],
        classes: vec![],
        warnings: vec![],
        short_warning: String::new(),
        is_tiled: true,
    }
}

#[test]
fn holes_lie_within_a_fifth_of_a_millimetre() {
    for size in SIZES {
        let card = spots();
        let bytes = write_pdf(&one(size, SheetBody::HoleCard(card.clone()))).expect("the card prints");
        let page = &pages(&bytes, 400)[0];
        // A hole of 6.6 mm with arms of 2 mm beyond its edge.
        let mut found: Vec<(f64, f64)> = page
            .spots()
            .into_iter()
            .filter(|s| (s.width_mm - 10.6).abs() < 0.4 && (s.height_mm - 10.6).abs() < 0.4)
            .map(|s| (s.left_mm + s.width_mm / 2.0, s.top_mm + s.height_mm / 2.0))
            .collect();
        assert_eq!(found.len(), card.holes.len());
        let mut given: Vec<(f64, f64)> = card.holes.iter().map(|h| (h.at_mm.0, -h.at_mm.1)).collect();
        let order = |a: &(f64, f64), b: &(f64, f64)| {
            (a.1.round() as i64, a.0.round() as i64).cmp(&(b.1.round() as i64, b.0.round() as i64))
        };
        given.sort_by(order);
        let mean = |of: &[(f64, f64)]| {
            let n = of.len() as f64;
            (of.iter().map(|p| p.0).sum::<f64>() / n, of.iter().map(|p| p.1).sum::<f64>() / n)
        };
        let (gx, gy) = mean(&given);
        let (fx, fy) = mean(&found);
        for (x, y) in given {
            let near = found
                .iter()
                .position(|f| (f.0 - fx - (x - gx)).abs() < 0.2 && (f.1 - fy - (y - gy)).abs() < 0.2);
            found.remove(near.unwrap_or_else(|| panic!("no hole within 0.2 mm of {x} {y} on {size:?}")));
        }
        let ruler =
            page.spots().into_iter().filter(|s| (s.width_mm - 100.0).abs() < 0.4 && s.height_mm < 6.0);
        assert_eq!(ruler.count(), 1, "the ruler of 100 mm");
    }
}

#[test]
fn a_pattern_larger_than_the_page_is_whole_on_its_tiles() {
    for size in SIZES {
        let card = sample::card(4.0);
        let labels: Vec<String> = card.holes.iter().map(|h| h.label.clone()).collect();
        let bytes = write_pdf(&one(size, SheetBody::HoleCard(card))).expect("the card prints");
        let found = check_words(&bytes, size);
        for label in labels {
            assert!(found.iter().any(|w| w.page > 1 && w.text == label), "hole {label} is on a tile");
        }
    }
}

/// Two holes so far apart.
fn two_holes(apart_mm: (f64, f64)) -> Pack {
    let hole = |label: &str, at_mm| HoleSpot {
        label: label.into(),
        at_mm,
        diameter_mm: 6.6,
        turn: None,
        class: String::new(),
    };
    let holes = vec![hole("H7", (0.0, 0.0)), hole("H8", apart_mm)];
    one(
        PaperSize::A4,
        SheetBody::HoleCard(HoleCard {
            holes,
            outline_mm: vec![],
            classes: vec![],
            warnings: vec![],
            short_warning: String::new(),
            is_tiled: true,
        }),
    )
}

#[test]
fn no_hole_is_left_out_without_a_word() {
    for apart_mm in [(3_000.0, 0.0), (0.0, 3_000.0)] {
        let found =
            check_words(&write_pdf(&two_holes(apart_mm)).expect("three metres still print"), PaperSize::A4);
        assert!(["H7", "H8"].iter().all(|label| found.iter().any(|w| w.text == *label)), "{apart_mm:?}");
    }
    for (apart_mm, words) in [
        ((4_000.0, 0.0), "4026 mm by 26 mm"),
        ((0.0, 6_500.0), "26 mm by 6526 mm"),
        ((1e12, 1e12), "1000000000026 mm by 1000000000026 mm"),
    ] {
        let error = PaperError::Pattern { title: "Test".into(), words: words.into() };
        assert_eq!(write_pdf(&two_holes(apart_mm)), Err(error));
    }
}

#[test]
fn a_photograph_stands_on_the_page_in_its_size() {
    // Black, so that it is one spot: 60 by 40 dots, 30 mm high.
    let image = image::GrayImage::from_pixel(60, 40, image::Luma([0]));
    let mut jpeg = std::io::Cursor::new(Vec::new());
    image.write_to(&mut jpeg, image::ImageFormat::Jpeg).expect("a JPEG");
    let photo = PaperBlock::Photo { jpeg: jpeg.into_inner(), caption: "belt".into(), height_mm: 30.0 };
    let bytes = write_pdf(&one(PaperSize::A4, SheetBody::Flow(vec![photo]))).expect("the photograph prints");
    let spots = pages(&bytes, 100)[0].spots();
    let is_photo = |w_mm: f64, h_mm: f64| (w_mm - 45.0).abs() < 0.6 && (h_mm - 30.0).abs() < 0.6;
    assert_eq!(spots.iter().filter(|s| is_photo(s.width_mm, s.height_mm)).count(), 1);
    assert!(words(&bytes).iter().any(|w| w.text == "belt"), "its caption stands below");
}

#[test]
fn the_page_that_prints_is_escaped() {
    let text = "<script>alert(\"x\")</script> & more";
    let pack = one(
        PaperSize::Letter,
        SheetBody::Flow(vec![PaperBlock::Text(text.into()), PaperBlock::Heading(text.into())]),
    );
    let page = write_html(&pack);
    assert!(!page.contains("<script") && page.contains("&lt;script&gt;"));
    assert!(page.contains("@page{size:letter"));
}

/// Words with everything in them that a name may hold.
fn odd() -> impl Strategy<Value = String> {
    prop_oneof![
        "\\PC{0,40}",
        "[A-Za-z0-9]{60,300}",
        "[ -~]{0,200}",
        "[→Ω≤≥⌀☐✓µ°±€日本ж\u{202e}\u{301}]{0,60}"
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn odd_names_stay_within_the_page(a in odd(), b in odd(), c in odd(), count in 0u32..60, letter: bool) {
        let size = if letter { PaperSize::Letter } else { PaperSize::A4 };
        let columns = vec![PaperColumn::of_words(&a, 1.0), PaperColumn::of_figures(&b, 0.4), PaperColumn::of_words(&c, 2.0)];
        let cells = vec![PaperCell::Words(c.clone()), PaperCell::Bold(a.clone()), PaperCell::Tick(b.clone())];
        let step = PaperStep {
            anchor: String::new(),
            number: "12".into(),
            words: a.repeat(20),
            details: vec![b.clone(), c.clone()],
            figure: b.clone(),
            slot: c.clone(),
            beside: a.clone(),
            stop: b.clone(),
            cautions: vec![(SignalWord::Caution, a.clone())],
        };
        let blocks = vec![
            PaperBlock::Large(a.clone()),
            PaperBlock::Caution { signal: SignalWord::Danger, text: b.repeat(30) },
            PaperBlock::Table { columns, rows: vec![PaperRow { cells, is_heading: false }, PaperRow::heading(&a)] },
            PaperBlock::Steps(vec![step]),
            PaperBlock::Columns(vec![vec![PaperBlock::Text(a.clone())], vec![PaperBlock::Small(b.clone())]]),
            PaperBlock::Together(vec![PaperBlock::Heading(c.clone()), PaperBlock::Blanks { label: a.clone(), lines: count }]),
        ];
        let label = PaperLabel { code: b.clone(), lines: vec![a.clone(), c.clone()], vehicle: a.clone(), link: c.clone() };
        let labels = LabelSheet { grid: LabelGrid::for_plain_paper(size), skip: count, labels: vec![label] };
        let mut pack = one(size, SheetBody::Flow(blocks));
        pack.sheets[0].foot = vec![(a.clone(), b.clone()), (b, c.clone())];
        pack.sheets.push(PaperSheet { title: c, subtitle: a, foot: vec![], body: SheetBody::Labels(labels) });
        pack.contents = true;
        let bytes = write_pdf(&pack).expect("any words print");
        check_inside(&bytes, size);
        prop_assert!(write_html(&pack).ends_with("</html>\n"));
    }
}

/// No word leaves its page; odd words may hold marks that stand over each other.
fn check_inside(bytes: &[u8], size: PaperSize) {
    let (right_pt, bottom_pt) = (size.size_mm().0 * 72.0 / 25.4, size.size_mm().1 * 72.0 / 25.4);
    for w in words(bytes) {
        let inside = w.left_pt >= -0.1 && w.right_pt <= right_pt + 0.1 && w.bottom_pt <= bottom_pt + 3.0;
        assert!(inside, "leaves the page: {w:?}");
    }
}
