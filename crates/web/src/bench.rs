//! What all requests share: the workshop behind its lock, the keys, and the word that something has changed.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use app::workshop::{Workshop, WorkshopError};
use tokio::sync::broadcast;

use crate::health::Health;
use crate::keys::Keys;
use crate::server::Addresses;

/// Changes that a slow page may be behind before it has to fetch all anew.
const BEHIND: usize = 64;

/// What all requests share.
pub(crate) struct Bench {
    workshop: Mutex<Workshop>,
    /// Keys of devices and codes for pairing.
    pub(crate) keys: Keys,
    /// Where the server is found.
    pub(crate) addresses: Addresses,
    /// Folder of the workshop's own certificate, where it speaks HTTPS.
    pub(crate) certificates: Option<std::path::PathBuf>,
    /// File of the readings of power drivers, beside the journal.
    pub(crate) readings: std::path::PathBuf,
    /// Why the rest of a visit could not be planned anew, by visit.
    trouble: Mutex<BTreeMap<String, String>>,
    /// What the check of the whole journal came to; `None` until it is through.
    health: Mutex<Option<Health>>,
    /// Ids of visits that have changed.
    pub(crate) changed: broadcast::Sender<String>,
}

/// The shared bench as handlers get it.
pub(crate) type Shared = Arc<Bench>;

impl Bench {
    pub(crate) fn new(
        workshop: Workshop,
        addresses: Addresses,
        certificates: Option<std::path::PathBuf>,
    ) -> Result<Shared, WorkshopError> {
        let keys = Keys::new(workshop.devices()?);
        let mut readings = workshop.archive().path().as_os_str().to_owned();
        readings.push(".drivers.csv");
        let (changed, _) = broadcast::channel(BEHIND);
        Ok(Arc::new(Self {
            workshop: Mutex::new(workshop),
            keys,
            addresses,
            certificates,
            readings: readings.into(),
            trouble: Mutex::default(),
            health: Mutex::default(),
            changed,
        }))
    }

    /// Does something with the workshop, away from the threads that answer.
    pub(crate) async fn with<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&mut Workshop) -> T + Send + 'static,
    ) -> T {
        let bench = Arc::clone(self);
        away(move || {
            let mut workshop = bench.workshop.lock().unwrap_or_else(PoisonError::into_inner);
            work(&mut workshop)
        })
        .await
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
    pub(crate) fn health(&self) -> Option<Health> {
        self.health.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Keeps what the check of the whole journal came to.
    pub(crate) fn set_health(&self, health: Health) {
        *self.health.lock().unwrap_or_else(PoisonError::into_inner) = Some(health);
    }

    /// Tells open pages that a visit has changed.
    pub(crate) fn tell(&self, visit: &str) {
        // No page is open: nobody to tell.
        let _ = self.changed.send(visit.to_owned());
    }
}

/// Does something away from the threads that answer.
pub(crate) async fn away<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> T {
    match tokio::task::spawn_blocking(work).await {
        Ok(value) => value,
        Err(error) => std::panic::resume_unwind(error.into_panic()),
    }
}
