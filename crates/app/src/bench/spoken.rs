//! A step for reading aloud.

use model::plan::JobPhase;

use super::{StepSheet, capitalise_first};

/// The step for reading aloud, units spelt out: what is dangerous first, then what to do, with what, to which figure, where to.
pub(super) fn spoken_words(sheet: &StepSheet) -> String {
    let mut words: Vec<String> =
        sheet.cautions.iter().map(|caution| format!("{}: {}", caution.word, caution.text)).collect();
    words.push(capitalise_first(&sheet.sentence));
    for tool in &sheet.tools {
        words.push(format!("{} {} {}", tool.act, tool.holes, tool.words).trim().to_owned());
    }
    if !sheet.figure.large.is_empty() {
        words.push(format!("{}, {}", sheet.figure.large, sheet.figure.beside));
    }
    if let (Some(slot), JobPhase::Strip) = (&sheet.slot, sheet.phase) {
        words.push(format!("into {}", slot.to_string().replace('-', " ")));
    }
    let told: Vec<&str> = words
        .iter()
        .map(|line| line.trim().trim_end_matches(['.', ',', ' ']))
        .filter(|line| !line.is_empty())
        .collect();
    told.join(". ").replace("N·m", "newton metres").replace('°', " degrees")
}
