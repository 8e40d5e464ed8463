//! Who holds what when: how much of one holder is taken over the wall clock.

/// Taken for as long as nothing says otherwise.
pub(crate) const FOR_EVER_S: u32 = u32::MAX;

/// How much is taken from each moment to the next change.
#[derive(Debug, Clone, Default)]
pub(crate) struct HeldTimeline {
    changes: Vec<(u32, u32)>,
}

impl HeldTimeline {
    pub(crate) fn clear(&mut self) {
        self.changes.clear();
        self.changes.push((0, 0));
    }

    /// `Ok` where so much more fits from a time to another, else the first time at which what is in the way is over; `None` if it is never.
    pub(crate) fn check_room(
        &self,
        (from_s, to_s): (u32, u32),
        amount: u32,
        count: u32,
    ) -> Result<(), Option<u32>> {
        let first = self.changes.partition_point(|(t, _)| *t <= from_s).saturating_sub(1);
        for (at, (time_s, taken)) in self.changes.iter().enumerate().skip(first) {
            if *time_s >= to_s {
                break;
            }
            if taken + amount > count {
                return Err(self.changes[at + 1..]
                    .iter()
                    .find(|(_, t)| t + amount <= count)
                    .map(|(s, _)| *s));
            }
        }
        Ok(())
    }

    fn split_at(&mut self, time_s: u32) -> usize {
        let at = self.changes.partition_point(|(t, _)| *t < time_s);
        if self.changes.get(at).is_none_or(|(t, _)| *t != time_s) {
            let taken = at.checked_sub(1).map_or(0, |before| self.changes[before].1);
            self.changes.insert(at, (time_s, taken));
        }
        at
    }

    pub(crate) fn take(&mut self, (from_s, to_s): (u32, u32), amount: u32) {
        if from_s < to_s {
            let first = self.split_at(from_s);
            let last = if to_s == FOR_EVER_S { self.changes.len() } else { self.split_at(to_s) };
            self.changes[first..last].iter_mut().for_each(|(_, taken)| *taken += amount);
        }
    }

    /// What was taken for ever is free from a time on.
    pub(crate) fn free_from(&mut self, from_s: u32, amount: u32) {
        let first = self.split_at(from_s);
        self.changes[first..].iter_mut().for_each(|(_, taken)| *taken -= amount);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_taken_for_ever_bars_all_until_it_is_free() {
        let mut held = HeldTimeline::default();
        held.clear();
        held.take((10, 20), 1);
        assert_eq!(held.check_room((0, 10), 1, 1), Ok(()));
        assert_eq!(held.check_room((5, 11), 1, 1), Err(Some(20)));
        assert_eq!(held.check_room((5, 11), 1, 2), Ok(()));
        held.take((30, FOR_EVER_S), 1);
        assert_eq!(held.check_room((20, 30), 1, 1), Ok(()));
        assert_eq!(held.check_room((20, FOR_EVER_S), 1, 1), Err(None));
        held.free_from(45, 1);
        assert_eq!(held.check_room((20, FOR_EVER_S), 1, 1), Err(Some(45)));
        assert_eq!(held.check_room((45, FOR_EVER_S), 1, 1), Ok(()));
    }
}
