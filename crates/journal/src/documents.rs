//! Which documents an event rests on.

use crate::{Body, Digest};

impl Body {
    /// The documents that it names.
    #[must_use]
    pub fn documents(&self) -> Vec<Digest> {
        match self {
            Self::Opened { book, store, plan, .. } => vec![book.clone(), store.clone(), plan.clone()],
            Self::Planned { plan, .. } => vec![plan.clone()],
            Self::Pictured { picture, original, .. } => vec![picture.clone(), original.clone()],
            _ => Vec::new(),
        }
    }
}
