//! One `[[piece]]`, `[[set]]` or row of a spreadsheet, read to pieces.

use faults::{BadText, Fault, SourceSpan, Spanned};
use model::{Drive, DriveForm, GripFit, Piece, PieceKind, PieceLink, StorePlace};
use units::Length;

use crate::build::{self, PieceShape};
use crate::entry::StoreEntry;
use crate::figures::{self, OwnerFigures, clip_text};
use crate::piece_checks;
use crate::recipe::{KINDS, PieceRecipe, PieceStyle, RecipeKind, link_key, size_key, size_title};
use crate::words::{self, BadSetWords, SetOptions};

/// A piece with what is needed to report about it.
#[derive(Debug)]
pub(crate) struct ParsedPiece {
    /// The piece; its key may not be unique yet.
    pub(crate) piece: Piece,
    /// The key that its owner gave, if he did.
    pub(crate) stated_key: Option<Spanned<String>>,
}

/// What stands with a piece besides its figures.
struct OwnerDetails {
    key: Option<Spanned<String>>,
    title: Option<String>,
    place: Option<StorePlace>,
    count: u16,
    lent: u16,
    in_calibration: u16,
}

/// Reads one entry; nothing for one with faults.
pub(crate) fn read_entry(entry: StoreEntry<'_>) -> Vec<ParsedPiece> {
    let owner = read_owner_details(&entry);
    let figures = figures::read_owner_figures(&entry);
    let items = if entry.has("set") {
        read_set(&entry, &owner, &figures)
    } else {
        read_piece(&entry, &owner, &figures)
    };
    entry.report_unknown_keys();
    items
}

/// Key, title, place and counts.
fn read_owner_details(entry: &StoreEntry<'_>) -> OwnerDetails {
    let count = |key: &str, usual: u16| entry.read_int(key, 0..=9999).map_or(usual, |n| n.value as u16);
    let owner = OwnerDetails {
        key: entry.parse_with("key", parse_piece_key),
        title: entry.read_text("title").map(|t| t.value),
        place: read_place(entry),
        count: count("count", 1),
        lent: count("lent", 0),
        in_calibration: count("in_calibration", 0),
    };
    if u32::from(owner.lent) + u32::from(owner.in_calibration) > u32::from(owner.count) {
        let away = u32::from(owner.lent) + u32::from(owner.in_calibration);
        let at = if owner.lent > 0 { "lent" } else { "in_calibration" };
        let message =
            format!("{away} are lent out or out for calibration, and only {} are owned", owner.count);
        let fault = Fault::error("S110", message).at(entry.value_span(at), "more than there are");
        entry.bag().push(fault.help("count those that are away into `count`"));
    }
    owner
}

/// A key: small letters, digits, hyphens and points.
fn parse_piece_key(text: &str) -> Result<String, BadText> {
    let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '-' | '.' | '_');
    if text.chars().all(good) && text.len() <= 80 {
        return Ok(text.to_owned());
    }
    let help = "write small letters, digits and hyphens, at most 80: `wrench-5-25`";
    Err(BadText::from((format!("`{}` is not a key", clip_text(text)), help.to_owned())))
}

/// Where it is kept: `cabinet / drawer`, or a table.
fn read_place(entry: &StoreEntry<'_>) -> Option<StorePlace> {
    if let StoreEntry::Table(tab, _) = entry
        && tab.optional_field("place").kind() == Some(faults::TomlKind::Table)
    {
        let tab = tab.optional_field("place").read_table()?;
        let (cabinet, drawer) =
            (tab.required_field("cabinet").read_text(), tab.required_field("drawer").read_text());
        tab.report_unknown_keys();
        return Some(StorePlace { cabinet: cabinet?.value, drawer: drawer?.value });
    }
    if !entry.has("place") {
        report_missing_key(entry, "place", "write `place = \"cabinet / drawer\"`");
        return None;
    }
    let text = entry.read_text("place")?;
    let parts = text.value.split_once('/').map(|(c, d)| (c.trim(), d.trim()));
    match parts.filter(|(cabinet, drawer)| !cabinet.is_empty() && !drawer.is_empty()) {
        Some((cabinet, drawer)) => {
            Some(StorePlace { cabinet: cabinet.to_owned(), drawer: drawer.to_owned() })
        }
        None => {
            let fault =
                Fault::error("S122", format!("`{}` does not say cabinet and drawer", clip_text(&text.value)));
            let help = "write both with a stroke between: `red cabinet / drawer 1`";
            entry.bag().push(fault.at(text.span, "one of the two is missing").help(help));
            None
        }
    }
}

/// T002: a key that the kind of piece wants.
fn report_missing_key(entry: &StoreEntry<'_>, key: &str, help: &str) {
    let fault = Fault::error("T002", format!("missing key `{key}`"));
    entry.bag().push(fault.at(entry.span(), "here").help(help));
}

