//! A job: the steps of a sequence before their order is known, in nodes that are not torn apart.

use model::plan::StepKind;
use model::{Book, Caution, ConditionId, FixingId, OpeningId, PartId, PieceId, StationId, TaskId};

use crate::order::{Choice, Circle, Lag, MOST_CHOICES, Node, Problem, Stacks, swap_s};
use crate::scope::Scope;

/// Most combinations of stacks of one node that are looked at.
const MOST_COMBINATIONS: usize = 64;

/// One act on some holes, one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Position in [`Scope::duties`].
    pub duty: usize,
    /// Positions in the fixing's holes, in order.
    pub holes: Vec<u16>,
    /// The figure, as the book writes it.
    pub figure: Option<String>,
}

/// A step whose place in the order is not known yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
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
    pub runs: Vec<Run>,
    /// Hands-on seconds that do not depend on stacks.
    pub fixed_s: f64,
    /// Cautions before it.
    pub cautions: Vec<Caution>,
    /// Wants a second pair of hands.
    pub helper: bool,
}

impl Draft {
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
        }
    }
}

/// A wait between nodes, with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct JobLag {
    /// Which nodes wait for which, and how long.
    pub lag: Lag,
    /// What is waited for.
    pub title: String,
    /// The condition that is waited for, if it is one.
    pub condition: Option<ConditionId>,
}

/// Nodes of steps, the precedence and the waits between them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Job {
    /// The steps of each node; at least one.
    pub nodes: Vec<Vec<Draft>>,
    /// Pairs (before, after).
    pub pairs: Vec<(usize, usize)>,
    /// Waits.
    pub lags: Vec<JobLag>,
}

impl Job {
    /// Adds a node; gives its position.
    pub fn add(&mut self, steps: Vec<Draft>) -> usize {
        self.nodes.push(steps);
        self.nodes.len() - 1
    }

    /// Adds the precedence of every node of one list over every node of another.
    pub fn before(&mut self, first: &[usize], then: &[usize]) {
        self.pairs.extend(first.iter().flat_map(|a| then.iter().map(move |b| (*a, *b))));
    }

    /// The nodes that come after a node, through any number of others, by the pairs so far.
    #[must_use]
    pub fn behind(&self, node: usize) -> Vec<bool> {
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
    /// [`Circle`] with the nodes that wait for each other.
    pub fn problem(&self, book: &Book, scope: &Scope, usable: &[Vec<u16>]) -> Result<Problem, Circle> {
        let mut stacks = Stacks::default();
        let nodes = self.nodes.iter().map(|steps| node(book, scope, usable, steps, &mut stacks)).collect();
        let enter_s = book.stations.iter().map(|s| s.enter.as_s()).collect();
        let lags = self.lags.iter().map(|l| l.lag.clone()).collect();
        Problem::new(nodes, &self.pairs, lags, enter_s, stacks)
    }
}

/// Duties of a node, each once, in the order in which they are first met.
#[must_use]
pub fn duties_of_node(steps: &[Draft]) -> Vec<usize> {
    let mut duties = Vec::new();
    for run in steps.iter().flat_map(|s| &s.runs) {
        if !duties.contains(&run.duty) {
            duties.push(run.duty);
        }
    }
    duties
}

fn node(book: &Book, scope: &Scope, usable: &[Vec<u16>], steps: &[Draft], stacks: &mut Stacks) -> Node {
    let first = &steps[0];
    let inner = steps.windows(2).filter(|w| w[0].station != w[1].station);
    let moves_s: f64 = inner.map(|w| book.station(w[1].station).enter.as_s()).sum();
    let fixed_s: f64 = steps.iter().map(|s| s.fixed_s).sum();
    Node {
        station: first.station.index() as u16,
        leaves: steps[steps.len() - 1].station.index() as u16,
        part: first.part.map(|p| p.index() as u32),
        fixed_s: fixed_s + moves_s,
        choices: choices(book, scope, usable, steps, stacks),
    }
}

/// The cheapest ways to give each duty of a node a stack, one for each pair of first and last stack.
fn choices(
    book: &Book,
    scope: &Scope,
    usable: &[Vec<u16>],
    steps: &[Draft],
    stacks: &mut Stacks,
) -> Vec<Choice> {
    let duties = duties_of_node(steps);
    if duties.iter().all(|d| usable[*d].is_empty()) {
        return Vec::new();
    }
    let runs: Vec<&Run> = steps.iter().flat_map(|s| &s.runs).collect();
    let mut found: Vec<(f64, Choice)> = Vec::new();
    for workings in combinations(&duties, usable) {
        let Some((inside_s, first, last)) = inside(book, scope, &runs, &duties, &workings) else { continue };
        let picked_s = inside_s + first.len() as f64 * model::rules::PICK_S;
        let choice = Choice { first: stacks.id(first), last: stacks.id(last), inside_s, workings };
        found.push((picked_s, choice));
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.workings.cmp(&b.1.workings)));
    let mut kept: Vec<Choice> = Vec::new();
    for (_, choice) in found {
        let seen = kept.iter().any(|k| (k.first, k.last) == (choice.first, choice.last));
        if !seen && kept.len() < MOST_CHOICES {
            kept.push(choice);
        }
    }
    kept
}

/// Workings for each duty, in all combinations of the cheapest few.
fn combinations(duties: &[usize], usable: &[Vec<u16>]) -> Vec<Vec<Option<u16>>> {
    let mut most = MOST_CHOICES;
    let count = |most: usize| {
        duties.iter().fold(1_usize, |product, d| product.saturating_mul(usable[*d].len().clamp(1, most)))
    };
    while most > 1 && count(most) > MOST_COMBINATIONS {
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
fn inside(
    book: &Book,
    scope: &Scope,
    runs: &[&Run],
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
        inside_s += hand.as_ref().map_or(0.0, |h| swap_s(h, &pieces));
        inside_s += duty.seconds_each(book, working) * run.holes.len() as f64;
        first.get_or_insert_with(|| pieces.clone());
        hand = Some(pieces);
    }
    Some((inside_s, first?, hand?))
}
