//! What an item of the calendar is called: the parts that it takes off and puts on, other work by its first words, and its steps.

use model::Book;
use model::plan::{Step, StepKind};

use crate::bench::{capitalise_first, uncapitalise_first};

/// Things that are named; of more the number is told.
const MAX_NAMED: usize = 4;

/// What is done with a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ItemWork {
    /// A part comes off.
    Off,
    /// A part goes on, or is tightened.
    On,
    /// Whatever else the step says.
    Other,
}

/// The name of an item, as its steps are laid to it.
#[derive(Debug)]
pub(super) struct ItemName<'a> {
    book: &'a Book,
    things: Vec<(ItemWork, String)>,
    steps: Option<(u32, u32)>,
}

impl<'a> ItemName<'a> {
    pub(super) const fn new(book: &'a Book) -> Self {
        Self { book, things: Vec::new(), steps: None }
    }

    /// Begins with a step anew.
    pub(super) fn begin(&mut self, step: &Step) {
        self.things.clear();
        self.steps = None;
        self.add(step);
    }

    /// Lays one more step to it.
    pub(super) fn add(&mut self, step: &Step) {
        let first = self.steps.map_or(step.number, |(first, _)| first);
        self.steps = Some((first, step.number));
        let thing = self.thing_of_step(step);
        if !self.things.contains(&thing) {
            self.things.push(thing);
        }
    }

    fn thing_of_step(&self, step: &Step) -> (ItemWork, String) {
        let work = match step.kind {
            StepKind::Undo | StepKind::Remove => ItemWork::Off,
            StepKind::Refit | StepKind::RunIn | StepKind::Tighten => ItemWork::On,
            StepKind::Open
            | StepKind::Drain
            | StepKind::Wait
            | StepKind::Cap
            | StepKind::Renew
            | StepKind::Inspect
            | StepKind::Measure
            | StepKind::Reseal
            | StepKind::Uncap
            | StepKind::Fill
            | StepKind::Restore
            | StepKind::Set
            | StepKind::Extra => ItemWork::Other,
        };
        let part = step.part.as_ref().and_then(|key| self.book.part_by_key(key));
        match part.filter(|_| work != ItemWork::Other) {
            Some(part) => (work, self.book.part(part).title.clone()),
            None => (ItemWork::Other, uncapitalise_first(first_words(&step.text))),
        }
    }

    /// "Off: alternator plug, fan frame; steps 183 to 206".
    pub(super) fn to_words(&self) -> String {
        let shown = if self.things.len() > MAX_NAMED { MAX_NAMED - 1 } else { self.things.len() };
        let mut words: Vec<String> = self.things[..shown]
            .chunk_by(|a, b| a.0 == b.0 && a.0 != ItemWork::Other)
            .map(|chunk| {
                let titles: Vec<&str> = chunk.iter().map(|(_, title)| title.as_str()).collect();
                match chunk[0].0 {
                    ItemWork::Off => format!("off: {}", titles.join(", ")),
                    ItemWork::On => format!("on: {}", titles.join(", ")),
                    ItemWork::Other => titles.join(", "),
                }
            })
            .collect();
        if shown < self.things.len() {
            words.push(format!("and {} more", self.things.len() - shown));
        }
        match self.steps {
            Some((first, last)) if first == last => words.push(format!("step {first}")),
            Some((first, last)) => words.push(format!("steps {first} to {last}")),
            None => {}
        }
        capitalise_first(&words.join("; "))
    }
}

/// The first sentence of a step, or what stands before its first semicolon or bracket, without its full stop.
fn first_words(text: &str) -> &str {
    let ends = [". ", "; ", " ("].iter().filter_map(|end| text.find(end)).min();
    ends.map_or(text, |end| &text[..end]).trim_end_matches('.')
}
