//! Values of a store in a form of their own: keys, places, outlines, ranges of torques, fits, tolerances, speeds.

use std::sync::LazyLock;

use faults::{BadText, Fault, SourceSpan, TomlKind};
use fields::{
    FieldInput, FieldTable, NameDirectory, ParsedForm, PlacedValue, QuantityForm, ReadingDesk,
    TableDescription, TomlItem, TomlValue, ValueForm, at, list, parsed, quantity, rows, table, text,
};
use model::{Drive, DriveForm, GripFit, OutlineSection, StorePlace, inch_words};
use units::{Length, Range, Torque};

/// Longest body, and widest swing, that a piece of hand tool has.
const MAX_LENGTH_MM: f64 = 3000.0;
/// Least and greatest torque that a hand tool withstands or shows.
const TORQUE_N_M: (f64, f64) = (0.001, 20_000.0);
/// Sections of one outline.
const MAX_SECTIONS: usize = 100;

/// S125: a figure that no hand tool has.
fn absurd_figure(key: &str, span: SourceSpan, (low, high): (&str, &str)) -> Fault {
    Fault::error("S125", format!("`{key}` is a figure that no hand tool has"))
        .at(span, format!("expected {low} to {high}"))
        .help("check the decimal point and the unit")
}

/// A length above zero.
pub(crate) fn body_length() -> QuantityForm<Length> {
    let limits = Length::from_mm(0.01)..=Length::from_mm(MAX_LENGTH_MM);
    quantity("25 mm", limits).limited_by(absurd_figure)
}

/// A length that may be zero.
pub(crate) fn any_length() -> QuantityForm<Length> {
    quantity("25 mm", Length::ZERO..=Length::from_mm(MAX_LENGTH_MM)).limited_by(absurd_figure)
}

/// An angle up to a full turn.
pub(crate) fn angle(sample: &'static str) -> QuantityForm<units::Angle> {
    quantity(sample, units::Angle::ZERO..=units::Angle::from_deg(360.0)).limited_by(absurd_figure)
}

/// A torque that a hand tool can have.
pub(crate) fn torque(sample: &'static str) -> QuantityForm<Torque> {
    let (low, high) = TORQUE_N_M;
    quantity(sample, Torque::from_n_m(low)..=Torque::from_n_m(high)).limited_by(absurd_figure)
}

/// A key: small letters, digits, hyphens and points.
pub(crate) const fn piece_key() -> ParsedForm<String> {
    parsed("key", &["wrench-5-25"], parse_piece_key, |key| TomlValue::from(key.as_str()))
}

fn parse_piece_key(text: &str) -> Result<String, BadText> {
    let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '-' | '.' | '_');
    if text.chars().all(good) && text.len() <= 80 {
        return Ok(text.to_owned());
    }
    let help = "write small letters, digits and hyphens, at most 80: `wrench-5-25`";
    Err(BadText::from((format!("`{}` is not a key", clip_text(text)), help.to_owned())))
}

/// A size in the kind's own form, kept as written.
pub(crate) const fn size() -> ParsedForm<String> {
    let samples = &["10 mm", "E10", "T30", "PH2", "slot 6", "8x9"];
    parsed("size", samples, |text| Ok(text.to_owned()), |size| TomlValue::from(size.as_str())).or_number()
}

/// Sizes of a set, kept as written.
pub(crate) const fn set_size() -> ParsedForm<String> {
    parsed("size", &["11 mm", "T27"], |text| Ok(text.to_owned()), |size| TomlValue::from(size.as_str()))
        .or_number()
}

/// What a piece takes hold of.
pub(crate) const fn fit() -> ParsedForm<GripFit> {
    parsed("drive", &["hexagon 10 mm", "spring clamp 10 to 60 mm", "latch"], parse_fit, |fit| {
        TomlValue::from(format_fit(fit))
    })
}

