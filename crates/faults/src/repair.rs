//! Takes broken statements out of a text of TOML, so that one missing bracket is one fault and the rest is read.
//!
//! A parser that goes on after an unclosed bracket takes the next lines for what they are not, and each of them
//! becomes a fault of its own. Here a text that does not parse is cut into statements instead: a heading `[table]` and
//! the lines `key = value` below it. Each is parsed alone. A broken one is reported once and blanked out, byte for byte,
//! so that places in what is left stay true. Below a broken heading everything up to the next one is blanked out: nobody
//! knows which table it belongs to.

use core::ops::Range;
use std::collections::BTreeSet;

use toml::de::DeTable;

use crate::depth;

/// Broken statements that are looked for; beyond it the rest of the text is left out unread.
const MAX_BROKEN_STATEMENTS: usize = 200;
/// How often a text may be parsed again, piece by piece, in multiples of its length.
const MAX_PASSES: usize = 16;

/// A text without its broken statements.
#[derive(Debug, Default)]
pub(crate) struct RepairedText {
    /// The text, as long as before, with blanks in place of what is broken.
    pub(crate) text: String,
    /// What is wrong, one fault for each broken statement.
    pub(crate) slips: Vec<SyntaxSlip>,
    /// What was blanked out.
    pub(crate) blanked: Vec<Range<usize>>,
    /// Where the headings of the tables begin that lost a statement.
    pub(crate) damaged_headings: BTreeSet<usize>,
    /// Whether the keys above the first heading lost a statement.
    pub(crate) is_root_damaged: bool,
}

/// A fault of the parser with its place in the whole text.
#[derive(Debug)]
pub(crate) struct SyntaxSlip {
    pub(crate) place: Range<usize>,
    pub(crate) words: String,
}

/// What a line begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum LineStart {
    /// `[table]`, `[[table]]`, with or without its closing brackets.
    Heading,
    /// `key =`.
    Statement,
    /// A blank line, a comment, or what goes on from the line before.
    Other,
}

/// Takes the broken statements out of a text that does not parse.
pub(crate) fn blank_broken_statements(text: &str) -> RepairedText {
    let mut repair = StatementRepair::new(text);
    while repair.next < repair.lines.len() && !repair.is_spent() {
        match repair.starts[repair.next] {
            LineStart::Heading => repair.take_heading(),
            LineStart::Statement | LineStart::Other => repair.take_statement(),
        }
    }
    repair.finish()
}

/// The text in the course of its repair.
struct StatementRepair<'t> {
    text: &'t str,
    lines: Vec<Range<usize>>,
    starts: Vec<LineStart>,
    /// The line to look at next.
    next: usize,
    /// Where the heading that holds begins; nothing above the first.
    heading: Option<usize>,
    bytes_left: usize,
    found: RepairedText,
}

impl<'t> StatementRepair<'t> {
    fn new(text: &'t str) -> Self {
        let mut from = 0;
        let ends = text.split_inclusive('\n').map(str::len);
        let lines: Vec<Range<usize>> = ends
            .map(|length| {
                from += length;
                from - length..from
            })
            .collect();
        let starts = lines.iter().map(|line| line_start(&text[line.clone()])).collect();
        let bytes_left = text.len().saturating_mul(MAX_PASSES);
        Self { text, lines, starts, next: 0, heading: None, bytes_left, found: RepairedText::default() }
    }

    /// Whether enough was found, or enough was tried.
    const fn is_spent(&self) -> bool {
        self.found.slips.len() >= MAX_BROKEN_STATEMENTS || self.bytes_left == 0
    }

    /// The bytes of some lines.
    fn bytes_of(&self, lines: Range<usize>) -> Range<usize> {
        match (self.lines.get(lines.start), lines.end.checked_sub(1).and_then(|last| self.lines.get(last))) {
            (Some(first), Some(last)) => first.start..last.end,
            _ => self.text.len()..self.text.len(),
        }
    }

    /// The first line from one on that begins what is wanted, or the end.
    fn find_line(&self, from: usize, wanted: fn(LineStart) -> bool) -> usize {
        (from..self.lines.len()).find(|line| wanted(self.starts[*line])).unwrap_or(self.lines.len())
    }

    /// What is wrong with some lines taken alone, the first fault of them.
    fn find_slip(&mut self, lines: Range<usize>) -> Option<SyntaxSlip> {
        let bytes = self.bytes_of(lines);
        self.bytes_left = self.bytes_left.saturating_sub(bytes.len());
        let fault = match DeTable::parse(&self.text[bytes.clone()]) {
            Ok(table) => {
                depth::take_apart(table.into_inner());
                return None;
            }
            Err(fault) => fault,
        };
        let end = self.text[bytes.clone()].trim_end().len();
        let at = fault.span().unwrap_or(end..end);
        let place = bytes.start + at.start.min(end)..bytes.start + at.end.min(end).max(at.start.min(end));
        Some(SyntaxSlip { place, words: fault.message().to_owned() })
    }

    /// A heading; without its brackets it takes all below it along.
    fn take_heading(&mut self) {
        let line = self.next;
        self.next = line + 1;
        if let Some(slip) = self.find_slip(line..line + 1) {
            self.drop_table(line, slip);
        } else {
            let start = self.lines[line].start;
            self.heading = Some(start + leading_blanks(&self.text[self.lines[line].clone()]));
        }
    }

