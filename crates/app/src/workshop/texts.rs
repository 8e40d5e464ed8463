//! Book, tool store and plan of a visit: each may be missing, and one that cannot be read hurts nothing but what needs it.

use std::collections::BTreeSet;

use archive::{ArchiveError, ArchivedDocument, EventArchive, content_digest};
use model::plan::Plan;
use model::{Book, Store};
use plan::slots::{CompartmentsInUse, lay_slots_beside};
use record::{ContentDigest, Visit, VisitBody};

use super::beside::reject_slots;
use super::{NewVisit, WorkshopError, bundle};
use crate::ask::{self, ProgressObserver};

/// Book, tool store and plan, as far as there are any.
#[derive(Debug, Default)]
pub(super) struct VisitTexts {
    pub(super) book: Option<Book>,
    pub(super) store: Option<Store>,
    pub(super) plan: Option<Plan>,
    /// Texts that cannot be read, each with why.
    pub(super) unreadable: Vec<String>,
    /// What a new visit is to keep.
    documents: NewDocuments,
}

/// Documents of a new visit.
#[derive(Debug, Default)]
struct NewDocuments {
    book: Option<ArchivedDocument>,
    store: Option<ArchivedDocument>,
    plan: Option<ArchivedDocument>,
}

/// The names of a visit's texts: the plan in force first, then those before it, the latest first.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct NamedTexts {
    book: Option<ContentDigest>,
    store: Option<ContentDigest>,
    plans: Vec<ContentDigest>,
}

impl NamedTexts {
    pub(super) fn of_state(visit: &Visit) -> Self {
        let based = visit.based_on.as_ref();
        let plans = visit.planned.iter().chain(visit.earlier_plans.iter().rev());
        Self {
            book: based.and_then(|b| b.book.clone()),
            store: based.and_then(|b| b.store.clone()),
            plans: plans.map(|p| p.plan.clone()).collect(),
        }
    }
}

impl VisitTexts {
    /// Reads the texts of a new visit from disk, and plans it where that is asked.
    ///
    /// # Errors
    /// What cannot be read, or why there is no plan.
    pub(super) fn read_and_plan(
        new: &NewVisit,
        progress: &dyn ProgressObserver,
    ) -> Result<Self, WorkshopError> {
        let mut texts = Self::default();
        if let Some(path) = &new.book {
            let (book, document) = bundle::book_from(path)?;
            (texts.book, texts.documents.book) = (Some(book), Some(document));
        }
        if let Some(path) = &new.store {
            let (store, document) = bundle::store_from(path)?;
            (texts.store, texts.documents.store) = (Some(store), Some(document));
        }
        if let Some(request) = &new.request {
            let (Some(book), Some(store)) = (&texts.book, &texts.store) else {
                let words =
                    "a plan needs a book and a tool store; name both, or open the visit without a plan";
                return Err(WorkshopError::Missing(words.into()));
            };
            let answer = ask::make_judged_plan(book, store, request, progress)?;
            texts.documents.plan = Some(bundle::plan_document(&answer.plan));
            texts.plan = Some(answer.plan);
        }
        Ok(texts)
    }

    /// Lays the slots of a new plan beside those of the other open visits.
    ///
    /// # Errors
    /// [`WorkshopError::Rest`] where the judge finds a slot that does not do.
    pub(super) fn lay_beside(&mut self, in_use: &CompartmentsInUse) -> Result<(), WorkshopError> {
        let (Some(book), Some(store), Some(plan)) = (&self.book, &self.store, &mut self.plan) else {
            return Ok(());
        };
        if lay_slots_beside((book, store), plan, &[], in_use) {
            reject_slots(book, store, plan)?;
            self.documents.plan = Some(bundle::plan_document(plan));
        }
        Ok(())
    }

    /// What a new visit says of its texts, and the documents to keep.
    pub(super) fn bodies_and_documents(self) -> (Vec<VisitBody>, Vec<ArchivedDocument>) {
        let name = |document: &ArchivedDocument| content_digest(&document.bytes);
        let figures_missing = self.book.as_ref().map_or_else(BTreeSet::new, Book::figures_missing);
        let NewDocuments { book, store, plan } = self.documents;
        let mut bodies = Vec::new();
        if book.is_some() || store.is_some() {
            let (book, store) = (book.as_ref().map(name), store.as_ref().map(name));
            bodies.push(VisitBody::BasedOn { book, store, figures_missing });
        }
        bodies.extend(plan.as_ref().map(|p| VisitBody::Planned {
            plan: name(p),
            why: String::new(),
            again: Default::default(),
        }));
        (bodies, [book, store, plan].into_iter().flatten().collect())
    }

    /// Reads the texts that a visit names.
    ///
    /// # Errors
    /// When the archive itself cannot be read; a text that cannot be is listed and left out.
    pub(super) fn read_named(archive: &dyn EventArchive, named: &NamedTexts) -> Result<Self, WorkshopError> {
        let mut texts = Self::default();
        if let Some(name) = &named.book {
            let read = bundle::book_of_document(archive, name);
            texts.book = texts.keep_readable("book", read)?;
        }
        if let Some(name) = &named.store {
            let read = bundle::store_of_document(archive, name);
            texts.store = texts.keep_readable("tool store", read)?;
        }
        for (at, name) in named.plans.iter().enumerate() {
            let what = if at == 0 { "plan" } else { "plan before it" };
            let read = bundle::plan_of_document(archive, name);
            texts.plan = texts.keep_readable(what, read)?;
            if texts.plan.is_some() {
                break;
            }
        }
        Ok(texts)
    }

    fn keep_readable<T>(
        &mut self,
        what: &str,
        read: Result<T, WorkshopError>,
    ) -> Result<Option<T>, WorkshopError> {
        let why = match read {
            Ok(text) => return Ok(Some(text)),
            Err(WorkshopError::Document { name, reason }) => {
                format!("document {}: {reason}", &name.as_str()[..12])
            }
            Err(WorkshopError::Store(error @ ArchiveError::ChangedDocument(_))) => error.to_string(),
            Err(other) => return Err(other),
        };
        self.unreadable.push(format!("the {what} cannot be read: {why}"));
        Ok(None)
    }

    /// What is missing, and what to do about it.
    pub(super) fn missing_words(&self) -> String {
        let has = [self.book.is_some(), self.store.is_some(), self.plan.is_some()];
        let missing: Vec<&str> = ["book", "tool store", "plan"]
            .into_iter()
            .zip(has)
            .filter(|(_, has)| !has)
            .map(|(w, _)| w)
            .collect();
        match missing.split_last() {
            None => String::new(),
            Some((last, rest)) => {
                let list = if rest.is_empty() { String::new() } else { format!("{} or ", rest.join(", ")) };
                let on = "notes, pictures, counts, the ledger and breaks work without; to work by steps, tell what comes off under “Comes off next”, or open a visit with `traywright visit new --book BOOK --store STORE`";
                format!("this visit has no {list}{last}; {on}")
            }
        }
    }
}
