//! The three sequences as one net: nodes with times and set-ups, what goes before what, waits, arrivals and gaps.

// symbol: arrival = seconds from midnight of the first day, and what arrives

use std::collections::BTreeMap;

use model::plan::{Plan, Step, StepKind};
use model::progress::Progress;
use model::{Book, StationId, Store};
use schedule::{ScheduleJob as Task, ScheduleLag as Wait};

use crate::assemble::PlanError;
use crate::course::keep::{identity_of_draft, named_steps};
use crate::course::work_units::{course_job, jobs_of_scope};
use crate::job::{SequenceJob, StepDraft};
use crate::joints::ScopeIndex;
use crate::node_order::{self, NodeOrderProblem};
use crate::remake::known::KnownProgress;
use crate::scope::PlanScope;
use effort::SolverBudget;

use super::{CalendarRequest, HelperAvailability};

/// A wait between two nodes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CalendarNetLag {
    pub from: usize,
    pub wait_s: f64,
    pub title: usize,
}

/// A longest gap between nodes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct NetOpenTime {
    pub part: String,
    pub from: usize,
    pub to: usize,
    pub most_s: f64,
}

/// The net of a plan.
pub(super) struct CalendarNet {
    pub problem: NodeOrderProblem,
    /// Words of each node.
    pub texts: Vec<String>,
    /// Numbers of the plan's steps in each node.
    pub steps: Vec<Vec<u32>>,
    pub helper: Vec<bool>,
    /// Waits before each node; a plain precedence has none.
    pub before: Vec<Vec<CalendarNetLag>>,
    pub after: Vec<Vec<usize>>,
    /// The nodes behind each node, once each, with the longest wait between, s.
    pub after_s: Vec<Vec<(usize, f64)>>,
    pub titles: Vec<String>,
    /// When what a node needs arrives, and what that is.
    pub arrival: Vec<Option<(f64, String)>>,
    pub gaps: Vec<NetOpenTime>,
    /// Chance that some fastener of a node will not come out.
    pub trouble_probability: Vec<f64>,
}

impl CalendarNet {
    pub(super) fn new(
        book: &Book,
        store: &Store,
        plan: &Plan,
        asked: &CalendarRequest,
    ) -> Result<Self, PlanError> {
        let known = KnownProgress::read_progress(book, store, plan, &Progress::default())?;
        let scope = &known.scope;
        let index = ScopeIndex::new(book, scope);
        let jobs = jobs_of_scope(book, scope, &index);
        let (job, steps) = course_of_plan(book, plan, scope, jobs);
        let usable: Vec<Vec<u16>> =
            scope.duties.iter().map(|d| (0..d.workings.len() as u16).collect()).collect();
        let circle = |_| PlanError::Misfit {
            words: String::from(
                "the plan's steps wait for each other in a circle; make the plan again from the book",
            ),
        };
        let problem = job.node_order_problem(book, scope, &usable).map_err(circle)?;
        let count = job.nodes.len();
        let text = |n: usize| job.nodes[n].iter().map(|d| d.text.trim()).collect::<Vec<_>>().join(" ");
        let mut net = Self {
            texts: (0..count).map(text).collect(),
            steps,
            helper: job.nodes.iter().map(|d| d.iter().any(|d| d.helper)).collect(),
            before: vec![Vec::new(); count],
            after: problem.after.clone(),
            after_s: problem.after.iter().map(|list| list.iter().map(|n| (*n, 0.0)).collect()).collect(),
            titles: Vec::new(),
            arrival: vec![None; count],
            gaps: Vec::new(),
            trouble_probability: job.nodes.iter().map(|d| node_trouble_probability(book, d)).collect(),
            problem,
        };
        net.link_nodes(&job);
        net.add_arrivals(book, asked, &job)?;
        net.add_open_times(book, asked, &job)?;
        Ok(net)
    }

    fn link_nodes(&mut self, job: &SequenceJob) {
        self.titles.push(String::new());
        for (node, before) in self.problem.before.iter().enumerate() {
            self.before[node].extend(before.iter().map(|from| CalendarNetLag {
                from: *from,
                wait_s: 0.0,
                title: 0,
            }));
        }
        for lag in &job.lags {
            let title = self.titles.len();
            self.titles.push(lag.title.clone());
            for (from, to) in lag.lag.from.iter().flat_map(|f| lag.lag.to.iter().map(move |t| (*f, *t))) {
                self.before[to].push(CalendarNetLag { from, wait_s: lag.lag.wait_s, title });
                if let Some(behind) = self.after_s[from].iter_mut().find(|(n, _)| *n == to) {
                    behind.1 = behind.1.max(lag.lag.wait_s);
                }
            }
        }
    }

