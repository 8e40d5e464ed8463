//! A plan for a visit that began from nothing, or whose book has grown: the rest of it, from where the work stands.
//!
//! The grown book becomes the visit's own, with a task for what the engine was opened for. The whole job is planned on it, its slots are
//! put where the fasteners really lie, and what is done is taken out; the judge reads what is left.

use std::collections::BTreeSet;

use archive::{ArchivedDocument, EventArchive, content_digest};
use effort::SolverBudget;
use model::plan::{KitObjective, Plan, SlotLine};
use model::{Book, KeepPlace, SlotAddress, Store};
use record::{Visit, VisitBody, VisitId};

use super::grown::{BookWords, GrowthWanted, SEEN_TASK, grow, slot_told};
use super::replan::RestPlanInput;
use super::{RemadePlan, Workshop, WorkshopError, bundle};
use crate::ask::{self, PlanRequest, SilentObserver};

/// A store of no tools, for a workshop that has not told its own.
const NO_TOOLS: &str = "format = \"traywright-store/1\"\ntitle = \"no tools told\"\n";

/// All that planning needs.
pub struct SeenPlanInput {
    visit: VisitId,
    book: Book,
    texts: [ArchivedDocument; 2],
    store: Store,
    tasks: Vec<String>,
    state: Visit,
    events: u64,
}

/// The rest, planned on the grown book and judged.
pub struct SeenPlan {
    remade: RemadePlan,
    texts: [ArchivedDocument; 2],
    figures_missing: BTreeSet<String>,
}

impl SeenPlanInput {
    /// Plans the rest.
    ///
    /// # Errors
    /// [`WorkshopError::Ask`] or [`WorkshopError::Rest`] with why there is no plan, or with what the judge found in it.
    pub fn plan_rest(self, budget: SolverBudget<'_>) -> Result<SeenPlan, WorkshopError> {
        let letter =
            self.state.opened.as_ref().map_or_else(|| String::from("A"), |opened| opened.letter.clone());
        let request = PlanRequest {
            vehicle: letter.clone(),
            tasks: self.tasks.clone(),
            objective: KitObjective::Balanced,
            seconds: None,
            stop_after_s: None,
            seed: 1,
            threads: 2,
        };
        let mut whole = ask::make_judged_plan(&self.book, &self.store, &request, &SilentObserver)?.plan;
        put_slots_where_things_lie(&mut whole, &self.state, &letter);
        let figures_missing = self.book.figures_missing();
        let why = String::from("what was seen is taken in");
        let rest = RestPlanInput::from_texts(
            (self.visit, self.book, self.store, whole),
            (self.state, self.events, why),
        );
        Ok(SeenPlan { remade: rest.plan_rest(budget)?, texts: self.texts, figures_missing })
    }
}

/// Gives every fixing that is off the slot in which it lies, and no other fixing that slot.
fn put_slots_where_things_lie(plan: &mut Plan, visit: &Visit, letter: &str) {
    let told =
        |line: &SlotLine| slot_told(visit, &line.fixing).and_then(|slot| SlotAddress::parse(slot).ok());
    let taken: BTreeSet<SlotAddress> = plan.slots.iter().filter_map(told).collect();
    let highest = |slot: &SlotAddress| if let SlotAddress::Bag { number, .. } = slot { *number } else { 0 };
    let mut bags =
        taken.iter().chain(plan.slots.iter().map(|line| &line.slot)).map(highest).max().unwrap_or(0);
    for line in &mut plan.slots {
        if let Some(slot) = told(line) {
            (line.keep, line.slot) = (keep_of(&slot, line.keep), slot);
        } else if taken.contains(&line.slot)
            && !matches!(line.slot, SlotAddress::OnPart | SlotAddress::InHole)
        {
            bags = bags.saturating_add(1);
            line.slot = SlotAddress::Bag { vehicle: letter.to_owned(), number: bags };
            line.keep = KeepPlace::Bag;
        }
    }
}

/// The way of keeping that an address is of.
const fn keep_of(slot: &SlotAddress, otherwise: KeepPlace) -> KeepPlace {
    match slot {
        SlotAddress::Compartment { .. } => KeepPlace::Tray,
        SlotAddress::Bag { .. } => KeepPlace::Bag,
        SlotAddress::HoleCard { .. } => KeepPlace::HoleCard,
        SlotAddress::OnPart => KeepPlace::OnPart,
        SlotAddress::InHole => KeepPlace::InHole,
        SlotAddress::Scrap => otherwise,
    }
}

impl Workshop {
    /// All that planning a visit on its grown book needs.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`]; [`WorkshopError::Missing`] where nothing was seen yet; [`WorkshopError::Rest`] where what was seen
    /// makes no book.
    pub fn prepare_seen_plan(&mut self, visit: &VisitId) -> Result<SeenPlanInput, WorkshopError> {
        let live = self.visit(visit)?;
        let state = live.state().clone();
        let wanted = GrowthWanted { with_figures: false, with_task: true, with_late_places: true };
        let words = BookWords::of_visit(&state);
        let grown = grow(live.base_book(), &state, (wanted, &words)).ok_or_else(|| {
            WorkshopError::Missing(String::from(
                "nothing was told of this engine yet; tell what comes off next, or what is seen",
            ))
        })?;
        let book = grown.book.ok_or_else(|| {
            WorkshopError::Rest(String::from(
                "what was seen makes no book that can be read; the record of it is kept",
            ))
        })?;
        let book_text = bundle::texts_document([("seen.toml", grown.text.as_str())]);
        let named = state.based_on.as_ref().and_then(|based| based.store.clone());
        let (store, store_text) = match (live.store().cloned(), named) {
            (Some(store), Some(name)) => (store, bundle::require_document(self.archive(), &name)?),
            _ => no_tools(),
        };
        let live = self.visit(visit)?;
        let asked = live.plan().map(|plan| plan.asked.tasks.clone()).unwrap_or_default();
        let mut tasks: Vec<String> =
            asked.into_iter().filter(|task| book.task_by_key(task).is_some()).collect();
        tasks.push(SEEN_TASK.to_owned());
        let events = live.history().event_count();
        Ok(SeenPlanInput {
            visit: visit.clone(),
            book,
            texts: [book_text, store_text],
            store,
            tasks,
            state,
            events,
        })
    }

    /// Works by the plan from now on; `false` when the visit has gone on meanwhile and it has to be made again.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn adopt_seen_plan(&mut self, made: &SeenPlan) -> Result<bool, WorkshopError> {
        let visit = made.remade.visit().clone();
        if !self.is_as_planned(&made.remade)? {
            return Ok(false);
        }
        for text in &made.texts {
            self.archive.put_document(text)?;
        }
        let [book, store] = made.texts.each_ref().map(|text| Some(content_digest(&text.bytes)));
        let device = self.device.clone();
        let based = VisitBody::BasedOn { book, store, figures_missing: made.figures_missing.clone() };
        self.carry_out_command(&visit, &device, &based.into())?;
        self.put_plan_in_force(&made.remade)?;
        Ok(true)
    }
}

fn no_tools() -> (Store, ArchivedDocument) {
    let document = bundle::texts_document([("store.toml", NO_TOOLS)]);
    let store = tools::read_store(&[(String::from("store.toml"), NO_TOOLS.as_bytes().to_vec())]).store;
    (store.expect("a store of no tools reads"), document)
}
