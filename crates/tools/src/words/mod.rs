//! Sets in words: `1/4 in deep sockets 4 to 14 mm` becomes one line for each piece.
//!
//! The grammar is in `docs/store-format.md`. Reading goes in three steps: the text is cut into marks ([`lex`]), the
//! words among them name the piece ([`noun`]), the numbers among them its sizes ([`sizes`]).

mod lex;
mod noun;
mod sizes;

use model::{Drive, DriveForm, GripFit, PieceKind, PieceLink};
use units::significant;

use crate::recipe::{PieceRecipe, PieceStyle, RecipeKind, SpannerEnd, link_key, size_key, size_title};
use noun::SetNoun;
pub(crate) use sizes::PieceSize;

/// Maximum number of pieces that one set may make.
pub(crate) const MAX_SET_PIECES: usize = 200;

/// What is wrong with the words of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct BadSetWords {
    /// The rule.
    pub(crate) code: &'static str,
    /// What is wrong.
    pub(crate) message: String,
    /// What to write.
    pub(crate) help: String,
}

impl BadSetWords {
    fn new(code: &'static str, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { code, message: message.into(), help: help.into() }
    }
}

/// One piece of a set.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SetMember {
    /// What to build.
    pub(crate) make: PieceRecipe,
    /// The key but for its size.
    pub(crate) stem: String,
    /// The size in the key; empty where there is none.
    pub(crate) size: String,
    /// What follows the size in the key: the end of a combination spanner.
    pub(crate) tail: &'static str,
    /// What a person calls it.
    pub(crate) title: String,
}

/// What a set says besides its words.
#[derive(Debug, Clone, Default)]
pub(crate) struct SetOptions {
    /// Sizes that are not there.
    pub(crate) except: Vec<String>,
    /// Further sizes that are present.
    pub(crate) also: Vec<String>,
    /// Twelve points.
    pub(crate) twelve: bool,
    /// The link, where the words leave it out.
    pub(crate) link: Option<PieceLink>,
}

/// Reads the words of a set.
pub(crate) fn expand_set(text: &str, besides: &SetOptions) -> Result<Vec<SetMember>, BadSetWords> {
    let mut marks = lex::cut_into_tokens(text)?;
    let most = links_of_words(&marks);
    let links = lex::take_links(&mut marks, most);
    let (words, numbers) = lex::split_words_and_sizes(marks);
    let mut noun = noun::find_noun(&words)?;
    noun.style.twelve |= besides.twelve;
    let links = if links.is_empty() { besides.link.into_iter().collect() } else { links };
    if noun.kind.kind == PieceKind::Adapter {
        return adapter_members(&noun, &links);
    }
    let link = single_link(&noun, &links)?;
    let mut sizes = named_sizes(&noun, &numbers)?;
    leave_out_sizes(&noun, &mut sizes, &besides.except)?;
    for text in &besides.also {
        sizes.extend(read_size_list(&noun, text)?);
    }
    let lines: Vec<SetMember> = sizes.iter().flat_map(|size| set_members(&noun, link, size)).collect();
    match lines.len() {
        0 => Err(BadSetWords::new("S105", "this set has no sizes left", format!("write `{}`", noun.sample))),
        n if n > MAX_SET_PIECES => Err(too_many_pieces(n)),
        _ => Ok(lines),
    }
}

/// The most links that the words of a set may name; no bound where they name no noun, which is a fault of its own, and
/// for adapters.
fn links_of_words(marks: &[lex::SetToken]) -> usize {
    let words: Vec<lex::SetToken> = marks
        .iter()
        .filter(|m| !matches!(m, lex::SetToken::Fraction(_) | lex::SetToken::Inch))
        .cloned()
        .collect();
    let (words, _) = lex::split_words_and_sizes(words);
    let words: Vec<String> = words.into_iter().filter(|w| w != "on").collect();
    match noun::find_noun(&words) {
        Ok(noun) if noun.kind.kind != PieceKind::Adapter => noun.links,
        Ok(_) | Err(_) => usize::MAX,
    }
}

/// S107: more pieces than a set holds.
fn too_many_pieces(count: usize) -> BadSetWords {
    let message = format!("this set makes {count} pieces; at most {MAX_SET_PIECES} are allowed");
    BadSetWords::new("S107", message, "write a coarser step, or several sets")
}