    /// Holds back every node that needs what has still to arrive.
    fn add_arrivals(
        &mut self,
        book: &Book,
        asked: &CalendarRequest,
        job: &SequenceJob,
    ) -> Result<(), PlanError> {
        for arrival in &asked.arrivals {
            let nodes: Vec<usize> =
                (0..job.nodes.len()).filter(|n| node_needs(book, &job.nodes[*n], &arrival.what)).collect();
            if nodes.is_empty() {
                let words = format!(
                    "nothing in the plan needs `{}`, which is listed to arrive; check the name or remove it",
                    arrival.what
                );
                return Err(PlanError::Misfit { words });
            }
            for node in nodes {
                if self.arrival[node].as_ref().is_none_or(|(at_s, _)| *at_s < arrival.at_s) {
                    self.arrival[node] = Some((arrival.at_s, arrival.what.clone()));
                }
            }
        }
        Ok(())
    }

    fn add_open_times(
        &mut self,
        book: &Book,
        asked: &CalendarRequest,
        job: &SequenceJob,
    ) -> Result<(), PlanError> {
        for gap in &asked.gaps {
            let of = |kind: StepKind| {
                let is_it = move |d: &StepDraft| {
                    d.kind == kind && d.part.is_some() && d.part == book.part_by_key(&gap.part)
                };
                (0..job.nodes.len()).filter(move |n| job.nodes[*n].iter().any(is_it)).collect::<Vec<_>>()
            };
            let (placed, tightened) = (of(StepKind::Refit), of(StepKind::Tighten));
            let Some(from) = placed.first().copied().filter(|_| !tightened.is_empty()) else {
                let words = format!(
                    "part `{}` has a time limit, but this plan does not both fit and tighten it; remove the limit or correct the part",
                    gap.part
                );
                return Err(PlanError::Misfit { words });
            };
            let gap = |to| NetOpenTime { part: gap.part.clone(), from, to, most_s: gap.most_s };
            self.gaps.extend(tightened.into_iter().map(gap));
        }
        Ok(())
    }

    /// Number of nodes.
    pub(super) fn len(&self) -> usize {
        self.texts.len()
    }

    /// Work inside a node with its stacks, s.
    pub(super) fn work_s(&self, node: usize) -> f64 {
        let it = &self.problem.nodes[node];
        it.fixed_s + it.choices.first().map_or(0.0, |c| c.inside_s)
    }

    /// Set-up of a node after another, with a stack in hand, s.
    pub(super) fn setup_s(&self, previous: Option<usize>, hand: u16, node: usize) -> f64 {
        let it = &self.problem.nodes[node];
        let swap_s = it.choices.first().map_or(0.0, |c| self.problem.stacks.swap_s(hand, c.first));
        self.problem.turn_s(previous, node) + swap_s
    }

    /// The stack in hand after a node.
    pub(super) fn hand_after(&self, hand: u16, node: usize) -> u16 {
        self.problem.nodes[node].choices.first().map_or(hand, |c| c.last)
    }

    /// The nodes in the order of the plan.
    pub(super) fn plan_order(&self, _book: &Book, _plan: &Plan) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.len()).collect();
        order.sort_by_key(|n| (self.steps[*n].first().copied().unwrap_or(u32::MAX), *n));
        let mut places = vec![0; order.len()];
        order.iter().enumerate().for_each(|(at, node)| places[*node] = at);
        self.problem.order_by_places(&places)
    }

    /// The order that the scheduler finds for working time, waits and arrivals; none where there is nothing to wait for.
    pub(super) fn search_order(
        &self,
        plan_order: &[usize],
        asked: &CalendarRequest,
        budget: &SolverBudget,
    ) -> Option<Vec<usize>> {
        let waits = self.before.iter().flatten().any(|l| l.wait_s > 0.0);
        if !waits && self.arrival.iter().all(Option::is_none) {
            return None;
        }
        let whole = |s: f64| s.max(0.0).round().min(1.0e7) as u32;
        let start_s = asked.shop.start_s;
        let (mut hand, mut previous) = (node_order::EMPTY_HAND, None);
        let mut setup_s = vec![0.0; self.len()];
        for node in plan_order.iter().copied() {
            setup_s[node] = self.setup_s(previous, hand, node);
            (hand, previous) = (self.hand_after(hand, node), Some(node));
        }
        let task = |n: usize| Task {
            duration: whole(asked.shop.stretched_s(self.work_s(n) + setup_s[n])),
            release: self.arrival[n]
                .as_ref()
                .map_or(0, |(at_s, _)| whole(asked.shop.open_between_s(start_s, *at_s))),
            demand: vec![1],
        };
        // A wait takes what it takes of the shop's open time on an average day, however the nights fall.
        let open_fraction = asked.shop.open_s / super::DAY_S;
        let short = |s: f64| if s > asked.shop.open_s { s * open_fraction } else { s };
        let wait =
            |(to, lag): (usize, &CalendarNetLag)| Wait { from: lag.from, to, wait: whole(short(lag.wait_s)) };
        let lags = self.before.iter().enumerate().flat_map(|(to, lags)| lags.iter().map(move |l| (to, l)));
        let problem = schedule::ScheduleProblem::new(
            (0..self.len()).map(task).collect(),
            vec![1],
            lags.map(wait).collect(),
            Vec::new(),
        );
        let problem = problem.ok()?;
        Some(schedule::solve_schedule(&problem, &[plan_order.to_vec()], budget, asked.seed, 1).list)
    }

    /// Texts of the nodes that need a second pair of hands, where there is none.
    pub(super) fn without_helper(&self, helper: HelperAvailability) -> Vec<String> {
        let alone = helper == HelperAvailability::None;
        let wanting = (0..self.len()).filter(|n| alone && self.helper[*n]);
        wanting.map(|n| self.texts[n].clone()).collect()
    }
}

