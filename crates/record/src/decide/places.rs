//! Parts off and on, conditions made and undone, openings capped and opened.

use model::{Book, ConditionKind, Need, Part};

use super::{Decision, DecisionContext, refuse_nothing_to_do, refuse_unknown};
use crate::ledger::{LedgerLineKind, ledger_line_key};
use crate::refusal::{Refusal, RefusalKind, RefusalReason};
use crate::visit::ThingPutIn;
use crate::{Ledger, VisitBody};

impl DecisionContext<'_> {
    /// A part comes off when its fasteners are out; a captive or a slackened one only has to be loose, a broken one holds nothing.
    pub(super) fn check_part_off(&self, key: &str) -> Result<(), Refusal> {
        if self.visit.is_part_off(key) {
            return Err(refuse_nothing_to_do("it is already off"));
        }
        let Some(book) = self.names.book else { return Ok(()) };
        let id = self.names.part_id(key).ok_or_else(|| refuse_unknown("part", key))?;
        let mut against = Vec::new();
        for fixing in book.fixings_of(id).map(|f| book.fixing(f)) {
            for hole in &fixing.holes {
                let state = self.visit.fastener_state(&fixing.key, &hole.label);
                let loose = (fixing.captive || fixing.slackened) && state == model::FastenerState::Freed;
                if crate::visit::is_in_hole(state) && !loose {
                    against.push(self.hole_reason(fixing, &hole.label, "take it out first"));
                }
            }
        }
        Refusal::unless_empty(RefusalKind::StillIn, against)
    }

    /// A part goes on after those behind it, and after everything that was put in behind it came out.
    pub(super) fn check_part_on(&self, key: &str) -> Result<(), Refusal> {
        let Some(book) = self.names.book else { return self.check_off_without_book(key) };
        let id = self.names.part_id(key).ok_or_else(|| refuse_unknown("part", key))?;
        if !self.visit.is_part_off(key) {
            return Err(refuse_nothing_to_do("it is already on"));
        }
        let behind = self.names.parts_behind(id).filter(|p| self.visit.is_part_off(&p.key));
        let against = behind.map(|p| self.part_off_reason(p, "refit it first; it goes behind this part"));
        Refusal::unless_empty(RefusalKind::OtherFirst, against.collect())?;
        Refusal::unless_empty(RefusalKind::StillInside, self.shut_in_reasons(book, book.part(id)))
    }

    fn check_off_without_book(&self, key: &str) -> Result<(), Refusal> {
        if self.visit.is_part_off(key) { Ok(()) } else { Err(refuse_nothing_to_do("it is already on")) }
    }

    fn part_off_reason(&self, part: &Part, closes: &str) -> RefusalReason {
        let line = Some(ledger_line_key(LedgerLineKind::PartOff, &[&part.key]));
        RefusalReason { line, what: format!("{} is off", part.title), closes: closes.into() }
    }

    /// Caps and things put in that a part would shut in, but for those accepted.
    fn shut_in_reasons(&self, book: &Book, part: &Part) -> Vec<RefusalReason> {
        let openings: Vec<&str> = part.uncovers.iter().map(|o| book.opening(*o).key.as_str()).collect();
        let ledger = Ledger::draw_up(self.visit, book);
        let is_behind = |put_in: &ThingPutIn| {
            let opening = put_in.at.opening.as_deref();
            put_in.at.part.as_ref() == Some(&part.key) || opening.is_some_and(|o| openings.contains(&o))
        };
        let shuts_in = |line: &&crate::ledger::LedgerLine| match line.kind {
            LedgerLineKind::CapsIn => openings.contains(&line.of.as_str()),
            LedgerLineKind::PutIn => self.visit.put_ins.get(&line.since.event).is_some_and(is_behind),
            _ => false,
        };
        ledger.open_lines().filter(shuts_in).map(crate::ledger::LedgerLine::to_refusal_reason).collect()
    }

    pub(super) fn check_establishing(&self, key: &str) -> Result<(), Refusal> {
        if self.names.is_strange(self.names.condition(key)) {
            return Err(refuse_unknown("condition", key));
        }
        if self.visit.condition_holds(key) {
            return Err(refuse_nothing_to_do("this condition already holds"));
        }
        Ok(())
    }

    /// A condition is undone after the parts that needed it are on; a fluid is filled after their fasteners are tight too.
    pub(super) fn check_restoring(&self, key: &str) -> Result<(), Refusal> {
        let condition = self.names.condition(key);
        if self.names.is_strange(condition) {
            return Err(refuse_unknown("condition", key));
        }
        if !self.visit.condition_holds(key) {
            return Err(refuse_nothing_to_do("this condition was never made, or has already been undone"));
        }
        let (Some(book), Some(condition)) = (self.names.book, condition) else { return Ok(()) };
        let needs = |part: &&Part| {
            let is_it = |n: &Need| matches!(n, Need::Condition(c) if book.condition(*c).key == key);
            part.needs.iter().any(is_it)
        };
        let parts: Vec<&str> = book.parts.iter().filter(needs).map(|p| p.key.as_str()).collect();
        let filled = condition.kind == ConditionKind::Drained;
        let ledger = Ledger::draw_up(self.visit, book);
        let before = |line: &&crate::ledger::LedgerLine| {
            let wanted = line.kind == LedgerLineKind::PartOff || (filled && line.kind.is_fastener());
            wanted && line.at.part.as_deref().is_some_and(|p| parts.contains(&p))
        };
        let against =
            ledger.open_lines().filter(before).map(crate::ledger::LedgerLine::to_refusal_reason).collect();
        Refusal::unless_empty(RefusalKind::OtherFirst, against)
    }

    pub(super) fn cap_opening(&self, opening: String, count: Option<u16>) -> Decision {
        self.require_book()?;
        let known = self.names.opening(&opening).ok_or_else(|| refuse_unknown("opening", &opening))?;
        let count = count.unwrap_or(known.count);
        if count > known.count {
            let what = format!("{} takes at most {}", known.title, known.count);
            return Err(Refusal::new(RefusalKind::TooMany, what, "count the caps"));
        }
        if self.visit.caps_in(&opening) == u32::from(count) {
            return Err(refuse_nothing_to_do("the caps are already in"));
        }
        Ok(vec![VisitBody::Capped { opening, count }])
    }

    pub(super) fn uncap_opening(&self, opening: String, count: Option<u16>) -> Decision {
        if self.names.is_strange(self.names.opening(&opening)) {
            return Err(refuse_unknown("opening", &opening));
        }
        let inside = u16::try_from(self.visit.caps_in(&opening)).unwrap_or(u16::MAX);
        let count = count.unwrap_or(inside);
        if inside == 0 || count == 0 {
            return Err(refuse_nothing_to_do("no cap is in place"));
        }
        if count > inside {
            let what = format!("only {inside} in, but {count} reported taken out");
            return Err(Refusal::new(RefusalKind::TooMany, what, "count the caps"));
        }
        Ok(vec![VisitBody::Uncapped { opening, count }])
    }
}