/// One drive, or a range of its sizes: `hexagon 10 mm`, `spring clamp 10 to 60 mm`.
fn parse_fit(text: &str) -> Result<GripFit, BadText> {
    let (first, high) = match text.split_once(" to ") {
        Some((first, high)) => (first, Some(high)),
        None => (text, None),
    };
    let low = Drive::parse(first).map_err(|error| BadText::from(split_help(&error.to_string())))?;
    let form = low.form();
    let exact = low.size();
    let Some(high) = high else { return Ok(GripFit { form, low: exact, high: exact }) };
    let bad = || {
        BadText::from(format!(
            "`{}` is not a range of sizes; write `spring clamp 10 to 60 mm`",
            clip_text(text)
        ))
    };
    let high = high_size(form, first, high).filter(|high| *high >= exact).ok_or_else(bad)?;
    Ok(GripFit { form, low: exact, high })
}

/// The size behind `to`: with the form's word or without, in the unit that it names or in that of the first.
fn high_size(form: DriveForm, first: &str, high: &str) -> Option<f64> {
    let bare = high.trim().trim_start_matches(|c: char| c.is_ascii_alphabetic() || c == ' ');
    let word = Drive::new(form, 1.0).to_string();
    let word = word.split('1').next().unwrap_or_default();
    let unit = if first.trim_end().ends_with("in") && !bare.contains("mm") { " in" } else { "" };
    let with_unit = if bare.ends_with(|c: char| c.is_ascii_digit()) { unit } else { "" };
    Drive::parse(&format!("{word}{bare}{with_unit}")).ok().map(Drive::size)
}

/// The words of a bad drive, message and help apart.
fn split_help(words: &str) -> (String, String) {
    let (message, help) = words.split_once("; ").unwrap_or((words, ""));
    (message.to_owned(), help.to_owned())
}

/// A drive, or a range of its sizes, with every digit.
fn format_fit(fit: &GripFit) -> String {
    let shown = Drive::new(fit.form, 1.0).to_string();
    let sized = |size: f64| match shown.find('1') {
        Some(at) => format!("{}{size}{}", &shown[..at], &shown[at + 1..]),
        None => shown.clone(),
    };
    if fit.low != fit.high {
        let low = sized(fit.low);
        return format!("{} to {}", low.trim_end_matches(" mm"), fit.high);
    }
    let in_inches = fit.form.is_sized_in_mm() && inch_words(fit.low).is_some();
    if in_inches { Drive::new(fit.form, fit.low).to_string() } else { sized(fit.low) }
}

/// `4 %`, or a bare fraction.
pub(crate) const fn tolerance() -> ParsedForm<f64> {
    parsed("tolerance", &["4 %"], parse_tolerance, |fraction| TomlValue::from(fraction.to_string()))
        .or_number()
}

fn parse_tolerance(text: &str) -> Result<f64, BadText> {
    let bad = || {
        BadText::from((format!("`{}` is not a tolerance", clip_text(text)), "write it as `4 %`".to_owned()))
    };
    let (figure, percent) = match text.strip_suffix('%') {
        Some(figure) => (figure.trim().trim_start_matches(['±', '+']), true),
        None => (text.trim(), false),
    };
    let figure: f64 = figure.parse().ok().filter(|f: &f64| f.is_finite()).ok_or_else(bad)?;
    Ok(if percent { figure / 100.0 } else { figure })
}

/// `1500 rpm`, or a bare number.
pub(crate) const fn speed() -> ParsedForm<f64> {
    parsed("speed", &["1500 rpm"], parse_rpm, |rpm| TomlValue::from(format!("{rpm} rpm"))).or_number()
}

fn parse_rpm(text: &str) -> Result<f64, BadText> {
    let bad = || {
        BadText::from((
            format!("`{}` is not a speed", clip_text(text)),
            "write it as `1500 rpm`, up to 50000".to_owned(),
        ))
    };
    let bare = text.trim().trim_end_matches("rpm").trim_end_matches("1/min").trim();
    let speed_rpm: f64 = bare.parse().map_err(|_| bad())?;
    if speed_rpm > 0.0 && speed_rpm <= 50_000.0 { Ok(speed_rpm) } else { Err(bad()) }
}

/// The start of a text that may be long.
pub(crate) fn clip_text(text: &str) -> &str {
    text.char_indices().nth(60).map_or(text, |(at, _)| &text[..at])
}