/// A set: every line of its words becomes a piece.
fn read_set(entry: &StoreEntry<'_>, owner: &OwnerDetails, figures: &OwnerFigures) -> Vec<ParsedPiece> {
    let Some(text) = entry.read_text("set") else { return Vec::new() };
    let list = |key: &str| entry.read_texts(key).into_iter().flat_map(|t| split_sizes(&t.value)).collect();
    let besides = SetOptions {
        except: list("except"),
        also: list("also"),
        twelve: figures.points == Some(12),
        link: figures.link.map(|l| l.value),
    };
    let lines = match words::expand_set(&text.value, &besides) {
        Ok(lines) => lines,
        Err(bad) => {
            report_bad_set_words(entry, bad, text.span);
            return Vec::new();
        }
    };
    let Some(place) = &owner.place else { return Vec::new() };
    let mut items = Vec::with_capacity(lines.len());
    let several = lines.len() > 1;
    for line in lines {
        let stem = owner.key.as_ref().map_or(line.stem.as_str(), |k| &k.value);
        let hyphen = if line.size.is_empty() { "" } else { "-" };
        let key = format!("{stem}{hyphen}{}{}", line.size, line.tail);
        let make = with_points(line.make, figures);
        let (shape, dimensions) =
            build::apply_owner_figures(build::build_standard_shape(&make, figures), &make, figures);
        if !piece_checks::check_shape(entry, &shape, &make, figures, text.span) {
            return Vec::new();
        }
        let mut piece = assemble_piece(shape, dimensions, &make, (key, line.title), (owner, place, figures));
        if several && owner.title.is_some() {
            piece.title = format!("{}, {}{}", piece.title, line.size, line.tail);
        }
        items.push(ParsedPiece { piece, stated_key: None });
    }
    items
}

/// Sizes of one text: `11, 12 mm`.
fn split_sizes(text: &str) -> Vec<String> {
    text.split([',', ';']).map(|part| part.trim().to_owned()).filter(|part| !part.is_empty()).collect()
}

/// Reports what is wrong with words.
fn report_bad_set_words(entry: &StoreEntry<'_>, bad: BadSetWords, span: SourceSpan) {
    entry.bag().push(Fault::error(bad.code, bad.message).at(span, "in these words").help(bad.help));
}

/// Rings go with both hexagons unless their owner says six points.
fn with_points(mut make: PieceRecipe, figures: &OwnerFigures) -> PieceRecipe {
    if figures.points == Some(6) {
        make.fits.retain(|f| f.form != DriveForm::BiHexagon);
    }
    make
}

/// A single piece.
fn read_piece(entry: &StoreEntry<'_>, owner: &OwnerDetails, figures: &OwnerFigures) -> Vec<ParsedPiece> {
    if !entry.has("kind") {
        report_missing_key(entry, "kind", "write `kind = \"socket\"` or another kind");
        return Vec::new();
    }
    let Some(kind) = entry.read_choice("kind", KINDS).map(|k| k.value) else { return Vec::new() };
    let fits = read_fits(entry, kind, figures);
    let Some(place) = &owner.place else { return Vec::new() };
    let make = make_recipe(kind, fits.clone().unwrap_or_default(), figures);
    let (shape, dimensions) = if figures.exact {
        build::build_exact_shape(fits, figures)
    } else {
        piece_checks::warn_unused_keys(entry, kind);
        if !piece_checks::check_kind_needs(entry, &make) {
            return Vec::new();
        }
        build::apply_owner_figures(build::build_standard_shape(&make, figures), &make, figures)
    };
    if !piece_checks::check_shape(entry, &shape, &make, figures, entry.span()) {
        return Vec::new();
    }
    let names = default_key_and_title(&make, figures);
    let key = owner.key.as_ref().map_or(names.0, |k| k.value.clone());
    let piece = assemble_piece(shape, dimensions, &make, (key, names.1), (owner, place, figures));
    vec![ParsedPiece { piece, stated_key: owner.key.clone() }]
}

/// What a single piece is to become.
fn make_recipe(kind: RecipeKind, fits: Vec<GripFit>, figures: &OwnerFigures) -> PieceRecipe {
    let link = figures.link.map(|l| l.value);
    let (mut fastener, mut hand) =
        if figures.exact { (None, None) } else { words::link_sides(kind.kind, link) };
    if kind.kind == PieceKind::Bit && !figures.exact {
        hand = hand.or(Some(PieceLink::Hex6));
    }
    fastener = figures.fastener_link.map(|l| l.value).or(fastener);
    hand = figures.hand_link.map(|l| l.value).or(hand);
    PieceRecipe { kind, style: PieceStyle::default(), fits, fastener, hand, length_mm: None }
}

