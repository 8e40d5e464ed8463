//! The small engine, its plan, and a bench that writes events as devices do.

use std::rc::Rc;
use std::sync::OnceLock;

use model::plan::Plan;
use model::{Act, Book};
use record::{
    ContentDigest, DeviceId, Event, EventHistory, EventId, InsertOutcome, Ledger, Refusal, StreamKind,
    StreamRef, Visit, VisitBody, VisitCommand, VisitId, decide,
};
use serde_json::{Value, json};

/// The small engine with a lift, a beam, a pin and a crank: a cover with 12 bolts and 2 clips before a manifold with 4 bolts that are renewed, over 6 ports.
pub fn book() -> &'static Book {
    static BOOK: OnceLock<Book> = OnceLock::new();
    BOOK.get_or_init(|| {
        let text = include_bytes!("../data/small.toml").to_vec();
        let reading = book::read_book(&[("small.toml".into(), text)]);
        let book = reading.book.unwrap_or_else(|| panic!("{:?}", reading.faults));
        Book { settings: crate::settings::small_settings(), ..book }
    })
}

pub fn holes_of(fixing: &str) -> Vec<String> {
    let id = book().fixing_by_key(fixing).expect("a fixing of the small engine");
    book().fixing(id).holes.iter().map(|h| h.label.clone()).collect()
}

/// Duties of the small plan, by position.
const DUTIES: &[(&str, Act, Option<u8>)] = &[
    ("cover-bolts", Act::Free, None),
    ("cover-bolts", Act::RunOut, None),
    ("cover-clips", Act::Free, None),
    ("manifold-bolts", Act::Free, None),
    ("manifold-bolts", Act::RunOut, None),
    ("manifold-bolts", Act::RunIn, None),
    ("manifold-bolts", Act::Tighten, Some(0)),
    ("manifold-bolts", Act::Tighten, Some(1)),
    ("cover-bolts", Act::RunIn, None),
    ("cover-clips", Act::RunIn, None),
    ("cover-bolts", Act::Tighten, Some(0)),
    ("cover-bolts", Act::Tighten, Some(1)),
];

/// A step as the plan writes it: kind, what it is about, and the duties of its actions.
pub fn step(number: u32, kind: &str, about: Value, duties: &[usize], seconds: f64) -> Value {
    let action =
        |d: &usize| json!({"duty": d, "holes": holes_of(DUTIES[*d].0), "stack": null, "figure": null});
    let actions: Vec<Value> = duties.iter().map(action).collect();
    let wait_s = if kind == "wait" { seconds } else { 0.0 };
    let mut step = json!({
        "number": number, "kind": kind, "station": "front", "text": format!("Step {number}."), "part": null,
        "fixings": [], "condition": null, "opening": null, "task": null, "actions": actions, "slot": null,
        "setup_s": 10.0, "work_s": seconds - wait_s, "wait_s": wait_s, "cautions": [],
    });
    for (key, value) in about.as_object().expect("an object") {
        step[key] = value.clone();
    }
    step
}

/// Steps of a stretch, as the plan's one list has them.
fn stretch<'s>(word: &'s str, steps: &'s [Value]) -> impl Iterator<Item = Value> + 's {
    steps.iter().map(move |step| {
        let mut step = step.clone();
        step["stretch"] = json!(word);
        step
    })
}

fn outcome() -> Value {
    json!({"standing": "proven", "value": 0.0, "bound": 0.0, "unit": "seconds", "effort": 0})
}

fn strip() -> Vec<Value> {
    vec![
        step(1, "open", json!({"condition": "engine-cold"}), &[], 60.0),
        step(2, "drain", json!({"condition": "coolant-drained"}), &[], 300.0),
        step(
            3,
            "wait",
            json!({"condition": "engine-cold", "text": "Wait 40 min: engine cold."}),
            &[],
            2400.0,
        ),
        step(
            4,
            "undo",
            json!({"part": "cover", "fixings": ["cover-bolts"], "slot": "A-B03"}),
            &[0, 1],
            240.0,
        ),
        step(5, "undo", json!({"part": "cover", "fixings": ["cover-clips"]}), &[2], 10.0),
        step(6, "remove", json!({"part": "cover"}), &[], 10.0),
        step(7, "undo", json!({"part": "manifold", "fixings": ["manifold-bolts"]}), &[3, 4], 80.0),
        step(8, "remove", json!({"part": "manifold"}), &[], 20.0),
        step(9, "cap", json!({"opening": "ports"}), &[], 12.0),
    ]
}