/// A range of torques (S104, S114).
pub(crate) struct TorqueRangeForm;

impl ValueForm for TorqueRangeForm {
    type Value = Range<Torque>;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Range<Torque>>> {
        let ends = parsed("range", &[], parse_range_ends, |_| TomlValue::from("")).read(input, desk)?;
        let span = ends.spot.span;
        match check_range_order(ends.value, span) {
            Ok(range) => Some(ends.map(|_| range)),
            Err(fault) => {
                desk.bag.push(*fault);
                None
            }
        }
    }

    fn write(&self, value: &Range<Torque>, _: &NameDirectory) -> TomlItem {
        let (low, high) = (value.low().as_n_m(), value.high().as_n_m());
        TomlItem::Value(TomlValue::from(format!("{low} to {high} N·m")))
    }

    fn schema(&self) -> serde_json::Value {
        serde_json::json!({ "type": "string", "examples": ["5 to 25 N·m"] })
    }

    fn words(&self) -> String {
        String::from("range of torques such as `5 to 25 N·m`")
    }
}

/// `5 to 25 N·m`, the unit once or twice.
fn parse_range_ends(text: &str) -> Result<(Torque, Torque), BadText> {
    let bad = || {
        BadText::from((
            format!("`{}` is not a range of torques", clip_text(text)),
            "write it as `5 to 25 N·m`".into(),
        ))
    };
    let (low, high) = text.split_once(" to ").or_else(|| text.split_once('–')).ok_or_else(bad)?;
    let (high, unit) = Torque::parse_with_unit(high)?;
    let low = match low.trim().parse::<f64>() {
        Ok(figure) => Torque::parse(&format!("{figure} {}", unit.symbol))?,
        Err(_) => Torque::parse(low)?,
    };
    Ok((low, high))
}

/// S104 and S114: a range the wrong way round, or one that no hand tool has.
fn check_range_order((low, high): (Torque, Torque), span: SourceSpan) -> Result<Range<Torque>, Box<Fault>> {
    if low.as_n_m() < 0.0 || high.as_n_m() <= 0.0 || high.as_n_m() > TORQUE_N_M.1 {
        let fault = Fault::error("S114", format!("no hand tool has a full scale of {high}"));
        let help =
            "check the decimal point and the unit; the range goes from the lowest mark to the full scale";
        return Err(Box::new(fault.at(span, "this range").help(help)));
    }
    Range::new(low, high).map_err(|bad| {
        let fault = Fault::error("S104", format!("the range runs down, from {} to {}", bad.low, bad.high));
        Box::new(fault.at(span, "the lower end comes first").help("write the lower end first: `5 to 25 N·m`"))
    })
}

static SECTION: LazyLock<FieldTable<OutlineSection>> = LazyLock::new(|| {
    FieldTable::new("section", || OutlineSection { length: Length::ZERO, diameter: Length::ZERO })
        .required("length", body_length(), at!(length), "Length along the axis.")
        .required("diameter", body_length(), at!(diameter), "Largest diameter.")
});

/// An outline: a list of tables, or `20 x 14; 30 x 12`.
pub(crate) struct OutlineForm;

impl ValueForm for OutlineForm {
    type Value = Vec<OutlineSection>;

    fn read(
        &self,
        input: FieldInput<'_>,
        desk: &ReadingDesk<'_>,
    ) -> Option<PlacedValue<Vec<OutlineSection>>> {
        let key = input.name().to_owned();
        let placed = if input.kind() == Some(TomlKind::List) {
            rows(MAX_SECTIONS, &SECTION).read(input, desk)?
        } else {
            parsed("outline", &[], parse_sections, |_| TomlValue::from("")).read(input, desk)?
        };
        let sane = |length: Length| (0.01..=MAX_LENGTH_MM).contains(&length.as_mm());
        let good = placed.value.iter().all(|section| sane(section.length) && sane(section.diameter));
        if placed.spot.items.iter().any(|section| section.bad) {
            return None;
        }
        if placed.value.is_empty() || !good {
            let limits = ("sections of 0.01 mm", "3000 mm");
            desk.bag.push(absurd_figure(&key, placed.spot.span, limits));
            return None;
        }
        Some(placed)
    }

