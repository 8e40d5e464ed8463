//! Labels: one for each address of the plan's slots, with what lies there and the address of its page.

use model::SlotAddress;
use model::plan::SlotLine;
use print::paper::{LabelGrid, LabelSheet, PaperLabel, PaperSheet, PaperSize, SheetBody};

use super::words::{self};
use super::{PaperJob, PrintOptions, SheetError, SheetKind};
use crate::text::table::count_with_noun;
use crate::titles;

/// Layout of the labels on the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LabelPaper {
    /// Plain paper, to be cut.
    #[default]
    Plain,
    /// A4, 3 by 8 of 70 mm by 37 mm.
    A4By24,
    /// A4, 3 by 7 of 63.5 mm by 38.1 mm.
    A4By21,
    /// Letter, 3 by 10 of 2 5/8 in by 1 in.
    LetterBy30,
}

impl LabelPaper {
    /// All grids.
    pub const ALL: [Self; 4] = [Self::Plain, Self::A4By24, Self::A4By21, Self::LetterBy30];

    /// Short name for commands.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::A4By24 => "a4-24",
            Self::A4By21 => "a4-21",
            Self::LetterBy30 => "letter-30",
        }
    }

    /// The grid on a paper; `None` where it comes on another.
    ///
    /// The ready-made grids are common ones of label paper sold everywhere (from memory); print the
    /// first row on plain paper and hold it against the labels before using a sheet of them.
    #[must_use]
    pub fn grid_on_paper(self, size: PaperSize) -> Option<LabelGrid> {
        let (grid, paper) = match self {
            Self::Plain => return Some(plain_paper_grid(size)),
            Self::A4By24 => (uncut_grid((3, 8), (70.0, 37.0), (70.0, 37.0), (0.0, 0.5)), PaperSize::A4),
            Self::A4By21 => (uncut_grid((3, 7), (63.5, 38.1), (66.0, 38.1), (7.2, 15.1)), PaperSize::A4),
            Self::LetterBy30 => {
                (uncut_grid((3, 10), (66.7, 25.4), (69.85, 25.4), (4.75, 12.7)), PaperSize::Letter)
            }
        };
        (paper == size).then_some(grid)
    }
}

const fn uncut_grid(
    (columns, rows): (u32, u32),
    label_mm: (f64, f64),
    pitch_mm: (f64, f64),
    margin_mm: (f64, f64),
) -> LabelGrid {
    LabelGrid { columns, rows, label_mm, pitch_mm, margin_mm, cut_marks: false }
}

/// Labels of one size, centred on plain paper, with marks to cut along.
fn plain_paper_grid(size: PaperSize) -> LabelGrid {
    let (width_mm, height_mm) = size.size_mm();
    let label_mm = (60.0, 36.0);
    let rows = match size {
        PaperSize::A4 => 7,
        PaperSize::Letter => 6,
    };
    let margin_mm = ((width_mm - 3.0 * label_mm.0) / 2.0, (height_mm - f64::from(rows) * label_mm.1) / 2.0);
    LabelGrid { cut_marks: true, ..uncut_grid((3, rows), label_mm, label_mm, margin_mm) }
}

/// Which places get a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LabelChoice {
    /// All.
    All,
    /// Those that lie in no tray: trays stay as they are from job to job and have a map.
    BagsAndCards,
}

pub(super) fn label_sheets(
    job: &PaperJob<'_>,
    wanted: &PrintOptions,
    choice: LabelChoice,
) -> Result<Vec<PaperSheet>, SheetError> {
    let mut labels = slot_labels(job);
    if choice == LabelChoice::BagsAndCards {
        labels.retain(|label| {
            let mut lines = job.plan.slots.iter().filter(|line| line.slot.to_string() == label.code);
            !lines.any(|line| words::lies_in_tray(job, line))
        });
    }
    if labels.is_empty() {
        return Err(SheetError::Nothing {
            kind: SheetKind::Labels,
            words: "no fastener goes into a tray, bag or card",
        });
    }
    let subtitle = format!("{} for {}", count_with_noun(labels.len(), "label"), words::vehicle_title(job));
    Ok(vec![PaperSheet {
        title: SheetKind::Labels.title().into(),
        subtitle,
        foot: words::title_block_cells(job, &[]),
        body: SheetBody::Labels(lay_out_labels(labels, wanted)?),
    }])
}

/// Labels on the paper that is wanted.
pub(super) fn lay_out_labels(
    labels: Vec<PaperLabel>,
    wanted: &PrintOptions,
) -> Result<LabelSheet, SheetError> {
    let grid = wanted.grid.grid_on_paper(wanted.size).ok_or(SheetError::OtherPaper(wanted.grid))?;
    let places = grid.columns * grid.rows;
    if wanted.skip >= places {
        return Err(SheetError::Skip { skip: wanted.skip, places });
    }
    Ok(LabelSheet { grid, skip: wanted.skip, labels })
}

/// One label for each address that needs one, in the order of the plan; what is scrapped has one label without sizes.
pub(super) fn slot_labels(job: &PaperJob<'_>) -> Vec<PaperLabel> {
    let mut labels: Vec<PaperLabel> = Vec::new();
    for line in job.plan.slots.iter().filter(|line| !line.slot.stays_in_place()) {
        let (code, is_scrap) = (line.slot.to_string(), line.slot == SlotAddress::Scrap);
        match labels.iter_mut().find(|label| label.code == code) {
            Some(_) if is_scrap => {}
            Some(label) => label.lines.extend(content_lines(job, line)),
            None => labels.push(PaperLabel {
                lines: if is_scrap { scrap_lines() } else { content_lines(job, line) },
                vehicle: words::vehicle_title(job),
                link: words::visit_page_link(job, &format!("slot/{}", code.replace(' ', "%20"))),
                code,
            }),
        }
    }
    labels.sort_by(|a, b| a.code.cmp(&b.code));
    labels
}

/// How many of which size lie there, and of which fixing.
fn content_lines(job: &PaperJob<'_>, line: &SlotLine) -> Vec<String> {
    let renewed = if line.renewed { ", fit new ones" } else { "" };
    let size = format!("{} × {}{renewed}", line.count, line.size.replace(' ', "\u{a0}"));
    vec![size, titles::fixing_title(job.book, &line.fixing)]
}

fn scrap_lines() -> Vec<String> {
    vec![String::from("old fasteners, do not use again"), String::from("kept until hand-over")]
}
