//! Plain tables for an 80-column terminal: aligned columns, no boxes, long cells wrapped under themselves.

/// Width of the terminal that everything fits.
pub const COLUMNS: usize = 80;

/// Alignment of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextAlign {
    /// Flush left.
    Left,
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
    /// A table with headings; the last left-aligned column gives way when the width runs out.
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

    /// The table as text, each line at most [`COLUMNS`] wide.
    #[must_use]
    pub fn to_text(&self) -> String {
        let widths = self.column_widths();
        let mut out = String::new();
        let heads: Vec<String> = self.heads.iter().map(|(h, _)| (*h).to_owned()).collect();
        self.push_row(&mut out, &heads, &widths);
        for row in &self.rows {
            self.push_row(&mut out, row, &widths);
        }
        out
    }

    /// Natural widths, the widest left-aligned column cut until all fit.
    fn column_widths(&self) -> Vec<usize> {
        let cell = |row: &Vec<String>, i: usize| row.get(i).map_or(0, |c| c.chars().count());
        let mut widths: Vec<usize> = (0..self.heads.len())
            .map(|i| {
                let head = self.heads[i].0.chars().count();
                self.rows.iter().map(|row| cell(row, i)).max().unwrap_or(0).max(head)
            })
            .collect();
        let gaps = 2 * widths.len().saturating_sub(1);
        let mut over = (widths.iter().sum::<usize>() + gaps).saturating_sub(COLUMNS);
        while over > 0 {
            let widest = (0..widths.len())
                .filter(|i| self.heads[*i].1 == TextAlign::Left)
                .max_by_key(|i| (widths[*i], core::cmp::Reverse(*i)));
            let Some(widest) = widest.filter(|i| widths[*i] > 8) else { break };
            widths[widest] -= 1;
            over -= 1;
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
                let pad = " ".repeat(width.saturating_sub(text.chars().count()));
                match self.heads[i].1 {
                    TextAlign::Left => line.push_str(&format!("{text}{pad}  ")),
                    TextAlign::Right => line.push_str(&format!("{pad}{text}  ")),
                }
            }
            out.push_str(line.trim_end());
            out.push('\n');
        }
    }
}

/// Breaks a text into lines of a width at spaces; a word longer than the width is cut.
#[must_use]
pub fn wrap_lines(text: &str, width: usize) -> Vec<String> {
    let width = width.max(4);
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let mut rest: Vec<char> = word.chars().collect();
        let fits = lines.last().is_some_and(|l| l.chars().count() + 1 + rest.len() <= width);
        if fits {
            if let Some(line) = lines.last_mut() {
                line.push(' ');
                line.extend(rest);
            }
            continue;
        }
        while rest.len() > width {
            let tail = rest.split_off(width);
            lines.push(rest.into_iter().collect());
            rest = tail;
        }
        lines.push(rest.into_iter().collect());
    }
    lines
}

/// A paragraph with a hanging indent.
#[must_use]
pub fn bullet(mark: &str, text: &str) -> String {
    let indent = " ".repeat(mark.chars().count());
    let lines = wrap_lines(text, COLUMNS - indent.len());
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
    use super::count_with_noun;

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
