//! Start-up over a journal of 200,000 events: milliseconds to the first page and to the bench page, and resident memory.
//!
//! The server is this program itself, started again; time runs from starting it to the last byte of the page, pairing of
//! the device left out. Memory is what the kernel says of that process (`VmRSS` now, `VmHWM` at most) after both pages.
//! "Anew" is the one start at which no saved state is there, as after an import.
#![expect(clippy::unwrap_used, reason = "a benchmark stops at what it did not expect")]
#![expect(clippy::print_stdout, reason = "a benchmark tells what it measured")]

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command as Program, Stdio};
use std::time::Instant;

use app::ask::{PlanRequest, SilentObserver};
use app::model::FastenerState::{self, FingerTight, Freed, InPlace, Off, Tight};
use app::model::plan::KitObjective;
use app::record::{
    AnyEvent, DeviceId, Event, EventId, EventOrder, EventPlace, MarkedHole, VisitBody, VisitId,
};
use app::workshop::{EventArchive, NewVisit, Workshop};
use web::{ServeSettings, serve_bench_pages};

/// Says to the started program which journal to serve.
const ORDER: &str = "TRAYWRIGHT_BENCH_SERVES";
const EVENTS: u64 = 200_000;
const VISITS: u64 = 8;
/// Visits that are not closed: two vehicles at once.
const AT_WORK: u64 = 2;
const STARTS: usize = 9;

