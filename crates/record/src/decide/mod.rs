//! Turns a command into events, or says why not.
//!
//! The rules are those of the bench, not of the record: what is refused here is refused on the screen, where the answer can
//! be seen at once. A fact that a device brings is never refused; the ledger shows what it left open. [`VisitCommand::Mark`]
//! is the way to write down the state of a fastener whatever the rules say. Without a book or a plan the rules that need them
//! say what is missing; all others go on.
//!
//! What the work of a step changes besides (`Step::sets`) is written down with whatever makes the step done, a tick or
//! another word; a taking back by the same tap takes it back too.

mod figures;
mod marks;
mod places;
mod reports;
mod settings;
mod tick;

use model::Book;
use model::plan::Plan;

pub(crate) use figures::{CLOSES_FIGURE, parse_figure};

use crate::names::BookByKey;
use crate::refusal::{Refusal, RefusalKind};
use crate::{Ledger, Visit, VisitBody, VisitCommand};

/// What a deciding rule may look at.
pub(crate) struct DecisionContext<'a> {
    pub visit: &'a Visit,
    pub names: &'a BookByKey<'a>,
    pub plan: Option<&'a Plan>,
}

/// What is written down for a command, in this order.
pub type Decision = Result<Vec<VisitBody>, Refusal>;

/// Turns a command into what it says; book and plan may be missing.
///
/// # Errors
///
/// What prevents it and what would close that.
pub fn decide<'a>(
    visit: &Visit,
    book: impl Into<Option<&'a Book>>,
    plan: impl Into<Option<&'a Plan>>,
    command: VisitCommand,
) -> Decision {
    let names = BookByKey::new(book.into());
    let bench = DecisionContext { visit, names: &names, plan: plan.into() };
    check_visit_open(visit, &command)?;
    let bodies = match command {
        VisitCommand::Say(body) => bench.say_checked(body),
        VisitCommand::Tick { step } => bench.tick_step(step, None, None),
        VisitCommand::TickFixing { step, fixing } => bench.tick_step(step, Some(&fixing), None),
        VisitCommand::TickHole { step, fastener } => {
            bench.tick_step(step, Some(&fastener.fixing), Some(&fastener.hole))
        }
        VisitCommand::Tap { fastener, way } => bench.tap_hole(&fastener, way),
        VisitCommand::Mark { fixing, holes, to, slot } => bench.mark_as(&fixing, &holes, to, slot),
        VisitCommand::Renew { fixing, holes } => bench.renew_holes(&fixing, holes),
        VisitCommand::Cap { opening, count } => bench.cap_opening(opening, count),
        VisitCommand::Uncap { opening, count } => bench.uncap_opening(opening, count),
        VisitCommand::Task { task, to } => bench.mark_task(task, to),
        VisitCommand::TakeOut { put_in, count } => bench.take_thing_out(put_in, count),
        VisitCommand::UndoLast { device } => bench.undo_last_decision(&device),
    }?;
    Ok(bench.add_step_effects(bodies))
}

/// Checked for every command: the visit has begun and is not closed.
fn check_visit_open(visit: &Visit, command: &VisitCommand) -> Result<(), Refusal> {
    if visit.opened.is_none() && !matches!(command, VisitCommand::Say(VisitBody::Opened { .. })) {
        return Err(Refusal::new(RefusalKind::NotBegun, "the visit has not been opened", "open it first"));
    }
    let after_the_end = matches!(
        command,
        VisitCommand::UndoLast { .. }
            | VisitCommand::Say(
                VisitBody::Undone { .. }
                    | VisitBody::Noted { .. }
                    | VisitBody::Pictured { .. }
                    | VisitBody::Answered { .. }
            )
    );
    if visit.closed.is_some() && !after_the_end {
        return Err(Refusal::new(
            RefusalKind::Closed,
            "the visit is closed",
            "reopen it by undoing the closing",
        ));
    }
    Ok(())
}

impl<'a> DecisionContext<'a> {
    /// What is written down unchanged, where the rules let it.
    pub(crate) fn say_checked(&self, body: VisitBody) -> Decision {
        self.check_body(&body).map(|()| vec![body])
    }

