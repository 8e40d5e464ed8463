//! Crossing two lists: a stretch of the mother's time survives, the rest takes the father's order.

use crate::dice::ScheduleDice;

/// Room to cross lists of one length.
#[derive(Debug, Clone)]
pub(super) struct ListCrossover {
    side: Vec<u8>,
}

impl ListCrossover {
    pub(super) fn new(count: usize) -> Self {
        Self { side: vec![0; count] }
    }

    /// With `keeps_stretch` the child keeps the mother's stretch between the cuts and does what she does before and after it in
    /// the father's order; without, it begins and ends like the mother and does what is between in the father's order. Nothing
    /// before a place of a list that respects the lags waits for anything behind it, so the child respects them too.
    pub(super) fn cross_lists(
        &mut self,
        (mother, father): (&[usize], &[usize]),
        (left, right): (usize, usize),
        keeps_stretch: bool,
        child: &mut Vec<usize>,
    ) {
        for (at, job) in mother.iter().enumerate() {
            self.side[*job] = u8::from(at >= left) + u8::from(at >= right);
        }
        let side = &self.side;
        let of = |wanted: u8| father.iter().copied().filter(move |j| side[*j] == wanted);
        child.clear();
        if keeps_stretch {
            child.extend(of(0));
            child.extend_from_slice(&mother[left..right]);
            child.extend(of(2));
        } else {
            child.extend_from_slice(&mother[..left]);
            child.extend(of(1));
            child.extend_from_slice(&mother[right..]);
        }
    }
}

/// Two cuts with at least one job between them.
pub(super) fn draw_crossing_cuts(count: usize, dice: &mut ScheduleDice) -> (usize, usize) {
    let left = dice.below(count);
    let length = 1 + dice.below(count - left);
    (left, left + length)
}
