//! Visits for tests, and the one place where events of a device are written.

use std::path::{Path, PathBuf};

use app::ask::{PlanRequest, SilentObserver};
use app::model::plan::{KitObjective, Step};
use app::record::{Event, EventId, EventOrder, EventPlace, PlanStepsView, VisitBody, steps_of};
use app::workshop::{DeviceId, NewVisit, VisitId, Workshop};
use serde_json::Value;

use crate::shop::{DoorAnswer, DoorRequest, JSON, Shop, TestDevice};

/// What every visit of a test says its clock was: 2026-03-02 08:00 UTC, invented.
pub(crate) const CLOCK_MS: i64 = 1_772_438_400_000;

/// The folder of the demo.
pub(crate) fn demo_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo")
}

fn new_visit(name: &str) -> NewVisit {
    NewVisit { letter: String::from("A"), name: name.to_owned(), ..NewVisit::default() }
}

/// Opens a visit that has neither book nor plan, with a letter that is free.
pub(crate) fn begin_bare_visit(workshop: &mut Workshop) -> VisitId {
    let letter = workshop.free_letter().unwrap();
    let new = NewVisit { letter, ..new_visit("test bus (invented)") };
    workshop.begin_visit(&new, &SilentObserver).unwrap()
}

/// Opens a visit on the little book of the browser's tests, planned.
pub(crate) fn begin_little_visit(workshop: &mut Workshop) -> VisitId {
    begin_planned_visit(workshop, Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser/little"), &[])
}

/// A request for a plan of all tasks, for a vehicle of a letter.
pub(crate) fn quick_request(letter: &str) -> PlanRequest {
    PlanRequest {
        vehicle: letter.to_owned(),
        tasks: Vec::new(),
        objective: KitObjective::LeastToCarry,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 1,
    }
}

/// Opens a visit planned for some tasks of a book, all where none is named. The plan has to be through long before the time
/// that it may take, so that it is the same each time.
pub(crate) fn begin_planned_visit(workshop: &mut Workshop, book: PathBuf, tasks: &[&str]) -> VisitId {
    let tasks = tasks.iter().map(|task| (*task).to_owned()).collect();
    let request = PlanRequest { tasks, ..quick_request("A") };
    let new = NewVisit {
        book: Some(book),
        store: Some(demo_folder().join("store")),
        request: Some(request),
        ..new_visit("test bus (invented)")
    };
    workshop.begin_visit(&new, &SilentObserver).unwrap()
}

/// The next step that is not done.
pub(crate) fn next_step(workshop: &mut Workshop, visit: &VisitId) -> Option<Step> {
    let live = workshop.visit(visit).unwrap();
    let (book, _, plan) = live.planned_texts().unwrap();
    let steps = PlanStepsView::of_plan(live.state(), book, plan);
    let number = steps.next.map(|at| steps.steps[at].number)?;
    steps_of(plan).find(|step| step.number == number).cloned()
}

/// Writes the events of one device in one visit, as the script of the pages does.
pub(crate) struct EventPen {
    visit: VisitId,
    order: EventOrder,
    /// What the writer's clock shows, milliseconds since 1970-01-01 UTC.
    pub(crate) clock_ms: i64,
}

impl EventPen {
    /// A pen of a device that has seen no more than a visit's opening.
    pub(crate) fn new(visit: &VisitId, device: &DeviceId) -> Self {
        let order = EventOrder { round: 100, device: device.clone(), count: 0 };
        Self { visit: visit.clone(), order, clock_ms: CLOCK_MS }
    }

    /// A pen of this computer, for what is prepared before the door opens.
    pub(crate) fn of_workshop(workshop: &Workshop, visit: &VisitId) -> Self {
        Self::new(visit, workshop.device())
    }

    /// Writes something into the archive, after all that is there.
    pub(crate) fn say(&mut self, workshop: &mut Workshop, bodies: Vec<VisitBody>) -> EventId {
        let device = self.order.device.clone();
        let seen = workshop.visit(&self.visit).unwrap().history().next_order(&device).round;
        self.order.round = self.order.round.max(seen);
        let texts: Vec<String> = bodies.into_iter().map(|body| self.write(body).to_string()).collect();
        for sent in workshop.take_events(&self.visit, &device, &texts).unwrap().sent {
            assert_eq!(sent.reason, None);
        }
        EventId::new(&format!("{device}-{:04}", self.order.count)).unwrap()
    }

    /// Presses the main button of the next step; gives the step's number, or `None` where all are done.
    pub(crate) fn tick(&mut self, workshop: &mut Workshop) -> Option<u32> {
        let step = next_step(workshop, &self.visit)?;
        let live = workshop.visit(&self.visit).unwrap();
        let (book, store, plan) = live.planned_texts().unwrap();
        let sheet = app::bench::step_sheet(
            book,
            store,
            plan,
            live.state(),
            step.number,
            app::bench::DrawingRoom::default(),
        )
        .unwrap();
        let says = sheet.tick.unwrap_or_else(|| panic!("step {}: {:?}", step.number, sheet.against));
        self.say(workshop, says.bodies);
        Some(step.number)
    }

    /// An event; its id follows from the device and its count, so that events sort as they were written.
    pub(crate) fn write_event(&mut self, body: VisitBody) -> Event {
        self.order = self.order.next_of_device();
        let id = format!("{}-{:04}", self.order.device, self.order.count);
        Event {
            stream: (&self.visit).into(),
            id: EventId::new(&id).unwrap(),
            order: self.order.clone(),
            person: None,
            at_ms: self.clock_ms,
            body,
        }
    }

    /// An event as it is sent.
    pub(crate) fn write(&mut self, body: VisitBody) -> Value {
        serde_json::to_value(self.write_event(body)).unwrap()
    }

    /// A note as it is sent.
    pub(crate) fn note(&mut self, words: &str) -> Value {
        self.write(VisitBody::Noted { words: words.to_owned(), at: EventPlace::default() })
    }
}

/// What became of one event: verdict, and the reason where it was kept aside.
pub(crate) type Sent = (String, String);

impl Shop {
    /// Sends events of a visit as the script of the pages does.
    pub(crate) async fn send(&self, device: &TestDevice, visit: &str, events: &[Value]) -> DoorAnswer {
        let body = serde_json::to_vec(events).unwrap();
        let way = format!("/v/{visit}/events");
        self.ask(DoorRequest::post(&way, "").of(device).with_body(JSON, body)).await
    }

    /// Sends events that are all answered one by one.
    pub(crate) async fn send_each(
        &self,
        device: &TestDevice,
        visit: &VisitId,
        events: &[Value],
    ) -> Vec<Sent> {
        let answer = self.send(device, visit.as_str(), events).await;
        assert_eq!(answer.status, 200, "{}", answer.words());
        let all: Vec<Value> = serde_json::from_str(&answer.text).unwrap();
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        all.iter().map(|sent| (text(&sent["verdict"]), text(&sent["reason"]))).collect()
    }
}
