//! One `[[piece]]`, `[[set]]` or row of a spreadsheet, read to pieces.

use faults::{BadText, Fault, Span, Spanned};
use model::{Drive, DriveForm, Fit, Link, Piece, PieceKind, Place};
use units::Length;

use crate::build::{self, Shape};
use crate::entry::Entry;
use crate::figures::{self, Figures, clip};
use crate::judge;
use crate::make::{KINDS, Kind, Make, Style, link_key, size_key, size_title};
use crate::words::{self, Bad, Besides};

/// A piece with what is needed to report about it.
#[derive(Debug)]
pub(crate) struct Item {
    /// The piece; its key may not be unique yet.
    pub(crate) piece: Piece,
    /// The key that its owner gave, if he did.
    pub(crate) stated_key: Option<Spanned<String>>,
}

/// What stands with a piece besides its figures.
struct Owner {
    key: Option<Spanned<String>>,
    title: Option<String>,
    place: Option<Place>,
    count: u16,
    lent: u16,
    in_calibration: u16,
}

/// Reads one entry; nothing for one with faults.
pub(crate) fn read(entry: Entry<'_>) -> Vec<Item> {
    let owner = owner(&entry);
    let figures = figures::read(&entry);
    let items =
        if entry.has("set") { set(&entry, &owner, &figures) } else { piece(&entry, &owner, &figures) };
    entry.finish();
    items
}

