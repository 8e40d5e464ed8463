//! One value as it was written, behind a key of a table or in a cell of a spreadsheet.

use core::fmt::Display;
use core::ops::RangeInclusive;

use faults::{
    BadText, Fault, FaultCollector, FromText, SourceSpan, Spanned, TomlField, TomlKind, TomlTable,
    choose_word,
};

/// A value as it was written; each reader reports what does not fit and then gives nothing.
#[derive(Debug, Clone)]
pub enum FieldInput<'d> {
    /// A value of TOML.
    Toml(TomlField<'d>),
    /// A cell that is not blank.
    Cell(SheetCell<'d>),
}

/// A cell of a spreadsheet.
#[derive(Debug, Clone)]
pub struct SheetCell<'d> {
    /// The column.
    pub key: String,
    /// The text and its place.
    pub text: Spanned<String>,
    /// Where faults go.
    pub bag: &'d FaultCollector,
}

impl SheetCell<'_> {
    /// Reports a bad value.
    fn report_bad_value<T>(&self, code: &'static str, bad: BadText) -> Option<T> {
        let fault = Fault::error(code, bad.message).at(self.text.span, format!("for `{}`", self.key));
        self.bag.push(Fault { help: bad.help, ..fault });
        None
    }

    /// The text in a form of the caller's own (T005).
    fn parse_with<T>(self, read: impl FnOnce(&str) -> Result<T, BadText>) -> Option<Spanned<T>> {
        match read(&self.text.value) {
            Ok(value) => Some(Spanned::new(value, self.text.span)),
            Err(bad) => self.report_bad_value("T005", bad),
        }
    }

    /// A number in a range (T004, T005).
    fn read_number(self, range_number: RangeInclusive<f64>) -> Option<Spanned<f64>> {
        let number = self.clone().parse_with(|text| {
            text.parse::<f64>().map_err(|_| BadText::from(format!("`{text}` is not a number")))
        })?;
        if number.value.is_finite() && range_number.contains(&number.value) {
            return Some(number);
        }
        self.report_out_of_range(range_number.start(), range_number.end())
    }

    /// T004: a value outside its range.
    fn report_out_of_range<T>(&self, low: &dyn Display, high: &dyn Display) -> Option<T> {
        let message = format!("`{}` is outside {low} to {high}", self.key);
        self.report_bad_value("T004", BadText::from(message))
    }
}

impl<'d> FieldInput<'d> {
    /// Where the value was written.
    #[must_use]
    pub fn span(&self) -> Option<SourceSpan> {
        match self {
            Self::Toml(field) => field.span(),
            Self::Cell(cell) => Some(cell.text.span),
        }
    }

    /// Whether the value is a list or a table of TOML, and which; a cell is text.
    #[must_use]
    pub fn kind(&self) -> Option<TomlKind> {
        match self {
            Self::Toml(field) => field.kind(),
            Self::Cell(_) => Some(TomlKind::Text),
        }
    }

    /// Text that is not blank (T003, T010).
    #[must_use]
    pub fn read_text(self) -> Option<Spanned<String>> {
        match self {
            Self::Toml(field) => field.read_text(),
            Self::Cell(cell) => Some(cell.text),
        }
    }

    /// Text, or a number as it would be written (T003, T010).
    #[must_use]
    pub fn read_text_or_number(self) -> Option<Spanned<String>> {
        match self {
            Self::Toml(field) if field.kind() == Some(TomlKind::Number) => {
                field.read_number(f64::MIN..=f64::MAX).map(|number| number.map(|n| n.to_string()))
            }
            Self::Toml(_) | Self::Cell(_) => self.read_text(),
        }
    }

    /// The text, where the value is one that is not blank; nothing is reported, for forms that look before they read.
    #[must_use]
    pub fn doubt_text(&self) -> Option<Spanned<String>> {
        match self {
            Self::Toml(field) => Some(Spanned::new(field.peek_text()?.to_owned(), field.span()?)),
            Self::Cell(cell) => Some(cell.text.clone()),
        }
    }