/// What a single piece takes hold of: `fits` in full, or its size; nothing if it says neither.
fn read_fits(entry: &StoreEntry<'_>, kind: RecipeKind, figures: &OwnerFigures) -> Option<Vec<GripFit>> {
    if entry.has("fits") {
        let texts = entry.read_texts("fits");
        let read = |text: &Spanned<String>| match parse_fit(&text.value) {
            Ok(fit) => Some(fit),
            Err(bad) => {
                let fault = Fault::error("T005", bad.message).at(text.span, "for `fits`");
                entry.bag().push(Fault { help: bad.help, ..fault });
                None
            }
        };
        let fits: Vec<GripFit> = texts.iter().filter_map(read).collect();
        return Some(fits);
    }
    let size = entry.read_text("size")?;
    match words::read_single_size(kind, &size.value) {
        Ok(read) => {
            let style = PieceStyle { twelve: figures.points == Some(12), ..PieceStyle::default() };
            let mut fits = words::piece_fits(kind.kind, style, &read);
            if figures.points == Some(6) {
                fits.retain(|f| f.form != DriveForm::BiHexagon);
            }
            Some(fits)
        }
        Err(bad) => {
            report_bad_set_words(entry, bad, size.span);
            None
        }
    }
}

/// One drive, or a range of its sizes: `hexagon 10 mm`, `spring clamp 10 to 60 mm`.
pub(crate) fn parse_fit(text: &str) -> Result<GripFit, BadText> {
    let (first, high) = match text.split_once(" to ") {
        Some((first, high)) => (first, Some(high)),
        None => (text, None),
    };
    let low = Drive::parse(first).map_err(|e| BadText::from(DriveErrorText(&e.to_string()).split_help()))?;
    let form = low.form();
    let figure = |text: &str| {
        let bare = text.trim().trim_start_matches(|c: char| c.is_ascii_alphabetic() || c == ' ');
        let read = bare.trim_end_matches("mm").trim().parse::<f64>().ok().filter(|n| n.is_finite());
        read.or_else(|| Length::parse(bare).ok().map(Length::as_mm)).filter(|n| (0.0..=200.0).contains(n))
    };
    let exact = figure(first).filter(|n| (n - low.size()).abs() < 0.01).unwrap_or_else(|| low.size());
    let Some(high) = high else { return Ok(GripFit { form, low: exact, high: exact }) };
    let bad = || {
        BadText::from(format!(
            "`{}` is not a range of sizes; write `spring clamp 10 to 60 mm`",
            clip_text(text)
        ))
    };
    let high = figure(high).filter(|high| *high >= exact).ok_or_else(bad)?;
    Ok(GripFit { form, low: exact, high })
}

/// The words of a bad drive, message and help apart.
struct DriveErrorText<'w>(&'w str);

impl DriveErrorText<'_> {
    fn split_help(&self) -> (String, String) {
        let (message, help) = self.0.split_once("; ").unwrap_or((self.0, ""));
        (message.to_owned(), help.to_owned())
    }
}

/// Key and title of a piece whose owner gave none.
fn default_key_and_title(make: &PieceRecipe, figures: &OwnerFigures) -> (String, String) {
    let word = make.kind.word();
    let said = word.replace('-', " ");
    let link = make.link();
    let lead = link.map(|l| format!("{}-", link_key(l))).unwrap_or_default();
    let behind = link.map(|l| format!(", {l}")).unwrap_or_default();
    let length = figures.length.map(|l| units::significant(l.value.as_mm(), 4));
    match (&figures.range, make.fits.is_empty(), length, figures.answers.first()) {
        (Some(range), ..) => {
            let text = figures::range_text(range.value);
            let key = text.trim_end_matches(" N·m").replace(" to ", "-");
            (format!("{lead}{word}-{key}"), format!("{said} {text}{behind}"))
        }
        (_, false, ..) => (
            format!("{lead}{word}-{}", size_key(&make.fits)),
            format!("{} {said}{behind}", size_title(&make.fits)),
        ),
        (_, _, Some(length), _) => (format!("{lead}{word}-{length}"), format!("{length} mm {said}{behind}")),
        (.., Some(name)) => {
            (format!("{word}-{}", key_safe_name(&name.value)), format!("{said} tool, {}", name.value))
        }
        _ => (format!("{lead}{word}"), format!("{said}{behind}")),
    }
}

/// A name as it may stand in a key.
fn key_safe_name(name: &str) -> String {
    let sign = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    name.chars().take(60).map(sign).collect()
}

/// Everything together.
fn assemble_piece(
    shape: PieceShape,
    dimensions: model::DimensionsSource,
    make: &PieceRecipe,
    (key, title): (String, String),
    (owner, place, figures): (&OwnerDetails, &StorePlace, &OwnerFigures),
) -> Piece {
    Piece {
        key,
        title: owner.title.clone().unwrap_or(title),
        kind: make.kind.kind,
        grip: shape.grip,
        toward_fastener: make.fastener,
        toward_hand: make.hand,
        outline: shape.outline,
        bend: shape.bend,
        handle: shape.handle,
        strength: shape.strength,
        measure: shape.measure,
        power: shape.power,
        answers: figures.answers.iter().map(|a| a.value.clone()).collect(),
        place: place.clone(),
        count: owner.count,
        lent: owner.lent,
        in_calibration: owner.in_calibration,
        price: figures.price,
        dimensions,
    }
}
