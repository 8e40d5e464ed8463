//! The server: where it listens, what it answers, how it ends.

use core::fmt;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::path::PathBuf;
use std::time::{Duration, Instant};

use app::failure::{FailureKind, KnownFailure};
use app::workshop::{BookShelf, Workshop, WorkshopError};
use hyper_util::rt::TokioTimer;

use crate::bench_state::SharedBench;
use crate::door::BenchDoor;
use crate::{enter, health, side_door, tls};

/// How and where to serve.
#[derive(Debug, Clone)]
pub struct ServeSettings {
    /// The port; 0 takes a free one.
    pub port: u16,
    /// Whether to open to the workshop's network; else this machine only.
    pub open: bool,
    /// Names of this machine besides its address: `workshop.local`.
    pub names: Vec<String>,
    /// Folder for the workshop's own certificate: serves HTTPS.
    pub certificates: Option<PathBuf>,
    /// What new visits may begin from.
    pub shelf: BookShelf,
}

/// Where the server is found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ServerAddresses {
    /// The port.
    pub port: u16,
    /// Address of this machine in the workshop's network, where it is open to it.
    pub network: Option<IpAddr>,
    /// Names of this machine besides.
    pub names: Vec<String>,
    /// Whether it speaks HTTPS.
    pub https: bool,
    /// A code that pairs the first device.
    pub first_code: String,
}

impl ServerAddresses {
    /// Whether a `Host` names this server.
    pub(crate) fn is_ours(&self, host: &str) -> bool {
        let (name, port) = host.rsplit_once(':').unwrap_or((host, if self.https { "443" } else { "80" }));
        let known = matches!(name, "127.0.0.1" | "localhost" | "[::1]")
            || self.names.iter().any(|ours| ours.eq_ignore_ascii_case(name))
            || self.network.is_some_and(|address| address.to_string() == name);
        known && port == self.port.to_string()
    }

    /// The address on this machine.
    #[must_use]
    pub fn local_address(&self) -> String {
        format!("{}://127.0.0.1:{}", self.url_scheme(), self.port)
    }

    /// The address for other devices, where the server is open to them.
    #[must_use]
    pub fn network_address(&self) -> Option<String> {
        let name = self.names.first().cloned().or_else(|| self.network.map(|a| a.to_string()))?;
        self.network.map(|_| format!("{}://{name}:{}", self.url_scheme(), self.port))
    }

    const fn url_scheme(&self) -> &'static str {
        if self.https { "https" } else { "http" }
    }
}

/// Why there is no server.
#[derive(Debug)]
pub enum ServeError {
    /// The port cannot be had.
    Port {
        /// Which.
        port: u16,
        /// The system's own words.
        cause: std::io::Error,
    },
    /// The workshop cannot be read.
    Workshop(WorkshopError),
    /// The certificate cannot be made or kept.
    Certificate(String),
    /// The server broke off.
    Broke(std::io::Error),
}

impl fmt::Display for ServeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Port { port, cause } => {
                write!(
                    f,
                    "port {port} is not available: {cause}; choose another with --port, or 0 for a free one"
                )
            }
            Self::Workshop(error) => error.fmt(f),
            Self::Certificate(why) => write!(f, "the workshop's certificate: {why}"),
            Self::Broke(cause) => write!(f, "the server stopped unexpectedly: {cause}"),
        }
    }
}

impl core::error::Error for ServeError {}

impl KnownFailure for ServeError {
    fn failure_kind(&self) -> FailureKind {
        match self {
            Self::Port { .. } | Self::Certificate(_) | Self::Broke(_) => FailureKind::Environment,
            Self::Workshop(error) => error.failure_kind(),
        }
    }
}

