//! One value of a table or list, read as what it should be; what does not fit is reported with its place.

use core::fmt::Display;
use core::ops::RangeInclusive;

use toml::Spanned as TomlSpanned;
use toml::de::{DeFloat, DeInteger, DeValue};

use crate::fault::{Fault, SourceSpan, Spanned};
use crate::suggest;
use crate::text::{BadText, FromText};
use crate::walk::{TomlContext, TomlTable};

/// How much of a value is quoted in a message, in characters.
const MAX_QUOTE_CHARS: usize = 40;

/// What kind of value is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TomlKind {
    /// Text in quotes.
    Text,
    /// A number, whole or not.
    Number,
    /// `true` or `false`.
    Truth,
    /// A date or time.
    Date,
    /// A list in brackets or a row of `[[tables]]`.
    List,
    /// A table.
    Table,
}

/// A value that may be missing; each reader returns `None` for a missing value, and reports a fault and returns `None` for a bad one.
#[derive(Debug, Clone)]
#[must_use = "read it as what it should be"]
pub struct TomlField<'d> {
    context: &'d TomlContext<'d>,
    name: String,
    value: Option<&'d TomlSpanned<DeValue<'d>>>,
}

impl<'d> TomlField<'d> {
    /// The value behind a key.
    pub(crate) fn new(
        context: &'d TomlContext<'d>,
        name: &str,
        value: Option<&'d TomlSpanned<DeValue<'d>>>,
    ) -> Self {
        Self { context, name: name.to_owned(), value }
    }

    /// The key.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Whether the value is there, good or bad.
    #[must_use]
    pub const fn is_given(&self) -> bool {
        self.value.is_some()
    }

    /// The place of the value.
    #[must_use]
    pub fn span(&self) -> Option<SourceSpan> {
        self.value.map(|v| self.context.span_of(v.span()))
    }

    /// What kind of value is there.
    #[must_use]
    pub fn kind(&self) -> Option<TomlKind> {
        self.value.map(|value| match value.get_ref() {
            DeValue::String(_) => TomlKind::Text,
            DeValue::Integer(_) | DeValue::Float(_) => TomlKind::Number,
            DeValue::Boolean(_) => TomlKind::Truth,
            DeValue::Datetime(_) => TomlKind::Date,
            DeValue::Array(_) => TomlKind::List,
            DeValue::Table(_) => TomlKind::Table,
        })
    }

    /// Text that is not blank (T003, T010); blanks round it are taken off.
    pub fn read_text(self) -> Option<Spanned<String>> {
        self.trimmed_text().map(|text| text.map(str::to_owned))
    }

    /// Text without the blanks round it, where the value is one that is not blank; nothing is reported.
    #[must_use]
    pub fn peek_text(&self) -> Option<&str> {
        match self.value?.get_ref() {
            DeValue::String(text) => Some(text.trim()).filter(|text| !text.is_empty()),
            _ => None,
        }
    }

    /// `true` or `false` (T003).
    pub fn read_bool(self) -> Option<Spanned<bool>> {
        match self.value?.get_ref() {
            DeValue::Boolean(value) => self.with_span(*value),
            _ => self.report_wrong_type("`true` or `false`", "write `true` or `false` without quotes"),
        }
    }

    /// A whole number in a range (T003, T004).
    pub fn read_int(self, range: RangeInclusive<i64>) -> Option<Spanned<i64>> {
        let DeValue::Integer(digits) = self.value?.get_ref() else {
            return self.report_wrong_type("a whole number", "write the number without quotes and decimals");
        };
        match parse_whole(digits) {
            Some(value) if range.contains(&value) => self.with_span(value),
            _ => self.report_out_of_range(range.start(), range.end()),
        }
    }

    /// A number in a range (T003, T004); infinity and `nan` are in no range.
    pub fn read_number(self, range_number: RangeInclusive<f64>) -> Option<Spanned<f64>> {
        let Some(value) = parse_number(self.value?.get_ref()) else {
            return self.report_wrong_type("a number", "write the number without quotes");
        };
        if value.is_finite() && range_number.contains(&value) {
            return self.with_span(value);
        }
        self.report_out_of_range(&ShownBound(*range_number.start()), &ShownBound(*range_number.end()))
    }

