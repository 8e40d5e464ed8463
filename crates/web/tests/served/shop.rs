//! A workshop of its own behind the door: requests, answers, devices, and what is in the archive afterwards.

use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::time::Instant;

use app::workshop::carry::SqliteArchive;
use app::workshop::{DeviceId, EventArchive, KeptAside, KeptEvent, VisitId, Workshop};
use axum::body::{Body, to_bytes};
use axum::extract::ConnectInfo;
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use tempfile::TempDir;
use tower::ServiceExt;
use web::{BenchDoor, ServerAddresses};

use crate::page_words::page_words;

/// The name under which the server is asked for.
pub(crate) const HOST: &str = "127.0.0.1:8080";

/// The same as a browser names the origin of a page.
pub(crate) const ORIGIN: &str = "http://127.0.0.1:8080";

pub(crate) const FORM: &str = "application/x-www-form-urlencoded";
pub(crate) const JSON: &str = "application/json";

/// Most bytes of an answer.
const MAX_ANSWER_BYTES: usize = 16 * 1024 * 1024;

/// A workshop behind its door.
pub(crate) struct Shop {
    folder: TempDir,
    pub(crate) door: BenchDoor,
}

impl Shop {
    /// A workshop that is prepared before the door opens.
    pub(crate) fn prepared<T>(prepare: impl FnOnce(&mut Workshop) -> T) -> (Self, T) {
        let folder = tempfile::tempdir().unwrap();
        let mut workshop = Workshop::open(&archive_path(&folder)).unwrap();
        let made = prepare(&mut workshop);
        (Self { door: open_door(workshop, false), folder }, made)
    }

    /// A workshop without a visit.
    pub(crate) fn empty() -> Self {
        Self::prepared(|_| ()).0
    }

    /// A workshop without a visit that speaks HTTPS.
    pub(crate) fn over_https() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let workshop = Workshop::open(&archive_path(&folder)).unwrap();
        Self { door: open_door(workshop, true), folder }
    }

    /// The same archive behind a new door, as after a restart.
    pub(crate) fn restarted(self) -> Self {
        let Self { folder, door } = self;
        drop(door);
        let workshop = Workshop::open(&archive_path(&folder)).unwrap();
        Self { door: open_door(workshop, false), folder }
    }

    /// A code that was made now.
    pub(crate) fn code(&self) -> String {
        self.door.new_code(Instant::now())
    }

    pub(crate) async fn ask(&self, request: DoorRequest) -> DoorAnswer {
        let response = self.door.router().oneshot(request.into_http()).await.unwrap();
        let (head, body) = response.into_parts();
        let is_endless =
            head.headers.get(header::CONTENT_TYPE).is_some_and(|media| media == "text/event-stream");
        let body = if is_endless { Body::empty() } else { body };
        let bytes = to_bytes(body, MAX_ANSWER_BYTES).await.unwrap();
        DoorAnswer {
            status: head.status,
            headers: head.headers,
            text: String::from_utf8_lossy(&bytes).into_owned(),
        }
    }

    /// A page as a paired device sees it.
    pub(crate) async fn page(&self, device: &TestDevice, way: &str) -> DoorAnswer {
        self.ask(DoorRequest::get(way).of(device)).await
    }

    /// Pairs a device as its browser would.
    pub(crate) async fn pair(&self, name: &str) -> TestDevice {
        let form = format!("code={}&name={name}", self.code());
        let answer = self.ask(DoorRequest::post("/enter", form)).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
        let cookie = answer.header("set-cookie").split(';').next().unwrap().to_owned();
        let value = cookie.strip_prefix("tray-device=").unwrap();
        let id = DeviceId::new(value.split('.').next().unwrap()).unwrap();
        TestDevice { cookie, id }
    }

    /// The archive as another program would read it.
    pub(crate) fn archive(&self) -> SqliteArchive {
        SqliteArchive::open_to_read(&archive_path(&self.folder)).unwrap()
    }

    /// The folder of the archive.
    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Devices whose key the archive holds.
    pub(crate) fn archive_devices(&self) -> Vec<DeviceId> {
        self.archive().list_device_keys().unwrap().into_iter().map(|key| key.device).collect()
    }

    /// All events of a visit in the archive.
    pub(crate) fn kept_events(&self, visit: &VisitId) -> Vec<KeptEvent> {
        let mut all = Vec::new();
        let mut each = |event| {
            all.push(event);
            true
        };
        self.archive().read_events(&visit.into(), 0, &mut each).unwrap();
        all
    }

    /// All that is kept aside in the archive.
    pub(crate) fn asides(&self) -> Vec<KeptAside> {
        self.archive().list_asides().unwrap()
    }
}

