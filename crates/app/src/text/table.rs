//! Plain tables for a terminal of any width: aligned columns, no boxes, long cells wrapped under themselves.

use unicode_width::UnicodeWidthStr as _;

/// Letters that a line of text may have: those of the terminal, within what can be laid out and read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PageWidth {
    columns: usize,
}

impl PageWidth {
    /// Fewest letters of a line that tables are laid out for.
    pub const MIN_COLUMNS: usize = 60;
    /// Most letters of a line that an eye finds its way back from.
    pub const MAX_COLUMNS: usize = 200;
    /// Where nobody says how wide a line may be: files, and other programs.
    pub const USUAL: Self = Self { columns: 80 };

    /// The nearest width that can be laid out.
    #[must_use]
    pub const fn nearest(columns: usize) -> Self {
        let columns = if columns < Self::MIN_COLUMNS {
            Self::MIN_COLUMNS
        } else if columns > Self::MAX_COLUMNS {
            Self::MAX_COLUMNS
        } else {
            columns
        };
        Self { columns }
    }

    /// The letters of a line.
    #[must_use]
    pub const fn columns(self) -> usize {
        self.columns
    }
}

/// The columns of a terminal that a text takes up; a letter of the far east takes two.
#[must_use]
pub fn width_of(text: &str) -> usize {
    text.width()
}

/// Alignment of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextAlign {
    /// Flush left; long cells are wrapped.
    Left,
    /// Flush left and kept in one piece: keys, which are copied.
    Whole,
    /// Flush right, for figures.
    Right,
}

