//! One piece or set as it was written, in a table or in a row of a spreadsheet, read key by key.

use core::ops::RangeInclusive;

use faults::{BadText, Fault, FaultCollector, FromText, SourceSpan, Spanned, TomlKind, TomlTable};

use crate::csv_rows::CsvRow;

/// A table of TOML or a row of CSV.
#[derive(Debug)]
pub(crate) enum StoreEntry<'d> {
    /// `[[piece]]`, `[[set]]`.
    Table(TomlTable<'d>, &'d FaultCollector),
    /// A row.
    Row(CsvRow, &'d FaultCollector),
}

impl StoreEntry<'_> {
    /// The bag that faults go into.
    pub(crate) const fn bag(&self) -> &FaultCollector {
        match self {
            Self::Table(_, bag) | Self::Row(_, bag) => bag,
        }
    }

    /// Whether a key is there.
    pub(crate) fn has(&self, key: &str) -> bool {
        match self {
            Self::Table(tab, _) => tab.has(key),
            Self::Row(row, _) => row.cells.contains_key(key),
        }
    }

    /// Where the whole stands.
    pub(crate) const fn span(&self) -> SourceSpan {
        match self {
            Self::Table(tab, _) => tab.span(),
            Self::Row(row, _) => row.span,
        }
    }

    /// Where a key's value stands.
    pub(crate) fn value_span(&self, key: &str) -> SourceSpan {
        match self {
            Self::Table(tab, _) => tab.value_span(key),
            Self::Row(row, _) => row.cells.get(key).map_or(row.span, |cell| cell.span),
        }
    }

    /// Text, or a number as it would be written.
    pub(crate) fn read_text(&self, key: &str) -> Option<Spanned<String>> {
        match self {
            Self::Row(row, _) => row.cells.get(key).cloned(),
            Self::Table(tab, _) => {
                let field = tab.optional_field(key);
                match field.kind() {
                    Some(TomlKind::Number) => {
                        field.read_number(f64::MIN..=f64::MAX).map(|n| n.map(|n| n.to_string()))
                    }
                    _ => field.read_text(),
                }
            }
        }
    }

    /// A list of texts; one text is cut at its semicolons.
    pub(crate) fn read_texts(&self, key: &str) -> Vec<Spanned<String>> {
        if let Self::Table(tab, _) = self {
            let field = tab.optional_field(key);
            if field.kind() == Some(TomlKind::List) {
                return field.read_texts();
            }
        }
        let Some(text) = self.read_text(key) else { return Vec::new() };
        let parts = text.value.split(';').map(str::trim).filter(|p| !p.is_empty());
        parts.map(|part| Spanned::new(part.to_owned(), text.span)).collect()
    }

    /// Text in a form of the caller's own.
    pub(crate) fn parse_with<T>(
        &self,
        key: &str,
        read: impl FnOnce(&str) -> Result<T, BadText>,
    ) -> Option<Spanned<T>> {
        let text = self.read_text(key)?;
        match read(&text.value) {
            Ok(value) => Some(Spanned::new(value, text.span)),
            Err(bad) => self.report_bad_value("T005", key, text.span, bad),
        }
    }

    /// A figure with its unit; a bare number where the kind allows it.
    pub(crate) fn read_quantity<Q: FromText>(&self, key: &str) -> Option<Spanned<Q>> {
        match self {
            Self::Table(tab, _) => tab.optional_field(key).read_quantity::<Q>(),
            Self::Row(..) => self.parse_with(key, |text| {
                let bare = text.parse::<f64>().ok().filter(|n| n.is_finite()).and_then(Q::from_number);
                bare.map_or_else(|| Q::from_text(text), Ok)
            }),
        }
    }

    /// A number in a range.
    pub(crate) fn read_number(&self, key: &str, sane_number: RangeInclusive<f64>) -> Option<Spanned<f64>> {
        match self {
            Self::Table(tab, _) => tab.optional_field(key).read_number(sane_number),
            Self::Row(..) => {
                let number = self.parse_with(key, |text| {
                    text.parse::<f64>().map_err(|_| BadText::from(format!("`{text}` is not a number")))
                })?;
                if number.value.is_finite() && sane_number.contains(&number.value) {
                    return Some(number);
                }
                let message = format!("`{key}` is outside {} to {}", sane_number.start(), sane_number.end());
                self.report_bad_value("T004", key, number.span, BadText::from(message))
            }
        }
    }

    /// A whole number in a range.
    pub(crate) fn read_int(&self, key: &str, range: RangeInclusive<i64>) -> Option<Spanned<i64>> {
        match self {
            Self::Table(tab, _) => tab.optional_field(key).read_int(range),
            Self::Row(..) => {
                let number = self.read_number(key, *range.start() as f64..=*range.end() as f64)?;
                let whole = number.value as i64;
                if whole as f64 == number.value {
                    return Some(Spanned::new(whole, number.span));
                }
                self.report_bad_value(
                    "T003",
                    key,
                    number.span,
                    BadText::from("a whole number is wanted here"),
                )
            }
        }
    }

    /// `true` or `false`.
    pub(crate) fn read_bool(&self, key: &str) -> Option<bool> {
        match self {
            Self::Table(tab, _) => tab.optional_field(key).read_bool().map(|b| b.value),
            Self::Row(..) => self
                .parse_with(key, |text| match text.to_ascii_lowercase().as_str() {
                    "true" | "yes" => Ok(true),
                    "false" | "no" => Ok(false),
                    _ => Err(BadText::from("write `true` or `false`")),
                })
                .map(|b| b.value),
        }
    }

    /// One of the listed words.
    pub(crate) fn read_choice<T: Copy>(&self, key: &str, words: &[(&str, T)]) -> Option<Spanned<T>> {
        self.parse_with(key, |text| choose_word(text, words))
    }

    /// Reports the keys that nobody asked for; in spreadsheets the header was looked at already.
    pub(crate) fn report_unknown_keys(self) {
        if let Self::Table(tab, _) = self {
            tab.report_unknown_keys();
        }
    }

    /// Reports a bad value.
    fn report_bad_value<T>(
        &self,
        code: &'static str,
        key: &str,
        span: SourceSpan,
        bad: BadText,
    ) -> Option<T> {
        let fault = Fault::error(code, bad.message).at(span, format!("for `{key}`"));
        self.bag().push(Fault { help: bad.help, ..fault });
        None
    }
}

/// One of the listed words, with the nearest one for a misspelt word.
pub(crate) fn choose_word<T: Copy>(text: &str, words: &[(&str, T)]) -> Result<T, BadText> {
    let wanted = text.trim().to_lowercase();
    if let Some((_, value)) = words.iter().find(|(word, _)| *word == wanted) {
        return Ok(*value);
    }
    let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    let (hint, help) = faults::suggest_name(text, &known, "word");
    Err(BadText { message: format!("`{text}` is not known here{hint}"), help })
}
