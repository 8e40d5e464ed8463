//! What must hold of any state, whatever events made it; the laws' own check.

use super::{MAX_RECENT_EVENTS, Visit};

impl Visit {
    /// What does not hold that should; empty for every state that replay can make.
    #[must_use]
    pub fn find_faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        self.fastener_faults(&mut faults);
        self.count_faults(&mut faults);
        self.list_faults(&mut faults);
        faults
    }

    fn fastener_faults(&self, faults: &mut Vec<String>) {
        for (fixing, hole, f) in self.fasteners.iter() {
            let mut must = |holds: bool, what: &str| {
                if !holds {
                    faults.push(format!("{fixing} {hole}: {what}"));
                }
            };
            must(f.individual >= 1, "individuals count from 1");
            let (admitted, _) = self.figures.admit_mark(fixing, f.state, f.stage);
            must(admitted == f.state, "nothing is tight without a figure or a name");
            must(f.claims.len() != 1, "one claim alone is no contradiction");
            must(f.closing.is_none() || f.state.is_closed(), "an open fastener has no closing event");
            must(f.since.order <= f.last.order, "the last word is not before the state that it made");
            must(f.stage.is_none() || super::is_in_hole(f.state), "a fastener that is out has no passes");
            let devices: std::collections::BTreeSet<_> =
                f.claims.iter().map(|c| &c.stamp.order.device).collect();
            must(devices.len() == f.claims.len(), "each device has one claim");
            let first = f.claims.first().map(|c| c.to);
            let agree = f.claims.iter().all(|c| Some(c.to) == first);
            must(f.claims.is_empty() || !agree, "claims that agree leave nothing to settle");
        }
    }

    fn count_faults(&self, faults: &mut Vec<String>) {
        for (key, caps) in &self.openings {
            if caps.put.checked_sub(caps.taken) != Some(caps.inside) {
                faults.push(format!("{key}: caps put in less caps taken out are not the caps inside"));
            }
        }
        for (event, put_in) in &self.put_ins {
            if put_in.left > put_in.count {
                faults.push(format!("{event}: more is in than was put in"));
            }
        }
        for (key, piece) in &self.pieces {
            if piece.out.checked_sub(piece.back) != Some(piece.copies_away()) {
                faults.push(format!("{key}: pieces out less pieces back are not the pieces away"));
            }
        }
    }

    fn list_faults(&self, faults: &mut Vec<String>) {
        if self.works.len() > crate::MAX_LOOK_BACK
            || self.recent.values().any(|r| r.len() > MAX_RECENT_EVENTS)
        {
            faults.push("a list of the last things is longer than it may be".into());
        }
        if self.pauses.iter().any(|p| p.resumed.as_ref().is_some_and(|r| r.order < p.stamp.order)) {
            faults.push("work went on before it was interrupted".into());
        }
        let ends = self.waits.values().filter_map(|w| Some((w, w.over.as_ref()?)));
        for (wait, over) in ends {
            if over.order < wait.stamp.order {
                faults.push(format!("{}: a wait was over before it began", wait.stamp.event));
            }
        }
        for (key, history) in &self.settings {
            let changes = history.changes();
            if changes.is_empty() || changes.windows(2).any(|two| two[0].value == two[1].value) {
                faults.push(format!("{key}: a change of a setting changes it"));
            }
            if !changes.is_sorted_by(|a, b| a.stamp.order <= b.stamp.order) {
                faults.push(format!("{key}: the changes of a setting are in order"));
            }
        }
        if self.planned.is_none() && !self.earlier_plans.is_empty() {
            faults.push("a visit that had a plan has one".into());
        }
    }
}
