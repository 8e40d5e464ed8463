//! The sheet of a day for the terminal.

use super::table::{PageWidth, wrap_lines};
use crate::week::{DayStretch, WeekAnswer};

/// The sheet of today: work by the clock, then what waits, comes and is promised, then the evening.
#[must_use]
pub fn format_day(answer: &WeekAnswer, width: PageWidth) -> String {
    let day = answer.today();
    let mut page = DayPage { out: format!("{}\n", day.day), width };
    for notice in answer.notices() {
        page.push_line("", notice);
    }
    for visit in answer.visits() {
        for words in &visit.not_known {
            page.push_line("", &format!("{}, date not known: {words}", visit.letter));
        }
    }
    if day.stretches.is_empty() {
        page.push_line("", "No work today.");
    }
    day.stretches.iter().for_each(|stretch| page.push_stretch(stretch));
    page.push_head("Lay on the cart", day.cart.is_empty());
    for drawer in &day.cart {
        let pieces: Vec<String> = drawer.pieces.iter().map(|piece| piece.words()).collect();
        page.push_line("  ", &format!("{}: {}", drawer.place, pieces.join("; ")));
    }
    for (head, lines) in [("Waits", &day.waits), ("Comes", &day.comes), ("Promised", &day.promised)] {
        page.push_head(head, lines.is_empty());
        lines.iter().for_each(|words| page.push_line("  ", words));
    }
    page.push_head("Evening", false);
    day.evening.iter().for_each(|words| page.push_line("  ", words));
    page.out
}

struct DayPage {
    out: String,
    width: PageWidth,
}

impl DayPage {
    fn push_head(&mut self, head: &str, is_empty: bool) {
        if !is_empty {
            self.out.push_str(&format!("\n{head}\n"));
        }
    }

    /// Words behind a head; further lines are indented as far as it.
    fn push_line(&mut self, head: &str, words: &str) {
        let indent = super::table::width_of(head);
        let lines = wrap_lines(words, self.width.columns().saturating_sub(indent));
        for (at, line) in lines.iter().enumerate() {
            let before = if at == 0 { head.to_owned() } else { " ".repeat(indent) };
            self.out.push_str(&format!("{before}{line}\n"));
        }
    }

    fn push_stretch(&mut self, stretch: &DayStretch) {
        let ends = stretch.ends.as_deref().unwrap_or("tomorrow");
        self.out.push_str(&format!("\n{} to {ends}  {}  {}\n", stretch.begins, stretch.letter, stretch.name));
        for work in &stretch.work {
            let parting = if work.note.is_empty() { "" } else { "; " };
            self.push_line(&format!("  {}  ", work.begins), &format!("{}{parting}{}", work.what, work.note));
        }
    }
}