/// Serves until Ctrl-C, then saves.
///
/// `ready` is called with the addresses once the server answers.
///
/// # Errors
/// [`ServeError`] when the port, the archive or the certificate cannot be had.
pub fn serve_bench_pages(
    workshop: Workshop,
    settings: &ServeSettings,
    ready: &dyn Fn(&ServerAddresses),
) -> Result<(), ServeError> {
    let bind = if settings.open { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
    let port_error = |cause| ServeError::Port { port: settings.port, cause };
    let listener = TcpListener::bind(SocketAddr::from((bind, settings.port))).map_err(port_error)?;
    listener.set_nonblocking(true).map_err(port_error)?;
    let addresses = ServerAddresses {
        port: listener.local_addr().map_err(port_error)?.port(),
        network: if settings.open { own_address() } else { None },
        names: if settings.open { settings.names.clone() } else { Vec::new() },
        https: settings.certificates.is_some(),
        first_code: String::new(),
    };
    let mut told = addresses.clone();
    let journal = workshop.archive().path().to_owned();
    let door = BenchDoor::open(workshop, addresses, settings.certificates.clone(), settings.shelf.clone())
        .map_err(ServeError::Workshop)?;
    told.first_code = door.new_code(Instant::now());
    health::check_later(&door.bench, journal);
    side_door::open_side_door(&door.bench).map_err(ServeError::Broke)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(ServeError::Broke)?;
    let ended = runtime.block_on(run_server(&door, listener, settings, &told, ready));
    let saved = runtime
        .block_on(door.bench.with_workshop(|workshop| workshop.save_all_visits()))
        .map_err(ServeError::Workshop);
    ended.and(saved)
}

/// How long the head of a request may take; half a request holds a connection no longer.
const MAX_HEAD_WAIT: Duration = Duration::from_secs(15);

async fn run_server(
    door: &BenchDoor,
    listener: TcpListener,
    settings: &ServeSettings,
    told: &ServerAddresses,
    ready: &dyn Fn(&ServerAddresses),
) -> Result<(), ServeError> {
    let app = door.router().into_make_service_with_connect_info::<SocketAddr>();
    if let Some(folder) = &settings.certificates {
        let mut server = tls::https_server(folder, listener, &door.bench.addresses)?;
        server.http_builder().http1().timer(TokioTimer::new()).header_read_timeout(MAX_HEAD_WAIT);
        ready(told);
        return tokio::select! {
            ended = server.serve(app) => ended.map_err(ServeError::Broke),
            () = wait_for_stop() => Ok(()),
            () = show_codes(&door.bench, told, ready) => Ok(()),
        };
    }
    let mut server = axum_server::from_tcp(listener).map_err(ServeError::Broke)?;
    server.http_builder().http1().timer(TokioTimer::new()).header_read_timeout(MAX_HEAD_WAIT);
    ready(told);
    tokio::select! {
        ended = server.serve(app) => ended.map_err(ServeError::Broke),
        () = wait_for_stop() => Ok(()),
        () = show_codes(&door.bench, told, ready) => Ok(()),
    }
}

/// Least time between two codes that are shown because somebody asks.
const BETWEEN_CODES: Duration = Duration::from_secs(5);

/// Shows a new code where the program was started, each time that somebody asks for one. Never ends.
async fn show_codes(bench: &SharedBench, told: &ServerAddresses, ready: &dyn Fn(&ServerAddresses)) {
    loop {
        bench.code_wanted.notified().await;
        ready(&ServerAddresses { first_code: enter::code_for_computer(bench), ..told.clone() });
        tokio::time::sleep(BETWEEN_CODES).await;
    }
}

/// Returns when the program is to stop.
async fn wait_for_stop() {
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}

/// The address that this machine has in its network; nothing is sent.
fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // TEST-NET-1 of RFC 5737: an address that belongs to no machine; connecting a datagram socket only asks for the route.
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_names_are_ours() {
        let addresses = ServerAddresses {
            port: 8080,
            network: Some(IpAddr::from([192, 0, 2, 7])),
            names: vec!["workshop.local".into()],
            https: false,
            first_code: String::new(),
        };
        for ours in ["127.0.0.1:8080", "localhost:8080", "192.0.2.7:8080", "Workshop.local:8080"] {
            assert!(addresses.is_ours(ours), "{ours}");
        }
        for foreign in
            ["", "127.0.0.1", "127.0.0.1:80", "evil.example:8080", "192.0.2.8:8080", "localhost:8080.evil"]
        {
            assert!(!addresses.is_ours(foreign), "{foreign}");
        }
    }
}
