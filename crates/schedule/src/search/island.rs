//! One island: a population of weighed lists, crossed, changed and replaced one by one.
//!
//! Parents are the best of a few drawn; a child replaces the worst member unless a twin of it is there already. When nothing better
//! has come for long, all but the best are drawn anew.

use crate::dice::ScheduleDice;
use crate::problem::ScheduleProblem;

use super::change::{shift_chain, shift_job};
use super::cross::{ListCrossover, draw_crossing_cuts};
use super::weigh::{ListRank, ListWeigher};

/// Tries for each member, and the fewest and most members (from trials on published instances: small populations settle too soon).
const TRIES_PER_MEMBER: u64 = 150;
const FEWEST_MEMBERS: u64 = 40;
const MAX_MEMBERS: u64 = 500;
/// Members drawn for each parent, of which the best is taken (from trials).
const DRAWN: usize = 3;
/// A child is changed fewer times than this (from trials).
const CHANGES: usize = 4;
/// Changes that make a random list out of a sorted one, for each job (assumption).
const SHUFFLES: usize = 4;
/// Tries without anything better after which the population is drawn anew, for each member (from trials).
const PATIENCE: u64 = 200;

/// A list with its schedule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct WeighedList {
    pub list: Vec<usize>,
    pub starts: Vec<u32>,
    pub rank: ListRank,
}

/// A population and what it needs.
#[derive(Debug, Clone)]
pub(crate) struct ScheduleIsland<'p, W> {
    problem: &'p ScheduleProblem,
    weigher: W,
    dice: ScheduleDice,
    cross: ListCrossover,
    members: Vec<WeighedList>,
    /// Lists that newcomers are drawn about; random ones without.
    about: Vec<Vec<usize>>,
    most: usize,
    child: WeighedList,
    pub best: WeighedList,
    pub tries: u64,
    better_at: u64,
}

impl<'p, W: ListWeigher> ScheduleIsland<'p, W> {
    /// An island that is going to make about `tries` tries.
    pub(crate) fn new(problem: &'p ScheduleProblem, weigher: W, dice: ScheduleDice, tries: u64) -> Self {
        let count = problem.jobs.len();
        let most = (tries / TRIES_PER_MEMBER).clamp(FEWEST_MEMBERS, MAX_MEMBERS) as usize;
        let list = problem.sorted_jobs().to_vec();
        let empty = WeighedList { list, starts: vec![0; count], rank: ListRank::WORST };
        Self {
            problem,
            weigher,
            dice,
            cross: ListCrossover::new(count),
            members: Vec::with_capacity(most),
            about: Vec::new(),
            most,
            child: empty.clone(),
            best: empty,
            tries: 0,
            better_at: 0,
        }
    }

    /// The lists of all members.
    pub(crate) fn member_lists(&self) -> impl Iterator<Item = &Vec<usize>> {
        self.members.iter().map(|m| &m.list)
    }

    /// Newcomers are drawn about these lists.
    pub(crate) fn draw_about(&mut self, lists: &[Vec<usize>]) {
        self.about = lists.to_vec();
    }

    /// Takes in a list from outside.
    pub(crate) fn take_in_list(&mut self, list: &[usize]) {
        self.child.list.copy_from_slice(list);
        self.weigh_child();
    }

    /// Makes `tries` further tries.
    pub(crate) fn run_tries(&mut self, tries: u64) {
        for _ in 0..tries {
            self.tries += 1;
            if self.members.len() < self.most {
                self.draw_newcomer();
            } else {
                self.breed_child();
            }
            self.weigh_child();
        }
    }

    /// A random list, or one of those to draw about with some jobs moved, but for every fourth.
    fn draw_newcomer(&mut self) {
        let count = self.child.list.len();
        if !self.about.is_empty() && self.dice.below(4) > 0 {
            let near = self.dice.below(self.about.len());
            self.child.list.copy_from_slice(&self.about[near]);
            for _ in 0..1 + self.dice.below(CHANGES) {
                shift_chain(self.problem, &mut self.child.list, &mut self.dice);
            }
            return;
        }
        self.child.list.copy_from_slice(self.problem.sorted_jobs());
        for _ in 0..SHUFFLES * count {
            shift_job(self.problem, &mut self.child.list, &mut self.dice, count);
        }
    }

    fn breed_child(&mut self) {
        let count = self.problem.jobs.len();
        let (mother, father) = (self.draw_parent(), self.draw_parent());
        let cuts = draw_crossing_cuts(count, &mut self.dice);
        let keeps_stretch = self.dice.below(2) == 0;
        let parents = (&self.members[mother].list[..], &self.members[father].list[..]);
        self.cross.cross_lists(parents, cuts, keeps_stretch, &mut self.child.list);
        for _ in 0..self.dice.below(CHANGES) {
            // Where good lists are given, what hangs together is moved as one as often as not.
            if !self.about.is_empty() && self.dice.below(2) == 0 {
                shift_chain(self.problem, &mut self.child.list, &mut self.dice);
            } else {
                shift_job(self.problem, &mut self.child.list, &mut self.dice, count);
            }
        }
    }

    fn draw_parent(&mut self) -> usize {
        let drawn = (0..DRAWN).map(|_| self.dice.below(self.members.len()));
        let ranked = drawn.map(|m| (self.members[m].rank, m));
        ranked.min().map_or(0, |(_, m)| m)
    }

    fn weigh_child(&mut self) {
        let child = &mut self.child;
        child.rank = self.weigher.weigh_list(&mut child.list, &mut child.starts);
        if child.rank < self.best.rank {
            self.better_at = self.tries;
            self.best.clone_from(child);
        }
        self.settle_child();
    }

    fn settle_child(&mut self) {
        if self.members.len() < self.most {
            self.members.push(self.child.clone());
            return;
        }
        if self.tries > self.better_at + PATIENCE * self.most as u64 {
            self.better_at = self.tries;
            self.members.clear();
            self.members.push(self.best.clone());
            return;
        }
        let rank = self.child.rank;
        if self.members.iter().any(|m| m.rank == rank) {
            return;
        }
        let worst = self.members.iter_mut().max_by_key(|m| m.rank);
        if let Some(worst) = worst.filter(|w| rank < w.rank) {
            worst.clone_from(&self.child);
        }
    }
}
