//! A job: the steps of a sequence before their order is known, in nodes that are never split.

use model::plan::StepKind;
use model::{
    Book, Caution, ConditionId, FixingId, OpeningId, PartId, PieceId, SettingEffect, StationId, TaskId,
};

use crate::node_order::{
    MAX_CHOICES, NodeLag, NodeOrderProblem, PrecedenceCircle, StackChoice, StackSets, WorkNode, hand_swap_s,
};
use crate::scope::PlanScope;

/// Maximum number of combinations of stacks of one node that are looked at.
const MAX_COMBINATIONS: usize = 64;

/// One act on some holes, one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct DutyRun {
    /// Position in `PlanScope::duties_of_book`.
    pub duty: usize,
    /// Positions in the fixing's holes, in order.
    pub holes: Vec<u16>,
    /// The figure, as the book writes it.
    pub figure: Option<String>,
}

/// A step whose place in the order is not known yet.
#[derive(Debug, Clone, PartialEq)]
pub struct StepDraft {
    /// Kind.
    pub kind: StepKind,
    /// Working position.
    pub station: StationId,
    /// One sentence in the imperative.
    pub text: String,
    /// The part that it is about.
    pub part: Option<PartId>,
    /// The fixings worked.
    pub fixings: Vec<FixingId>,
    /// The condition made or undone.
    pub condition: Option<ConditionId>,
    /// The opening capped or uncapped.
    pub opening: Option<OpeningId>,
    /// The task done.
    pub task: Option<TaskId>,
    /// Key of the extra step done.
    pub extra: Option<String>,
    /// Acts in order.
    pub runs: Vec<DutyRun>,
    /// Hands-on seconds that do not depend on stacks.
    pub fixed_s: f64,
    /// Cautions before it.
    pub cautions: Vec<Caution>,
    /// Needs a second pair of hands.
    pub helper: bool,
    /// Settings that it changes.
    pub sets: Vec<SettingEffect>,
}

impl StepDraft {
    /// A step with nothing in it but its kind, place and words.
    #[must_use]
    pub fn new(kind: StepKind, station: StationId, text: String) -> Self {
        Self {
            kind,
            station,
            text,
            part: None,
            fixings: Vec::new(),
            condition: None,
            opening: None,
            task: None,
            extra: None,
            runs: Vec::new(),
            fixed_s: 0.0,
            cautions: Vec::new(),
            helper: false,
            sets: Vec::new(),
        }
    }
}

/// A wait between nodes, with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct SequenceJobLag {
    /// Which nodes wait for which, and how long.
    pub lag: NodeLag,
    /// What is waited for.
    pub title: String,
    /// The condition that is waited for, if it is one.
    pub condition: Option<ConditionId>,
}

/// Nodes of steps, the precedence and the waits between them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SequenceJob {
    /// The steps of each node; at least one.
    pub nodes: Vec<Vec<StepDraft>>,
    /// Pairs (before, after).
    pub pairs: Vec<(usize, usize)>,
    /// Waits.
    pub lags: Vec<SequenceJobLag>,
}

impl SequenceJob {
    /// Adds a node; gives its position.
    pub fn add_node(&mut self, steps: Vec<StepDraft>) -> usize {
        self.nodes.push(steps);
        self.nodes.len() - 1
    }

    /// Adds the precedence of every node of one list over every node of another.
    pub fn add_precedence(&mut self, first: &[usize], then: &[usize]) {
        self.pairs.extend(first.iter().flat_map(|a| then.iter().map(move |b| (*a, *b))));
    }

    /// The nodes that come after a node, through any number of others, by the pairs so far.
    #[must_use]
    pub fn nodes_behind(&self, node: usize) -> Vec<bool> {
        let mut after = vec![Vec::new(); self.nodes.len()];
        self.pairs.iter().for_each(|(a, b)| after[*a].push(*b));
        let mut seen = vec![false; self.nodes.len()];
        let mut open = vec![node];
        while let Some(n) = open.pop() {
            for next in &after[n] {
                if !seen[*next] {
                    seen[*next] = true;
                    open.push(*next);
                }
            }
        }
        seen
    }

    /// The order problem of the job; `usable` holds, for each duty of the scope, the workings to choose from.
    ///
    /// # Errors
    /// [`PrecedenceCircle`] with the nodes that wait for each other.
    pub fn node_order_problem(
        &self,
        book: &Book,
        scope: &PlanScope,
        usable: &[Vec<u16>],
    ) -> Result<NodeOrderProblem, PrecedenceCircle> {
        let mut stacks = StackSets::default();
        let nodes =
            self.nodes.iter().map(|steps| work_node(book, scope, usable, steps, &mut stacks)).collect();
        let enter_s = book.stations.iter().map(|s| s.enter_s()).collect();
        let lags = self.lags.iter().map(|l| l.lag.clone()).collect();
        NodeOrderProblem::new(nodes, &self.pairs, lags, enter_s, stacks)
    }
}

