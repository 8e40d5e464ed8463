//! How wide a line of an answer may be, decided once a run: as asked, else as the terminal is, else 80.

use app::text::table::PageWidth;
use std::io::IsTerminal as _;
use std::sync::OnceLock;

/// What this run was asked for, or found.
static FOUND: OnceLock<PageWidth> = OnceLock::new();

/// Settles the width for this run; the first word stands.
pub fn settle_page_width(asked: Option<u16>) -> PageWidth {
    *FOUND.get_or_init(|| choose_width(asked, terminal_columns()))
}

/// The width of this run.
pub fn page_width() -> PageWidth {
    settle_page_width(None)
}

/// What is asked wins over what the terminal has.
fn choose_width(asked: Option<u16>, of_terminal: Option<u16>) -> PageWidth {
    asked.or(of_terminal).map_or(PageWidth::USUAL, |columns| PageWidth::nearest(usize::from(columns)))
}

/// The columns of the terminal that the answer goes to; none where it goes into a file or to another program.
fn terminal_columns() -> Option<u16> {
    let out = std::io::stdout();
    if !out.is_terminal() {
        return None;
    }
    let told = std::env::var("COLUMNS").ok().and_then(|text| text.trim().parse().ok());
    told.or_else(|| terminal_size::terminal_size_of(out).map(|(width, _)| width.0))
}

#[cfg(test)]
mod tests {
    use super::choose_width;

    #[test]
    fn what_is_asked_wins_over_the_terminal_and_that_over_80() {
        let columns = |asked, of_terminal| choose_width(asked, of_terminal).columns();
        assert_eq!(columns(Some(132), Some(100)), 132);
        assert_eq!(columns(None, Some(100)), 100);
        assert_eq!(columns(None, None), 80);
        assert_eq!(columns(Some(10), None), 60);
        assert_eq!(columns(None, Some(400)), 200);
    }
}
