//! A fastener's size in words: "M6 × 25, 8.8".

use model::Fixing;
use units::significant;

/// Thread, length and class as a person writes them; the drive where there is no thread.
#[must_use]
pub fn size_words(fixing: &Fixing) -> String {
    let Some(thread) = fixing.thread else { return fixing.drive.to_string() };
    let length = fixing.length.map_or_else(String::new, |l| format!(" × {}", significant(l.as_mm(), 4)));
    let class = fixing.class.map_or_else(String::new, |c| format!(", {c}"));
    format!("{thread}{length}{class}")
}
