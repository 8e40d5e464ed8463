//! The whole journal is checked in the background once the first pages are out; at opening its newest events are.

use std::panic::{UnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::Duration;

use app::workshop::carry;

use crate::bench_state::SharedBench;
use crate::broken_work::panic_words;

/// How long after the start: whoever opens the pages then is not kept waiting by it.
const LATER: Duration = Duration::from_secs(8);

/// What the check of the whole journal came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct HealthNotice {
    /// Whether all is sound.
    pub(crate) is_well: bool,
    /// In words.
    pub(crate) words: String,
}

impl HealthNotice {
    /// What was found when the journal was opened; `None`: all was well.
    pub(crate) fn of_opening(notices: &[String]) -> Option<Self> {
        if notices.is_empty() {
            return None;
        }
        Some(Self { is_well: false, words: format!("{}.", notices.join(". ")) })
    }

    /// This and what was found later.
    fn with(self, later: &Self) -> Self {
        let words = if later.is_well { self.words } else { format!("{} {}", self.words, later.words) };
        Self { is_well: false, words }
    }
}

/// Checks the journal later, on a thread of its own that ends with the program.
pub(crate) fn check_later(bench: &SharedBench, path: std::path::PathBuf) {
    // Held weakly, so that the journal is closed when the server ends meanwhile.
    let checked = Arc::downgrade(bench);
    let begun = std::thread::Builder::new().name("check".into()).spawn(move || {
        std::thread::sleep(LATER);
        let notice = notice_of_check(|| check_journal_file(&path));
        if let Some(bench) = checked.upgrade() {
            let known = bench.health().filter(|known| !known.is_well);
            bench.set_health(known.map_or_else(|| notice.clone(), |known| known.with(&notice)));
        }
    });
    if let Err(cause) = begun {
        bench.set_health(unchecked_notice(&format!("the computer has no thread for it ({cause})")));
    }
}

/// What a check comes to; one that breaks off is told like one that finds something.
fn notice_of_check(check: impl FnOnce() -> HealthNotice + UnwindSafe) -> HealthNotice {
    catch_unwind(check).unwrap_or_else(|panic| unchecked_notice(&panic_words(&*panic)))
}

fn check_journal_file(path: &std::path::Path) -> HealthNotice {
    let found = carry::SqliteArchive::open_to_read(path).and_then(|archive| carry::check_archive(&archive));
    match found {
        Ok(health) if health.is_well() => HealthNotice {
            is_well: true,
            words: match health.events {
                1 => String::from("Journal checked: its one entry is whole."),
                count => format!("Journal checked: {count} entries, the chain is unbroken."),
            },
        },
        Ok(health) => damage_notice(&health.faults.join("; ")),
        Err(error) if error.is_damage() => damage_notice(&error.to_string()),
        Err(error) => unchecked_notice(&error.to_string()),
    }
}

pub(crate) fn unchecked_notice(why: &str) -> HealthNotice {
    HealthNotice {
        is_well: false,
        words: format!("The journal could not be checked: {why}. Run traywright check-journal."),
    }
}

fn damage_notice(what: &str) -> HealthNotice {
    HealthNotice {
        is_well: false,
        words: format!(
            "The journal is damaged: {what}. Stop writing to it: traywright check-journal --out FILE \
             saves what is sound into a new file."
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_check_that_breaks_off_is_told() {
        let notice = notice_of_check(|| panic!("page 3 is torn"));
        assert!(!notice.is_well);
        let told = notice.words.contains("could not be checked") && notice.words.contains("page 3 is torn");
        assert!(told && notice.words.contains("check-journal"), "{}", notice.words);
    }

    #[test]
    fn a_journal_that_is_not_there_is_not_called_damaged() {
        let notice = check_journal_file(std::path::Path::new("no/such/folder/shop.journal"));
        assert!(!notice.is_well && notice.words.contains("could not be checked"), "{}", notice.words);
        assert!(!notice.words.contains("damaged"), "{}", notice.words);
    }
}
