//! The words of the sample pack as they stand on paper, and what cannot be printed, kept in `snapshots`.

use super::raster::{Word, words};
use super::{SheetBody, one, sample};
use print::paper::{LabelGrid, PaperBlock, PaperError, PaperSize, write_pdf};
use std::collections::BTreeSet;

/// Compares a page with the one that is kept.
fn keep(name: &str, page: &[String]) {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, page.join("\n"));
    });
}

/// Greatest difference of the upper edges of words on one line, in points.
const MAX_RISE_PT: f64 = 2.0;

/// The words of each line, from left to right; lines of a page from top to bottom.
fn lines(mut found: Vec<Word>) -> Vec<String> {
    found.sort_by(|a, b| a.page.cmp(&b.page).then(a.top_pt.total_cmp(&b.top_pt)));
    let same = |a: &Word, b: &Word| a.page == b.page && b.top_pt - a.top_pt < MAX_RISE_PT;
    let mut all = Vec::new();
    for line in found.chunk_by_mut(same) {
        line.sort_by(|a, b| a.left_pt.total_cmp(&b.left_pt));
        let text: Vec<&str> = line.iter().map(|w| w.text.as_str()).collect();
        all.push(text.join(" ").replace("&apos;", "'"));
    }
    all
}

/// Lines that differ from one before by more than their figures.
fn unlike(lines: Vec<String>) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let bare = |line: &String| line.chars().filter(|c| !c.is_ascii_digit()).collect::<String>();
    lines.into_iter().filter(|line| seen.insert(bare(line))).collect()
}

#[test]
fn the_words_of_the_sample_pack() {
    let mut page = Vec::new();
    for size in super::SIZES {
        page.push(format!("{size:?}"));
        let pdf = write_pdf(&sample::pack(size)).expect("the sample prints");
        page.extend(unlike(lines(words(&pdf))));
    }
    keep("sample_pack", &page);
}

/// The name of a reason; a new one does not compile here until it is listed.
const fn name_of(error: &PaperError) -> &'static str {
    match error {
        PaperError::Empty => "Empty",
        PaperError::Grid { .. } => "Grid",
        PaperError::Pattern { .. } => "Pattern",
        PaperError::Photo { .. } => "Photo",
        PaperError::Pdf { .. } => "Pdf",
    }
}

/// How many reasons [`name_of`] knows.
const KINDS: usize = 5;

/// Label grids that no paper takes.
fn bent_grids() -> Vec<LabelGrid> {
    let right = LabelGrid::for_plain_paper(PaperSize::A4);
    vec![
        LabelGrid { columns: 3, ..right },
        LabelGrid { columns: 0, ..right },
        LabelGrid { label_mm: (f64::NAN, 10.0), ..right },
        LabelGrid { label_mm: (5.0, 5.0), ..right },
        LabelGrid { pitch_mm: (20.0, 42.0), ..right },
    ]
}

#[test]
fn every_reason_why_nothing_is_printed() {
    let mut empty = sample::pack(PaperSize::A4);
    empty.sheets.clear();
    let photo = |jpeg: &[u8]| {
        let photo = PaperBlock::Photo { jpeg: jpeg.to_vec(), caption: "belt".into(), height_mm: 40.0 };
        one(PaperSize::A4, SheetBody::Flow(vec![photo]))
    };
    let mut packs = vec![empty, photo(b"no picture"), photo(b"\xFF\xD8\xFF")];
    for grid in bent_grids() {
        let labels = SheetBody::Labels(print::paper::LabelSheet { grid, ..sample::labels(PaperSize::A4) });
        packs.push(one(PaperSize::A4, labels));
    }
    packs.push(one(PaperSize::A4, SheetBody::HoleCard(sample::card(500.0))));
    let mut errors: Vec<PaperError> = packs.iter().filter_map(|pack| write_pdf(pack).err()).collect();
    errors.push(PaperError::Pdf { words: "a page has no size".into() });
    let names: BTreeSet<&str> = errors.iter().map(name_of).collect();
    assert_eq!(names.len(), KINDS, "{names:?}");
    let page: Vec<String> = errors.iter().map(|e| format!("{}: {e}", name_of(e))).collect();
    keep("not_printed", &page);
}