/// A table that is filled row by row.
#[derive(Debug, Clone)]
pub struct TextTable {
    heads: Vec<(&'static str, TextAlign)>,
    rows: Vec<Vec<String>>,
}

impl TextTable {
    /// A table with headings; columns of words give way when the width runs out, and where that is not enough, keys in the
    /// first column stand on lines of their own.
    #[must_use]
    pub fn new(heads: &[(&'static str, TextAlign)]) -> Self {
        Self { heads: heads.to_vec(), rows: Vec::new() }
    }

    /// Adds a row; missing cells are empty.
    pub fn add_row(&mut self, cells: &[String]) {
        self.rows.push(cells.to_vec());
    }

    /// Whether no row was added.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Whether every cell fits the page in one line.
    #[must_use]
    pub fn fits(&self, width: PageWidth) -> bool {
        self.column_widths(width) == self.natural_widths()
    }

    /// The widths of columns that have all the room that they want.
    fn natural_widths(&self) -> Vec<usize> {
        self.column_widths(PageWidth { columns: usize::MAX })
    }

    /// Whether words would be broken or lines be too long beside keys that stay whole.
    fn is_cramped(&self, widths: &[usize], page: PageWidth) -> bool {
        let natural = self.natural_widths();
        let gaps = 2 * widths.len().saturating_sub(1);
        let is_narrow =
            |i: usize| self.heads[i].1 == TextAlign::Left && widths[i] < natural[i].min(MAX_KEPT_WORD);
        let begins_with_keys = self.heads.first().is_some_and(|(_, align)| *align == TextAlign::Whole);
        let is_too_wide = widths.iter().sum::<usize>() + gaps > page.columns();
        begins_with_keys && (is_too_wide || (0..widths.len()).any(is_narrow))
    }

    /// Each key on a line of its own, the rest of its row below it.
    fn to_stacked_text(&self, page: PageWidth) -> String {
        const INDENT: usize = 2;
        let rest = Self {
            heads: self.heads[1..].to_vec(),
            rows: self.rows.iter().map(|row| row.get(1..).unwrap_or_default().to_vec()).collect(),
        };
        let widths = rest.column_widths(PageWidth { columns: page.columns().saturating_sub(INDENT) });
        let heads: Vec<String> = self.heads.iter().map(|(head, _)| (*head).to_owned()).collect();
        let mut out = String::new();
        for row in core::iter::once(&heads).chain(&self.rows) {
            let mut below = String::new();
            rest.push_row(&mut below, row.get(1..).unwrap_or_default(), &widths);
            out.push_str(&format!("{}\n", row.first().map_or("", String::as_str)));
            below.lines().for_each(|line| out.push_str(&format!("{:INDENT$}{line}\n", "")));
        }
        out
    }

    /// The table as text, each line at most as wide as the page.
    #[must_use]
    pub fn to_text(&self, width: PageWidth) -> String {
        let widths = self.column_widths(width);
        if self.is_cramped(&widths, width) {
            return self.to_stacked_text(width);
        }
        let mut out = String::new();
        let heads: Vec<String> = self.heads.iter().map(|(h, _)| (*h).to_owned()).collect();
        self.push_row(&mut out, &heads, &widths);
        for row in &self.rows {
            self.push_row(&mut out, row, &widths);
        }
        out
    }

    /// Natural widths; where they do not fit, words give way first, then the headings above figures, keys never.
    fn column_widths(&self, page: PageWidth) -> Vec<usize> {
        let head = |i: usize| width_of(self.heads[i].0);
        let cell = |row: &Vec<String>, i: usize| row.get(i).map_or(0, |c| width_of(c));
        let widest_cell = |i: usize| self.rows.iter().map(|row| cell(row, i)).max().unwrap_or(0);
        let mut widths: Vec<usize> = (0..self.heads.len()).map(|i| widest_cell(i).max(head(i))).collect();
        let gaps = 2 * widths.len().saturating_sub(1);
        let over = |widths: &[usize]| (widths.iter().sum::<usize>() + gaps).saturating_sub(page.columns());
        let longest_of =
            |i: usize| self.rows.iter().filter_map(|row| row.get(i)).map(|c| longest_word(c)).max();
        let least = |i: usize, widths: &[usize], stage: ShrinkStage| match (self.heads[i].1, stage) {
            (TextAlign::Left, ShrinkStage::Words) => {
                longest_of(i).unwrap_or(0).clamp(MIN_WORDS, MAX_KEPT_WORD)
            }
            (TextAlign::Left, ShrinkStage::Letters) => MIN_WORDS,
            (TextAlign::Right, ShrinkStage::Headings) => widest_cell(i).max(longest_word(self.heads[i].0)),
            _ => widths[i],
        };
        for stage in [ShrinkStage::Words, ShrinkStage::Headings, ShrinkStage::Letters] {
            let ends: Vec<usize> = (0..widths.len()).map(|i| least(i, &widths, stage)).collect();
            shrink_widest(&mut widths, &ends, over);
        }
        widths
    }

    /// One row, as many lines as its longest wrapped cell.
    fn push_row(&self, out: &mut String, cells: &[String], widths: &[usize]) {
        let wrapped: Vec<Vec<String>> = widths
            .iter()
            .enumerate()
            .map(|(i, width)| cells.get(i).map_or_else(Vec::new, |c| wrap_lines(c, *width)))
            .collect();
        let height = wrapped.iter().map(Vec::len).max().unwrap_or(0);
        for k in 0..height {
            let mut line = String::new();
            for (i, width) in widths.iter().enumerate() {
                let text = wrapped[i].get(k).map_or("", String::as_str);
                let pad = " ".repeat(width.saturating_sub(width_of(text)));
                match self.heads[i].1 {
                    TextAlign::Left | TextAlign::Whole => line.push_str(&format!("{text}{pad}  ")),
                    TextAlign::Right => line.push_str(&format!("{pad}{text}  ")),
                }
            }
            out.push_str(line.trim_end());
            out.push('\n');
        }
    }
}

/// Letters that a column of words keeps at least.
const MIN_WORDS: usize = 8;

/// A word of so many letters is not broken before the headings above figures are.
const MAX_KEPT_WORD: usize = 16;

/// What gives way where a table is too wide, one after the other.
#[derive(Clone, Copy)]
enum ShrinkStage {
    /// Cells of words are wrapped between words.
    Words,
    /// Headings above figures are wrapped.
    Headings,
    /// Words are broken.
    Letters,
}

/// The letters of the longest word of a heading.
fn longest_word(text: &str) -> usize {
    text.split_whitespace().map(width_of).max().unwrap_or(0)
}

/// Takes letters off the widest column that is wider than its end, the last of equals, until nothing is over.
fn shrink_widest(widths: &mut [usize], ends: &[usize], over: impl Fn(&[usize]) -> usize) {
    for _ in 0..over(widths) {
        let open = (0..widths.len()).filter(|i| widths[*i] > ends[*i]);
        let Some(widest) = open.max_by_key(|i| (widths[*i], core::cmp::Reverse(*i))) else { return };
        widths[widest] -= 1;
    }
}

/// Breaks a text into lines of a width at spaces; a word longer than the width is cut.
#[must_use]
pub fn wrap_lines(text: &str, width: usize) -> Vec<String> {
    wrap_below(text, width, width)
}

/// Breaks a text into lines, the first of a width of its own.
fn wrap_below(text: &str, first: usize, others: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let room = |line: usize| if line == 0 { first.max(4) } else { others.max(4) };
    for word in text.split_whitespace() {
        let mut rest = word;
        let fits = |line: &String, at: usize| width_of(line) + 1 + width_of(word) <= room(at);
        let last = lines.len().saturating_sub(1);
        if let Some(line) = lines.last_mut().filter(|line| fits(line, last)) {
            line.push(' ');
            line.push_str(word);
            continue;
        }
        while width_of(rest) > room(lines.len()) {
            let (line, tail) = rest.split_at(fitting_bytes(rest, room(lines.len())));
            lines.push(line.to_owned());
            rest = tail;
        }
        lines.push(rest.to_owned());
    }
    lines
}

/// The bytes of the longest beginning of a word that is no wider; at least one letter.
fn fitting_bytes(word: &str, width: usize) -> usize {
    let ends = word.char_indices().map(|(at, letter)| at + letter.len_utf8());
    let fits = ends.clone().take_while(|end| width_of(&word[..*end]) <= width).last();
    fits.or_else(|| ends.clone().next()).unwrap_or(word.len())
}

/// A paragraph that hangs under its mark.
#[must_use]
pub fn bullet(width: PageWidth, mark: &str, text: &str) -> String {
    hanging_paragraph(width, mark, width_of(mark), text)
}

/// A paragraph with a mark before its first line, and blanks before the others.
#[must_use]
pub fn hanging_paragraph(width: PageWidth, mark: &str, hang: usize, text: &str) -> String {
    let indent = " ".repeat(hang);
    let room = |indent: usize| width.columns().saturating_sub(indent);
    let lines = wrap_below(text, room(width_of(mark)), room(hang));
    let mut out = String::new();
    for (i, line) in lines.iter().enumerate() {
        out.push_str(if i == 0 { mark } else { &indent });
        out.push_str(line);
        out.push('\n');
    }
    out
}

/// A heading: capitals, an empty line before it.
#[must_use]
pub fn heading(text: &str) -> String {
    format!("\n{}\n", text.to_uppercase())
}

/// A heading with the unit of the figures below it.
#[must_use]
pub fn heading_in(text: &str, unit: &str) -> String {
    format!("\n{}, {unit}\n", text.to_uppercase())
}

/// A duration in words.
#[must_use]
pub fn spoken_time(time_s: f64) -> String {
    units::Duration::from_s(time_s).spoken_text()
}

/// How sure an outcome is, in words.
#[must_use]
pub fn outcome_words(outcome: &model::SolverOutcome) -> String {
    use model::SolverStanding;
    let gap = units::significant(100.0 * outcome.gap_fraction(), 2);
    match outcome.standing {
        SolverStanding::Proven => String::from("proven best"),
        SolverStanding::Found => format!("best found; at most {gap} % above the least possible"),
        SolverStanding::Stopped => format!("stopped early; at most {gap} % above the least possible"),
        SolverStanding::Impossible => String::from("not everything asked for is possible"),
    }
}

/// "1 line", "3 lines", "2 entries", "4 passes".
#[must_use]
pub fn count_with_noun(number: usize, noun: &str) -> String {
    if number == 1 {
        return format!("1 {noun}");
    }
    match noun.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'i', 'o', 'u']) => format!("{number} {stem}ies"),
        _ if noun.ends_with('s') => format!("{number} {noun}es"),
        _ => format!("{number} {noun}s"),
    }
}