    /// A part of the value's text, as a value of the same name.
    #[must_use]
    pub fn with_text<'t>(&self, text: Spanned<String>, bag: &'t FaultCollector) -> FieldInput<'t> {
        FieldInput::Cell(SheetCell { key: self.name().to_owned(), text, bag })
    }

    /// One of some words (T003, T005, T010), with the nearest one for a misspelt word.
    #[must_use]
    pub fn read_choice<T: Clone>(self, words: &[(&str, T)], is_any_case: bool) -> Option<Spanned<T>> {
        let text = self.clone().read_text()?;
        match choose_word(&text.value, self.name(), words, is_any_case) {
            Ok(value) => Some(Spanned::new(value, text.span)),
            Err(bad) => self.report_bad_text(bad),
        }
    }

    /// The key or column.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Toml(field) => field.name(),
            Self::Cell(cell) => &cell.key,
        }
    }

    /// `true` or `false` (T003, T005); in a cell `yes` and `no` as well.
    #[must_use]
    pub fn read_flag(self) -> Option<Spanned<bool>> {
        match self {
            Self::Toml(field) => field.read_bool(),
            Self::Cell(cell) => cell.parse_with(|text| match text.to_ascii_lowercase().as_str() {
                "true" | "yes" => Ok(true),
                "false" | "no" => Ok(false),
                _ => Err(BadText::from("write `true` or `false`")),
            }),
        }
    }

    /// A whole number in a range (T003, T004, T005).
    #[must_use]
    pub fn read_int(self, range: RangeInclusive<i64>) -> Option<Spanned<i64>> {
        let cell = match self {
            Self::Toml(field) => return field.read_int(range),
            Self::Cell(cell) => cell,
        };
        let number = cell.clone().read_number(*range.start() as f64..=*range.end() as f64)?;
        let whole = number.value as i64;
        if whole as f64 == number.value {
            return Some(Spanned::new(whole, number.span));
        }
        cell.report_bad_value("T003", BadText::from("expected a whole number"))
    }

    /// A number in a range (T003, T004, T005).
    #[must_use]
    pub fn read_number(self, range_number: RangeInclusive<f64>) -> Option<Spanned<f64>> {
        match self {
            Self::Toml(field) => field.read_number(range_number),
            Self::Cell(cell) => cell.read_number(range_number),
        }
    }

    /// A figure with its unit (T003, T005, T010); a bare number where the kind allows it.
    #[must_use]
    pub fn read_quantity<Q: FromText>(self) -> Option<Spanned<Q>> {
        match self {
            Self::Toml(field) => field.read_quantity::<Q>(),
            Self::Cell(cell) => cell.parse_with(|text| {
                let bare = text.parse::<f64>().ok().filter(|n| n.is_finite()).and_then(Q::from_number);
                bare.map_or_else(|| Q::from_text(text), Ok)
            }),
        }
    }

    /// Reports a value outside its range (T004).
    pub fn report_out_of_range<T>(&self, low: &dyn Display, high: &dyn Display) -> Option<T> {
        match self {
            Self::Toml(field) => field.report_out_of_range(low, high),
            Self::Cell(cell) => cell.report_out_of_range(low, high),
        }
    }

    /// Reports a text that is not what was expected (T005).
    pub fn report_bad_text<T>(&self, bad: BadText) -> Option<T> {
        match self {
            Self::Toml(field) => field.report_bad_text(bad),
            Self::Cell(cell) => cell.report_bad_value("T005", bad),
        }
    }

    /// The values of a list (T003); of a text the parts between semicolons, each at the place of the whole.
    #[must_use]
    pub fn list_items(self) -> Vec<Self> {
        match self {
            Self::Toml(field) => field.list_items().into_iter().map(Self::Toml).collect(),
            Self::Cell(cell) => split_cell(&cell),
        }
    }

    /// The parts of a text between semicolons, each at the place of the whole (T003, T010).
    #[must_use]
    pub fn split_text(self, bag: &'d FaultCollector) -> Vec<Self> {
        let key = self.name().to_owned();
        let text = self.read_text_or_number();
        text.map(|text| split_cell(&SheetCell { key, text, bag })).unwrap_or_default()
    }

    /// A list of tables (T003); a cell holds none.
    #[must_use]
    pub fn read_tables(self) -> Vec<TomlTable<'d>> {
        match self {
            Self::Toml(field) => field.read_tables(),
            Self::Cell(cell) => {
                let _: Option<()> = cell.report_bad_value("T003", BadText::from("a cell cannot hold tables"));
                Vec::new()
            }
        }
    }

    /// A table (T003); a cell holds none.
    #[must_use]
    pub fn read_table(self) -> Option<TomlTable<'d>> {
        match self {
            Self::Toml(field) => field.read_table(),
            Self::Cell(cell) => cell.report_bad_value("T003", BadText::from("a cell cannot hold a table")),
        }
    }
}

/// The parts of a cell between semicolons.
fn split_cell<'d>(cell: &SheetCell<'d>) -> Vec<FieldInput<'d>> {
    let parts = cell.text.value.split(';').map(str::trim).filter(|part| !part.is_empty());
    let part = |part: &str| SheetCell { text: Spanned::new(part.to_owned(), cell.text.span), ..cell.clone() };
    parts.map(|text| FieldInput::Cell(part(text))).collect()
}
