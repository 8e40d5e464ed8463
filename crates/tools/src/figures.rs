//! The figures that the owner gives with a piece or with a whole set; whatever is not given comes from the tables.

use faults::{BadText, Fault, FromText, SourceSpan, Spanned};
use model::{GripApproach, HandleStyle, OutlineSection, PieceLink, Retention};
use units::{Angle, Length, Money, Range, Torque, significant};

use crate::entry::StoreEntry;
use crate::recipe::LINKS;

/// Longest body, and widest swing, that a piece of hand tool has.
const MAX_LENGTH_MM: f64 = 3000.0;
/// Greatest torque that a hand tool stands or shows.
const MAX_TORQUE_N_M: f64 = 20_000.0;

/// What the owner says about a piece, apart from what it is.
#[derive(Debug, Clone, Default)]
pub(crate) struct OwnerFigures {
    pub(crate) points: Option<i64>,
    pub(crate) thin: bool,
    pub(crate) link: Option<Spanned<PieceLink>>,
    pub(crate) hand_link: Option<Spanned<PieceLink>>,
    pub(crate) fastener_link: Option<Spanned<PieceLink>>,
    pub(crate) length: Option<Spanned<Length>>,
    pub(crate) diameter: Option<Spanned<Length>>,
    pub(crate) height: Option<Spanned<Length>>,
    pub(crate) outline: Option<Spanned<Vec<OutlineSection>>>,
    pub(crate) depth: Option<Spanned<Length>>,
    pub(crate) thickness: Option<Spanned<Length>>,
    pub(crate) head_width: Option<Spanned<Length>>,
    pub(crate) offset: Option<Spanned<Length>>,
    pub(crate) approach: Option<GripApproach>,
    pub(crate) index: Option<Spanned<Angle>>,
    pub(crate) retention: Option<Retention>,
    pub(crate) max_angle: Option<Spanned<Angle>>,
    pub(crate) bend_at: Option<Spanned<Length>>,
    pub(crate) stays_straight: Option<bool>,
    pub(crate) handle: Option<HandleStyle>,
    pub(crate) teeth: Option<Spanned<i64>>,
    pub(crate) step: Option<Spanned<Angle>>,
    pub(crate) radius: Option<Spanned<Length>>,
    pub(crate) arm: Option<Spanned<Length>>,
    pub(crate) hand_room: Option<Spanned<Length>>,
    pub(crate) range: Option<Spanned<Range<Torque>>>,
    pub(crate) tolerance_fraction: Option<Spanned<f64>>,
    pub(crate) scale_step: Option<Spanned<Torque>>,
    pub(crate) speed_rpm: Option<Spanned<f64>>,
    pub(crate) max_torque: Option<Spanned<Torque>>,
    pub(crate) clutch: Vec<Spanned<Torque>>,
    pub(crate) strength: Option<Spanned<Torque>>,
    pub(crate) answers: Vec<Spanned<String>>,
    pub(crate) price: Option<Money>,
    pub(crate) dimensions: Option<String>,
    pub(crate) exact: bool,
}

/// Words for what holds a fastener.
pub(crate) const RETENTIONS: &[(&str, Retention)] = &[
    ("none", Retention::None),
    ("magnet", Retention::Magnet),
    ("spring", Retention::Spring),
    ("rubber", Retention::Rubber),
    ("jaws", Retention::Jaws),
];
/// Words for how a handle is moved.
pub(crate) const HANDLES: &[(&str, HandleStyle)] = &[
    ("ratchet", HandleStyle::Ratchet),
    ("bar", HandleStyle::Bar),
    ("in-line", HandleStyle::InLine),
    ("power", HandleStyle::Power),
    ("squeeze", HandleStyle::Squeeze),
];
/// Words for where a grip comes from.
pub(crate) const APPROACHES: &[(&str, GripApproach)] =
    &[("axial", GripApproach::Axial), ("side", GripApproach::Side)];

/// Reads every figure of a piece or a set.
pub(crate) fn read_owner_figures(entry: &StoreEntry<'_>) -> OwnerFigures {
    let mut figures = OwnerFigures::default();
    read_body_figures(entry, &mut figures);
    read_grip_figures(entry, &mut figures);
    read_handle_figures(entry, &mut figures);
    read_torque_figures(entry, &mut figures);
    figures.answers = entry.read_texts("answers");
    let price = entry.parse_with("price", |text| {
        let (price, _) = Money::parse(text)?;
        if price < Money::ZERO { Err(BadText::from("a price is not below nothing")) } else { Ok(price) }
    });
    figures.price = price.map(|p| p.value);
    figures.dimensions = entry.read_text("dimensions").map(|t| t.value);
    figures.exact = entry.read_bool("exact").unwrap_or_default();
    figures
}