/// The units and ways of a plan's course with the numbers of their steps. Where the book tells of settings or rules each comes after the
/// one that the plan has before it: what is safe in this order need not be in another.
fn course_of_plan(
    book: &Book,
    plan: &Plan,
    scope: &PlanScope,
    jobs: [SequenceJob; 3],
) -> (SequenceJob, Vec<Vec<u32>>) {
    let mut job = course_job(book, scope, jobs, &[]).job;
    let mut steps = step_numbers(book, plan, &job);
    for step in plan.all_steps().filter(|s| s.kind == StepKind::Set) {
        let station = book.stations.iter().position(|s| s.key == step.station).unwrap_or_default();
        let mut draft = StepDraft::new(StepKind::Set, StationId::new(station), step.text.clone());
        draft.fixed_s = step.work_s;
        job.add_node(vec![draft]);
        steps.push(vec![step.number]);
    }
    if !book.has_world() {
        return (job, steps);
    }
    let mut order: Vec<usize> = (0..job.nodes.len()).collect();
    order.sort_by_key(|node| (steps[*node].first().copied().unwrap_or(u32::MAX), *node));
    job.pairs = order.windows(2).map(|pair| (pair[0], pair[1])).collect();
    (job, steps)
}

/// Whether a node needs what a text names: a task or a part by key, or a supply by its name.
fn node_needs(book: &Book, node: &[StepDraft], what: &str) -> bool {
    node.iter().any(|d| {
        let task = d.task.map(|t| book.task(t));
        let by_task = task.is_some_and(|t| t.key == what || t.supplies.iter().any(|s| s.name == what));
        let part = d.part.filter(|_| d.kind == StepKind::Refit).map(|p| book.part(p));
        let by_part = part.is_some_and(|p| p.key == what || p.renew_with.iter().any(|s| s.name == what));
        let fill = d.condition.filter(|_| d.kind == StepKind::Fill).map(|c| book.condition(c));
        by_task || by_part || fill.is_some_and(|c| c.supplies.iter().any(|s| s.name == what))
    })
}

/// Chance that one or more fasteners of a node will not come out.
fn node_trouble_probability(book: &Book, node: &[StepDraft]) -> f64 {
    let mut none_probability = 1.0;
    for draft in node.iter().filter(|d| d.kind == StepKind::Undo) {
        let holes = draft.runs.first().map_or(0, |r| r.holes.len());
        for fixing in draft.fixings.iter().map(|f| book.fixing(*f)).filter(|f| f.drive.is_turned()) {
            let one = 1.0 - times::sum::break_out_probability(fixing.break_loose_factor());
            none_probability *= (0..holes).map(|_| one).product::<f64>();
        }
    }
    1.0 - none_probability
}

/// The numbers of the plan's steps of each node.
fn step_numbers(book: &Book, plan: &Plan, job: &SequenceJob) -> Vec<Vec<u32>> {
    let steps: Vec<&Step> =
        plan.strip.steps.iter().chain(&plan.work.steps).chain(&plan.refit.steps).collect();
    let mut by_name: BTreeMap<_, Vec<u32>> = BTreeMap::new();
    for (name, number) in named_steps(&steps) {
        by_name.entry(name).or_default().push(number);
    }
    let mut numbers = Vec::new();
    for node in &job.nodes {
        let mut own = Vec::new();
        for draft in node {
            let name = identity_of_draft(book, draft);
            if let Some(list) = by_name.get_mut(&name).filter(|l| !l.is_empty()) {
                own.push(list.remove(0));
            }
        }
        numbers.push(own);
    }
    numbers
}