    /// A figure with its unit (T003, T005, T010); a length may be a bare number of millimetres.
    pub fn read_quantity<Q: FromText>(self) -> Option<Spanned<Q>> {
        if let Some(value) = parse_number(self.value?.get_ref()) {
            return self.read_bare_number(value);
        }
        self.parse_with(Q::from_text)
    }

    /// A figure with its unit in a range (T003, T004, T005, T010).
    pub fn read_quantity_in<Q: FromText + PartialOrd + Display>(
        self,
        range: RangeInclusive<Q>,
    ) -> Option<Spanned<Q>> {
        let value = self.clone().read_quantity::<Q>()?;
        if range.contains(&value.value) {
            return Some(value);
        }
        self.report_out_of_range(range.start(), range.end())
    }

    /// Text in a form of the caller's own (T003, T005, T010); the caller says what is wrong with it.
    pub fn parse_with<T, E: Into<BadText>>(
        self,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<Spanned<T>> {
        let text = self.trimmed_text()?;
        match read(text.value) {
            Ok(value) => Some(Spanned::new(value, text.span)),
            Err(error) => self.report_bad_text(error.into()),
        }
    }

    /// One of the listed words (T003, T005, T010), with the nearest one for a misspelt word.
    pub fn read_choice<T: Clone>(self, words: &[(&str, T)]) -> Option<Spanned<T>> {
        let text = self.trimmed_text()?;
        match choose_word(text.value, &self.name, words, false) {
            Ok(value) => Some(Spanned::new(value, text.span)),
            Err(bad) => self.report_bad_text(bad),
        }
    }

    /// A list of texts that are not blank; a bad one is reported and left out.
    pub fn read_texts(self) -> Vec<Spanned<String>> {
        self.list_items().into_iter().filter_map(TomlField::read_text).collect()
    }

    /// The values of a list (T003), each to be read as what it should be; none for a missing list.
    pub fn list_items(self) -> Vec<Self> {
        let Some(value) = self.value else { return Vec::new() };
        let DeValue::Array(list) = value.get_ref() else {
            let _: Option<Spanned<()>> = self.report_wrong_type("a list", "put it in brackets: `[...]`");
            return Vec::new();
        };
        list.iter().map(|item| Self { value: Some(item), ..self.clone() }).collect()
    }

    /// A list, or one value without the brackets.
    pub fn items_or_self(self) -> Vec<Self> {
        match self.kind() {
            None => Vec::new(),
            Some(TomlKind::List) => self.list_items(),
            Some(_) => vec![self],
        }
    }

    /// A list of tables, `[[name]]` or `[{…}]` (T003); what is no table is reported and left out.
    pub fn read_tables(self) -> Vec<TomlTable<'d>> {
        self.list_items().into_iter().filter_map(TomlField::read_table).collect()
    }