fn refit() -> Vec<Value> {
    vec![
        step(11, "uncap", json!({"opening": "ports"}), &[], 12.0),
        step(12, "refit", json!({"part": "manifold"}), &[], 40.0),
        step(13, "run-in", json!({"part": "manifold", "fixings": ["manifold-bolts"]}), &[5], 40.0),
        step(14, "tighten", json!({"part": "manifold", "fixings": ["manifold-bolts"]}), &[6, 7, 7], 60.0),
        step(15, "refit", json!({"part": "cover"}), &[], 20.0),
        step(16, "run-in", json!({"part": "cover", "fixings": ["cover-bolts"]}), &[8], 120.0),
        step(17, "run-in", json!({"part": "cover", "fixings": ["cover-clips"]}), &[9], 10.0),
        step(18, "tighten", json!({"part": "cover", "fixings": ["cover-bolts"]}), &[10, 11], 240.0),
        step(19, "fill", json!({"condition": "coolant-drained"}), &[], 600.0),
    ]
}

/// The plan for looking into the ports of the small engine.
fn plan() -> Plan {
    static PLAN: OnceLock<Plan> = OnceLock::new();
    PLAN.get_or_init(|| plan_of(&strip(), &refit())).clone()
}

thread_local! {
    static SHARED: Rc<Plan> = Rc::new(plan());
}

/// The same without the strip steps that are listed, numbered anew from 101, as a plan of the rest would be.
pub fn plan_of_the_rest(without: &[u32]) -> Rc<Plan> {
    let keep = |s: &&Value| !without.iter().any(|n| s["number"] == json!(n));
    let mut strip: Vec<Value> = strip().iter().filter(keep).cloned().collect();
    let mut refit: Vec<Value> = refit().iter().filter(keep).cloned().collect();
    for (at, step) in strip.iter_mut().chain(&mut refit).enumerate() {
        step["number"] = json!(101 + at);
    }
    Rc::new(plan_of(&strip, &refit))
}

pub fn plan_of(strip: &[Value], refit: &[Value]) -> Plan {
    let duty = |(fixing, act, stage): &(&str, Act, Option<u8>)| {
        json!({"fixing": fixing, "access": 0, "act": act, "stage": stage, "torque_n_m": null, "stack": null,
               "seconds": 0.0, "setting_n_m": null, "force_n": null, "sure": "proven"})
    };
    let duties: Vec<Value> = DUTIES.iter().map(duty).collect();
    let slot = |fixing: &str, slot: &str, drive: model::Drive| {
        json!({"fixing": fixing, "slot": slot, "keep": "bag", "count": 12, "renewed": false, "kind": "bolt",
               "size": "M6 × 25, 8.8", "drive": drive})
    };
    let drive = book().fixings[0].drive;
    let work = [step(10, "inspect", json!({"task": "inspect-ports"}), &[], 300.0)];
    let steps: Vec<Value> =
        stretch("strip", strip).chain(stretch("work", &work)).chain(stretch("refit", refit)).collect();
    let plan = json!({
        "format": model::plan::PLAN_FORMAT, "book": "small", "book_title": "A small engine", "store_title": "none",
        "currency": "EUR",
        "asked": {"vehicle": "A", "tasks": ["inspect-ports"], "objective": "quickest", "seed": 1, "threads": 1,
                  "seconds": 1.0},
        "way_in": {"parts": [], "conditions": [], "outcome": outcome(), "also_open": []},
        "duties": duties, "stacks": [], "kit": {"pieces": [], "special": [], "outcome": outcome()},
        "steps": steps,
        "slots": [slot("cover-bolts", "A-B03", drive)],
        "mix_ups": [],
        "readiness": {"coverage": {"proven": 12, "likely": 0, "not_known": 0, "no": 0},
                      "verdict": {"first_bolt": "go", "refit": "go", "first_start": "go"}, "go": true, "against": [], "gaps": [], "shopping": [], "not_at_hand": [], "supplies": [],
                      "rescue": [], "caps": [], "safety": [], "brittle": []},
    });
    serde_json::from_value(plan).expect("the plan has the shape of plans")
}

pub fn id(text: &str) -> EventId {
    EventId::new(text).expect("a good id")
}

pub fn device(text: &str) -> DeviceId {
    DeviceId::new(text).expect("a good id")
}

pub fn visit_id() -> VisitId {
    VisitId::new("visit-1").expect("a good id")
}

