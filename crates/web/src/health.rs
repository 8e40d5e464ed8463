//! The whole journal is checked in the background once the first pages are out; at opening its newest events are.

use std::sync::Arc;
use std::time::Duration;

use app::workshop::carry;

use crate::bench_state::SharedBench;

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

/// Checks the journal later, on a thread of its own that ends with the program.
pub(crate) fn check_later(bench: &SharedBench, path: std::path::PathBuf) {
    let bench = Arc::clone(bench);
    let begun = std::thread::Builder::new().name("check".into()).spawn(move || {
        std::thread::sleep(LATER);
        bench.set_health(check_journal_file(&path));
    });
    // No thread to be had: the journal is then checked by `check-journal` alone.
    drop(begun);
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
        Err(error) => damage_notice(&error.to_string()),
    }
}

fn damage_notice(what: &str) -> HealthNotice {
    HealthNotice {
        is_well: false,
        words: format!(
            "The journal is damaged: {what}. Stop writing to it: traywright check-journal --save-to FILE \
             saves what is sound into a new file."
        ),
    }
}
