//! What a list is worth: the end of its justified schedule, or whatever the caller's own decoder makes of it.

use crate::decode::ScheduleDecoder;
use crate::problem::ScheduleProblem;

/// Numbers of a rank, the weightiest first.
pub const LIST_RANK_NUMBERS: usize = 4;

/// The worth of a list: compared number by number, the smaller the better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ListRank(pub [u64; LIST_RANK_NUMBERS]);

impl ListRank {
    /// Worse than anything.
    pub const WORST: Self = Self([u64::MAX; LIST_RANK_NUMBERS]);
}

/// Turns a list into a schedule and says what it is worth; always the same for the same list.
pub trait ListWeigher {
    /// Writes the start of each job, puts the list into an order that leads to this schedule again and still respects the lags
    /// (that of the starts, as a rule), and gives the rank.
    fn weigh_list(&mut self, list: &mut [usize], starts: &mut [u32]) -> ListRank;
}

/// The end of the justified schedule, then the sum of all starts: of two schedules that end together, the one that is through with the
/// rest earlier is better.
#[derive(Debug, Clone)]
pub(crate) struct JustifiedEndWeigher<'p> {
    decoder: ScheduleDecoder<'p>,
    spare: Vec<u32>,
}

impl<'p> JustifiedEndWeigher<'p> {
    pub(crate) fn new(problem: &'p ScheduleProblem) -> Self {
        Self { decoder: ScheduleDecoder::new(problem), spare: vec![0; problem.jobs.len()] }
    }
}

impl ListWeigher for JustifiedEndWeigher<'_> {
    fn weigh_list(&mut self, list: &mut [usize], starts: &mut [u32]) -> ListRank {
        let end = self.decoder.justify_list(list, starts, &mut self.spare);
        ListRank([u64::from(end), starts.iter().map(|s| u64::from(*s)).sum(), 0, 0])
    }
}
