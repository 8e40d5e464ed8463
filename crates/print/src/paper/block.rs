//! What sheets are made of: plain structs, built by `app`, that know nothing of letters' widths or of PDF.

use crate::drawing::Drawing;
use model::SignalWord;

/// Size of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PaperSize {
    /// ISO 216 A4, 210 mm by 297 mm.
    #[default]
    A4,
    /// ANSI/ASME Y14.1 size A ("letter"), 215.9 mm by 279.4 mm.
    Letter,
}

impl PaperSize {
    /// Width and height, mm.
    #[must_use]
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// Name and value of the cells of a title block.
pub type PaperFoot = Vec<(String, String)>;

/// What one run prints.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// Heading of the contents, and title of the file.
    pub title: String,
    /// One or two sentences below it.
    pub about: String,
    /// The date that is on each page, as it is written there.
    pub date: String,
    /// Language of its words, as BCP 47 names it: "en".
    pub language: String,
    /// Paper.
    pub size: PaperSize,
    /// Whether a list of the sheets with their pages comes first.
    pub contents: bool,
    /// The sheets in order.
    pub sheets: Vec<PaperSheet>,
}

/// One sheet, on as many pages as it needs.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperSheet {
    /// Heading.
    pub title: String,
    /// One line below it; may be empty.
    pub subtitle: String,
    /// Cells of the title block at the foot of each page; the page's number is added.
    pub foot: PaperFoot,
    /// What is on it.
    pub body: SheetBody,
}

/// What is on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum SheetBody {
    /// Blocks from top to bottom.
    Flow(Vec<PaperBlock>),
    /// Blocks from top to bottom in two columns, the left one first.
    TwoColumns(Vec<PaperBlock>),
    /// Labels to be cut or peeled off.
    Labels(LabelSheet),
    /// A part's holes in true size.
    HoleCard(HoleCard),
}

/// One thing on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum PaperBlock {
    /// A heading within the sheet; stays with what follows.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A note, a source.
    Small(String),
    /// The one thing to read at arm's length.
    Large(String),
    /// Whether one may begin: the word large, the sentence beside it.
    Verdict {
        /// "GO", "NO-GO".
        word: String,
        /// What it rests on.
        text: String,
        /// Whether it forbids: white on black.
        is_stop: bool,
    },
    /// The sheets of the pack with their pages.
    Contents,
    /// A heading in white on a dark band: where the work goes on; stays with what follows.
    Band(String),
    /// What to mind, before the step.
    Caution {
        /// How grave.
        signal: SignalWord,
        /// What to mind.
        text: String,
    },
    /// A table; its heading is repeated on each page.
    Table {
        /// Columns.
        columns: Vec<PaperColumn>,
        /// Rows; each has as many cells as there are columns.
        rows: Vec<PaperRow>,
    },
    /// A drawing, as wide as its column or as high as this, whichever comes first.
    Picture {
        /// What is drawn.
        drawing: Drawing,
        /// Greatest height, mm.
        height_mm: f64,
    },
    /// A photograph.
    Photo {
        /// JPEG bytes.
        jpeg: Vec<u8>,
        /// What it shows.
        caption: String,
        /// Greatest height, mm.
        height_mm: f64,
    },
    /// Steps to be ticked off by hand.
    Steps(Vec<PaperStep>),
    /// Steps on one part, in a box.
    PartBox(PartBox),
    /// A tag to be cut out.
    Tag(PaperLabel),
    /// A code that opens a page, with words beside it.
    Code {
        /// Address.
        link: String,
        /// What it opens.
        words: String,
    },
    /// Lines to write on.
    Blanks {
        /// What to write.
        label: String,
        /// How many lines.
        lines: u32,
    },
    /// Blocks that no page break parts.
    Together(Vec<PaperBlock>),
    /// Blocks side by side, in columns of equal width.
    Columns(Vec<Vec<PaperBlock>>),
    /// What follows starts a new page.
    NewPage,
}

/// How the words of a column are aligned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaperAlign {
    /// At the left.
    Left,
    /// At the right: figures.
    Right,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperColumn {
    /// Heading.
    pub title: String,
    /// Its share of the width, against the other columns.
    pub width_weight: f64,
    /// How its words are aligned.
    pub align: PaperAlign,
}

impl PaperColumn {
    /// A column of words.
    #[must_use]
    pub fn of_words(title: &str, width_weight: f64) -> Self {
        Self { title: title.into(), width_weight, align: PaperAlign::Left }
    }

    /// A column of figures.
    #[must_use]
    pub fn of_figures(title: &str, width_weight: f64) -> Self {
        Self { title: title.into(), width_weight, align: PaperAlign::Right }
    }
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperRow {
    /// Cells.
    pub cells: Vec<PaperCell>,
    /// A heading over the rows that follow, across all columns.
    pub is_heading: bool,
}

impl PaperRow {
    /// A row of cells.
    #[must_use]
    pub const fn of_cells(cells: Vec<PaperCell>) -> Self {
        Self { cells, is_heading: false }
    }