/// The link of a set that is no adapter's.
fn single_link(noun: &SetNoun, links: &[PieceLink]) -> Result<Option<PieceLink>, BadSetWords> {
    match (links, noun.links) {
        ([], 0) => Ok(None),
        ([one], 1) => Ok(Some(*one)),
        ([], _) => {
            let message = format!("{} need a square drive or shank", noun.plural);
            Err(BadSetWords::new("S108", message, format!("write `{}`", noun.sample)))
        }
        ([first, ..], 0) => {
            let message = format!("{} have no square drive, so `{first}` does not apply", noun.plural);
            Err(BadSetWords::new("S109", message, format!("write `{}`", noun.sample)))
        }
        _ => {
            let help = format!("write one link, as in `{}`; adapters have two", noun.sample);
            Err(BadSetWords::new(
                "S109",
                format!("{} have one square or shank, not {}", noun.plural, links.len()),
                help,
            ))
        }
    }
}

/// The sizes that the words name.
fn named_sizes(noun: &SetNoun, numbers: &[lex::SetToken]) -> Result<Vec<PieceSize>, BadSetWords> {
    match (noun.sized, numbers.is_empty()) {
        (false, true) => Ok(vec![PieceSize::None]),
        (false, false) => {
            let message = format!("{} take no sizes", noun.plural);
            Err(BadSetWords::new("S105", message, format!("write `{}`", noun.sample)))
        }
        (true, true) => {
            let message = format!("{} need sizes", noun.plural);
            Err(BadSetWords::new("S105", message, format!("write `{}`", noun.sample)))
        }
        (true, false) => sizes::read_sizes(noun, numbers),
    }
}

/// Sizes of a separate list: `except`, `also`.
fn read_size_list(noun: &SetNoun, text: &str) -> Result<Vec<PieceSize>, BadSetWords> {
    let mut marks = lex::cut_into_tokens(text)?;
    for mark in &mut marks {
        if let lex::SetToken::Fraction(link) = mark {
            *mark = lex::SetToken::Inches(lex::link_as_inches_mm(*link));
        }
    }
    let (words, numbers) = lex::split_words_and_sizes(marks);
    if !words.is_empty() || numbers.is_empty() {
        let message = format!("`{}` is not a size", crate::parsing::clip_text(text));
        return Err(BadSetWords::new(
            "S103",
            message,
            "write sizes as in the words of the set: `11 mm`, `T27`",
        ));
    }
    sizes::read_sizes(noun, &numbers)
}

/// Takes out the sizes that are not there.
fn leave_out_sizes(noun: &SetNoun, sizes: &mut Vec<PieceSize>, except: &[String]) -> Result<(), BadSetWords> {
    for text in except {
        for size in read_size_list(noun, text)? {
            let before = sizes.len();
            sizes.retain(|s| *s != size);
            if sizes.len() == before {
                let message =
                    format!("`{}` is not among the sizes of the set", crate::parsing::clip_text(text));
                return Err(BadSetWords::new(
                    "S106",
                    message,
                    "leave it out of `except`, or correct the words of the set",
                ));
            }
        }
    }
    Ok(())
}

/// The pieces of one size: one, or the two ends of a combination spanner.
fn set_members(noun: &SetNoun, link: Option<PieceLink>, size: &PieceSize) -> Vec<SetMember> {
    if !noun.combination {
        return vec![set_member(noun, noun.style, link, size, ("", ""))];
    }
    let end = |end| PieceStyle {
        end: Some(end),
        twelve: noun.style.twelve || end == SpannerEnd::Ring,
        ..noun.style
    };
    let ring = (", ring end (one tool with its open end)", "-ring");
    let open = (", open end (one tool with its ring)", "-open");
    let mut both = vec![
        set_member(noun, end(SpannerEnd::Ring), link, size, ring),
        set_member(noun, end(SpannerEnd::Open), link, size, open),
    ];
    both[1].make.kind = RecipeKind::plain(PieceKind::OpenSpanner);
    both
}