#[cfg(test)]
mod tests {
    use super::{PageWidth, TextAlign, TextTable, bullet, count_with_noun, width_of, wrap_lines};

    #[test]
    fn a_width_that_cannot_be_laid_out_is_the_nearest_that_can() {
        assert_eq!(
            [1, 60, 132, 4000].map(|columns| PageWidth::nearest(columns).columns()),
            [60, 60, 132, 200]
        );
    }

    #[test]
    fn letters_of_the_far_east_take_two_columns() {
        assert_eq!(width_of("ボルト"), 6);
        assert_eq!(wrap_lines("ボルトボルト", 6), ["ボルト", "ボルト"]);
        assert_eq!(wrap_lines("torque 9 N·m", 8), ["torque 9", "N·m"]);
    }

    /// A table of words beside figures with a long heading.
    fn sample_table() -> TextTable {
        let mut table =
            TextTable::new(&[("piece", TextAlign::Left), ("greatest torque, N·m", TextAlign::Right)]);
        let words =
            "extension of one hundred and fifty millimetres, wobble end, with a locking collar, chromed";
        table.add_row(&[words.to_owned(), "120".to_owned()]);
        table
    }

    #[test]
    fn a_table_fills_the_width_and_never_passes_it() {
        for (columns, lines) in [(60, 4), (80, 3), (200, 2)] {
            let text = sample_table().to_text(PageWidth::nearest(columns));
            assert!(text.lines().all(|line| width_of(line) <= columns), "{text}");
            assert_eq!(text.lines().count(), lines, "{text}");
        }
    }

