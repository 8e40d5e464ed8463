//! Judges an answer to a published instance of the kind `rcpsp` from the instance and the answer alone.
//!
//! Every job has a start, none before those that it follows have ended, and at no time is more of a resource in use than there
//! is; the value stated is the latest end. Use can only rise at a start, so it is added up at each.

// symbol: value = a time in the instance's unit

/// A project: jobs of one mode, counted from 0, with what is there of each resource.
#[derive(Debug, Clone, Copy)]
pub struct JudgedProject<'a> {
    /// Durations by job.
    pub durations: &'a [u32],
    /// Demands by job, then resource.
    pub demands: &'a [Vec<u32>],
    /// Pairs (before, after).
    pub pairs: &'a [(usize, usize)],
    /// What is there of each resource.
    pub capacities: &'a [u32],
}

/// What is wrong with the starts and with the value stated; empty when nothing is.
#[must_use]
pub fn judge_rcpsp_answer(project: &JudgedProject, starts: &[u32], value: f64) -> Vec<String> {
    if starts.len() != project.durations.len() {
        return vec![format!("{} starts for {} jobs", starts.len(), project.durations.len())];
    }
    let ends: Vec<u64> =
        starts.iter().zip(project.durations).map(|(s, d)| u64::from(*s) + u64::from(*d)).collect();
    let mut faults = Vec::new();
    for (before, after) in project.pairs {
        if ends[*before] > u64::from(starts[*after]) {
            faults.push(format!(
                "job {} starts at {}, before job {} ends at {}",
                after + 1,
                starts[*after],
                before + 1,
                ends[*before]
            ));
        }
    }
    for (resource, capacity) in project.capacities.iter().enumerate() {
        faults.extend(find_overuse(project, starts, &ends, resource, u64::from(*capacity)));
    }
    let end = ends.iter().copied().max().unwrap_or(0);
    if value != end as f64 {
        faults.push(format!("the project ends at {end}, the answer says {value}"));
    }
    faults
}

/// The first time at which more of a resource is in use than there is.
fn find_overuse(
    project: &JudgedProject,
    starts: &[u32],
    ends: &[u64],
    resource: usize,
    capacity: u64,
) -> Option<String> {
    let in_use = |time: u64| -> u64 {
        let runs = (0..starts.len()).filter(|j| u64::from(starts[*j]) <= time && time < ends[*j]);
        runs.map(|j| u64::from(project.demands[j][resource])).sum()
    };
    let mut times: Vec<u64> = starts.iter().map(|s| u64::from(*s)).collect();
    times.sort_unstable();
    let (time, used) = times.into_iter().map(|t| (t, in_use(t))).find(|(_, used)| *used > capacity)?;
    Some(format!("{used} of resource {} are in use at {time}, there are {capacity}", resource + 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_rule_is_provoked() {
        let demands = [vec![2], vec![1], vec![1]];
        let project =
            JudgedProject { durations: &[3, 2, 2], demands: &demands, pairs: &[(0, 1)], capacities: &[2] };
        let check = |starts: &[u32], value: f64, expected: &[&str]| {
            let faults = judge_rcpsp_answer(&project, starts, value);
            assert_eq!(faults.len(), expected.len(), "{faults:?}");
            assert!(faults.iter().zip(expected).all(|(f, e)| f.contains(e)), "{faults:?}");
        };
        check(&[0, 3, 3], 5.0, &[]);
        check(&[0, 3, 3], 4.0, &["ends at 5"]);
        check(&[0, 3], 5.0, &["2 starts for 3"]);
        check(&[2, 3, 0], 5.0, &["job 2 starts at 3, before job 1 ends at 5", "resource 1 are in use at 3"]);
        check(&[0, 3, 2], 5.0, &["3 of resource 1 are in use at 2"]);
    }
}
