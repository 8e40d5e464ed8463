//! The bench without a socket: whoever listens hands requests to it.

use std::path::PathBuf;
use std::time::Instant;

use app::workshop::{BookShelf, Workshop, WorkshopError};
use axum::Router;

use crate::bench_state::{BenchState, SharedBench};
use crate::routes;
use crate::server::ServerAddresses;

/// The bench of one workshop, ready to answer.
pub struct BenchDoor {
    pub(crate) bench: SharedBench,
}

impl BenchDoor {
    /// The bench over an open workshop, found at these addresses; `certificates` is the folder of the workshop's own
    /// certificate, where it speaks HTTPS; `shelf` is what new visits may begin from.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn open(
        workshop: Workshop,
        addresses: ServerAddresses,
        certificates: Option<PathBuf>,
        shelf: BookShelf,
    ) -> Result<Self, WorkshopError> {
        Ok(Self { bench: BenchState::new(workshop, addresses, certificates, shelf)? })
    }

    /// A code that pairs one device within ten minutes of when it was made.
    #[must_use]
    pub fn new_code(&self, made: Instant) -> String {
        self.bench.keys.new_code(made)
    }

    /// What answers requests.
    pub fn router(&self) -> Router {
        routes::build_router(SharedBench::clone(&self.bench))
    }
}
