//! The forms that a value can have: each reads, writes and describes one kind of value.

use core::fmt::Display;
use core::marker::PhantomData;
use core::ops::RangeInclusive;

use faults::{BadText, Fault, FaultRule, FromText, SourceSpan, Spanned};
use serde_json::{Value as JsonValue, json};
use toml_edit::{Item, Value};
use units::Money;

use crate::describe::TableDescription;
use crate::desk::ReadingDesk;
use crate::input::FieldInput;
use crate::names::NameDirectory;
use crate::quantity::FormQuantity;
use crate::spot::PlacedValue;

/// How one kind of value is read, written and described.
pub trait ValueForm: Send + Sync + 'static {
    /// The value in the model or its draft.
    type Value;

    /// Reads a value that was written; faults go to the desk, and then there is nothing.
    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Self::Value>>;

    /// The value as TOML; reading it gives the value again.
    fn write(&self, value: &Self::Value, names: &NameDirectory) -> Item;

    /// The JSON Schema of the value.
    fn schema(&self) -> JsonValue;

    /// What the value is, in a few words of Markdown for the reference page.
    fn words(&self) -> String;

    /// The tables that the value is made of.
    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        Vec::new()
    }
}

/// A rule about one text, which reports what is wrong with it.
pub type TextCheck = fn(&Spanned<String>) -> Option<Fault>;

/// A text, perhaps looked at by a rule.
#[derive(Debug, Clone, Copy)]
pub struct TextForm {
    words: &'static str,
    pattern: Option<&'static str>,
    constant: Option<&'static str>,
    check: Option<TextCheck>,
}

/// A text.
#[must_use]
pub const fn text() -> TextForm {
    TextForm { words: "text", pattern: None, constant: None, check: None }
}

impl TextForm {
    /// What the text is called on the reference page.
    #[must_use]
    pub const fn called(self, words: &'static str) -> Self {
        Self { words, ..self }
    }

    /// A regular expression for the schema.
    #[must_use]
    pub const fn pattern(self, pattern: &'static str) -> Self {
        Self { pattern: Some(pattern), ..self }
    }

    /// The only text that is allowed, for the schema.
    #[must_use]
    pub const fn constant(self, constant: &'static str) -> Self {
        Self { constant: Some(constant), ..self }
    }

    /// A rule that may report the text, which is kept all the same.
    #[must_use]
    pub const fn checked(self, check: TextCheck) -> Self {
        Self { check: Some(check), ..self }
    }
}

impl ValueForm for TextForm {
    type Value = String;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<String>> {
        let text = input.read_text()?;
        self.check.and_then(|check| check(&text)).into_iter().for_each(|fault| desk.bag.push(fault));
        Some(text.into())
    }

    fn write(&self, value: &String, _: &NameDirectory) -> Item {
        toml_edit::value(value.as_str())
    }

    fn schema(&self) -> JsonValue {
        match (self.constant, self.pattern) {
            (Some(constant), _) => json!({ "const": constant }),
            (None, Some(pattern)) => json!({ "type": "string", "pattern": pattern }),
            (None, None) => json!({ "type": "string", "minLength": 1 }),
        }
    }

    fn words(&self) -> String {
        self.constant.map_or_else(|| self.words.to_owned(), |constant| format!("`{constant}`"))
    }
}

/// `true` or `false`.
#[derive(Debug, Clone, Copy)]
pub struct FlagForm;

/// `true` or `false`.
#[must_use]
pub const fn flag() -> FlagForm {
    FlagForm
}

impl ValueForm for FlagForm {
    type Value = bool;

    fn read(&self, input: FieldInput<'_>, _: &ReadingDesk<'_>) -> Option<PlacedValue<bool>> {
        input.read_flag().map(PlacedValue::from)
    }

    fn write(&self, value: &bool, _: &NameDirectory) -> Item {
        toml_edit::value(*value)
    }

    fn schema(&self) -> JsonValue {
        json!({ "type": "boolean" })
    }

    fn words(&self) -> String {
        String::from("`true` or `false`")
    }
}

/// A whole number in a range.
#[derive(Debug, Clone)]
pub struct CountForm<N> {
    range: RangeInclusive<i64>,
    number: PhantomData<fn() -> N>,
}

/// A whole number in a range.
#[must_use]
pub const fn count<N>(range: RangeInclusive<i64>) -> CountForm<N> {
    CountForm { range, number: PhantomData }
}

