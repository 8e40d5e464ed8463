//! Figures that may be in doubt: exact, or `between 10 and 12 mm`.

use faults::{BadText, Spanned};
use serde_json::{Value as JsonValue, json};
use toml_edit::{Item, Value};
use units::Known;

use crate::desk::ReadingDesk;
use crate::form::{QuantityForm, ValueForm};
use crate::input::FieldInput;
use crate::names::NameDirectory;
use crate::quantity::FormQuantity;
use crate::spot::PlacedValue;

/// A figure with its unit, exact or between two ends, both within limits.
#[derive(Debug, Clone)]
pub struct KnownForm<Q>(QuantityForm<Q>);

/// A figure that may be written as a doubt as well; a key left out says that nothing is known.
#[must_use]
pub const fn known<Q>(exact: QuantityForm<Q>) -> KnownForm<Q> {
    KnownForm(exact)
}

/// The two ends of `between 10 and 12 mm` as texts with their unit; nothing for any other text.
fn split_doubt(text: &str) -> Option<(String, String)> {
    let (low, high) = text.trim().strip_prefix("between ")?.split_once(" and ")?;
    let (low, high) = (low.trim(), high.trim());
    let unit = high.trim_start_matches(|c: char| c.is_ascii_digit() || "+-.,/ ".contains(c)).trim();
    let is_bare = low.ends_with(|c: char| c.is_ascii_digit());
    let low = if is_bare && !unit.is_empty() { format!("{low} {unit}") } else { low.to_owned() };
    Some((low, high.to_owned()))
}

impl<Q: FormQuantity> ValueForm for KnownForm<Q> {
    type Value = Known<Q>;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Known<Q>>> {
        let text = input.doubt_text();
        let Some((low, high)) = text.as_ref().and_then(|text| split_doubt(&text.value)) else {
            return self.0.read(input, desk).map(|placed| placed.map(Known::Exact));
        };
        let span = text?.span;
        let end = |figure: String| self.0.read(input.with_text(Spanned::new(figure, span), desk.bag), desk);
        let (low, high) = (end(low), end(high));
        let (low, high) = (low?.value, high?.value);
        if low > high {
            let bad = format!("the ends of `{}` are reversed; write the lower one first", input.name());
            return input.report_bad_text(BadText::from(bad));
        }
        Some(Spanned::new(Known::between(low, high), span).into())
    }

    fn write(&self, value: &Known<Q>, names: &NameDirectory) -> Item {
        match value {
            Known::Nothing => Item::None,
            Known::Exact(figure) => self.0.write(figure, names),
            Known::Between(low, high) => {
                let text = |figure: &Q| match figure.to_toml() {
                    Value::String(text) => text.value().clone(),
                    number => number.to_string().trim().to_owned(),
                };
                toml_edit::value(format!("between {} and {}", text(low), text(high)))
            }
        }
    }

    fn schema(&self) -> JsonValue {
        json!({ "anyOf": [self.0.schema(), { "type": "string", "pattern": "^between .+ and .+" }] })
    }

    fn words(&self) -> String {
        format!("{}, or `between … and …`", self.0.words())
    }
}