    fn write(&self, value: &Vec<OutlineSection>, names: &NameDirectory) -> TomlItem {
        rows(MAX_SECTIONS, &SECTION).write(value, names)
    }

    fn schema(&self) -> serde_json::Value {
        let text = serde_json::json!({ "type": "string", "examples": ["20 x 14; 30 x 12"] });
        serde_json::json!({ "anyOf": [text, rows(MAX_SECTIONS, &SECTION).schema()] })
    }

    fn words(&self) -> String {
        String::from("list of tables [`section`](#section), or `20 x 14; 30 x 12`")
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        vec![&*SECTION]
    }
}

/// `20 x 14; 30 x 12`, length by diameter.
fn parse_sections(text: &str) -> Result<Vec<OutlineSection>, BadText> {
    let one = |part: &str| {
        let (length, diameter) = part.split_once('x')?;
        let mm = |t: &str| t.trim().parse::<f64>().ok().filter(|n| n.is_finite()).map(Length::from_mm);
        Some(OutlineSection { length: mm(length)?, diameter: mm(diameter)? })
    };
    let parts = text.split(';').map(str::trim).filter(|p| !p.is_empty());
    let read: Option<Vec<OutlineSection>> = parts.map(one).collect();
    let bad =
        || format!("`{}` is not an outline; write length x diameter: `20 x 14; 30 x 12`", clip_text(text));
    read.ok_or_else(|| BadText::from(bad()))
}

static PLACE: LazyLock<FieldTable<StorePlace>> = LazyLock::new(|| {
    FieldTable::new("place", || StorePlace { cabinet: String::new(), drawer: String::new() })
        .required("cabinet", text(), at!(cabinet), "Cabinet, chest or bench.")
        .required("drawer", text(), at!(drawer), "Drawer, shelf or hook.")
});

/// Where a piece is kept: `cabinet / drawer`, or a table (S122).
pub(crate) struct PlaceForm;

impl ValueForm for PlaceForm {
    type Value = StorePlace;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<StorePlace>> {
        if input.kind() == Some(TomlKind::Table) {
            return table(&PLACE).read(input, desk).filter(|place| !place.spot.bad);
        }
        let text = input.read_text()?;
        let parts = text.value.split_once('/').map(|(cabinet, drawer)| (cabinet.trim(), drawer.trim()));
        match parts.filter(|(cabinet, drawer)| !cabinet.is_empty() && !drawer.is_empty()) {
            Some((cabinet, drawer)) => {
                let place = StorePlace { cabinet: cabinet.to_owned(), drawer: drawer.to_owned() };
                Some(text.map(|_| place).into())
            }
            None => {
                let message = format!("`{}` does not say cabinet and drawer", clip_text(&text.value));
                let fault = Fault::error("S122", message).at(text.span, "one of the two is missing");
                desk.bag.push(fault.help("write both with a stroke between: `red cabinet / drawer 1`"));
                None
            }
        }
    }

    /// A table where a stroke in the cabinet's name would mislead.
    fn write(&self, value: &StorePlace, names: &NameDirectory) -> TomlItem {
        if value.cabinet.contains('/') {
            return table(&PLACE).write(value, names);
        }
        TomlItem::Value(TomlValue::from(value.to_string()))
    }

    fn schema(&self) -> serde_json::Value {
        let text = serde_json::json!({ "type": "string", "pattern": "/" });
        serde_json::json!({ "anyOf": [text, table(&PLACE).schema()] })
    }

    fn words(&self) -> String {
        String::from("`cabinet / drawer`, or a table [`place`](#place)")
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        vec![&*PLACE]
    }
}

/// Names of special tools.
pub(crate) fn names_of_tools() -> fields::ListForm<fields::TextForm> {
    list(1000, text().called("name of a special tool")).or_text()
}

/// A range as it is written.
pub(crate) fn range_text(range: Range<Torque>) -> String {
    let figure = |t: Torque| units::significant(t.as_n_m(), 6);
    format!("{} to {} N·m", figure(range.low()), figure(range.high()))
}
