//! Parts off and on, conditions made and undone, openings capped and opened.

use model::{ConditionKind, Need, Part};

use super::{Bench, Decision, nothing, unknown};
use crate::ledger::{LineKind, line_key};
use crate::refusal::{Against, Refusal, Why};
use crate::visit::PutIn;
use crate::{Body, Ledger};

impl Bench<'_> {
    /// A part comes off when its fasteners are out; a captive one only has to be loose, a broken one holds nothing.
    pub(super) fn part_off(&self, key: String) -> Decision {
        let id = self.names.part_id(&key).ok_or_else(|| unknown("part", &key))?;
        if self.visit.is_off(&key) {
            return Err(nothing("it is off already"));
        }
        let mut against = Vec::new();
        for fixing in self.names.book.fixings_of(id).map(|f| self.names.book.fixing(f)) {
            for hole in &fixing.holes {
                let state = self.visit.state(&fixing.key, &hole.label);
                let loose = fixing.captive && state == model::FastenerState::Freed;
                if crate::visit::is_in(state) && !loose {
                    against.push(self.against(fixing, &hole.label, "take it out first"));
                }
            }
        }
        Refusal::unless_none(Why::StillIn, against)?;
        Ok(vec![Body::PartOff { part: key }])
    }

    /// A part goes on after those behind it, and after everything that was put in behind it came out.
    pub(super) fn part_on(&self, key: String) -> Decision {
        let id = self.names.part_id(&key).ok_or_else(|| unknown("part", &key))?;
        if !self.visit.is_off(&key) {
            return Err(nothing("it is on already"));
        }
        let behind = self.names.behind(id).filter(|p| self.visit.is_off(&p.key));
        let against = behind.map(|p| self.part_is_off(p, "set it in place first; it goes behind"));
        Refusal::unless_none(Why::OtherFirst, against.collect())?;
        Refusal::unless_none(Why::StillInside, self.inside(self.names.book.part(id)))?;
        Ok(vec![Body::PartOn { part: key }])
    }

    fn part_is_off(&self, part: &Part, closes: &str) -> Against {
        let line = Some(line_key(LineKind::PartOff, &[&part.key]));
        Against { line, what: format!("{} is off", part.title), closes: closes.into() }
    }

    /// Caps and things put in that a part would shut in, but for those accepted.
    fn inside(&self, part: &Part) -> Vec<Against> {
        let openings: Vec<&str> =
            part.uncovers.iter().map(|o| self.names.book.opening(*o).key.as_str()).collect();
        let ledger = Ledger::of(self.visit, self.names.book);
        let is_behind = |put_in: &PutIn| {
            let opening = put_in.at.opening.as_deref();
            put_in.at.part.as_ref() == Some(&part.key) || opening.is_some_and(|o| openings.contains(&o))
        };
        let shuts_in = |line: &&crate::ledger::Line| match line.kind {
            LineKind::CapsIn => openings.contains(&line.of.as_str()),
            LineKind::PutIn => self.visit.put_ins.get(&line.since.event).is_some_and(is_behind),
            _ => false,
        };
        ledger.open().filter(shuts_in).map(crate::ledger::Line::against).collect()
    }

    pub(super) fn establish(&self, condition: String) -> Decision {
        self.names.condition(&condition).ok_or_else(|| unknown("condition", &condition))?;
        if self.visit.holds(&condition) {
            return Err(nothing("it is so already"));
        }
        Ok(vec![Body::Established { condition }])
    }

    /// A condition is undone after the parts that needed it are on; a fluid is filled after their fasteners are tight too.
    pub(super) fn restore(&self, key: String) -> Decision {
        let condition = self.names.condition(&key).ok_or_else(|| unknown("condition", &key))?;
        if !self.visit.holds(&key) {
            return Err(nothing("it was never so, or is undone already"));
        }
        let needs = |part: &&Part| {
            let is_it =
                |n: &Need| matches!(n, Need::Condition(c) if self.names.book.condition(*c).key == key);
            part.needs.iter().any(is_it)
        };
        let parts: Vec<&str> = self.names.book.parts.iter().filter(needs).map(|p| p.key.as_str()).collect();
        let filled = condition.kind == ConditionKind::Drained;
        let ledger = Ledger::of(self.visit, self.names.book);
        let before = |line: &&crate::ledger::Line| {
            let wanted = line.kind == LineKind::PartOff || (filled && line.kind.is_fastener());
            wanted && line.at.part.as_deref().is_some_and(|p| parts.contains(&p))
        };
        let against = ledger.open().filter(before).map(crate::ledger::Line::against).collect();
        Refusal::unless_none(Why::OtherFirst, against)?;
        Ok(vec![Body::Restored { condition: key }])
    }

    pub(super) fn cap(&self, opening: String, count: Option<u16>) -> Decision {
        let known = self.names.opening(&opening).ok_or_else(|| unknown("opening", &opening))?;
        let count = count.unwrap_or(known.count);
        if count > known.count {
            let what = format!("{} takes {} at most", known.title, known.count);
            return Err(Refusal::new(Why::TooMany, what, "count the caps"));
        }
        if self.visit.caps_in(&opening) == u32::from(count) {
            return Err(nothing("they are in already"));
        }
        Ok(vec![Body::Capped { opening, count }])
    }

    pub(super) fn uncap(&self, opening: String, count: Option<u16>) -> Decision {
        self.names.opening(&opening).ok_or_else(|| unknown("opening", &opening))?;
        let inside = u16::try_from(self.visit.caps_in(&opening)).unwrap_or(u16::MAX);
        let count = count.unwrap_or(inside);
        if inside == 0 || count == 0 {
            return Err(nothing("no cap is in"));
        }
        if count > inside {
            let what = format!("{inside} are in, {count} are said to come out");
            return Err(Refusal::new(Why::TooMany, what, "count the caps"));
        }
        Ok(vec![Body::Uncapped { opening, count }])
    }
}
