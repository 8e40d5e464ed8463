//! Where words find room beside spots: of ten places round a mark, the first that overlaps least with what is already drawn.

use crate::words::text_width_px;

/// Room on a drawing: left, top, right, bottom.
type DrawingBox = (f64, f64, f64, f64);

/// What words are placed beside.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MarkSpot {
    /// Its middle.
    pub(crate) centre: (f64, f64),
    /// How far it reaches.
    pub(crate) radius_px: f64,
}

/// Height of the letters against their size, without what is below the line.
const HEIGHT_RATIO: f64 = 0.78;

/// Where words are placed if there is room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum WordSide {
    /// Towards the nearer of the upper and lower edge.
    Outer,
    /// Towards the middle.
    Inner,
}

/// What is taken on a drawing.
#[derive(Debug, Clone)]
pub(crate) struct FreeRoom {
    taken: Vec<DrawingBox>,
    /// Width and height of the drawing.
    size_px: (f64, f64),
}

impl FreeRoom {
    /// A drawing on which only spots, each with its radius, take room.
    pub(crate) fn around_spots(spots: impl Iterator<Item = MarkSpot>, size_px: (f64, f64)) -> Self {
        let taken =
            spots.map(|MarkSpot { centre: (x, y), radius_px: r }| (x - r, y - r, x + r, y + r)).collect();
        Self { taken, size_px }
    }

    /// Takes room for words beside a spot, on a side before all others; gives the middle of their base line.
    pub(crate) fn place_words(
        &mut self,
        spot: MarkSpot,
        side: WordSide,
        words: &str,
        size_px: f64,
    ) -> (f64, f64) {
        let MarkSpot { centre: (x, y), radius_px: r } = spot;
        let (half, high) = (text_width_px(words, size_px, true) / 2.0, size_px * HEIGHT_RATIO);
        let (beside, slant) = (r + 4.0 + half, r * 0.7 + 3.0 + half);
        let (above, below, middle) = (y - r - 4.0, y + r + 4.0 + high, y + high / 2.0);
        let (high_up, low_down) = (y - r * 0.7 - 2.0, y + r * 0.7 + 2.0 + high);
        let is_high = y < self.size_px.1 / 2.0;
        let first = if is_high == (side == WordSide::Outer) { above } else { below };
        let places = [
            (x, first),
            (x + beside, middle),
            (x - beside, middle),
            (x, above + below - first),
            (x + slant, high_up),
            (x - slant, high_up),
            (x + slant, low_down),
            (x - slant, low_down),
            (x, if is_high { above - 1.3 * high } else { below + 1.3 * high }),
            (x, if is_high { below + 1.3 * high } else { above - 1.3 * high }),
        ];
        let round = |(x, y): (f64, f64)| (x - half, y - high, x + half, y);
        let best = places
            .into_iter()
            .min_by(|a, b| self.covered_area(round(*a)).total_cmp(&self.covered_area(round(*b))));
        let best = best.unwrap_or((x, above));
        self.taken.push(round(best));
        best
    }

    /// How much of what is taken a box lies over; what leaves the drawing counts as well.
    fn covered_area(&self, own: DrawingBox) -> f64 {
        const RIM_PX: f64 = 2.0;
        let over = |t: &DrawingBox| {
            let wide = own.2.min(t.2) - own.0.max(t.0) + RIM_PX;
            let high = own.3.min(t.3) - own.1.max(t.1) + RIM_PX;
            wide.max(0.0) * high.max(0.0)
        };
        let within = over(&(0.0, 0.0, self.size_px.0, self.size_px.1));
        let whole = (own.2 - own.0 + RIM_PX) * (own.3 - own.1 + RIM_PX);
        self.taken.iter().map(over).sum::<f64>() + (whole - within).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Words of a row of spots do not lie over each other, nor over a spot.
    #[test]
    fn a_narrow_row_keeps_its_words_apart() {
        let spot = |i: u32| MarkSpot { centre: (40.0 + 55.0 * f64::from(i), 200.0), radius_px: 11.0 };
        let spots: Vec<MarkSpot> = (0..7).map(spot).collect();
        let mut free = FreeRoom::around_spots(spots.iter().copied(), (430.0, 430.0));
        for spot in &spots {
            free.place_words(*spot, WordSide::Inner, "16", 21.0);
            free.place_words(*spot, WordSide::Outer, "S16 b", 19.0);
        }
        assert_eq!(free.taken.len(), 21);
        for (i, a) in free.taken.iter().enumerate() {
            assert!(a.0 >= 0.0 && a.2 <= 430.0, "leaves the drawing: {a:?}");
            for b in &free.taken[i + 1..] {
                let over = a.0 < b.2 && b.0 < a.2 && a.1 < b.3 && b.1 < a.3;
                assert!(!over, "{a:?} lies over {b:?}");
            }
        }
    }

    /// However much is taken: the radius of 10 and two lines of 16 away at most.
    #[test]
    fn words_stand_by_their_own_spot() {
        let spot = MarkSpot { centre: (100.0, 100.0), radius_px: 10.0 };
        let mut free = FreeRoom::around_spots([spot].into_iter(), (200.0, 200.0));
        for _ in 0..8 {
            let (x, y) = free.place_words(spot, WordSide::Outer, "A1", 16.0);
            assert!((x - 100.0).abs() < 45.0 && (y - 100.0).abs() < 45.0, "{x} {y}");
        }
    }
}