fn archive_path(folder: &TempDir) -> PathBuf {
    folder.path().join("shop.journal")
}

fn open_door(workshop: Workshop, https: bool) -> BenchDoor {
    let addresses =
        ServerAddresses { port: 8080, network: None, names: Vec::new(), https, first_code: String::new() };
    BenchDoor::open(workshop, addresses, None, Default::default()).unwrap()
}

/// A device that is paired.
#[derive(Clone)]
pub(crate) struct TestDevice {
    /// Name and value, as the browser sends them.
    pub(crate) cookie: String,
    pub(crate) id: DeviceId,
}

/// A request, under our name and from a page of ours unless it is said otherwise.
#[derive(Clone)]
pub(crate) struct DoorRequest {
    method: Method,
    path: String,
    headers: Vec<(&'static str, String)>,
    body: Vec<u8>,
    /// Where it comes from, where it comes by a socket.
    peer: Option<IpAddr>,
}

impl DoorRequest {
    pub(crate) fn new(method: Method, path: &str) -> Self {
        let mut headers = vec![("host", HOST.to_owned())];
        if method != Method::GET {
            headers.push(("origin", ORIGIN.to_owned()));
        }
        Self { method, path: path.to_owned(), headers, body: Vec::new(), peer: None }
    }

    pub(crate) fn get(path: &str) -> Self {
        Self::new(Method::GET, path)
    }

    /// A form that is sent.
    pub(crate) fn post(path: &str, form: impl Into<Vec<u8>>) -> Self {
        Self::new(Method::POST, path).with_body(FORM, form)
    }

    /// With something that is sent.
    pub(crate) fn with_body(mut self, media: &str, body: impl Into<Vec<u8>>) -> Self {
        self.body = body.into();
        self.with("content-type", media)
    }

    /// With a header, in the place of one of the same name.
    pub(crate) fn with(mut self, name: &'static str, value: &str) -> Self {
        self = self.without(name);
        self.headers.push((name, value.to_owned()));
        self
    }

    pub(crate) fn without(mut self, name: &str) -> Self {
        self.headers.retain(|(known, _)| *known != name);
        self
    }

    /// From a device that is paired.
    pub(crate) fn of(self, device: &TestDevice) -> Self {
        self.with("cookie", &device.cookie)
    }

    /// By a socket from this address.
    pub(crate) fn of_peer(mut self, peer: IpAddr) -> Self {
        self.peer = Some(peer);
        self
    }

    fn into_http(self) -> Request<Body> {
        let request = Request::builder().method(self.method).uri(self.path);
        let request =
            self.headers.into_iter().fold(request, |request, (name, value)| request.header(name, value));
        let mut request = request.body(Body::from(self.body)).unwrap();
        if let Some(peer) = self.peer {
            request.extensions_mut().insert(ConnectInfo(SocketAddr::new(peer, 50_000)));
        }
        request
    }
}

/// An answer.
pub(crate) struct DoorAnswer {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) text: String,
}

impl DoorAnswer {
    /// What a person reads.
    pub(crate) fn words(&self) -> String {
        page_words(&self.text)
    }

    /// A header; empty where there is none.
    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    /// That it has a status and says all of these to a person.
    #[track_caller]
    pub(crate) fn assert_says(&self, status: StatusCode, all: &[&str]) {
        let words = self.words();
        assert_eq!(self.status, status, "{words}");
        for part in all {
            assert!(words.contains(part), "“{part}” is not in: {words}");
        }
    }

    /// That it leads to the pairing page.
    #[track_caller]
    pub(crate) fn assert_leads_to_pairing(&self, of: &str) {
        assert_eq!((self.status, self.header("location")), (StatusCode::SEE_OTHER, "/enter"), "{of}");
    }
}
