//! What all requests share: the workshop behind its lock, the keys, and the channel that announces changes.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, PoisonError};

use app::workshop::{ArchiveError, BookShelf, DeviceId, JournalPlace, Workshop, WorkshopError};
use tokio::sync::{Notify, broadcast};

use crate::health::HealthNotice;
use crate::keys::DeviceKeys;
use crate::server::ServerAddresses;

/// At most this many changes may be pending for a slow page; beyond that it fetches everything anew.
const MAX_CHANGES_BEHIND: usize = 64;

/// A plan as it was last shown.
struct ShownPlan {
    digest: String,
    names: BTreeSet<String>,
    change: Option<String>,
}

/// "2 steps are new, 1 is gone; the others stay as they are".
fn plan_change_words(before: &BTreeSet<String>, now: &BTreeSet<String>) -> String {
    let (new, gone) = (now.difference(before).count(), before.difference(now).count());
    let words = |count: usize, what: &str| match count {
        1 => format!("1 step is {what}"),
        count => format!("{count} steps are {what}"),
    };
    if (new, gone) == (0, 0) {
        return String::from("Planned anew: the same steps, in a better order.");
    }
    format!("Planned anew: {}, {}. The others keep their names.", words(new, "new"), words(gone, "gone"))
}

/// What all requests share.
pub(crate) struct BenchState {
    workshop: Mutex<Workshop>,
    /// Keys of devices and codes for pairing.
    pub(crate) keys: DeviceKeys,
    /// Where the server is found.
    pub(crate) addresses: ServerAddresses,
    /// Folder of the workshop's own certificate, where it speaks HTTPS.
    pub(crate) certificates: Option<std::path::PathBuf>,
    /// What new visits may begin from.
    shelf: BookShelf,
    /// Why the rest of a visit could not be planned anew, by visit.
    trouble: Mutex<BTreeMap<String, String>>,
    /// The plan of each visit as it was last shown, and what it changed.
    plans: Mutex<BTreeMap<String, ShownPlan>>,
    /// What the check of the whole journal came to; `None` until it is through.
    health: Mutex<Option<HealthNotice>>,
    /// Where the journal lies, and which file it is.
    place: Mutex<JournalPlace>,
    /// Ids of visits that have changed.
    pub(crate) changed: broadcast::Sender<String>,
    /// Somebody asks for a new code to be shown on the computer that serves.
    pub(crate) code_wanted: Notify,
    /// How many live streams each device has had; only its newest are kept open.
    pub(crate) streams: Mutex<BTreeMap<DeviceId, u64>>,
}

/// The shared bench as handlers get it.
pub(crate) type SharedBench = Arc<BenchState>;

impl BenchState {
    pub(crate) fn new(
        workshop: Workshop,
        addresses: ServerAddresses,
        certificates: Option<std::path::PathBuf>,
        shelf: BookShelf,
    ) -> Result<SharedBench, WorkshopError> {
        let keys = DeviceKeys::new(workshop.paired_devices()?);
        let (changed, _) = broadcast::channel(MAX_CHANGES_BEHIND);
        let place = Mutex::new(workshop.archive().place().clone());
        let health = Mutex::new(HealthNotice::of_opening(workshop.notices()));
        Ok(Arc::new(Self {
            workshop: Mutex::new(workshop),
            keys,
            addresses,
            certificates,
            shelf,
            trouble: Mutex::default(),
            plans: Mutex::default(),
            health,
            place,
            changed,
            code_wanted: Notify::new(),
            streams: Mutex::default(),
        }))
    }

    /// What new visits may begin from.
    pub(crate) const fn shelf(&self) -> &BookShelf {
        &self.shelf
    }

