//! One `[[piece]]`, `[[set]]` or row of a spreadsheet, read to pieces.

use faults::{Fault, FaultCollector, SourceSpan, Spanned};
use fields::ValueSpot;
use model::{DriveForm, GripFit, Piece, PieceKind, PieceLink, StorePlace};

use crate::build::{self, PieceShape};
use crate::draft::{OwnerFigures, PieceDraft};
use crate::parsing;
use crate::piece_checks;
use crate::recipe::{PieceRecipe, PieceStyle, RecipeKind, link_key, size_key, size_title};
use crate::words::{self, BadSetWords, SetOptions};

/// A piece with what is needed to report about it.
#[derive(Debug)]
pub(crate) struct ParsedPiece {
    /// The piece; its key may not be unique yet.
    pub(crate) piece: Piece,
    /// The key that its owner gave, if any.
    pub(crate) stated_key: Option<Spanned<String>>,
}

/// A piece or a set as it was written, with the places of its keys.
pub(crate) struct WrittenPiece<'d> {
    pub(crate) draft: PieceDraft,
    pub(crate) spot: ValueSpot,
    pub(crate) bag: &'d FaultCollector,
}

impl WrittenPiece<'_> {
    /// Whether a key was written.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.spot.has(key)
    }

    /// The place of a key, or of the whole if the key is not there.
    pub(crate) fn place_of(&self, key: &str) -> SourceSpan {
        self.spot.key(key).span
    }
}

/// The pieces of one entry; none where what was written is at fault.
pub(crate) fn make_pieces(entry: &WrittenPiece<'_>) -> Vec<ParsedPiece> {
    check_counts(entry);
    check_points(entry);
    if entry.has("set") { read_set(entry) } else { read_piece(entry) }
}

/// S110: more away than there are.
fn check_counts(entry: &WrittenPiece<'_>) {
    let (draft, owned) = (&entry.draft, entry.draft.owned_count());
    let away = u32::from(draft.lent) + u32::from(draft.in_calibration);
    if away > u32::from(owned) {
        let at = if draft.lent > 0 { "lent" } else { "in_calibration" };
        let message = format!("{away} are lent out or out for calibration, and only {owned} are owned");
        let fault = Fault::error("S110", message).at(entry.place_of(at), "more than there are");
        entry.bag.push(fault.help("include those that are away in `count`"));
    }
}

/// S125: a number of points that no tool has.
fn check_points(entry: &WrittenPiece<'_>) {
    if let Some(points) = entry.draft.figures.points.filter(|points| *points != 6 && *points != 12) {
        let fault = Fault::error("S125", format!("a tool has 6 or 12 points, not {points}"));
        entry
            .bag
            .push(fault.at(entry.place_of("points"), "6 or 12").help("write `points = 6` or `points = 12`"));
    }
}

