//! The yardstick: every kit tried, for covers of up to [`MAX_ITEMS_TRIED`] items.

use super::kit_cover::KitCover;

/// More items than this make too many kits to try.
pub const MAX_ITEMS_TRIED: usize = 20;

/// The least value of any kit; `None` where no kit satisfies all rows and caps, or there are too many items.
#[must_use]
pub fn least_kit_value(cover: &KitCover) -> Option<u64> {
    let n = cover.weights.len();
    if n > MAX_ITEMS_TRIED {
        return None;
    }
    let kit = |mask: u32| (0..n).map(|i| mask >> i & 1 == 1).collect::<Vec<bool>>();
    (0_u32..1 << n).filter_map(|mask| cover.value(&kit(mask))).min()
}