/// One piece.
fn set_member(
    noun: &SetNoun,
    style: PieceStyle,
    link: Option<PieceLink>,
    size: &PieceSize,
    tail: (&str, &'static str),
) -> SetMember {
    let mut style = style;
    style.double |= matches!(size, PieceSize::Two(..));
    let fits = piece_fits(noun.kind.kind, style, size);
    let (fastener, hand) = link_sides(noun.kind.kind, link);
    let (kind, link) = match (noun.kind.kind, link) {
        (PieceKind::Bit, Some(link)) if link != PieceLink::Hex6 => {
            (RecipeKind::plain(PieceKind::BitSocket), Some(link))
        }
        (_, link) => (noun.kind, link),
    };
    let length_mm = if let PieceSize::Length(mm) = size { Some(*mm) } else { None };
    let (name, said) = noun.key_and_title_words(style, fits.first().map(|f| f.form));
    let lead = link.map(|l| format!("{}-", link_key(l))).unwrap_or_default();
    let behind = link.map(|l| format!(", {l}")).unwrap_or_default();
    let (size_key, size_title) = match size {
        PieceSize::Length(mm) => (significant(*mm, 4), format!("{} mm ", significant(*mm, 4))),
        PieceSize::None => (String::new(), String::new()),
        _ => (size_key(&fits), format!("{} ", size_title(&fits))),
    };
    SetMember {
        make: PieceRecipe { kind, style, fits, fastener, hand, length_mm },
        stem: format!("{lead}{name}"),
        size: size_key,
        tail: tail.1,
        title: format!("{size_title}{said}{}{behind}", tail.0),
    }
}

/// On which sides a kind has its link: toward the fastener, toward the hand.
pub(crate) const fn link_sides(
    kind: PieceKind,
    link: Option<PieceLink>,
) -> (Option<PieceLink>, Option<PieceLink>) {
    use PieceKind as K;
    match kind {
        K::Socket | K::BitSocket | K::Bit | K::CrowFoot => (None, link),
        K::BitHolder => (Some(PieceLink::Hex6), link),
        K::Extension | K::TiltingExtension | K::Joint => (link, link),
        K::Ratchet
        | K::BreakerBar
        | K::SpinnerHandle
        | K::PowerDriver
        | K::TorqueWrench
        | K::TorqueScrewdriver => (link, None),
        _ => (None, None),
    }
}

/// What a piece of a size takes hold of.
pub(crate) fn piece_fits(kind: PieceKind, style: PieceStyle, size: &PieceSize) -> Vec<GripFit> {
    use PieceKind as K;
    let drives: Vec<Drive> = match size {
        PieceSize::One(drive) => vec![*drive],
        PieceSize::Two(small, large) => vec![*small, *large],
        PieceSize::Length(_) | PieceSize::None => Vec::new(),
    };
    let rings = matches!(kind, K::RingSpanner | K::RatchetingRing) && style.end != Some(SpannerEnd::Open);
    let both = |d: &Drive| {
        let form = d.form();
        let twelve = form == DriveForm::BiHexagon || (form == DriveForm::Hexagon && (style.twelve || rings));
        let as_form = |form| GripFit { form, low: d.size(), high: d.size() };
        if twelve {
            vec![as_form(DriveForm::Hexagon), as_form(DriveForm::BiHexagon)]
        } else {
            vec![as_form(form)]
        }
    };
    drives.iter().flat_map(both).collect()
}

/// Adapters: pairs of links, the hand's first.
fn adapter_members(noun: &SetNoun, links: &[PieceLink]) -> Result<Vec<SetMember>, BadSetWords> {
    if links.is_empty() || !links.len().is_multiple_of(2) {
        let message = format!("adapters need pairs of links; found {}", links.len());
        return Err(BadSetWords::new("S108", message, format!("write `{}`", noun.sample)));
    }
    if links.len() / 2 > MAX_SET_PIECES {
        return Err(too_many_pieces(links.len() / 2));
    }
    links.chunks(2).map(|pair| adapter_member(noun, pair[0], pair[1])).collect()
}

/// One adapter.
fn adapter_member(noun: &SetNoun, hand: PieceLink, fastener: PieceLink) -> Result<SetMember, BadSetWords> {
    if hand == fastener {
        let message = format!("an adapter from {hand} to {fastener} changes nothing");
        return Err(BadSetWords::new("S109", message, format!("write `{}`", noun.sample)));
    }
    let (kind, style, fits) = (noun.kind, noun.style, Vec::new());
    Ok(SetMember {
        make: PieceRecipe { kind, style, fits, fastener: Some(fastener), hand: Some(hand), length_mm: None },
        stem: String::from("adapter"),
        size: format!("{}-to-{}", link_key(hand), link_key(fastener)),
        tail: "",
        title: format!("adapter {hand} to {fastener}"),
    })
}

/// A size of a single piece, in the form of its kind.
pub(crate) fn read_single_size(kind: RecipeKind, text: &str) -> Result<PieceSize, BadSetWords> {
    let noun = noun::noun_of_kind(kind);
    let sizes = read_size_list(&noun, text)?;
    match sizes.as_slice() {
        [one] => Ok(*one),
        _ => {
            let help = "write one size: `10 mm`, `E10`, `T30`, `8x9`; several sizes are a set";
            Err(BadSetWords::new("S103", "one piece has one size", help))
        }
    }
}
