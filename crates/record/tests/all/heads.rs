//! What a card in a picture measured stands in its event: any order of events comes to the same, the last word counts, nothing is measured by the fold.

use record::{
    Event, EventHistory, EventOrder, HeadsOutcome, MeasuredPlace, PictureSides, SeenPoint, VisitBody,
    accept_event,
};

use crate::common::{device, digest, id, visit_id};

const SIDES: PictureSides = PictureSides { width_px: 1_600, height_px: 1_200 };

fn seen(heads: u16) -> VisitBody {
    VisitBody::FixingSeen {
        fixing: "seen-f".into(),
        part: "seen-p".into(),
        drive: None,
        count: 2,
        first: 1,
        heads: (0..heads).map(|at| SeenPoint { across: 100 * at, down: 5, is_fine: true }).collect(),
        length: None,
    }
}

fn measured(picture: char, outcome: HeadsOutcome) -> VisitBody {
    VisitBody::HeadsMeasured {
        fixing: "seen-f".into(),
        picture: digest(picture),
        sides: SIDES,
        height: String::new(),
        outcome,
    }
}

fn places(count: i32) -> HeadsOutcome {
    let places = (0..count).map(|at| MeasuredPlace { x_um: at * 40_000, y_um: -7, error_um: 900 }).collect();
    HeadsOutcome::Measured { places, residual_um: 100 }
}

fn refused(why: &str) -> HeadsOutcome {
    HeadsOutcome::NotMeasured { why: why.into() }
}

fn events(bodies: Vec<VisitBody>) -> Vec<Event> {
    let event = |(at, body): (usize, VisitBody)| {
        let count = at as u64 + 1;
        // Taps come from the phone, what was measured from the computer that serves.
        let of = if matches!(body, VisitBody::HeadsMeasured { .. }) { "server" } else { "phone" };
        let order = EventOrder { round: count, device: device(of), count };
        Event {
            stream: visit_id().into(),
            id: id(&format!("e{count}")),
            order,
            person: None,
            at_ms: 1_700_000_000_000,
            body,
        }
    };
    bodies.into_iter().enumerate().map(event).collect()
}

fn folded(events: impl IntoIterator<Item = Event>) -> EventHistory {
    let mut history = EventHistory::new(visit_id());
    for event in events {
        history.insert(event);
    }
    history
}

#[test]
fn events_in_any_order_come_to_the_same_and_the_last_word_counts() {
    let bodies = vec![seen(2), measured('a', refused("no card in the picture")), measured('b', places(2))];
    let all = events(bodies);
    let known = folded(all.clone());
    let heads = known.state().seen.measured_heads("seen-f").expect("it was looked at");
    assert_eq!((&heads.picture, heads.outcome.places().len()), (&digest('b'), 2));
    assert_eq!(heads.outcome.worst_error_um(), Some(900));
    for order in [[2, 1, 0], [1, 0, 2], [2, 0, 1], [1, 2, 0], [0, 2, 1]] {
        let other = folded(order.map(|at| all[at].clone()));
        assert_eq!(other.state().seen, known.state().seen, "{order:?}");
    }
}

#[test]
fn places_of_other_heads_than_those_told_count_for_nothing() {
    let three = folded(events(vec![seen(2), measured('a', places(3))]));
    assert_eq!(three.state().seen.measured_heads("seen-f"), None);
    let untold = folded(events(vec![measured('a', places(2))]));
    assert_eq!(untold.state().seen.measured_heads("seen-f"), None, "nobody has told of that fixing");
    let mut taken_back = events(vec![seen(2), measured('a', places(2))]);
    taken_back.extend(events(vec![seen(2), seen(2), VisitBody::Undone { event: id("e1") }]).pop());
    assert_eq!(folded(taken_back).state().seen.measured_heads("seen-f"), None, "it was taken back");
}

#[test]
fn what_cannot_be_is_held_back() {
    let far = HeadsOutcome::Measured {
        places: vec![MeasuredPlace { x_um: i32::MIN, y_um: 0, error_um: 1 }],
        residual_um: 0,
    };
    let flat = VisitBody::HeadsMeasured {
        fixing: "seen-f".into(),
        picture: digest('a'),
        sides: PictureSides { width_px: 0, height_px: 9 },
        height: String::new(),
        outcome: places(1),
    };
    let good = measured('a', places(2));
    let bad = [measured('a', far), measured('a', places(0)), measured('a', refused(" ")), flat];
    let accepts = |body: VisitBody| accept_event(&visit_id().into(), &events(vec![body])[0]);
    assert_eq!(accepts(good), Ok(()));
    for body in bad {
        assert!(accepts(body.clone()).is_err(), "{body:?}");
    }
}