    /// The rules of the bench for what is written down unchanged; one arm for each kind.
    fn check_body(&self, body: &VisitBody) -> Result<(), Refusal> {
        use VisitBody as B;
        match body {
            B::Opened { letter, .. } => self.check_opening(letter),
            B::Renewed { fixing, holes } => self.renew_holes(fixing, holes.clone()).map(drop),
            B::Marked { fixing, to, .. } => self.check_said_mark(fixing, *to),
            B::Settled { fastener, to } => self.check_settling(fastener, *to),
            B::FigureGiven { fixing, figure, source, name } => {
                self.check_given_figure(fixing, figure, source, name)
            }
            B::FigureWaived { fixing, reason, name } => self.check_waived_figure(fixing, reason, name),
            B::WentOn { .. } if self.visit.went_on.is_some() => {
                Err(refuse_nothing_to_do("somebody has gone on already"))
            }
            B::WentOn { name, .. } => require_text(name, "the name of who goes on"),
            B::Gathered { what, .. } => require_text(what, "what is at hand"),
            B::PartSeen { title, .. } => require_text(title, "what the part is called"),
            B::Told { value, .. } => require_text(value, "what is told"),
            B::PartOff { part } => self.check_part_off(part),
            B::PartOn { part } => self.check_part_on(part),
            B::Established { condition } => self.check_establishing(condition),
            B::Restored { condition } => self.check_restoring(condition),
            B::Capped { opening, count } => self.cap_opening(opening.clone(), Some(*count)).map(drop),
            B::Uncapped { opening, count } => self.uncap_opening(opening.clone(), Some(*count)).map(drop),
            B::SettingChanged { setting, value } => self.check_setting_change(setting, value),
            B::Task { task, to, .. } => self.mark_task(task.clone(), *to).map(drop),
            B::PutIn { count: 0, .. } => Err(refuse_nothing_to_do("the count is 0")),
            B::TakenOut { put_in, count } => self.take_thing_out(put_in.clone(), Some(*count)).map(drop),
            B::Piece { piece, count, to } => self.check_piece(piece, *count, to),
            B::DealtWith { happening, .. } => self.check_happening_open(happening),
            B::GivenUp { happening, searched, name } => self.check_giving_up(happening, searched, name),
            B::WaitOver { wait } => self.check_wait_runs(wait),
            B::Answered { finding, .. } | B::FindingDone { finding, .. } => self.check_finding_known(finding),
            B::Paused { .. } if self.visit.current_pause().is_some() => {
                Err(refuse_nothing_to_do("work is already paused"))
            }
            B::Resumed if self.visit.current_pause().is_none() => {
                Err(refuse_nothing_to_do("work is not paused"))
            }
            B::LookedAgain { event, method } => self.check_second_look(event, method),
            B::Overridden { line, reason, name } => self.check_acceptance(line, reason, name),
            B::Closed { name } => self.check_closing(name),
            B::Undone { event } => self.check_undoing(event),
            B::BasedOn { .. }
            | B::Planned { .. }
            | B::FixingSeen { .. }
            | B::HeadsMeasured { .. }
            | B::RouteSeen { .. }
            | B::Extra { .. }
            | B::PutIn { .. }
            | B::Happened { .. }
            | B::WaitBegan { .. }
            | B::Read { .. }
            | B::Pictured { .. }
            | B::Noted { .. }
            | B::Found { .. }
            | B::RiskTold { .. }
            | B::Paused { .. }
            | B::Resumed
            | B::Counted { .. } => Ok(()),
        }
    }

    fn check_opening(&self, letter: &str) -> Result<(), Refusal> {
        if self.visit.opened.is_some() {
            return Err(Refusal::new(RefusalKind::Begun, "the visit is already open", "continue with it"));
        }
        require_text(letter, "a letter for the vehicle")
    }

    /// The visit closes when nothing is open except what was accepted.
    fn check_closing(&self, name: &str) -> Result<(), Refusal> {
        require_text(name, "the name of the person handing over")?;
        let ledger = Ledger::draw_up(self.visit, self.names.book);
        let against = ledger.open_lines().map(crate::ledger::LedgerLine::to_refusal_reason).collect();
        Refusal::unless_empty(RefusalKind::LedgerOpen, against)
    }

    /// The book, for rules that cannot do without it.
    pub(crate) fn require_book(&self) -> Result<&'a Book, Refusal> {
        let what = "the visit has no book";
        self.names.book.ok_or_else(|| Refusal::new(RefusalKind::NoBook, what, "give it a book"))
    }

    /// The plan, for rules that cannot do without it.
    pub(crate) fn require_plan(&self) -> Result<&'a Plan, Refusal> {
        let what = "the visit has no plan";
        self.plan.ok_or_else(|| Refusal::new(RefusalKind::NoPlan, what, "plan it"))
    }
}

/// A text that must not be empty.
pub(crate) fn require_text(text: &str, what: &str) -> Result<(), Refusal> {
    if text.trim().is_empty() {
        return Err(Refusal::new(RefusalKind::NameWanted, format!("{what} is required"), "enter it"));
    }
    Ok(())
}

pub(crate) fn refuse_unknown(what: &str, key: &str) -> Refusal {
    Refusal::new(
        RefusalKind::Unknown,
        format!("there is no {what} “{key}”"),
        "check that book, plan and visit belong together",
    )
}

pub(crate) fn refuse_nothing_to_do(what: impl Into<String>) -> Refusal {
    Refusal::new(RefusalKind::NothingToDo, what, "nothing to do")
}
