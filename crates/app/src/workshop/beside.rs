//! One set of trays and one row of letters for all open visits: what is taken is given to no other vehicle.

use model::plan::Plan;
use model::{Book, SlotAddress, Store};
use plan::slots::CompartmentsInUse;
use record::VisitId;

use super::{Workshop, WorkshopError};

impl Workshop {
    /// The first letter of A to Z that no open visit has.
    #[must_use]
    pub fn free_letter(&mut self) -> Option<String> {
        let taken = self.letters_in_use();
        let mut all = ('A'..='Z').map(String::from);
        all.find(|letter| taken.iter().all(|(known, _)| known != letter))
    }

    /// Letters of the open visits, each with what the vehicle is called.
    fn letters_in_use(&mut self) -> Vec<(String, String)> {
        let mut taken = Vec::new();
        for id in self.list_visits().unwrap_or_default() {
            // A visit that cannot be read has no letter.
            let Ok(live) = self.visit(&id) else { continue };
            let opened = live.state().opened.as_ref().filter(|_| live.state().closed.is_none());
            taken.extend(opened.map(|opened| (opened.letter.clone(), opened.name.clone())));
        }
        taken
    }

    /// Refuses a letter that an open visit has; asked before a plan is made with it.
    ///
    /// # Errors
    /// [`WorkshopError::TakenLetter`] with one that is free.
    pub fn require_free_letter(&mut self, letter: &str) -> Result<(), WorkshopError> {
        let taken = self.letters_in_use();
        let Some((_, name)) = taken.iter().find(|(known, _)| known == letter) else { return Ok(()) };
        let of = if name.is_empty() { format!("vehicle {letter}") } else { name.clone() };
        Err(WorkshopError::TakenLetter { letter: letter.to_owned(), of, free: self.free_letter() })
    }

    /// The compartments that open visits other than one have: those of their plans, and those in which something of theirs lies.
    pub(super) fn compartments_in_use(
        &mut self,
        except: Option<&VisitId>,
    ) -> Result<CompartmentsInUse, WorkshopError> {
        let mut in_use = CompartmentsInUse::new();
        for id in self.list_visits()?.iter().filter(|id| Some(*id) != except) {
            let Ok(live) = self.visit(id) else { continue };
            let Some(opened) = live.state().opened.as_ref() else { continue };
            if live.state().closed.is_some() {
                continue;
            }
            let Some(store) = live.store() else { continue };
            let planned = live.plan().into_iter().flat_map(|plan| &plan.slots).map(|line| line.slot.clone());
            let lying = live
                .state()
                .fasteners
                .iter()
                .filter_map(|(_, _, fastener)| SlotAddress::parse(fastener.slot.as_deref()?).ok());
            for slot in planned.chain(lying) {
                for tray in &store.trays {
                    let number = slot.compartment_of(&opened.letter, &tray.key);
                    in_use.extend(number.map(|number| (tray.key.clone(), number)));
                }
            }
        }
        Ok(in_use)
    }
}

/// What the judge says of the slots of a plan.
///
/// # Errors
/// [`WorkshopError::Rest`] with the first that does not do.
pub(super) fn reject_slots(book: &Book, store: &Store, plan: &Plan) -> Result<(), WorkshopError> {
    let found = judge::judge_plan(book, store, plan);
    let is_slot = |code: &str| code.starts_with("J80") || code.starts_with("J81") || code.starts_with("J82");
    match found.iter().find(|found| is_slot(found.code)) {
        Some(first) => Err(WorkshopError::Rest(format!(
            "the judge rejects the slots beside the other vehicles: {first}"
        ))),
        None => Ok(()),
    }
}
