//! Labels: one for each address of the plan's slots, with what lies there and the address of its page.

use print::paper::{Body, Label, LabelGrid, LabelSheet, PaperSize, Sheet};

use super::words::{self};
use super::{Job, Kind, NoPaper, Wanted};
use crate::titles;

/// How labels lie on the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Grid {
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

impl Grid {
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
    /// The ready-made grids are common ones of label paper sold everywhere (from memory); the first row is tried on plain
    /// paper held against the labels before a sheet of them is used.
    #[must_use]
    pub fn on(self, size: PaperSize) -> Option<LabelGrid> {
        let (grid, paper) = match self {
            Self::Plain => return Some(plain(size)),
            Self::A4By24 => (grid((3, 8), (70.0, 37.0), (70.0, 37.0), (0.0, 0.5)), PaperSize::A4),
            Self::A4By21 => (grid((3, 7), (63.5, 38.1), (66.0, 38.1), (7.2, 15.1)), PaperSize::A4),
            Self::LetterBy30 => (grid((3, 10), (66.7, 25.4), (69.85, 25.4), (4.75, 12.7)), PaperSize::Letter),
        };
        (paper == size).then_some(grid)
    }
}

const fn grid(
    (columns, rows): (u32, u32),
    label_mm: (f64, f64),
    pitch_mm: (f64, f64),
    margin_mm: (f64, f64),
) -> LabelGrid {
    LabelGrid { columns, rows, label_mm, pitch_mm, margin_mm, cut_marks: false }
}

/// Labels of one size, centred on plain paper, with marks to cut along.
fn plain(size: PaperSize) -> LabelGrid {
    let (width_mm, height_mm) = size.size_mm();
    let label_mm = (60.0, 36.0);
    let rows = match size {
        PaperSize::A4 => 7,
        PaperSize::Letter => 6,
    };
    let margin_mm = ((width_mm - 3.0 * label_mm.0) / 2.0, (height_mm - f64::from(rows) * label_mm.1) / 2.0);
    LabelGrid { cut_marks: true, ..grid((3, rows), label_mm, label_mm, margin_mm) }
}

pub(super) fn sheets(job: &Job<'_>, wanted: &Wanted) -> Result<Vec<Sheet>, NoPaper> {
    let labels = labels(job);
    if labels.is_empty() {
        return Err(NoPaper::Nothing {
            kind: Kind::Labels,
            words: "no fastener goes into a tray, bag or card",
        });
    }
    let subtitle = format!("{} for {}", words::count(labels.len(), "label"), words::vehicle(job));
    Ok(vec![Sheet {
        title: Kind::Labels.title().into(),
        subtitle,
        foot: words::foot(job, &[]),
        body: Body::Labels(lay(labels, wanted)?),
    }])
}

/// Labels on the paper that is wanted.
pub(super) fn lay(labels: Vec<Label>, wanted: &Wanted) -> Result<LabelSheet, NoPaper> {
    let grid = wanted.grid.on(wanted.size).ok_or(NoPaper::OtherPaper(wanted.grid))?;
    let places = grid.columns * grid.rows;
    if wanted.skip >= places {
        return Err(NoPaper::Skip { skip: wanted.skip, places });
    }
    Ok(LabelSheet { grid, skip: wanted.skip, labels })
}

/// Addresses that need no label: the fasteners stay where they belong.
const STAY: [&str; 2] = ["on part", "in hole"];

/// One label for each address, in the order of the plan.
pub(super) fn labels(job: &Job<'_>) -> Vec<Label> {
    let mut labels: Vec<Label> = Vec::new();
    for line in job.plan.slots.iter().filter(|line| !STAY.contains(&line.slot.as_str())) {
        let renewed = if line.renewed { ", new ones go in" } else { "" };
        let size = format!("{} x {}{renewed}", line.count, line.size);
        let what = titles::fixing(job.book, &line.fixing);
        match labels.iter_mut().find(|label| label.code == line.slot) {
            Some(label) => label.lines.extend([size, what]),
            None => labels.push(Label {
                code: line.slot.clone(),
                lines: vec![size, what],
                vehicle: words::vehicle(job),
                link: words::link(job, &format!("slot/{}", line.slot.replace(' ', "%20"))),
            }),
        }
    }
    for label in labels.iter_mut().filter(|label| label.code == "scrap") {
        label.lines =
            vec![String::from("old fasteners, not used again"), String::from("kept until hand-over")];
    }
    labels.sort_by(|a, b| a.code.cmp(&b.code));
    labels
}
