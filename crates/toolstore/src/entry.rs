//! One piece or set as it was written, in a table or in a row of a spreadsheet, read key by key.

use core::ops::RangeInclusive;

use faults::{BadText, Collector, Fault, FromText, Kind, Span, Spanned, Tab};

use crate::row::Row;

/// A table of TOML or a row of CSV.
#[derive(Debug)]
pub(crate) enum Entry<'d> {
    /// `[[piece]]`, `[[set]]`.
    Table(Tab<'d>, &'d Collector),
    /// A row.
    Row(Row, &'d Collector),
}

impl Entry<'_> {
    /// The bag that faults go into.
    pub(crate) const fn bag(&self) -> &Collector {
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
    pub(crate) const fn span(&self) -> Span {
        match self {
            Self::Table(tab, _) => tab.span(),
            Self::Row(row, _) => row.span,
        }
    }

    /// Where a key's value stands.
    pub(crate) fn value_span(&self, key: &str) -> Span {
        match self {
            Self::Table(tab, _) => tab.value_span(key),
            Self::Row(row, _) => row.cells.get(key).map_or(row.span, |cell| cell.span),
        }
    }

    /// Text, or a number as it would be written.
    pub(crate) fn text(&self, key: &str) -> Option<Spanned<String>> {
        match self {
            Self::Row(row, _) => row.cells.get(key).cloned(),
            Self::Table(tab, _) => {
                let field = tab.maybe(key);
                match field.kind() {
                    Some(Kind::Number) => field.number(f64::MIN..=f64::MAX).map(|n| n.map(|n| n.to_string())),
                    _ => field.str(),
                }
            }
        }
    }

    /// A list of texts; one text is cut at its semicolons.
    pub(crate) fn texts(&self, key: &str) -> Vec<Spanned<String>> {
        if let Self::Table(tab, _) = self {
            let field = tab.maybe(key);
            if field.kind() == Some(Kind::List) {
                return field.strings();
            }
        }
        let Some(text) = self.text(key) else { return Vec::new() };
        let parts = text.value.split(';').map(str::trim).filter(|p| !p.is_empty());
        parts.map(|part| Spanned::new(part.to_owned(), text.span)).collect()
    }

    /// Text in a form of the caller's own.
    pub(crate) fn parsed<T>(
        &self,
        key: &str,
        read: impl FnOnce(&str) -> Result<T, BadText>,
    ) -> Option<Spanned<T>> {
        let text = self.text(key)?;
        match read(&text.value) {
            Ok(value) => Some(Spanned::new(value, text.span)),
            Err(bad) => self.refuse("T005", key, text.span, bad),
        }
    }

    /// A figure with its unit; a bare number where the kind allows it.
    pub(crate) fn quantity<Q: FromText>(&self, key: &str) -> Option<Spanned<Q>> {
        match self {
            Self::Table(tab, _) => tab.maybe(key).quantity::<Q>(),
            Self::Row(..) => self.parsed(key, |text| {
                let bare = text.parse::<f64>().ok().filter(|n| n.is_finite()).and_then(Q::from_number);
                bare.map_or_else(|| Q::from_text(text), Ok)
            }),
        }
    }

    /// A number in a range.
    pub(crate) fn number(&self, key: &str, sane_number: RangeInclusive<f64>) -> Option<Spanned<f64>> {
        match self {
            Self::Table(tab, _) => tab.maybe(key).number(sane_number),
            Self::Row(..) => {
                let number = self.parsed(key, |text| {
                    text.parse::<f64>().map_err(|_| BadText::from(format!("`{text}` is not a number")))
                })?;
                if number.value.is_finite() && sane_number.contains(&number.value) {
                    return Some(number);
                }
                let message = format!("`{key}` is outside {} to {}", sane_number.start(), sane_number.end());
                self.refuse("T004", key, number.span, BadText::from(message))
            }
        }
    }

    /// A whole number in a range.
    pub(crate) fn int(&self, key: &str, range: RangeInclusive<i64>) -> Option<Spanned<i64>> {
        match self {
            Self::Table(tab, _) => tab.maybe(key).int(range),
            Self::Row(..) => {
                let number = self.number(key, *range.start() as f64..=*range.end() as f64)?;
                let whole = number.value as i64;
                if whole as f64 == number.value {
                    return Some(Spanned::new(whole, number.span));
                }
                self.refuse("T003", key, number.span, BadText::from("a whole number is wanted here"))
            }
        }
    }

    /// `true` or `false`.
    pub(crate) fn truth(&self, key: &str) -> Option<bool> {
        match self {
            Self::Table(tab, _) => tab.maybe(key).bool().map(|b| b.value),
            Self::Row(..) => self
                .parsed(key, |text| match text.to_ascii_lowercase().as_str() {
                    "true" | "yes" => Ok(true),
                    "false" | "no" => Ok(false),
                    _ => Err(BadText::from("write `true` or `false`")),
                })
                .map(|b| b.value),
        }
    }

    /// One of the listed words.
    pub(crate) fn choice<T: Copy>(&self, key: &str, words: &[(&str, T)]) -> Option<Spanned<T>> {
        self.parsed(key, |text| choose(text, words))
    }

    /// Reports the keys that nobody asked for; in spreadsheets the header was looked at already.
    pub(crate) fn finish(self) {
        if let Self::Table(tab, _) = self {
            tab.finish();
        }
    }

    /// Reports a bad value.
    fn refuse<T>(&self, code: &'static str, key: &str, span: Span, bad: BadText) -> Option<T> {
        let fault = Fault::error(code, bad.message).at(span, format!("for `{key}`"));
        self.bag().push(Fault { help: bad.help, ..fault });
        None
    }
}

/// One of the listed words, with the nearest one for a misspelt word.
pub(crate) fn choose<T: Copy>(text: &str, words: &[(&str, T)]) -> Result<T, BadText> {
    let wanted = text.trim().to_lowercase();
    if let Some((_, value)) = words.iter().find(|(word, _)| *word == wanted) {
        return Ok(*value);
    }
    let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    let (hint, help) = faults::phrase(text, &known, "word");
    Err(BadText { message: format!("`{text}` is not known here{hint}"), help })
}