    /// A table, `[name]` or `{…}` (T003).
    pub fn read_table(self) -> Option<TomlTable<'d>> {
        let value = self.value?;
        match value.get_ref() {
            DeValue::Table(table) => {
                Some(TomlTable::new(self.context, table, self.context.span_of(value.span())))
            }
            _ => {
                let help = format!(
                    "write it as `[{0}]`, `[[{0}]]` or in braces: `{{ ... }}`",
                    quote_start(&self.name)
                );
                self.report_wrong_type("a table", &help)
            }
        }
    }

    /// Text that is not blank, without the blanks round it.
    fn trimmed_text(&self) -> Option<Spanned<&'d str>> {
        let value = self.value?;
        let at = self.context.span_of(value.span());
        let DeValue::String(text) = value.get_ref() else {
            return self.report_wrong_type("text", "put it in quotes");
        };
        let text = text.trim();
        if text.is_empty() {
            let word = || Fault::error("T010", format!("`{}` is empty", quote_start(&self.name)));
            self.context.report_fault(at, || word().at(at, "only blanks"));
            return None;
        }
        Some(Spanned::new(text, at))
    }

    /// A good value with its place.
    fn with_span<T>(&self, value: T) -> Option<Spanned<T>> {
        self.span().map(|span| Spanned::new(value, span))
    }

    /// A bare number as a quantity, if its kind allows that.
    fn read_bare_number<Q>(&self, number: f64) -> Option<Spanned<Q>>
    where
        Q: FromText,
    {
        let Some(read) = Q::from_number(number) else {
            let written = self.written_text();
            return self.report_bad_text(BadText {
                message: format!("`{written}` is {} without its unit", units::with_article(Q::WHAT)),
                help: Some(String::from("write figure and unit together, in quotes")),
            });
        };
        if number.abs() <= max_bare_number() {
            return self.with_span(read);
        }
        self.report_bad_text(BadText::from(format!(
            "`{}` is out of range for {}",
            self.written_text(),
            units::with_article(Q::WHAT)
        )))
    }

    /// T003: another kind of value than expected.
    fn report_wrong_type<T>(&self, expected: &str, help: &str) -> Option<T> {
        let value = self.value?;
        let at = self.context.span_of(value.span());
        let found = value_kind_words(value.get_ref());
        self.context.report_fault(at, || {
            Fault::error("T003", format!("`{}` has the wrong type", quote_start(&self.name)))
                .at(at, format!("expected {expected}, found {found}"))
                .help(help)
        });
        None
    }

    /// Reports a value outside its range (T004); gives nothing.
    pub fn report_out_of_range<T>(&self, low: &dyn Display, high: &dyn Display) -> Option<T> {
        let at = self.span()?;
        self.context.report_fault(at, || {
            Fault::error("T004", format!("`{}` is out of range", quote_start(&self.name)))
                .at(
                    at,
                    format!("{} is outside {low} to {high}", self.written_text().trim_matches(['"', '\''])),
                )
                .help("check the decimal point and the unit")
        });
        None
    }

    /// Reports a text that is not what was expected (T005); gives nothing.
    pub fn report_bad_text<T>(&self, bad: BadText) -> Option<T> {
        let at = self.span()?;
        self.context.report_fault(at, || {
            let fault =
                Fault::error("T005", bad.message).at(at, format!("for `{}`", quote_start(&self.name)));
            Fault { help: bad.help, ..fault }
        });
        None
    }

    /// The value as it was written, cut to what a message can hold.
    fn written_text(&self) -> String {
        self.span().map(|span| quote_start(self.context.sources.text_at(span))).unwrap_or_default()
    }
}

/// What one of the listed words means, with the nearest one for a misspelt word.
///
/// # Errors
/// [`BadText`] for a word that is not listed; `name` is the key that it is for.
pub fn choose_word<T: Clone>(
    text: &str,
    name: &str,
    words: &[(&str, T)],
    is_any_case: bool,
) -> Result<T, BadText> {
    let same = |word: &str| word == text || (is_any_case && word.eq_ignore_ascii_case(text));
    if let Some((_, value)) = words.iter().find(|(word, _)| same(word)) {
        return Ok(value.clone());
    }
    let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    let (hint, help) = suggest::suggest_name(text, &known, "word");
    Err(BadText { message: format!("`{}` is not a word for `{name}`{hint}", quote_start(text)), help })
}

/// The end of a range of numbers; ends that mean "any" are not written out in 300 digits.
struct ShownBound(f64);

impl Display for ShownBound {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        if self.0.abs() >= 1.0e15 { write!(f, "{:e}", self.0) } else { write!(f, "{}", self.0) }
    }
}

/// The greatest bare number that is read as a quantity, the same as for one with its unit.
const fn max_bare_number() -> f64 {
    1.0e12
}

/// The start of a text that may be long.
fn quote_start(text: &str) -> String {
    match text.char_indices().nth(MAX_QUOTE_CHARS) {
        Some((at, _)) => format!("{}...", &text[..at]),
        None => text.to_owned(),
    }
}

/// A whole number, if it is one that fits.
fn parse_whole(digits: &DeInteger<'_>) -> Option<i64> {
    i64::from_str_radix(&digits.as_str().replace('_', ""), digits.radix()).ok()
}

/// A number of either kind; one too large to be held is infinite, one that cannot be read is not a number.
fn parse_number(value: &DeValue<'_>) -> Option<f64> {
    let float = |digits: &DeFloat<'_>| digits.as_str().replace('_', "").parse().unwrap_or(f64::NAN);
    match value {
        DeValue::Integer(digits) => Some(parse_whole(digits).map_or(f64::INFINITY, |value| value as f64)),
        DeValue::Float(digits) => Some(float(digits)),
        _ => None,
    }
}

/// What a value is called in messages.
const fn value_kind_words(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number with decimals",
        DeValue::Boolean(_) => "`true` or `false`",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
