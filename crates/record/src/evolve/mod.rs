//! What an event does to the state of a visit: records what it says and never fails.
//!
//! Order and taking back are not decided here: [`crate::EventHistory`] folds this over the events that are not void, in their order.
//! One arm for each kind and no catch-all, so that a new kind does not compile before somebody says what it does.

mod counted;
mod fasteners;
mod figures;
mod frame;
mod happenings;
mod places;
mod reports;
mod seen;

use crate::visit::{ClosedWork, MAX_RECENT_EVENTS, StrangeEvent, WorkKind};
use crate::{Event, EventId, EventStamp, StepMark, StreamBody, StreamFold, Visit, VisitBody};

/// Maximum number of closed pieces of work that are kept for looking at again after a break.
pub const MAX_LOOK_BACK: usize = 3;

impl StreamFold for Visit {
    type Body = VisitBody;

    const STATE_FORMAT: &'static str = "traywright-visit-state/10";

    fn evolve(&mut self, event: &Event) {
        let visit = self;
        let stamp = EventStamp::of_event(event);
        note_recent(visit, &event.body, &stamp);
        use VisitBody as B;
        match &event.body {
            B::Opened { vehicle, letter, name, odometer } => {
                frame::open_visit(visit, vehicle, letter, name, odometer, stamp);
            }
            B::BasedOn { book, store, figures_missing } => {
                frame::base_on(visit, book, store, figures_missing, stamp);
            }
            B::Planned { plan, why, again } => frame::put_plan_in_force(visit, (plan, why), again, stamp),
            B::Marked { fixing, holes, to, slot, stage } => {
                fasteners::mark_holes(visit, fixing, holes, *to, slot, *stage, stamp);
            }
            B::Renewed { fixing, holes } => fasteners::renew_holes(visit, fixing, holes, stamp),
            B::FigureGiven { fixing, figure, source, name } => {
                figures::give_figure(visit, fixing, figure, source, name, stamp);
            }
            B::FigureWaived { fixing, reason, name } => {
                figures::waive_figure(visit, fixing, reason, name, stamp);
            }
            B::WentOn { open, name } => frame::go_on_while_open(visit, open, name, stamp),
            B::Gathered { what, is_at_hand } => frame::gather(visit, what, *is_at_hand),
            B::PartOff { part } => places::take_part_off(visit, part, stamp),
            B::PartOn { part } => places::set_part_on(visit, part, stamp),
            B::Established { condition } => places::establish_condition(visit, condition, stamp),
            B::Restored { condition } => places::restore_condition(visit, condition, stamp),
            B::Capped { opening, count } => places::put_caps_in(visit, opening, *count, stamp),
            B::Uncapped { opening, count } => places::take_caps_out(visit, opening, *count, stamp),
            B::PartSeen { .. } | B::FixingSeen { .. } | B::RouteSeen { .. } | B::Told { .. } => {
                seen::take_what_was_seen(visit, &event.body, stamp);
            }
            B::HeadsMeasured { .. } => seen::note_measured_heads(visit, &event.body, stamp),
            B::SettingChanged { setting, value } => places::change_setting(visit, setting, value, stamp),
            B::Task { task, work, to } => places::set_task(visit, task, *work, *to, stamp),
            B::Extra { step, to } => places::set_extra_step(visit, step, *to, stamp),
            B::PutIn { what, words, count, at } => counted::put_in(visit, *what, words, *count, at, stamp),
            B::TakenOut { put_in, count } => counted::take_out(visit, put_in, *count, stamp),
            B::Piece { piece, count, to } => counted::move_piece(visit, piece, *count, to, stamp),
            B::Happened { what, at, words } => happenings::note_happening(visit, *what, at, words, stamp),
            B::DealtWith { happening, how } => happenings::deal_with(visit, happening, how, stamp),
            B::GivenUp { happening, searched, name } => {
                happenings::give_up(visit, happening, searched, name, stamp);
            }
            B::WaitBegan { waiting, at } => counted::begin_wait(visit, waiting, at, stamp),
            B::WaitOver { wait } => counted::end_wait(visit, wait, stamp),
            B::Read { reading, at } => reports::note_reading(visit, reading, at, stamp),
            B::Pictured { picture, original, at } => {
                reports::note_picture(visit, picture, original, at, stamp);
            }
            B::Noted { words, at } => reports::note_words(visit, words, at, stamp),
            B::Found { .. } => happenings::note_finding(visit, &event.body, stamp),
            B::Answered { finding, word, by } => {
                happenings::answer_finding(visit, finding, *word, by, stamp);
            }
            B::FindingDone { finding, how } => happenings::close_finding(visit, finding, how, stamp),
            B::RiskTold { .. } => happenings::note_risk(visit, &event.body, stamp),
            B::Paused { words, at } => reports::pause_work(visit, words, at, stamp),
            B::Resumed => reports::resume_work(visit, stamp),
            B::LookedAgain { event, method } => reports::note_second_look(visit, event, method, stamp),
            B::Counted { what, expected, counted } => {
                counted::note_hand_count(visit, what, *expected, *counted, stamp);
            }
            B::Settled { fastener, to } => fasteners::settle_fastener(visit, fastener, *to, stamp),
            B::Overridden { line, reason, name } => reports::accept_line(visit, line, reason, name, stamp),
            B::Closed { name } => frame::close_visit(visit, name, stamp),
            B::Undone { .. } => {}
        }
    }
}

/// Keeps an event at hand for taking it back.
fn note_recent(visit: &mut Visit, body: &VisitBody, stamp: &EventStamp) {
    if body.undone_event().is_some() {
        return;
    }
    let recent = visit.recent.entry(stamp.order.device.clone()).or_default();
    recent.push(stamp.clone());
    if recent.len() > MAX_RECENT_EVENTS {
        recent.remove(0);
    }
}

fn note_done(visit: &mut Visit, key: &str, to: StepMark, stamp: EventStamp) {
    if to == StepMark::Done {
        note_work(visit, WorkKind::Done, key, core::iter::empty(), stamp);
    }
}

fn note_strange(visit: &mut Visit, words: String, stamp: EventStamp) {
    visit.strange.push(StrangeEvent { words, stamp });
}

fn note_unknown(visit: &mut Visit, what: &str, event: &EventId, stamp: EventStamp) {
    note_strange(visit, format!("{what} (event {event})"), stamp);
}

/// Notes a closed piece of work; marks of one fixing to one state, one after the other, grow together.
fn note_work(
    visit: &mut Visit,
    deed: WorkKind,
    key: &str,
    holes: impl Iterator<Item = String>,
    stamp: EventStamp,
) {
    if let Some(last) = visit.works.first_mut().filter(|w| w.deed == deed && w.key == key) {
        last.holes.extend(holes);
        last.stamp = stamp;
        return;
    }
    let work = ClosedWork { deed, key: key.to_owned(), holes: holes.collect(), stamp };
    visit.works.insert(0, work);
    visit.works.truncate(MAX_LOOK_BACK);
}
