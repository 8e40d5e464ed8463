//! Progress on the error stream, only where a person is watching.

use app::ask::ProgressObserver;
use indicatif::{ProgressBar, ProgressStyle};
use std::time::Duration;

/// One line that says what is being done.
pub struct ProgressLine {
    bar: ProgressBar,
}

impl ProgressLine {
    /// A line; silent when the error stream is not a terminal.
    pub fn new() -> Self {
        let bar = ProgressBar::new(100);
        if let Ok(style) = ProgressStyle::with_template("{msg:32} {pos:>3} %  {elapsed}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(200));
        Self { bar }
    }

    /// Takes the line away.
    pub fn clear_line(self) {
        self.bar.finish_and_clear();
    }
}

impl ProgressObserver for ProgressLine {
    fn show_progress(&self, doing: &str, done_fraction: f64) {
        self.bar.set_message(doing.to_owned());
        self.bar.set_position((done_fraction.clamp(0.0, 1.0) * 100.0) as u64);
    }
}
