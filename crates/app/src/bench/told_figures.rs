//! Tightening figures that were told at the bench: the one that holds, and those before it, which stay in the record.

use record::{VisitBody, VisitId, find_void_events, steps_of};

use super::capitalise_first;
use crate::titles;
use crate::workshop::{Workshop, WorkshopError};

/// What was told of the figure of one fixing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToldFigure {
    /// Key of the fixing.
    pub fixing: String,
    /// Its title, to begin a line with.
    pub title: String,
    /// The word that holds: the figure with its source and who read it, or who answers for going without.
    pub holds: String,
    /// What was said before, the latest first.
    pub before: Vec<String>,
}

impl Workshop {
    /// What was told of the figures of a plan's step; nothing of those that the book has.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`], or [`WorkshopError::Store`] when the archive cannot be read.
    pub fn told_figures(&mut self, visit: &VisitId, step: u32) -> Result<Vec<ToldFigure>, WorkshopError> {
        let live = self.visit(visit)?;
        let (Some(book), Some(plan)) = (live.book(), live.plan()) else { return Ok(Vec::new()) };
        let Some(step) = steps_of(plan).find(|known| known.number == step) else { return Ok(Vec::new()) };
        let mut told = Vec::new();
        for fixing in &step.fixings {
            let Some(word) = live.state().figures.word_on(fixing) else { continue };
            let title = capitalise_first(&titles::fixing_title(book, fixing));
            told.push(ToldFigure {
                fixing: fixing.clone(),
                title,
                holds: word.as_words(),
                before: Vec::new(),
            });
        }
        if told.is_empty() {
            return Ok(told);
        }
        let mut events = self.read_visit_events(visit)?;
        events.sort_by(|a, b| a.order.cmp(&b.order));
        let void = find_void_events(&events);
        for event in events.iter().rev().filter(|event| !void.contains(&event.id)) {
            let (fixing, words) = match &event.body {
                VisitBody::FigureGiven { fixing, figure, source, name } => {
                    (fixing, format!("{figure} ({source}; {name})"))
                }
                VisitBody::FigureWaived { fixing, name, .. } => (fixing, format!("no figure, {name}")),
                _ => continue,
            };
            if let Some(of) = told.iter_mut().find(|of| of.fixing == *fixing) {
                of.before.push(words);
            }
        }
        // The first of them is the word that holds.
        told.iter_mut().filter(|of| !of.before.is_empty()).for_each(|of| drop(of.before.remove(0)));
        Ok(told)
    }
}
