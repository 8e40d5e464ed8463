//! The cautions of a job, each once with a number: in full on the front page, by number and first words at its steps.
//!
//! A notice, which is about things and hurts nobody, stands in full at its first step and nowhere else.

use model::plan::Step;
use model::{Caution, SignalWord};
use print::paper::{PaperBlock, PaperStep, PartBox};

use super::PaperJob;

/// A caution with the steps that it stands before.
pub(super) struct NumberedCaution<'p> {
    caution: &'p Caution,
    steps: Vec<u32>,
}

/// All cautions of a job, the gravest first.
pub(super) struct CautionList<'p>(Vec<NumberedCaution<'p>>);

/// Letters of the first words of a caution.
const MAX_SHORT_LETTERS: usize = 64;
/// A first clause is at least so long.
const MIN_SHORT_LETTERS: usize = 14;
/// Steps named after a caution; more are counted.
const MAX_STEPS_NAMED: usize = 8;

/// Cautions of the working position of a step.
fn station_cautions<'p>(job: &PaperJob<'p>, station: &str) -> impl Iterator<Item = &'p Caution> {
    job.book.stations.iter().filter(move |s| s.key == station).flat_map(|s| &s.cautions)
}

impl<'p> CautionList<'p> {
    /// The cautions of the steps and of their working positions.
    pub(super) fn of_job(job: &PaperJob<'p>) -> Self {
        let mut all: Vec<NumberedCaution<'p>> = Vec::new();
        let mut tell = |caution: &'p Caution, step: u32| match all.iter_mut().find(|n| n.caution == caution) {
            Some(known) if known.steps.last() == Some(&step) => {}
            Some(known) => known.steps.push(step),
            None => all.push(NumberedCaution { caution, steps: vec![step] }),
        };
        let mut station = "";
        for step in record::steps_of(job.plan) {
            if step.station != station {
                station = &step.station;
                station_cautions(job, station).for_each(|caution| tell(caution, step.number));
            }
            step.cautions.iter().for_each(|caution| tell(caution, step.number));
        }
        all.sort_by(|a, b| b.caution.word.cmp(&a.caution.word).then(a.steps.cmp(&b.steps)));
        Self(all)
    }

    /// The cautions before a step, by number and first words; those of its position where the position begins there.
    pub(super) fn before_step(
        &self,
        job: &PaperJob<'p>,
        step: &Step,
        begins_position: bool,
    ) -> Vec<(SignalWord, String)> {
        let of_position = station_cautions(job, &step.station).filter(|_| begins_position);
        let mut numbers: Vec<usize> = of_position
            .chain(&step.cautions)
            .filter_map(|caution| self.0.iter().position(|known| known.caution == caution))
            .collect();
        numbers.sort_unstable();
        numbers.dedup();
        let line = |at: usize| {
            let NumberedCaution { caution, steps } = &self.0[at];
            let text = match (caution.word, steps.first()) {
                (SignalWord::Notice, Some(first)) if *first == step.number => caution.text.clone(),
                (SignalWord::Notice, Some(first)) => {
                    format!("{}, as at step {first}", first_words(&caution.text))
                }
                _ => format!("{}  {}", at + 1, first_words(&caution.text)),
            };
            (caution.word, text)
        };
        numbers.into_iter().map(line).collect()
    }

    /// All that can hurt somebody in full, with their steps, in so many boxes of about the same length.
    pub(super) fn boxes(&self, count: usize) -> Vec<PaperBlock> {
        let lines: Vec<PaperStep> = self.full_lines();
        let letters: usize = lines.iter().map(letters_of_line).sum();
        let mut boxes: Vec<Vec<PaperStep>> = vec![Vec::new(); count.max(1)];
        let mut before = 0;
        for line in lines {
            let at = before * boxes.len() / letters.max(1);
            before += letters_of_line(&line);
            let last = boxes.len() - 1;
            boxes[at.min(last)].push(line);
        }
        let full = boxes.into_iter().filter(|lines| !lines.is_empty());
        full.map(|lines| PaperBlock::PartBox(PartBox { lines, ..PartBox::default() })).collect()
    }

    fn full_lines(&self) -> Vec<PaperStep> {
        let line = |(at, known): (usize, &NumberedCaution<'_>)| {
            let text = format!("{}  {} {}", at + 1, known.caution.text.trim(), steps_words(&known.steps));
            PaperStep { cautions: vec![(known.caution.word, text)], ..PaperStep::default() }
        };
        let hurts = |known: &NumberedCaution<'_>| known.caution.word != SignalWord::Notice;
        self.0.iter().enumerate().filter(|(_, known)| hurts(known)).map(line).collect()
    }
}

/// How much there is to set; a line more for each caution.
fn letters_of_line(line: &PaperStep) -> usize {
    const LINE_LETTERS: usize = 30;
    line.cautions.iter().map(|(_, text)| text.chars().count() + LINE_LETTERS).sum()
}

/// "[step 4]", "[steps 4, 9, 12 and 7 more]".
fn steps_words(steps: &[u32]) -> String {
    let named: Vec<String> = steps.iter().take(MAX_STEPS_NAMED).map(u32::to_string).collect();
    let noun = if steps.len() == 1 { "step" } else { "steps" };
    match steps.len().saturating_sub(MAX_STEPS_NAMED) {
        0 => format!("[{noun} {}]", named.join(", ")),
        more => format!("[{noun} {} and {more} more]", named.join(", ")),
    }
}

/// The first clause of a caution; the front page has all of it.
fn first_words(text: &str) -> String {
    let text = text.trim().trim_end_matches('.');
    let ends = text.char_indices().filter(|(at, c)| *at >= MIN_SHORT_LETTERS && ".:;,".contains(*c));
    let clause = ends.map(|(at, _)| &text[..at]).next().unwrap_or(text);
    if clause.chars().count() <= MAX_SHORT_LETTERS {
        return clause.to_owned();
    }
    let cut: String = clause.chars().take(MAX_SHORT_LETTERS).collect();
    let whole = cut.rsplit_once(' ').map_or(cut.as_str(), |(words, _)| words);
    format!("{whole} …")
}

#[cfg(test)]
mod tests {
    use super::{first_words, steps_words};

    #[test]
    fn a_caution_is_named_by_its_first_clause() {
        assert_eq!(
            first_words("A bus that slips off its pads kills: rated points only, nobody in it."),
            "A bus that slips off its pads kills"
        );
        assert_eq!(first_words("Hot, wet and slippery: gloves."), "Hot, wet and slippery");
        assert!(first_words(&"word ".repeat(40)).ends_with(" …"));
    }

    #[test]
    fn many_steps_are_counted() {
        assert_eq!(steps_words(&[4]), "[step 4]");
        assert_eq!(
            steps_words(&[1, 2, 3, 4, 5, 6, 7, 8, 9, 10]),
            "[steps 1, 2, 3, 4, 5, 6, 7, 8 and 2 more]"
        );
    }
}