    /// A row of plain words.
    #[must_use]
    pub fn of_words(cells: &[&str]) -> Self {
        Self::of_cells(cells.iter().map(|c| PaperCell::Words((*c).into())).collect())
    }

    /// A heading over the rows that follow.
    #[must_use]
    pub fn heading(words: &str) -> Self {
        Self { cells: vec![PaperCell::Bold(words.into())], is_heading: true }
    }
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PaperCell {
    /// Words.
    Words(String),
    /// The word of the row.
    Bold(String),
    /// A box to tick, with words behind it.
    Tick(String),
    /// A place to write in.
    Blank,
}

/// A step to be ticked off by hand.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PaperStep {
    /// Where a link to it leads, on a page; empty: nowhere.
    pub anchor: String,
    /// Its number.
    pub number: String,
    /// What to do.
    pub words: String,
    /// Small print below: pass, wrench, setting, source.
    pub details: Vec<String>,
    /// The figure that the hand sets; may be empty.
    pub figure: String,
    /// Small beside the figure: pass, figure at the fastener; may be empty.
    pub beside: String,
    /// Where fasteners go or come from; may be empty.
    pub slot: String,
    /// What to mind, before the step.
    pub cautions: Vec<(SignalWord, String)>,
    /// Why it cannot be done as things are; empty where it can. Such a step has no box to tick.
    pub stop: String,
}

/// Steps that follow each other on one part.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PartBox {
    /// The part.
    pub title: String,
    /// Beside it, small; may be empty.
    pub beside: String,
    /// Its steps.
    pub lines: Vec<PaperStep>,
}

/// Labels on one kind of sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelSheet {
    /// How the labels lie.
    pub grid: LabelGrid,
    /// Places at the start that are used up already.
    pub skip: u32,
    /// The labels in order.
    pub labels: Vec<PaperLabel>,
}

/// A grid of labels: measures of the label and of the gaps, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LabelGrid {
    /// Columns.
    pub columns: u32,
    /// Rows.
    pub rows: u32,
    /// Width and height of a label.
    pub label_mm: (f64, f64),
    /// Distance from the left edge of a label to that of the next, and from the top edge to that of the next below.
    pub pitch_mm: (f64, f64),
    /// Distance of the first label from the left and top edge of the paper.
    pub margin_mm: (f64, f64),
    /// Cut marks at the corners, for plain paper.
    pub cut_marks: bool,
}

/// One label.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PaperLabel {
    /// Short code, read at arm's length.
    pub code: String,
    /// What it holds, one line each: count and size, of what.
    pub lines: Vec<String>,
    /// Vehicle letter and name.
    pub vehicle: String,
    /// Address of the slot's page; empty for none.
    pub link: String,
}

/// A part's holes in true size, on card.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleCard {
    /// Holes.
    pub holes: Vec<HoleSpot>,
    /// The part's outline, if it is known: corners, mm.
    pub outline_mm: Vec<(f64, f64)>,
    /// What each class of length is: ("a", "M6 × 25").
    pub classes: Vec<(String, String)>,
    /// Warnings: look-alikes, each with its signal word.
    pub warnings: Vec<(SignalWord, String)>,
    /// What stands instead of the warnings where they leave the pattern no room; empty: they take a page of their own.
    pub short_warning: String,
    /// Whether a pattern larger than the page is parted into tiles in true size; else it is drawn smaller, on one page.
    pub is_tiled: bool,
}

/// One hole of a card.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleSpot {
    /// Label on the part.
    pub label: String,
    /// Rightward and upward from the part's origin, mm.
    pub at_mm: (f64, f64),
    /// Diameter of the hole to be punched, mm.
    pub diameter_mm: f64,
    /// Place in the order of tightening, from 1.
    pub turn: Option<u32>,
    /// Class of length; may be empty.
    pub class: String,
}

/// Why nothing could be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PaperError {
    /// There is no sheet.
    Empty,
    /// A label grid does not fit the paper.
    Grid {
        /// What does not fit.
        words: String,
    },
    /// Holes that lie too far apart for a card in true size.
    Pattern {
        /// Title of the card.
        title: String,
        /// How far.
        words: String,
    },
    /// A photograph that is no JPEG.
    Photo {
        /// Its caption.
        caption: String,
    },
    /// The PDF could not be written.
    Pdf {
        /// What the writer said.
        words: String,
    },
}

impl core::fmt::Display for PaperError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Empty => f.write_str("there is nothing to print"),
            Self::Grid { words } => write!(f, "the labels do not fit the paper: {words}"),
            Self::Pattern { title, words } => {
                write!(
                    f,
                    "`{title}` is too large to print at true size ({words}); check the hole positions in the book"
                )
            }
            Self::Photo { caption } => {
                write!(f, "the picture `{caption}` is not a JPEG; export it as a JPEG or take it again")
            }
            Self::Pdf { words } => write!(f, "the PDF could not be written: {words}"),
        }
    }
}

impl core::error::Error for PaperError {}