/// Links and outline.
fn read_body_figures(entry: &StoreEntry<'_>, figures: &mut OwnerFigures) {
    figures.link = entry.read_choice("link", LINKS);
    figures.hand_link = entry.read_choice("hand_link", LINKS);
    figures.fastener_link = entry.read_choice("fastener_link", LINKS);
    figures.length = read_positive_length(entry, "length");
    figures.diameter = read_positive_length(entry, "diameter");
    figures.height = read_positive_length(entry, "height");
    figures.outline = read_outline(entry);
    figures.max_angle = read_angle(entry, "max_angle");
    figures.bend_at = read_length(entry, "bend_at", 0.0);
    figures.stays_straight = entry.read_bool("stays_straight");
}

/// What takes hold.
fn read_grip_figures(entry: &StoreEntry<'_>, figures: &mut OwnerFigures) {
    let points = entry.read_int("points", 0..=24);
    if let Some(bad) = points.filter(|p| p.value != 6 && p.value != 12) {
        let fault = Fault::error("S125", format!("a tool has 6 or 12 points, not {}", bad.value));
        entry.bag().push(fault.at(bad.span, "6 or 12").help("write `points = 6` or `points = 12`"));
    }
    figures.points = points.map(|p| p.value);
    figures.thin = entry.read_bool("thin").unwrap_or_default();
    figures.depth = read_length(entry, "depth", 0.0);
    figures.thickness = read_positive_length(entry, "thickness");
    figures.head_width = read_length(entry, "head_width", 0.0);
    figures.offset = read_length(entry, "offset", 0.0);
    figures.approach = entry.read_choice("approach", APPROACHES).map(|a| a.value);
    figures.index = read_angle(entry, "index");
    figures.retention = entry.read_choice("retention", RETENTIONS).map(|r| r.value);
}

/// What takes the hand.
fn read_handle_figures(entry: &StoreEntry<'_>, figures: &mut OwnerFigures) {
    figures.handle = entry.read_choice("handle", HANDLES).map(|h| h.value);
    figures.teeth = entry.read_int("teeth", 4..=1000);
    figures.step = read_angle(entry, "step");
    figures.radius = read_length(entry, "radius", 0.0);
    figures.arm = read_length(entry, "arm", 0.0);
    figures.hand_room = read_length(entry, "hand_room", 0.0);
}

/// What shows, limits or gives a torque.
fn read_torque_figures(entry: &StoreEntry<'_>, figures: &mut OwnerFigures) {
    let range = entry.parse_with("range", parse_range_ends);
    figures.range = range.and_then(|r| check_range_order(entry, r));
    let tolerance = entry.parse_with("tolerance", parse_tolerance);
    figures.tolerance_fraction = tolerance;
    figures.scale_step =
        entry.read_quantity::<Torque>("scale_step").and_then(|t| check_torque_range(entry, "scale_step", t));
    figures.speed_rpm = entry.parse_with("speed", parse_rpm);
    figures.max_torque =
        entry.read_quantity::<Torque>("max_torque").and_then(|t| check_torque_range(entry, "max_torque", t));
    figures.strength =
        entry.read_quantity::<Torque>("strength").and_then(|t| check_torque_range(entry, "strength", t));
    figures.clutch =
        entry.read_texts("clutch").into_iter().filter_map(|text| read_clutch_step(entry, &text)).collect();
}

/// A length above nothing.
fn read_positive_length(entry: &StoreEntry<'_>, key: &str) -> Option<Spanned<Length>> {
    read_length(entry, key, 0.01)
}

/// A length that a hand tool can have.
fn read_length(entry: &StoreEntry<'_>, key: &str, least_mm: f64) -> Option<Spanned<Length>> {
    let length = entry.read_quantity::<Length>(key)?;
    if (least_mm..=MAX_LENGTH_MM).contains(&length.value.as_mm()) {
        return Some(length);
    }
    report_absurd_figure(entry, key, length.span, &format!("{least_mm} mm to {MAX_LENGTH_MM} mm"))
}