impl<N: TryFrom<i64> + Into<i64> + Copy + 'static> ValueForm for CountForm<N> {
    type Value = N;

    fn read(&self, input: FieldInput<'_>, _: &ReadingDesk<'_>) -> Option<PlacedValue<N>> {
        let number = input.read_int(self.range.clone())?;
        let value = N::try_from(number.value).ok()?;
        Some(Spanned::new(value, number.span).into())
    }

    fn write(&self, value: &N, _: &NameDirectory) -> Item {
        let number: i64 = (*value).into();
        toml_edit::value(number)
    }

    fn schema(&self) -> JsonValue {
        json!({ "type": "integer", "minimum": self.range.start(), "maximum": self.range.end() })
    }

    fn words(&self) -> String {
        format!("whole number, {} to {}", self.range.start(), self.range.end())
    }
}

/// A number without a unit, in a range.
#[derive(Debug, Clone)]
pub struct NumberForm(RangeInclusive<f64>);

/// A number without a unit, in a range.
#[must_use]
pub const fn number(range_number: RangeInclusive<f64>) -> NumberForm {
    NumberForm(range_number)
}

impl ValueForm for NumberForm {
    type Value = f64;

    fn read(&self, input: FieldInput<'_>, _: &ReadingDesk<'_>) -> Option<PlacedValue<f64>> {
        input.read_number(self.0.clone()).map(PlacedValue::from)
    }

    fn write(&self, figure: &f64, _: &NameDirectory) -> Item {
        Item::Value(number_value(*figure))
    }

    fn schema(&self) -> JsonValue {
        json!({ "type": "number" })
    }

    fn words(&self) -> String {
        String::from("number")
    }
}

/// A number of TOML, whole where it is whole.
pub(crate) fn number_value(figure: f64) -> Value {
    const MAX_EXACT: f64 = 9.0e15;
    let whole = figure as i64;
    if figure.abs() < MAX_EXACT && whole as f64 == figure { Value::from(whole) } else { Value::from(figure) }
}

/// What is reported about a figure outside its limits: key, place, both limits as written.
pub type LimitFault = fn(key: &str, span: SourceSpan, limits: (&str, &str)) -> Fault;

/// A figure with its unit, within limits.
#[derive(Debug, Clone)]
pub struct QuantityForm<Q> {
    limits: RangeInclusive<Q>,
    sample: &'static str,
    rule: Option<LimitFault>,
    tells_limits: bool,
}

/// A figure with its unit within limits, written like the sample.
#[must_use]
pub const fn quantity<Q>(sample: &'static str, limits: RangeInclusive<Q>) -> QuantityForm<Q> {
    QuantityForm { limits, sample, rule: None, tells_limits: true }
}

impl<Q> QuantityForm<Q> {
    /// Reports a figure outside the limits by a rule of the format instead of T004.
    #[must_use]
    pub fn limited_by(self, fault: LimitFault) -> Self {
        Self { rule: Some(fault), ..self }
    }

    /// Leaves the limits out of the page, where they only keep hostile text out.
    #[must_use]
    pub fn with_limits_untold(self) -> Self {
        Self { tells_limits: false, ..self }
    }
}

impl<Q: FormQuantity> ValueForm for QuantityForm<Q> {
    type Value = Q;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Q>> {
        let found = input.clone().read_quantity::<Q>()?;
        if self.limits.contains(&found.value) {
            return Some(found.into());
        }
        let (low, high) = (self.limits.start(), self.limits.end());
        match self.rule {
            Some(fault) => {
                desk.bag.push(fault(input.name(), found.span, (&low.to_string(), &high.to_string())));
                None
            }
            None => input.report_out_of_range(low, high),
        }
    }

    fn write(&self, value: &Q, _: &NameDirectory) -> Item {
        Item::Value(value.to_toml())
    }

    fn schema(&self) -> JsonValue {
        let sample = self.sample;
        match Q::from_number(1.0) {
            Some(_) => json!({ "type": ["number", "string"], "examples": [25, sample] }),
            None => json!({ "type": "string", "pattern": "^[-+0-9.]", "examples": [sample] }),
        }
    }

    fn words(&self) -> String {
        let limits = format!(", {} to {}", self.limits.start(), self.limits.end());
        format!(
            "{} such as `{}`{}",
            Q::WHAT,
            self.sample,
            if self.tells_limits { limits.as_str() } else { "" }
        )
    }
}

/// Words and what they mean.
pub type WordTable<T> = &'static [(&'static str, T)];

/// One of some words.
#[derive(Debug)]
pub struct WordForm<T: 'static> {
    words: WordTable<T>,
    is_any_case: bool,
}

/// One of some words.
#[must_use]
pub const fn word<T>(words: WordTable<T>) -> WordForm<T> {
    WordForm { words, is_any_case: false }
}

impl<T> WordForm<T> {
    /// Reads capital letters like small ones.
    #[must_use]
    pub const fn any_case(self) -> Self {
        Self { is_any_case: true, ..self }
    }
}

/// The word for a choice; empty for one without a word.
#[must_use]
pub fn word_of<T: PartialEq>(words: WordTable<T>, choice: &T) -> &'static str {
    words.iter().find(|(_, known)| known == choice).map_or("", |(word, _)| word)
}