pub fn digest(letter: char) -> ContentDigest {
    ContentDigest::new(&letter.to_string().repeat(64)).expect("a hexadecimal letter")
}

/// One device with all that it knows: it writes events and hears those of others.
#[derive(Debug, Clone)]
pub struct Bench {
    pub device: DeviceId,
    pub history: EventHistory,
    pub plan: Rc<Plan>,
    written: u32,
}

impl Bench {
    /// A device that knows of no event.
    pub fn new(name: &str) -> Self {
        Self {
            device: device(name),
            history: EventHistory::new(visit_id()),
            plan: SHARED.with(Rc::clone),
            written: 0,
        }
    }

    /// A device with the visit begun.
    pub fn begun() -> Self {
        let mut bench = Self::new("tablet");
        let opened = VisitBody::Opened {
            vehicle: StreamRef::new(StreamKind::Vehicle, "vehicle-1"),
            letter: "A".into(),
            name: "the green one".into(),
            odometer: Some("241 300 km".into()),
        };
        bench.must(opened.into());
        let at_ms = bench.now_ms();
        let (book, store) = (Some(digest('a')), Some(digest('b')));
        bench.write_at(at_ms, VisitBody::BasedOn { book, store, figures_missing: Default::default() });
        bench.write_at(
            at_ms,
            VisitBody::Planned { plan: digest('c'), why: String::new(), again: Default::default() },
        );
        bench
    }

    /// Another device that knows what this one knows.
    pub fn other(&self, name: &str) -> Self {
        Self { device: device(name), written: 0, ..self.clone() }
    }

    pub fn visit(&self) -> &Visit {
        self.history.state()
    }

    pub fn ledger(&self) -> Ledger {
        Ledger::draw_up(self.visit(), book())
    }

    pub fn keys(&self) -> Vec<String> {
        self.ledger().lines.into_iter().map(|l| l.key).collect()
    }

    /// Writes one event.
    pub fn write(&mut self, body: VisitBody) -> Event {
        self.write_at(self.now_ms(), body)
    }

    /// A second goes by with every event.
    fn now_ms(&self) -> i64 {
        let round = self.history.next_order(&self.device).round;
        1_700_000_000_000 + i64::try_from(round).expect("a small round") * 1_000
    }

    fn write_at(&mut self, at_ms: i64, body: VisitBody) -> Event {
        self.written += 1;
        let order = self.history.next_order(&self.device);
        let id = id(&format!("{}-{}", self.device, self.written));
        let event = Event { stream: visit_id().into(), id, order, person: None, at_ms, body };
        assert_ne!(self.history.insert(event.clone()), InsertOutcome::Elsewhere);
        event
    }

    /// Asks for something; what is decided is written.
    pub fn ask(&mut self, command: VisitCommand) -> Result<Vec<Event>, Refusal> {
        let bodies = decide(self.visit(), book(), &*self.plan, command)?;
        let at_ms = self.now_ms();
        Ok(bodies.into_iter().map(|b| self.write_at(at_ms, b)).collect())
    }

    /// Asks for something that has to be granted.
    pub fn must(&mut self, command: VisitCommand) -> Vec<Event> {
        self.ask(command.clone()).unwrap_or_else(|r| panic!("{command:?} was refused: {r}"))
    }

    pub fn tick(&mut self, steps: impl IntoIterator<Item = u32>) {
        for step in steps {
            self.must(VisitCommand::Tick { step });
        }
    }

    /// Takes in all events of another device.
    pub fn hear(&mut self, other: &Self) {
        self.hear_events(other.history.events());
    }

    pub fn hear_events(&mut self, events: &[Event]) {
        for event in events {
            self.history.insert(event.clone());
        }
    }

    pub fn undo_last(&mut self) {
        self.must(VisitCommand::UndoLast { device: self.device.clone() });
    }

    /// The whole strip: steps 1 to 9.
    pub fn strip(&mut self) {
        self.tick([1, 2, 3, 3, 4, 5, 6, 7, 8, 9]);
    }

    /// The refit up to the cover's bolts run in: steps 10 to 17.
    pub fn refit(&mut self) {
        self.tick([10, 11, 12]);
        self.must(VisitCommand::Renew { fixing: "manifold-bolts".into(), holes: Default::default() });
        self.tick([13, 14, 14, 14, 15, 16, 17]);
    }

    /// All of it.
    pub fn whole(&mut self) {
        self.strip();
        self.refit();
        self.tick([18, 18, 19]);
    }
}