    /// Blanks out a table whose heading is broken, and the tables inside it, which would belong to nothing.
    fn drop_table(&mut self, line: usize, slip: SyntaxSlip) {
        let inner = format!("{}.", heading_name(self.first_words(line..self.lines.len())));
        self.next = self.find_line(line + 1, |start| start == LineStart::Heading);
        while self.next < self.lines.len()
            && heading_name(&self.text[self.lines[self.next].clone()]).starts_with(&inner)
        {
            self.next = self.find_line(self.next + 1, |start| start == LineStart::Heading);
        }
        let bytes = self.bytes_of(line..self.next);
        self.found.slips.push(slip);
        self.found.blanked.push(bytes);
    }

    /// A statement with the lines that belong to it.
    fn take_statement(&mut self) {
        let first = self.next;
        let end = self.find_line(first + 1, |start| start != LineStart::Other);
        self.next = end;
        let Some(slip) = self.find_slip(first..end) else { return };
        if let Some(longer) = self.find_longer_statement(first, end) {
            self.next = longer;
        } else if first + 1 < end && self.find_slip(first..first + 1).is_none() {
            self.take_stray_lines(first + 1..end);
        } else if self.starts[first] == LineStart::Other
            && looks_like_lost_heading(self.first_words(first..end))
        {
            self.drop_table(first, slip);
        } else {
            self.drop_statement(first..end, slip);
        }
    }

    /// Lines behind a good statement that belong to nothing.
    fn take_stray_lines(&mut self, lines: Range<usize>) {
        let Some(slip) = self.find_slip(lines.clone()) else { return };
        if looks_like_lost_heading(self.first_words(lines.clone())) {
            self.drop_table(lines.start, slip);
        } else {
            self.drop_statement(lines, slip);
        }
    }

    /// The first of some lines that is neither blank nor a comment.
    fn first_words(&self, lines: Range<usize>) -> &'t str {
        let text = &self.text[self.bytes_of(lines)];
        text.lines()
            .map(str::trim)
            .find(|line| !line.is_empty() && !line.starts_with('#'))
            .unwrap_or_default()
    }

    /// Blanks out one statement.
    fn drop_statement(&mut self, lines: Range<usize>, slip: SyntaxSlip) {
        let bytes = self.bytes_of(lines);
        self.found.slips.push(slip);
        self.found.blanked.push(bytes);
        match self.heading {
            Some(heading) => drop(self.found.damaged_headings.insert(heading)),
            None => self.found.is_root_damaged = true,
        }
    }

    /// Where a statement ends that goes on over lines which look like statements: long texts, tables in braces.
    fn find_longer_statement(&mut self, first: usize, mut end: usize) -> Option<usize> {
        const MAX_FURTHER_LINES: usize = 40;
        let text = &self.text[self.bytes_of(first..end)];
        if !(text.contains("\"\"\"") || text.contains("'''") || text.contains('{')) {
            return None;
        }
        for _ in 0..MAX_FURTHER_LINES {
            if end >= self.lines.len() || self.is_spent() {
                return None;
            }
            end = self.find_line(end + 1, |start| start != LineStart::Other);
            if self.find_slip(first..end).is_none() {
                return Some(end);
            }
        }
        None
    }

    /// The text with blanks; what was not looked at is blanked out as well.
    fn finish(mut self) -> RepairedText {
        if self.next < self.lines.len() {
            let rest = self.bytes_of(self.next..self.lines.len());
            self.found.blanked.push(rest);
            self.found.is_root_damaged = true;
        }
        let mut bytes = self.text.as_bytes().to_vec();
        for byte in self.found.blanked.iter().flat_map(|range| range.clone()) {
            if !matches!(bytes[byte], b'\n' | b'\r') {
                bytes[byte] = b' ';
            }
        }
        self.found.text = String::from_utf8(bytes).unwrap_or_default();
        self.found
    }
}

/// How many bytes of blanks a line begins with.
fn leading_blanks(line: &str) -> usize {
    line.len() - line.trim_start().len()
}

/// What a line begins, by its first words.
fn line_start(line: &str) -> LineStart {
    let line = line.trim();
    if let Some(rest) = line.strip_prefix('[') {
        let name = rest.strip_prefix('[').unwrap_or(rest).split(['#', ']']).next().unwrap_or_default().trim();
        let good =
            name.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_') && name.chars().all(is_key_sign);
        return if good { LineStart::Heading } else { LineStart::Other };
    }
    let Some((key, _)) = line.split_once('=') else { return LineStart::Other };
    let key = key.trim();
    let quoted = |c: char| is_key_sign(c) || matches!(c, '"' | '\'');
    if !key.is_empty() && key.chars().all(quoted) { LineStart::Statement } else { LineStart::Other }
}

/// The name in a heading, its brackets and blanks left out.
fn heading_name(line: &str) -> String {
    let name = line.trim().trim_start_matches('[').split(['#', ']']).next().unwrap_or_default();
    name.chars().filter(|sign| !sign.is_whitespace()).collect()
}

/// Whether a sign may be in a key without quotes, the dots between keys included.
const fn is_key_sign(sign: char) -> bool {
    sign.is_ascii_alphanumeric() || matches!(sign, '_' | '-' | '.' | ' ')
}

/// Whether a line is a heading that lost its opening bracket.
fn looks_like_lost_heading(line: &str) -> bool {
    let line = line.split('#').next().unwrap_or_default().trim();
    line.ends_with(']') && line.trim_end_matches(']').chars().all(is_key_sign)
}
