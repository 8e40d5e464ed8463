//! How high the tops of heads stand above the face that a scale card lies on: classes with two ends, as a person tells them.
//!
//! A head seen slantwise appears beside its place by its height times the slant, so a place wants its height between two ends. The classes
//! are 4 mm wide where most heads are, which at 25° from upright is 0.9 mm to either side. (Assumption: hexagon and flange heads of
//! M5 to M10 with their washers stand 3 to 12 mm high.)

use scale_card::answers::HeadHeight;

/// The classes, mm.
const CLASSES_MM: [(u8, u8); 4] = [(0, 4), (4, 8), (8, 12), (12, 20)];

/// The words of the classes, lowest first.
pub(crate) fn head_height_words() -> impl Iterator<Item = String> {
    CLASSES_MM.into_iter().map(|(low_mm, high_mm)| format!("{low_mm} to {high_mm} mm"))
}

/// Reads such a word, "4 to 8 mm"; `None` where it is none.
pub(crate) fn read_head_height(word: &str) -> Option<HeadHeight> {
    let (low, high) = word.trim().strip_suffix("mm")?.split_once("to")?;
    let (low_mm, high_mm): (f64, f64) = (low.trim().parse().ok()?, high.trim().parse().ok()?);
    (0.0 <= low_mm && low_mm <= high_mm && high_mm.is_finite()).then_some(HeadHeight { low_mm, high_mm })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_reads_back_and_nothing_else_does() {
        let read: Vec<HeadHeight> =
            head_height_words().map(|word| read_head_height(&word).expect("a class")).collect();
        assert!(read.windows(2).all(|pair| pair[0].high_mm == pair[1].low_mm), "no gap: {read:?}");
        for word in
            ["", "4 mm", "8 to 4 mm", "-1 to 4 mm", "4 to inf mm", "4 to 8", "4 to 8 in", "NaN to 8 mm"]
        {
            assert_eq!(read_head_height(word), None, "{word}");
        }
    }
}