fn main() {
    if let Ok(path) = std::env::var(ORDER) {
        return serve_it(Path::new(&path));
    }
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let path = folder.path().join("start.journal");
    let at_work = fill(&path);
    let size = std::fs::metadata(&path).unwrap().len() / 1_000_000;
    println!("{EVENTS} events in {VISITS} visits, {AT_WORK} at work, file of {size} MB");
    let mut server = Server::start(&path);
    let cookie = server.pair();
    println!("anew         {}", server.measure(&cookie, &at_work).told());
    server.end();
    let mut all: Vec<Figures> = Vec::new();
    for _ in 0..STARTS {
        let mut server = Server::start(&path);
        all.push(server.measure(&cookie, &at_work));
        server.end();
    }
    let median = |of: fn(&Figures) -> f64| {
        let mut values: Vec<f64> = all.iter().map(of).collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    let middle = Figures {
        first_ms: median(|f| f.first_ms),
        bench_ms: median(|f| f.bench_ms),
        resident_mb: median(|f| f.resident_mb),
        most_mb: median(|f| f.most_mb),
    };
    println!("median of {STARTS}  {}", middle.told());
}

struct Figures {
    first_ms: f64,
    bench_ms: f64,
    resident_mb: f64,
    most_mb: f64,
}

impl Figures {
    fn told(&self) -> String {
        format!(
            "first page {:6.1} ms   bench page {:6.1} ms more   resident {:5.1} MB, at most {:5.1} MB",
            self.first_ms, self.bench_ms, self.resident_mb, self.most_mb
        )
    }
}

fn serve_it(path: &Path) {
    let workshop = Workshop::open(path).unwrap();
    let settings = ServeSettings {
        port: 0,
        open: false,
        names: Vec::new(),
        certificates: None,
        shelf: Default::default(),
    };
    serve_bench_pages(workshop, &settings, &|found| println!("{} {}", found.port, found.first_code)).unwrap();
}

struct Server {
    begun: Instant,
    child: Child,
    port: u16,
    code: String,
}

impl Server {
    fn start(path: &Path) -> Self {
        let begun = Instant::now();
        let mut program = Program::new(std::env::current_exe().unwrap());
        let mut child = program.env(ORDER, path).stdout(Stdio::piped()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let (port, code) = line.trim().split_once(' ').unwrap();
        Self { begun, port: port.parse().unwrap(), code: code.to_owned(), child }
    }

    fn ask(&self, head: &str, body: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        let host = format!("127.0.0.1:{}", self.port);
        let length = body.len();
        write!(
            stream,
            "{head}\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {length}\r\n\r\n{body}"
        )
        .unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    fn pair(&self) -> String {
        let answer = self.ask("POST /enter HTTP/1.1", &format!("code={}&name=bench", self.code));
        let line = answer.lines().find_map(|l| l.strip_prefix("set-cookie: ")).unwrap();
        line.split(';').next().unwrap().to_owned()
    }

    fn page(&self, way: &str, cookie: &str, holds: &str) {
        let answer = self.ask(&format!("GET {way} HTTP/1.1\r\nCookie: {cookie}"), "");
        assert!(answer.starts_with("HTTP/1.1 200") && answer.contains(holds), "{way}: {answer:.300}");
    }

    fn measure(&mut self, cookie: &str, visit: &VisitId) -> Figures {
        self.page("/", cookie, "may be started");
        let first_ms = self.begun.elapsed().as_secs_f64() * 1e3;
        self.page(&format!("/v/{visit}/bench"), cookie, "class=\"sheet\"");
        let bench_ms = self.begun.elapsed().as_secs_f64() * 1e3 - first_ms;
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap();
        let megabytes = |name: &str| {
            let line = status.lines().find_map(|l| l.strip_prefix(name)).unwrap();
            line.trim().trim_end_matches(" kB").parse::<f64>().unwrap() / 1e3
        };
        Figures { first_ms, bench_ms, resident_mb: megabytes("VmRSS:"), most_mb: megabytes("VmHWM:") }
    }

    fn end(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

/// Fills a journal; gives a visit that is at work.
fn fill(path: &Path) -> VisitId {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let mut workshop = Workshop::open(path).unwrap();
    let new = NewVisit {
        name: String::from("bus of the benchmark (invented)"),
        odometer: None,
        letter: String::from("A"),
        vehicle: None,
        book: Some(demo.join("books").join("tern-24")),
        store: Some(demo.join("store")),
        request: Some(PlanRequest {
            vehicle: String::from("A"),
            tasks: Vec::new(),
            objective: KitObjective::LeastToCarry,
            seconds: Some(2.0),
            stop_after_s: None,
            seed: 1,
            threads: 1,
        }),
    };
    let first = workshop.begin_visit(&new, &SilentObserver).unwrap();
    let live = workshop.visit(&first).unwrap();
    let opening: Vec<Event> = live.history().events()[..3].to_vec();
    let plan = live.plan().unwrap();
    let actions = app::record::steps_of(plan).flat_map(|step| &step.actions);
    let all: BTreeSet<(String, String)> = actions
        .filter_map(|action| Some((plan.duties.get(action.duty)?, action)))
        .flat_map(|(duty, action)| action.holes.iter().map(|hole| (duty.fixing.clone(), hole.clone())))
        .collect();
    let holes: Vec<(String, String)> = all.into_iter().collect();
    for number in 1..=VISITS {
        let visit =
            if number == VISITS { first.clone() } else { VisitId::new(&format!("visit-{number}")).unwrap() };
        let mut events = written(&visit, &holes, EVENTS / VISITS, number <= VISITS - AT_WORK);
        let begun = opening.iter().cloned().map(|event| {
            let id = EventId::new(&format!("begun-{number}-{}", event.order.count)).unwrap();
            Event { stream: (&visit).into(), id, ..event }
        });
        if number != VISITS {
            events.splice(0..0, begun);
        }
        let events: Vec<AnyEvent> = events.into_iter().map(AnyEvent::from).collect();
        for some in events.chunks(1_000) {
            workshop.archive_mut().append_events(some).unwrap();
        }
    }
    first
}

/// What a tablet writes in a long visit: fasteners off and on, taps taken back, notes.
fn written(visit: &VisitId, holes: &[(String, String)], count: u64, closed: bool) -> Vec<Event> {
    const ROUND: [FastenerState; 5] = [InPlace, Freed, Off, FingerTight, Tight];
    let device = DeviceId::new("tablet").unwrap();
    let id = |number: u64| EventId::new(&format!("{visit}-{number}")).unwrap();
    let mut events = Vec::new();
    for number in 1..count {
        let turn = (number as usize / holes.len()) % (ROUND.len() - 1);
        let (fixing, hole) = holes[number as usize % holes.len()].clone();
        let body = match number {
            n if n + 1 == count && closed => VisitBody::Closed { name: String::from("bench") },
            n if n % 40 == 0 => VisitBody::Undone { event: id(n - 1) },
            n if n % 51 == 0 => {
                VisitBody::Noted { words: format!("note {n} of the bench"), at: EventPlace::default() }
            }
            _ => VisitBody::Marked {
                fixing,
                holes: vec![MarkedHole { hole, from: ROUND[turn] }],
                to: ROUND[turn + 1],
                slot: None,
                stage: None,
            },
        };
        let order = EventOrder { round: number + 3, device: device.clone(), count: number };
        let (stream, at_ms) = (visit.into(), 1_800_000_000_000);
        events.push(Event { stream, id: id(number), order, person: None, at_ms, body });
    }
    events
}
