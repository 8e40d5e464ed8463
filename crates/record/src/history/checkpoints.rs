//! States kept on the way, so that a change of the past does not fold everything anew.

/// Maximum number of checkpoints that are kept; older ones are thinned out first, because changes mostly concern the last days.
const MAX_CHECKPOINTS: usize = 16;

#[derive(Debug, Clone)]
struct Checkpoint<S> {
    /// Events that were folded.
    count: usize,
    state: S,
}

/// States after some of the first events.
#[derive(Debug, Clone)]
pub(super) struct Checkpoints<S> {
    step: usize,
    kept: Vec<Checkpoint<S>>,
}

impl<S: Clone> Checkpoints<S> {
    /// None yet; one is kept after every `step` events, at least 1.
    pub fn every_events(step: usize) -> Self {
        Self { step: step.max(1), kept: Vec::new() }
    }

    /// Keeps the state after the first `count` events, where one is due.
    pub fn keep_if_due(&mut self, count: usize, state: &S) {
        if count.is_multiple_of(self.step) {
            self.kept.push(Checkpoint { count, state: state.clone() });
            self.thin_out();
        }
    }

    /// Forgets all of them.
    pub fn forget_all(&mut self) {
        self.kept.clear();
    }

    /// Forgets what holds the event at `first` or a later one; gives the last that is left.
    pub fn back_to(&mut self, first: usize) -> Option<(usize, S)> {
        self.kept.retain(|c| c.count <= first);
        self.kept.last().map(|c| (c.count, c.state.clone()))
    }

    /// Drops every second of the older half when there are too many.
    fn thin_out(&mut self) {
        if self.kept.len() > MAX_CHECKPOINTS {
            let mut at = 0;
            self.kept.retain(|_| {
                at += 1;
                at > MAX_CHECKPOINTS / 2 || at % 2 == 0
            });
        }
    }
}
