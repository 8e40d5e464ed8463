//! The demo's visit: stripped half-way, with something seized, something lost, and the work interrupted.
//!
//! All of it is invented, as the demo's books are.

use std::collections::BTreeSet;
use std::path::Path;

use model::plan::{KitObjective, Step, StepKind};
use model::{Act, FastenerState};
use record::{EventPlace, JournalCommand, VisitHappeningKind, VisitId, steps_of};

use super::{NewVisit, Workshop, WorkshopError};
use crate::ask::{PlanRequest, ProgressObserver};

/// Share of the strip that is done.
const DONE_FRACTION: f64 = 0.5;

impl Workshop {
    /// Opens the demo's visit and works it to the middle of the strip.
    ///
    /// # Errors
    /// [`WorkshopError`] when the demo cannot be read or planned, or the disk refuses.
    pub fn begin_half_way(
        &mut self,
        demo: &Path,
        seconds: f64,
        progress: &dyn ProgressObserver,
    ) -> Result<VisitId, WorkshopError> {
        let new = NewVisit {
            name: String::from("co-operative's bus 7 (invented)"),
            odometer: Some(String::from("412,300 km")),
            book: demo.join("books").join("tern-24"),
            store: demo.join("store"),
            request: PlanRequest {
                vehicle: String::from("A"),
                tasks: Vec::new(),
                objective: KitObjective::LeastToCarry,
                seconds,
                seed: 1,
                threads: 2,
            },
        };
        let visit = self.begin_visit(&new, progress)?;
        self.strip_half(&visit)?;
        self.leave_open(&visit)?;
        Ok(visit)
    }

    /// Ticks the first half of the strip; the last opening uncovered stays without its cap.
    fn strip_half(&mut self, visit: &VisitId) -> Result<(), WorkshopError> {
        let device = self.device().clone();
        let steps: Vec<Step> = self.visit(visit)?.plan().strip.steps.clone();
        let wanted = (steps.len() as f64 * DONE_FRACTION) as usize;
        let cap = steps.iter().enumerate().rev().find(|(at, s)| *at < wanted && s.kind == StepKind::Cap);
        let left_open = cap.map(|(at, _)| at);
        for (at, step) in steps.iter().take(wanted).enumerate() {
            if Some(at) == left_open {
                continue;
            }
            self.tick_through(visit, &device, step.number)?;
        }
        Ok(())
    }

    /// Ticks a step until nothing of it is left.
    fn tick_through(
        &mut self,
        visit: &VisitId,
        device: &record::DeviceId,
        step: u32,
    ) -> Result<(), WorkshopError> {
        loop {
            match self.carry_out_command(visit, device, &JournalCommand::Tick { step }) {
                Ok(_) => {}
                Err(WorkshopError::Refused(_)) => return Ok(()),
                Err(error) => return Err(error),
            }
        }
    }

    /// What an interrupted afternoon leaves: a lost nut, a seized bolt, a bolt put back by hand, and a note.
    fn leave_open(&mut self, visit: &VisitId) -> Result<(), WorkshopError> {
        let device = self.device().clone();
        let live = self.visit(visit)?;
        let off = live
            .state()
            .fasteners
            .iter()
            .filter(|(_, _, f)| f.state == FastenerState::Off)
            .find(|(fixing, _, _)| {
                let id = live.book().fixing_by_key(fixing);
                id.is_some_and(|id| {
                    !live.state().is_part_off(&live.book().part(live.book().fixing(id).part).key)
                })
            })
            .map(|(fixing, hole, _)| (fixing.to_owned(), hole.to_owned()));
        let next = steps_of(live.plan())
            .filter(|s| s.kind == StepKind::Undo)
            .find(|s| s.fixings.iter().any(|f| live.state().fasteners.of_fixing(f).next().is_none()))
            .cloned();
        let frees = next.as_ref().and_then(|step| {
            let action = step
                .actions
                .iter()
                .find(|a| live.plan().duties.get(a.duty).is_some_and(|d| d.act == Act::Free))?;
            let fixing = live.plan().duties.get(action.duty)?.fixing.clone();
            Some((step.number, fixing, action.holes.first()?.clone()))
        });
        if let Some((fixing, hole)) = off {
            let holes = BTreeSet::from([hole]);
            let to = FastenerState::FingerTight;
            self.carry_out_command(visit, &device, &JournalCommand::Mark { fixing, holes, to, slot: None })?;
        }
        let lost = JournalCommand::Happened {
            what: VisitHappeningKind::Lost,
            at: EventPlace { step: next.as_ref().map(|s| s.number), ..EventPlace::default() },
            words: String::from("one M6 flange nut, dropped behind the manifold"),
        };
        self.carry_out_command(visit, &device, &lost)?;
        if let Some((step, fixing, hole)) = frees {
            let at = EventPlace {
                fixing: Some(fixing),
                hole: Some(hole),
                step: Some(step),
                ..EventPlace::default()
            };
            let seized = JournalCommand::Happened {
                what: VisitHappeningKind::Seized,
                at,
                words: String::from("does not move at the figure; soaking over night"),
            };
            self.carry_out_command(visit, &device, &seized)?;
        }
        let pause = JournalCommand::Pause {
            words: String::from(
                "Owner on the telephone. The nut is still behind the manifold; mirror and magnet are on the cart.",
            ),
            at: EventPlace { step: next.map(|s| s.number), ..EventPlace::default() },
        };
        self.carry_out_command(visit, &device, &pause)?;
        Ok(())
    }
}