/// A set: every line of its words becomes a piece.
fn read_set(entry: &WrittenPiece<'_>) -> Vec<ParsedPiece> {
    let (draft, span) = (&entry.draft, entry.place_of("set"));
    let Some(text) = &draft.set else { return Vec::new() };
    let figures = &draft.figures;
    let sizes = |list: &[String]| list.iter().flat_map(|text| split_sizes(text)).collect();
    let besides = SetOptions {
        except: sizes(&draft.except),
        also: sizes(&draft.also),
        twelve: figures.points == Some(12),
        link: figures.link,
    };
    let lines = match words::expand_set(text, &besides) {
        Ok(lines) => lines,
        Err(bad) => {
            report_bad_set_words(entry, bad, span);
            return Vec::new();
        }
    };
    let Some(place) = &draft.place else { return Vec::new() };
    let mut items = Vec::with_capacity(lines.len());
    let several = lines.len() > 1;
    for line in lines {
        let stem = draft.key.as_ref().unwrap_or(&line.stem);
        let hyphen = if line.size.is_empty() { "" } else { "-" };
        let key = format!("{stem}{hyphen}{}{}", line.size, line.tail);
        let make = with_points(line.make, figures);
        let (shape, dimensions) =
            build::apply_owner_figures(build::build_standard_shape(&make, figures), &make, figures);
        if !piece_checks::check_shape(entry, &shape, &make, figures, span) {
            return Vec::new();
        }
        let mut piece = assemble_piece(shape, dimensions, &make, (key, line.title), (draft, place));
        if several && draft.title.is_some() {
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
fn report_bad_set_words(entry: &WrittenPiece<'_>, bad: BadSetWords, span: SourceSpan) {
    entry.bag.push(Fault::error(bad.code, bad.message).at(span, "in these words").help(bad.help));
}

/// Rings go with both hexagons unless their owner says six points.
fn with_points(mut make: PieceRecipe, figures: &OwnerFigures) -> PieceRecipe {
    if figures.points == Some(6) {
        make.fits.retain(|f| f.form != DriveForm::BiHexagon);
    }
    make
}

/// A single piece.
fn read_piece(entry: &WrittenPiece<'_>) -> Vec<ParsedPiece> {
    let (draft, figures) = (&entry.draft, &entry.draft.figures);
    let Some(kind) = draft.kind else { return Vec::new() };
    let fits = read_fits(entry, kind);
    let Some(place) = &draft.place else { return Vec::new() };
    let make = make_recipe(kind, fits.clone().unwrap_or_default(), figures);
    let (shape, dimensions) = if figures.exact {
        build::build_exact_shape(kind.kind, fits, figures)
    } else {
        piece_checks::warn_unused_keys(entry, kind);
        if !piece_checks::check_kind_needs(entry, &make) {
            return Vec::new();
        }
        build::apply_owner_figures(build::build_standard_shape(&make, figures), &make, figures)
    };
    if !piece_checks::check_shape(entry, &shape, &make, figures, entry.spot.span) {
        return Vec::new();
    }
    let names = default_key_and_title(&make, figures);
    let key = draft.key.clone().unwrap_or(names.0);
    let piece = assemble_piece(shape, dimensions, &make, (key, names.1), (draft, place));
    let stated_key = draft.key.clone().map(|key| Spanned::new(key, entry.place_of("key")));
    vec![ParsedPiece { piece, stated_key }]
}

/// What a single piece is to become.
fn make_recipe(kind: RecipeKind, fits: Vec<GripFit>, figures: &OwnerFigures) -> PieceRecipe {
    let link = figures.link;
    let (mut fastener, mut hand) =
        if figures.exact { (None, None) } else { words::link_sides(kind.kind, link) };
    if kind.kind == PieceKind::Bit && !figures.exact {
        hand = hand.or(Some(PieceLink::Hex6));
    }
    fastener = figures.fastener_link.or(fastener);
    hand = figures.hand_link.or(hand);
    PieceRecipe { kind, style: PieceStyle::default(), fits, fastener, hand, length_mm: None }
}

/// What a single piece takes hold of: `fits` in full, or its size; nothing if it says neither.
fn read_fits(entry: &WrittenPiece<'_>, kind: RecipeKind) -> Option<Vec<GripFit>> {
    let points = entry.draft.figures.points;
    if entry.has("fits") {
        return Some(entry.draft.fits.clone().unwrap_or_default());
    }
    let size = entry.draft.size.as_ref()?;
    match words::read_single_size(kind, size) {
        Ok(read) => {
            let style = PieceStyle { twelve: points == Some(12), ..PieceStyle::default() };
            let mut fits = words::piece_fits(kind.kind, style, &read);
            if points == Some(6) {
                fits.retain(|f| f.form != DriveForm::BiHexagon);
            }
            Some(fits)
        }
        Err(bad) => {
            report_bad_set_words(entry, bad, entry.place_of("size"));
            None
        }
    }
}

/// Key and title of a piece whose owner gave none.
fn default_key_and_title(make: &PieceRecipe, figures: &OwnerFigures) -> (String, String) {
    let word = make.kind.word();
    let said = word.replace('-', " ");
    let link = make.link();
    let lead = link.map(|l| format!("{}-", link_key(l))).unwrap_or_default();
    let behind = link.map(|l| format!(", {l}")).unwrap_or_default();
    let length = figures.length.map(|length| units::significant(length.as_mm(), 4));
    match (figures.range, make.fits.is_empty(), length, figures.answers.iter().flatten().next()) {
        (Some(range), ..) => {
            let text = parsing::range_text(range);
            let key = text.trim_end_matches(" N·m").replace(" to ", "-");
            (format!("{lead}{word}-{key}"), format!("{said} {text}{behind}"))
        }
        (_, false, ..) => (
            format!("{lead}{word}-{}", size_key(&make.fits)),
            format!("{} {said}{behind}", size_title(&make.fits)),
        ),
        (_, _, Some(length), _) => (format!("{lead}{word}-{length}"), format!("{length} mm {said}{behind}")),
        (.., Some(name)) => (format!("{word}-{}", key_safe_name(name)), format!("{said} tool, {name}")),
        _ => (format!("{lead}{word}"), format!("{said}{behind}")),
    }
}

/// A name as it may be in a key.
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
    (draft, place): (&PieceDraft, &StorePlace),
) -> Piece {
    let figures = &draft.figures;
    Piece {
        key,
        title: draft.title.clone().unwrap_or(title),
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
        answers: figures.answers.clone().unwrap_or_default(),
        place: place.clone(),
        count: draft.owned_count(),
        lent: draft.lent,
        in_calibration: draft.in_calibration,
        price: figures.price,
        dimensions,
    }
}