/// An angle from nothing to a full turn.
fn read_angle(entry: &StoreEntry<'_>, key: &str) -> Option<Spanned<Angle>> {
    let angle = entry.read_quantity::<Angle>(key)?;
    if (0.0..=360.0).contains(&angle.value.as_deg()) {
        return Some(angle);
    }
    report_absurd_figure(entry, key, angle.span, "0° to 360°")
}

/// A torque above nothing that a hand tool can stand.
fn check_torque_range(entry: &StoreEntry<'_>, key: &str, torque: Spanned<Torque>) -> Option<Spanned<Torque>> {
    if torque.value.as_n_m() > 0.0 && torque.value.as_n_m() <= MAX_TORQUE_N_M {
        return Some(torque);
    }
    report_absurd_figure(entry, key, torque.span, &format!("above 0 to {MAX_TORQUE_N_M} N·m"))
}

/// S125: a figure that no hand tool has.
fn report_absurd_figure<T>(entry: &StoreEntry<'_>, key: &str, span: SourceSpan, sane: &str) -> Option<T> {
    let fault = Fault::error("S125", format!("`{key}` is a figure that no hand tool has"));
    entry.bag().push(fault.at(span, format!("outside {sane}")).help("check the decimal point and the unit"));
    None
}

/// One step of a clutch.
fn read_clutch_step(entry: &StoreEntry<'_>, text: &Spanned<String>) -> Option<Spanned<Torque>> {
    match Torque::from_text(&text.value) {
        Ok(torque) => check_torque_range(entry, "clutch", Spanned::new(torque, text.span)),
        Err(bad) => {
            let fault = Fault::error("T005", bad.message).at(text.span, "for `clutch`");
            entry.bag().push(Fault { help: bad.help, ..fault });
            None
        }
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
fn check_range_order(
    entry: &StoreEntry<'_>,
    range: Spanned<(Torque, Torque)>,
) -> Option<Spanned<Range<Torque>>> {
    let (low, high) = range.value;
    if low.as_n_m() < 0.0 || high.as_n_m() <= 0.0 || high.as_n_m() > MAX_TORQUE_N_M {
        let fault = Fault::error("S114", format!("a full scale of {high} is none that a hand tool has"));
        let help =
            "check the decimal point and the unit; the range goes from the lowest mark to the full scale";
        entry.bag().push(fault.at(range.span, "this range").help(help));
        return None;
    }
    match Range::new(low, high) {
        Ok(good) => Some(Spanned::new(good, range.span)),
        Err(bad) => {
            let fault =
                Fault::error("S104", format!("the range runs down, from {} to {}", bad.low, bad.high));
            let help = "write the lower end first: `5 to 25 N·m`";
            entry.bag().push(fault.at(range.span, "the lower end comes first").help(help));
            None
        }
    }
}

/// `4 %`, or a bare fraction.
pub(crate) fn parse_tolerance(text: &str) -> Result<f64, BadText> {
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

/// The outline: a list of tables, or `20 x 14; 30 x 12`.
fn read_outline(entry: &StoreEntry<'_>) -> Option<Spanned<Vec<OutlineSection>>> {
    let sections: Vec<OutlineSection> = match entry {
        StoreEntry::Table(tab, _) if tab.optional_field("outline").kind() == Some(faults::TomlKind::List) => {
            tab.optional_field("outline").read_tables().into_iter().filter_map(read_section).collect()
        }
        _ => entry.parse_with("outline", parse_sections)?.value,
    };
    let span = entry.value_span("outline");
    let sane = |l: Length, least_mm: f64| (least_mm..=MAX_LENGTH_MM).contains(&l.as_mm());
    if sections.is_empty() || sections.iter().any(|s| !sane(s.length, 0.01) || !sane(s.diameter, 0.01)) {
        return report_absurd_figure(entry, "outline", span, "sections above 0 mm, at most 3000 mm");
    }
    Some(Spanned::new(sections, span))
}

/// One section of an outline.
fn read_section(tab: faults::TomlTable<'_>) -> Option<OutlineSection> {
    let (length, diameter) = (
        tab.required_field("length").read_quantity::<Length>(),
        tab.required_field("diameter").read_quantity::<Length>(),
    );
    tab.report_unknown_keys();
    Some(OutlineSection { length: length?.value, diameter: diameter?.value })
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

/// A range as it is written.
pub(crate) fn range_text(range: Range<Torque>) -> String {
    let figure = |t: Torque| significant(t.as_n_m(), 6);
    format!("{} to {} N·m", figure(range.low()), figure(range.high()))
}