    /// Does something with the workshop, away from the threads that answer.
    pub(crate) async fn with_workshop<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&mut Workshop) -> T + Send + 'static,
    ) -> T {
        let bench = Arc::clone(self);
        run_blocking(move || bench.do_with_workshop(work)).await
    }

    /// Does something with the workshop on a thread that may wait.
    pub(crate) fn do_with_workshop<T>(&self, work: impl FnOnce(&mut Workshop) -> T) -> T {
        work(&mut self.workshop.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Whether the journal is still the file that was opened.
    pub(crate) fn check_place(&self) -> Result<(), ArchiveError> {
        self.place.lock().unwrap_or_else(PoisonError::into_inner).check()
    }

    /// Another program has had something done with the journal: keys and place are learnt anew, every page looks again.
    pub(crate) fn relearn_journal(&self) -> Result<(), WorkshopError> {
        let (devices, place, visits, notices) = self.do_with_workshop(|workshop| {
            workshop.follow_workshop()?;
            let place = workshop.archive().place().clone();
            let notices = workshop.notices().to_vec();
            Ok::<_, WorkshopError>((workshop.paired_devices()?, place, workshop.list_visits()?, notices))
        })?;
        self.keys.learn_all(devices);
        *self.place.lock().unwrap_or_else(PoisonError::into_inner) = place;
        if let Some(health) = HealthNotice::of_opening(&notices) {
            self.set_health(health);
        }
        visits.iter().for_each(|visit| self.announce_change(visit.as_str()));
        Ok(())
    }

    /// Notes the plan that a page shows; gives what it changed against the one shown before, if there was one.
    pub(crate) fn note_plan(&self, visit: &str, digest: &str, names: BTreeSet<String>) -> Option<String> {
        let mut plans = self.plans.lock().unwrap_or_else(PoisonError::into_inner);
        let before = plans.get(visit);
        if let Some(same) = before.filter(|plan| plan.digest == digest) {
            return same.change.clone();
        }
        let change = before.map(|before| plan_change_words(&before.names, &names));
        plans
            .insert(visit.to_owned(), ShownPlan { digest: digest.to_owned(), names, change: change.clone() });
        change
    }

    /// Why the rest of a visit could not be planned anew.
    pub(crate) fn trouble_of(&self, visit: &str) -> Option<String> {
        self.trouble.lock().unwrap_or_else(PoisonError::into_inner).get(visit).cloned()
    }

    /// Keeps why the rest of a visit could not be planned anew; `None` when it could.
    pub(crate) fn set_trouble(&self, visit: &str, why: Option<String>) {
        let mut all = self.trouble.lock().unwrap_or_else(PoisonError::into_inner);
        match why {
            Some(why) => drop(all.insert(visit.to_owned(), why)),
            None => drop(all.remove(visit)),
        }
    }

    /// What the check of the whole journal came to; `None` until it is through.
    pub(crate) fn health(&self) -> Option<HealthNotice> {
        self.health.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Keeps what the check of the whole journal came to.
    pub(crate) fn set_health(&self, health: HealthNotice) {
        *self.health.lock().unwrap_or_else(PoisonError::into_inner) = Some(health);
    }

    /// Announces to open pages that a visit has changed.
    pub(crate) fn announce_change(&self, visit: &str) {
        // No page is open: there is nobody to notify.
        let _ = self.changed.send(visit.to_owned());
    }
}

/// Runs blocking work off the threads that answer requests.
pub(crate) async fn run_blocking<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> T {
    match tokio::task::spawn_blocking(work).await {
        Ok(value) => value,
        Err(error) => std::panic::resume_unwind(error.into_panic()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(all: &[&str]) -> BTreeSet<String> {
        all.iter().map(|name| (*name).to_owned()).collect()
    }

    #[test]
    fn what_a_new_plan_changes_is_told_in_steps() {
        let before = names(&["undo.a", "remove.a", "undo.b"]);
        let words = plan_change_words(&before, &names(&["search.a", "chase.a", "undo.a", "remove.a"]));
        assert_eq!(words, "Planned anew: 2 steps are new, 1 step is gone. The others keep their names.");
        assert_eq!(plan_change_words(&before, &before), "Planned anew: the same steps, in a better order.");
    }
}
