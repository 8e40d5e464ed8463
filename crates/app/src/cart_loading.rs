//! The cart: what is on it at which step, for a plan and a number of places, judged before it is shown.

use effort::SolverBudget;
use judge::Violation;
use model::Store;
use model::cart::{CabinetWalk, CartLoad};
use model::plan::Plan;
use plan::cart_layout::CartLoadRequest;

use crate::ask::AskError;

/// A loading and what the judge says of it.
#[derive(Debug)]
pub struct JudgedCart {
    /// The loading.
    pub load: CartLoad,
    /// What the judge found; empty when clean.
    pub violations: Vec<Violation>,
}

/// Loads the cart for a plan; without `places`, the store's own number is used. `walks` are of the form
/// `cabinet=seconds`.
///
/// # Errors
/// [`AskError::Argument`] where no places are known, a step does not fit them, a walk cannot be read or the plan is not of
/// this store.
pub fn load_judged_cart(
    store: &Store,
    plan: &Plan,
    places: Option<u16>,
    walks: &[String],
) -> Result<JudgedCart, AskError> {
    let places = places.or(store.cart_places).ok_or_else(|| {
        AskError::argument_error("the store does not say how many places the cart has; give --places".into())
    })?;
    let walks = walks.iter().map(|w| parse_walk(w)).collect::<Result<Vec<_>, _>>()?;
    let asked = CartLoadRequest { places, walks };
    let load = plan::cart_layout::lay_out_cart(store, plan, &asked, &SolverBudget::sized())
        .map_err(|e| AskError::argument_error(e.to_string()))?;
    let violations = judge::judge_cart(store, plan, &load);
    Ok(JudgedCart { load, violations })
}

/// Reads `red cabinet=20`.
fn parse_walk(text: &str) -> Result<CabinetWalk, AskError> {
    let read = text.rsplit_once('=').and_then(|(cabinet, seconds)| {
        let seconds = seconds.trim().trim_end_matches('s').trim_end().parse().ok()?;
        Some(CabinetWalk { cabinet: cabinet.trim().to_owned(), seconds })
    });
    read.ok_or_else(|| {
        let cabinet =
            text.split('=').next().map(str::trim).filter(|c| !c.is_empty()).unwrap_or("red cabinet");
        AskError::argument_error(format!(
            "`{text}` is not a walk; give the cabinet and its seconds, such as `{cabinet}=20`"
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_walk_is_a_cabinet_and_seconds() {
        let read = |text: &str| parse_walk(text).ok().map(|w| (w.cabinet, w.seconds));
        assert_eq!(read("red cabinet=20"), Some(("red cabinet".into(), 20.0)));
        assert_eq!(read(" a=b = 7.5 s"), Some(("a=b".into(), 7.5)));
        assert_eq!(read("red cabinet"), None);
        assert_eq!(read("red cabinet=far"), None);
    }
}