/// Key, title, place and counts.
fn owner(entry: &Entry<'_>) -> Owner {
    let count = |key: &str, usual: u16| entry.int(key, 0..=9999).map_or(usual, |n| n.value as u16);
    let owner = Owner {
        key: entry.parsed("key", key),
        title: entry.text("title").map(|t| t.value),
        place: place(entry),
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
fn key(text: &str) -> Result<String, BadText> {
    let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '-' | '.' | '_');
    if text.chars().all(good) && text.len() <= 80 {
        return Ok(text.to_owned());
    }
    let help = "write small letters, digits and hyphens, at most 80: `wrench-5-25`";
    Err(BadText::from((format!("`{}` is not a key", clip(text)), help.to_owned())))
}

/// Where it is kept: `cabinet / drawer`, or a table.
fn place(entry: &Entry<'_>) -> Option<Place> {
    if let Entry::Table(tab, _) = entry
        && tab.maybe("place").kind() == Some(faults::Kind::Table)
    {
        let tab = tab.maybe("place").table()?;
        let (cabinet, drawer) = (tab.need("cabinet").str(), tab.need("drawer").str());
        tab.finish();
        return Some(Place { cabinet: cabinet?.value, drawer: drawer?.value });
    }
    if !entry.has("place") {
        missing(entry, "place", "write `place = \"cabinet / drawer\"`");
        return None;
    }
    let text = entry.text("place")?;
    let parts = text.value.split_once('/').map(|(c, d)| (c.trim(), d.trim()));
    match parts.filter(|(cabinet, drawer)| !cabinet.is_empty() && !drawer.is_empty()) {
        Some((cabinet, drawer)) => Some(Place { cabinet: cabinet.to_owned(), drawer: drawer.to_owned() }),
        None => {
            let fault =
                Fault::error("S122", format!("`{}` does not say cabinet and drawer", clip(&text.value)));
            let help = "write both with a stroke between: `red cabinet / drawer 1`";
            entry.bag().push(fault.at(text.span, "one of the two is missing").help(help));
            None
        }
    }
}

/// T002: a key that the kind of piece wants.
fn missing(entry: &Entry<'_>, key: &str, help: &str) {
    let fault = Fault::error("T002", format!("missing key `{key}`"));
    entry.bag().push(fault.at(entry.span(), "here").help(help));
}

/// A set: every line of its words becomes a piece.
fn set(entry: &Entry<'_>, owner: &Owner, figures: &Figures) -> Vec<Item> {
    let Some(text) = entry.text("set") else { return Vec::new() };
    let list = |key: &str| entry.texts(key).into_iter().flat_map(|t| split(&t.value)).collect();
    let besides = Besides {
        except: list("except"),
        also: list("also"),
        twelve: figures.points == Some(12),
        link: figures.link.map(|l| l.value),
    };
    let lines = match words::expand(&text.value, &besides) {
        Ok(lines) => lines,
        Err(bad) => {
            report(entry, bad, text.span);
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
        let (shape, dimensions) = build::finish(build::standard(&make, figures), &make, figures);
        if !judge::shape(entry, &shape, &make, figures, text.span) {
            return Vec::new();
        }
        let mut piece = whole(shape, dimensions, &make, (key, line.title), (owner, place, figures));
        if several && owner.title.is_some() {
            piece.title = format!("{}, {}{}", piece.title, line.size, line.tail);
        }
        items.push(Item { piece, stated_key: None });
    }
    items
}

/// Sizes of one text: `11, 12 mm`.
fn split(text: &str) -> Vec<String> {
    text.split([',', ';']).map(|part| part.trim().to_owned()).filter(|part| !part.is_empty()).collect()
}

/// Reports what is wrong with words.
fn report(entry: &Entry<'_>, bad: Bad, span: Span) {
    entry.bag().push(Fault::error(bad.code, bad.message).at(span, "in these words").help(bad.help));
}

/// Rings go with both hexagons unless their owner says six points.
fn with_points(mut make: Make, figures: &Figures) -> Make {
    if figures.points == Some(6) {
        make.fits.retain(|f| f.form != DriveForm::BiHexagon);
    }
    make
}

/// A single piece.
fn piece(entry: &Entry<'_>, owner: &Owner, figures: &Figures) -> Vec<Item> {
    if !entry.has("kind") {
        missing(entry, "kind", "write `kind = \"socket\"` or another kind");
        return Vec::new();
    }
    let Some(kind) = entry.choice("kind", KINDS).map(|k| k.value) else { return Vec::new() };
    let fits = fits(entry, kind, figures);
    let Some(place) = &owner.place else { return Vec::new() };
    let make = make(kind, fits.clone().unwrap_or_default(), figures);
    let (shape, dimensions) = if figures.exact {
        build::exact(fits, figures)
    } else {
        judge::keys(entry, kind);
        if !judge::asked(entry, &make) {
            return Vec::new();
        }
        build::finish(build::standard(&make, figures), &make, figures)
    };
    if !judge::shape(entry, &shape, &make, figures, entry.span()) {
        return Vec::new();
    }
    let names = names(&make, figures);
    let key = owner.key.as_ref().map_or(names.0, |k| k.value.clone());
    let piece = whole(shape, dimensions, &make, (key, names.1), (owner, place, figures));
    vec![Item { piece, stated_key: owner.key.clone() }]
}

/// What a single piece is to become.
fn make(kind: Kind, fits: Vec<Fit>, figures: &Figures) -> Make {
    let link = figures.link.map(|l| l.value);
    let (mut fastener, mut hand) = if figures.exact { (None, None) } else { words::sides(kind.kind, link) };
    if kind.kind == PieceKind::Bit && !figures.exact {
        hand = hand.or(Some(Link::Hex6));
    }
    fastener = figures.fastener_link.map(|l| l.value).or(fastener);
    hand = figures.hand_link.map(|l| l.value).or(hand);
    Make { kind, style: Style::default(), fits, fastener, hand, length_mm: None }
}

/// What a single piece takes hold of: `fits` in full, or its size; nothing if it says neither.
fn fits(entry: &Entry<'_>, kind: Kind, figures: &Figures) -> Option<Vec<Fit>> {
    if entry.has("fits") {
        let texts = entry.texts("fits");
        let read = |text: &Spanned<String>| match fit(&text.value) {
            Ok(fit) => Some(fit),
            Err(bad) => {
                let fault = Fault::error("T005", bad.message).at(text.span, "for `fits`");
                entry.bag().push(Fault { help: bad.help, ..fault });
                None
            }
        };
        let fits: Vec<Fit> = texts.iter().filter_map(read).collect();
        return Some(fits);
    }
    let size = entry.text("size")?;
    match words::single_size(kind, &size.value) {
        Ok(read) => {
            let style = Style { twelve: figures.points == Some(12), ..Style::default() };
            let mut fits = words::fits(kind.kind, style, &read);
            if figures.points == Some(6) {
                fits.retain(|f| f.form != DriveForm::BiHexagon);
            }
            Some(fits)
        }
        Err(bad) => {
            report(entry, bad, size.span);
            None
        }
    }
}

/// One drive, or a range of its sizes: `hexagon 10 mm`, `spring clamp 10 to 60 mm`.
pub(crate) fn fit(text: &str) -> Result<Fit, BadText> {
    let (first, high) = match text.split_once(" to ") {
        Some((first, high)) => (first, Some(high)),
        None => (text, None),
    };
    let low = Drive::parse(first).map_err(|e| BadText::from(DriveWords(&e.to_string()).split()))?;
    let form = low.form();
    let figure = |text: &str| {
        let bare = text.trim().trim_start_matches(|c: char| c.is_ascii_alphabetic() || c == ' ');
        let read = bare.trim_end_matches("mm").trim().parse::<f64>().ok().filter(|n| n.is_finite());
        read.or_else(|| Length::parse(bare).ok().map(Length::as_mm)).filter(|n| (0.0..=200.0).contains(n))
    };
    let exact = figure(first).filter(|n| (n - low.size()).abs() < 0.01).unwrap_or_else(|| low.size());
    let Some(high) = high else { return Ok(Fit { form, low: exact, high: exact }) };
    let bad = || {
        BadText::from(format!("`{}` is not a range of sizes; write `spring clamp 10 to 60 mm`", clip(text)))
    };
    let high = figure(high).filter(|high| *high >= exact).ok_or_else(bad)?;
    Ok(Fit { form, low: exact, high })
}

/// The words of a bad drive, message and help apart.
struct DriveWords<'w>(&'w str);

impl DriveWords<'_> {
    fn split(&self) -> (String, String) {
        let (message, help) = self.0.split_once("; ").unwrap_or((self.0, ""));
        (message.to_owned(), help.to_owned())
    }
}

/// Key and title of a piece whose owner gave none.
fn names(make: &Make, figures: &Figures) -> (String, String) {
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
            (format!("{word}-{}", plain(&name.value)), format!("{said} tool, {}", name.value))
        }
        _ => (format!("{lead}{word}"), format!("{said}{behind}")),
    }
}

/// A name as it may stand in a key.
fn plain(name: &str) -> String {
    let sign = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    name.chars().take(60).map(sign).collect()
}

/// Everything together.
fn whole(
    shape: Shape,
    dimensions: model::Dimensions,
    make: &Make,
    (key, title): (String, String),
    (owner, place, figures): (&Owner, &Place, &Figures),
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