impl<T: Clone + PartialEq + Send + Sync + 'static> ValueForm for WordForm<T> {
    type Value = T;

    fn read(&self, input: FieldInput<'_>, _: &ReadingDesk<'_>) -> Option<PlacedValue<T>> {
        input.read_choice(self.words, self.is_any_case).map(PlacedValue::from)
    }

    fn write(&self, value: &T, _: &NameDirectory) -> Item {
        toml_edit::value(word_of(self.words, value))
    }

    fn schema(&self) -> JsonValue {
        let words: Vec<&str> = self.words.iter().map(|(word, _)| *word).collect();
        json!({ "enum": words })
    }

    fn words(&self) -> String {
        let words: Vec<String> = self.words.iter().map(|(word, _)| format!("`{word}`")).collect();
        format!("one of {}", words.join(", "))
    }
}

/// A text in a form of its own.
#[derive(Debug)]
pub struct ParsedForm<T> {
    words: &'static str,
    samples: &'static [&'static str],
    read: fn(&str) -> Result<T, BadText>,
    write: fn(&T) -> Value,
    takes_numbers: bool,
    rule: Option<&'static FaultRule>,
}

/// A text in a form of its own, with its name, samples, reader and writer.
#[must_use]
pub const fn parsed<T>(
    words: &'static str,
    samples: &'static [&'static str],
    read: fn(&str) -> Result<T, BadText>,
    write: fn(&T) -> Value,
) -> ParsedForm<T> {
    ParsedForm { words, samples, read, write, takes_numbers: false, rule: None }
}

impl<T> ParsedForm<T> {
    /// Reports a text that cannot be read by a rule of the format instead of T005.
    #[must_use]
    pub const fn by_rule(self, rule: &'static FaultRule) -> Self {
        Self { rule: Some(rule), ..self }
    }

    /// Reads a bare number like its text.
    #[must_use]
    pub const fn or_number(self) -> Self {
        Self { takes_numbers: true, ..self }
    }
}

impl<T: 'static> ValueForm for ParsedForm<T> {
    type Value = T;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<T>> {
        let text =
            if self.takes_numbers { input.clone().read_text_or_number() } else { input.clone().read_text() }?;
        match ((self.read)(&text.value), self.rule) {
            (Ok(value), _) => Some(Spanned::new(value, text.span).into()),
            (Err(bad), None) => input.report_bad_text(bad),
            (Err(bad), Some(rule)) => {
                let help = bad.help.unwrap_or_else(|| rule.help.to_owned());
                desk.bag
                    .push(Fault::error(rule.code, bad.message).at(text.span, "cannot be read").help(help));
                None
            }
        }
    }

    fn write(&self, value: &T, _: &NameDirectory) -> Item {
        Item::Value((self.write)(value))
    }

    fn schema(&self) -> JsonValue {
        let types = if self.takes_numbers { json!(["string", "number"]) } else { json!("string") };
        json!({ "type": types, "examples": self.samples })
    }

    fn words(&self) -> String {
        let samples: Vec<String> = self.samples.iter().map(|sample| format!("`{sample}`")).collect();
        format!("{} such as {}", self.words, samples.join(", "))
    }
}

/// A price, with or without its currency.
#[derive(Debug, Clone, Copy)]
pub struct PriceForm(Option<fn(Money, SourceSpan) -> Fault>);

/// A price of zero or more; the rule reports one below.
#[must_use]
pub const fn price(negative: Option<fn(Money, SourceSpan) -> Fault>) -> PriceForm {
    PriceForm(negative)
}

impl ValueForm for PriceForm {
    type Value = Money;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Money>> {
        let found = input.clone().read_quantity::<(Money, Option<String>)>()?;
        let (money, currency) = found.value;
        desk.currencies.borrow_mut().extend(currency.map(|currency| Spanned::new(currency, found.span)));
        if money >= Money::ZERO {
            return Some(Spanned::new(money, found.span).into());
        }
        match self.0 {
            Some(fault) => desk.bag.push(fault(money, found.span)),
            None => return input.report_bad_text(BadText::from("a price cannot be negative")),
        }
        None
    }

    fn write(&self, value: &Money, _: &NameDirectory) -> Item {
        toml_edit::value(value.to_string())
    }

    fn schema(&self) -> JsonValue {
        json!({ "type": ["number", "string"], "examples": ["18.00", "18.00 EUR"] })
    }

    fn words(&self) -> String {
        format!("{} such as `18.00` or `18.00 EUR`", <(Money, Option<String>)>::WHAT)
    }
}

/// A text of TOML from anything that can be shown.
pub fn text_value(shown: &dyn Display) -> Value {
    Value::from(shown.to_string())
}