    #[test]
    fn keys_that_leave_no_room_stand_on_lines_of_their_own() {
        let heads = [
            ("piece", TextAlign::Whole),
            ("title", TextAlign::Left),
            ("how many there are", TextAlign::Right),
        ];
        let mut table = TextTable::new(&heads);
        let key = "extension-of-one-hundred-and-fifty-millimetres-chromed";
        table.add_row(&[key.to_owned(), "extension, chromed".to_owned(), "1".to_owned()]);
        let text = table.to_text(PageWidth::nearest(60));
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[2..], [key, "  extension, chromed                   1"], "{text}");
        assert!(table.to_text(PageWidth::nearest(200)).lines().count() == 2, "there is room for one line");
    }

    #[test]
    fn a_paragraph_hangs_under_its_mark() {
        let text = bullet(PageWidth::nearest(60), "  - ", &"seven c ".repeat(12));
        assert!(
            text.lines().skip(1).all(|line| line.starts_with("    s") || line.starts_with("    c")),
            "{text}"
        );
    }

    #[test]
    fn one_thing_is_one_and_several_take_the_plural_of_the_noun() {
        for (number, noun, expected) in [
            (0, "line", "0 lines"),
            (1, "line", "1 line"),
            (1, "entry", "1 entry"),
            (36, "entry", "36 entries"),
            (2, "key", "2 keys"),
            (3, "pass", "3 passes"),
            (1, "more run-down", "1 more run-down"),
        ] {
            assert_eq!(count_with_noun(number, noun), expected);
        }
    }
}