/// Duties of a node, each once, in the order in which they are first met.
#[must_use]
pub fn duties_of_node(steps: &[StepDraft]) -> Vec<usize> {
    let mut duties = Vec::new();
    for run in steps.iter().flat_map(|s| &s.runs) {
        if !duties.contains(&run.duty) {
            duties.push(run.duty);
        }
    }
    duties
}

fn work_node(
    book: &Book,
    scope: &PlanScope,
    usable: &[Vec<u16>],
    steps: &[StepDraft],
    stacks: &mut StackSets,
) -> WorkNode {
    let first = &steps[0];
    let inner = steps.windows(2).filter(|w| w[0].station != w[1].station);
    let moves_s: f64 = inner.map(|w| book.station(w[1].station).enter_s()).sum();
    let fixed_s: f64 = steps.iter().map(|s| s.fixed_s).sum();
    WorkNode {
        station: first.station.index() as u16,
        leaves: steps[steps.len() - 1].station.index() as u16,
        part: first.part.map(|p| p.index() as u32),
        fixed_s: fixed_s + moves_s,
        choices: stack_choices(book, scope, usable, steps, stacks),
    }
}

/// The cheapest ways to give each duty of a node a stack, one for each pair of first and last stack.
fn stack_choices(
    book: &Book,
    scope: &PlanScope,
    usable: &[Vec<u16>],
    steps: &[StepDraft],
    stacks: &mut StackSets,
) -> Vec<StackChoice> {
    let duties = duties_of_node(steps);
    if duties.iter().all(|d| usable[*d].is_empty()) {
        return Vec::new();
    }
    let runs: Vec<&DutyRun> = steps.iter().flat_map(|s| &s.runs).collect();
    let mut found: Vec<(f64, StackChoice)> = Vec::new();
    for workings in working_combinations(&duties, usable) {
        let Some((inside_s, first, last)) = work_inside(book, scope, &runs, &duties, &workings) else {
            continue;
        };
        let picked_s = inside_s + first.len() as f64 * times::PICK_S;
        let choice = StackChoice {
            first: stacks.intern_pieces(first),
            last: stacks.intern_pieces(last),
            inside_s,
            workings,
        };
        found.push((picked_s, choice));
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.workings.cmp(&b.1.workings)));
    let mut kept: Vec<StackChoice> = Vec::new();
    for (_, choice) in found {
        let seen = kept.iter().any(|k| (k.first, k.last) == (choice.first, choice.last));
        if !seen && kept.len() < MAX_CHOICES {
            kept.push(choice);
        }
    }
    kept
}

/// Workings for each duty, in all combinations of the cheapest few.
fn working_combinations(duties: &[usize], usable: &[Vec<u16>]) -> Vec<Vec<Option<u16>>> {
    let mut most = MAX_CHOICES;
    let count = |most: usize| {
        duties.iter().fold(1_usize, |product, d| product.saturating_mul(usable[*d].len().clamp(1, most)))
    };
    while most > 1 && count(most) > MAX_COMBINATIONS {
        most -= 1;
    }
    let mut all = vec![Vec::new()];
    for duty in duties {
        let few = &usable[*duty][..usable[*duty].len().min(most)];
        let options: Vec<Option<u16>> =
            if few.is_empty() { vec![None] } else { few.iter().map(|w| Some(*w)).collect() };
        all = all
            .iter()
            .flat_map(|head: &Vec<Option<u16>>| options.iter().map(move |o| [&head[..], &[*o]].concat()))
            .collect();
    }
    all
}

/// Seconds inside a node with the first and the last stack, all pieces sorted; `None` if nothing is worked.
fn work_inside(
    book: &Book,
    scope: &PlanScope,
    runs: &[&DutyRun],
    duties: &[usize],
    workings: &[Option<u16>],
) -> Option<(f64, Vec<PieceId>, Vec<PieceId>)> {
    let mut first: Option<Vec<PieceId>> = None;
    let mut hand: Option<Vec<PieceId>> = None;
    let mut inside_s = 0.0;
    for run in runs {
        let at = duties.iter().position(|d| *d == run.duty)?;
        let Some(working) = workings[at] else { continue };
        let duty = &scope.duties[run.duty];
        let working = &duty.workings[usize::from(working)];
        let pieces = working.stack.all_pieces();
        inside_s += hand.as_ref().map_or(0.0, |h| hand_swap_s(h, &pieces));
        inside_s += duty.seconds_each(book, working) * run.holes.len() as f64;
        first.get_or_insert_with(|| pieces.clone());
        hand = Some(pieces);
    }
    Some((inside_s, first?, hand?))
}
