//! TOML text in the small: quoted strings, exact figures, inline tables and blocks of lines.

use units::{Duration, Money};

/// A string in quotes, with the escapes of TOML basic strings.
pub(crate) fn quote_toml(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A bare number with just the digits that bring it back.
pub(super) fn format_number(value_ratio: f64) -> String {
    let short = value_ratio.to_string();
    // TOML integers end at 64 bits: large figures stand as floats.
    if short.contains('.') || short.len() < 16 { short } else { format!("{value_ratio:?}") }
}

/// A figure with its unit behind it.
pub(super) fn format_with_unit(value_ratio: f64, unit: &str) -> String {
    format!("{value_ratio} {unit}")
}

/// A time in seconds.
pub(super) fn format_time(time: Duration) -> String {
    format_with_unit(time.as_s(), "s")
}

/// An amount in units of the book's currency.
pub(super) fn format_money(money: Money) -> String {
    money.to_string()
}

/// A list in brackets.
pub(super) fn format_list(items: impl Iterator<Item = String>) -> String {
    format!("[{}]", items.collect::<Vec<_>>().join(", "))
}

/// An inline table in the making.
#[derive(Default)]
pub(super) struct InlineTable(Vec<String>);

impl InlineTable {
    pub(super) fn put_raw(&mut self, key: &str, value: &str) {
        self.0.push(format!("{key} = {value}"));
    }
    pub(super) fn put_text(&mut self, key: &str, value: &str) {
        self.put_raw(key, &quote_toml(value));
    }
    pub(super) fn put_optional_text(&mut self, key: &str, value: Option<&str>) {
        if let Some(value) = value {
            self.put_text(key, value);
        }
    }
    pub(super) fn put_flag(&mut self, key: &str, value: bool) {
        if value {
            self.put_raw(key, "true");
        }
    }
    pub(super) fn put_list(&mut self, key: &str, value: &str) {
        if value != "[]" {
            self.put_raw(key, value);
        }
    }
    pub(super) fn put_names<'n>(&mut self, key: &str, names: impl Iterator<Item = &'n str>) {
        self.put_list(key, &format_list(names.map(quote_toml)));
    }
    pub(super) fn finish(self) -> String {
        format!("{{ {} }}", self.0.join(", "))
    }
}

/// A table in the making: its heading and its lines.
pub(super) struct TableBlock {
    heading: &'static str,
    lines: InlineTable,
}

impl core::ops::Deref for TableBlock {
    type Target = InlineTable;
    fn deref(&self) -> &InlineTable {
        &self.lines
    }
}

impl core::ops::DerefMut for TableBlock {
    fn deref_mut(&mut self) -> &mut InlineTable {
        &mut self.lines
    }
}

impl TableBlock {
    /// The lines at the top of a file, under no heading.
    pub(super) fn without_heading() -> Self {
        Self::new("")
    }
    pub(super) fn new(heading: &'static str) -> Self {
        Self { heading, lines: InlineTable::default() }
    }
    pub(super) fn finish(self) -> String {
        let gap = if self.heading.is_empty() { String::new() } else { format!("\n{}\n", self.heading) };
        let lines: String = self.lines.0.iter().map(|line| format!("{line}\n")).collect();
        gap + &lines
    }
}
