//! Sets in words: `1/4 in deep sockets 4 to 14 mm` becomes one line for each piece.
//!
//! The grammar stands in `docs/store-format.md`. Reading goes in three steps: the text is cut into marks ([`lex`]), the
//! words among them name the piece ([`noun`]), the numbers among them its sizes ([`sizes`]).

mod lex;
mod noun;
mod sizes;

use model::{Drive, DriveForm, Fit, Link, PieceKind};
use units::significant;

use crate::make::{End, Kind, Make, Style, link_key, size_key, size_title};
use noun::Noun;
pub(crate) use sizes::Size;

/// Most pieces that one set may make.
pub(crate) const PIECES_MAX: usize = 200;

/// What is wrong with the words of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Bad {
    /// The rule.
    pub(crate) code: &'static str,
    /// What is wrong.
    pub(crate) message: String,
    /// What to write.
    pub(crate) help: String,
}

impl Bad {
    fn new(code: &'static str, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { code, message: message.into(), help: help.into() }
    }
}

/// One piece of a set.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    /// What to build.
    pub(crate) make: Make,
    /// The key but for its size.
    pub(crate) stem: String,
    /// The size in the key; empty where there is none.
    pub(crate) size: String,
    /// What stands behind the size in the key: the end of a combination spanner.
    pub(crate) tail: &'static str,
    /// What a person calls it.
    pub(crate) title: String,
}

/// What a set says besides its words.
#[derive(Debug, Clone, Default)]
pub(crate) struct Besides {
    /// Sizes that are not there.
    pub(crate) except: Vec<String>,
    /// Sizes that are there besides.
    pub(crate) also: Vec<String>,
    /// Twelve points.
    pub(crate) twelve: bool,
    /// The link, where the words leave it out.
    pub(crate) link: Option<Link>,
}

/// Reads the words of a set.
pub(crate) fn expand(text: &str, besides: &Besides) -> Result<Vec<Line>, Bad> {
    let mut marks = lex::cut(text)?;
    let links = lex::take_links(&mut marks);
    let (words, numbers) = lex::part(marks);
    let mut noun = noun::find(&words)?;
    noun.style.twelve |= besides.twelve;
    let links = if links.is_empty() { besides.link.into_iter().collect() } else { links };
    if noun.kind.kind == PieceKind::Adapter {
        return adapters(&noun, &links);
    }
    let link = the_link(&noun, &links)?;
    let mut sizes = wanted(&noun, &numbers)?;
    leave_out(&noun, &mut sizes, &besides.except)?;
    for text in &besides.also {
        sizes.extend(one_list(&noun, text)?);
    }
    let lines: Vec<Line> = sizes.iter().flat_map(|size| lines(&noun, link, size)).collect();
    match lines.len() {
        0 => Err(Bad::new("S105", "this set has no sizes left", format!("write `{}`", noun.sample))),
        n if n > PIECES_MAX => Err(too_many(n)),
        _ => Ok(lines),
    }
}

/// S107: more pieces than a set holds.
fn too_many(count: usize) -> Bad {
    let message = format!("this set makes {count} pieces; {PIECES_MAX} are the most");
    Bad::new("S107", message, "write a coarser step, or several sets")
}

/// The link of a set that is no adapter's.
fn the_link(noun: &Noun, links: &[Link]) -> Result<Option<Link>, Bad> {
    match (links, noun.links) {
        ([], 0) => Ok(None),
        ([one], 1) => Ok(Some(*one)),
        ([], _) => {
            let message = format!("{} without a square drive or shank", noun.plural);
            Err(Bad::new("S108", message, format!("write `{}`", noun.sample)))
        }
        ([first, ..], 0) => {
            let message =
                format!("{} stand on no square, so that `{first}` does not go with them", noun.plural);
            Err(Bad::new("S109", message, format!("write `{}`", noun.sample)))
        }
        _ => {
            let help = format!("write one link, as in `{}`; adapters have two", noun.sample);
            Err(Bad::new(
                "S109",
                format!("{} have one square or shank, not {}", noun.plural, links.len()),
                help,
            ))
        }
    }
}

/// The sizes that the words name.
fn wanted(noun: &Noun, numbers: &[lex::Mark]) -> Result<Vec<Size>, Bad> {
    match (noun.sized, numbers.is_empty()) {
        (false, true) => Ok(vec![Size::None]),
        (false, false) => {
            let message = format!("{} have no sizes in words", noun.plural);
            Err(Bad::new("S105", message, format!("write `{}`", noun.sample)))
        }
        (true, true) => {
            let message = format!("{} without sizes", noun.plural);
            Err(Bad::new("S105", message, format!("write `{}`", noun.sample)))
        }
        (true, false) => sizes::read(noun, numbers),
    }
}

/// Sizes of a list that stands apart: `except`, `also`.
fn one_list(noun: &Noun, text: &str) -> Result<Vec<Size>, Bad> {
    let (words, numbers) = lex::part(lex::cut(text)?);
    if !words.is_empty() || numbers.is_empty() {
        let message = format!("`{}` is not a size", crate::figures::clip(text));
        return Err(Bad::new("S103", message, "write sizes as in the words of the set: `11 mm`, `T27`"));
    }
    sizes::read(noun, &numbers)
}

/// Takes out the sizes that are not there.
fn leave_out(noun: &Noun, sizes: &mut Vec<Size>, except: &[String]) -> Result<(), Bad> {
    for text in except {
        for size in one_list(noun, text)? {
            let before = sizes.len();
            sizes.retain(|s| *s != size);
            if sizes.len() == before {
                let message = format!("`{}` is not among the sizes of the set", crate::figures::clip(text));
                return Err(Bad::new(
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
fn lines(noun: &Noun, link: Option<Link>, size: &Size) -> Vec<Line> {
    if !noun.combination {
        return vec![line(noun, noun.style, link, size, ("", ""))];
    }
    let end = |end| Style { end: Some(end), twelve: noun.style.twelve || end == End::Ring, ..noun.style };
    let ring = (", ring end (one tool with its open end)", "-ring");
    let open = (", open end (one tool with its ring)", "-open");
    let mut both =
        vec![line(noun, end(End::Ring), link, size, ring), line(noun, end(End::Open), link, size, open)];
    both[1].make.kind = Kind::plain(PieceKind::OpenSpanner);
    both
}

/// One piece.
fn line(noun: &Noun, style: Style, link: Option<Link>, size: &Size, tail: (&str, &'static str)) -> Line {
    let mut style = style;
    style.double |= matches!(size, Size::Two(..));
    let fits = fits(noun.kind.kind, style, size);
    let (fastener, hand) = sides(noun.kind.kind, link);
    let (kind, link) = match (noun.kind.kind, link) {
        (PieceKind::Bit, Some(link)) if link != Link::Hex6 => (Kind::plain(PieceKind::BitSocket), Some(link)),
        (_, link) => (noun.kind, link),
    };
    let length_mm = if let Size::Length(mm) = size { Some(*mm) } else { None };
    let (name, said) = noun.named(style, fits.first().map(|f| f.form));
    let lead = link.map(|l| format!("{}-", link_key(l))).unwrap_or_default();
    let behind = link.map(|l| format!(", {l}")).unwrap_or_default();
    let (size_key, size_title) = match size {
        Size::Length(mm) => (significant(*mm, 4), format!("{} mm ", significant(*mm, 4))),
        Size::None => (String::new(), String::new()),
        _ => (size_key(&fits), format!("{} ", size_title(&fits))),
    };
    Line {
        make: Make { kind, style, fits, fastener, hand, length_mm },
        stem: format!("{lead}{name}"),
        size: size_key,
        tail: tail.1,
        title: format!("{size_title}{said}{}{behind}", tail.0),
    }
}

/// On which sides a kind has its link: toward the fastener, toward the hand.
pub(crate) const fn sides(kind: PieceKind, link: Option<Link>) -> (Option<Link>, Option<Link>) {
    use PieceKind as K;
    match kind {
        K::Socket | K::BitSocket | K::Bit | K::CrowFoot => (None, link),
        K::BitHolder => (Some(Link::Hex6), link),
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
pub(crate) fn fits(kind: PieceKind, style: Style, size: &Size) -> Vec<Fit> {
    use PieceKind as K;
    let drives: Vec<Drive> = match size {
        Size::One(drive) => vec![*drive],
        Size::Two(small, large) => vec![*small, *large],
        Size::Length(_) | Size::None => Vec::new(),
    };
    let rings = matches!(kind, K::RingSpanner | K::RatchetingRing) && style.end != Some(End::Open);
    let both = |d: &Drive| {
        let form = d.form();
        let twelve = form == DriveForm::BiHexagon || (form == DriveForm::Hexagon && (style.twelve || rings));
        let as_form = |form| Fit { form, low: d.size(), high: d.size() };
        if twelve {
            vec![as_form(DriveForm::Hexagon), as_form(DriveForm::BiHexagon)]
        } else {
            vec![as_form(form)]
        }
    };
    drives.iter().flat_map(both).collect()
}

/// Adapters: pairs of links, the hand's first.
fn adapters(noun: &Noun, links: &[Link]) -> Result<Vec<Line>, Bad> {
    if links.is_empty() || !links.len().is_multiple_of(2) {
        let message = format!("adapters want pairs of links, and here are {}", links.len());
        return Err(Bad::new("S108", message, format!("write `{}`", noun.sample)));
    }
    if links.len() / 2 > PIECES_MAX {
        return Err(too_many(links.len() / 2));
    }
    links.chunks(2).map(|pair| adapter(noun, pair[0], pair[1])).collect()
}

/// One adapter.
fn adapter(noun: &Noun, hand: Link, fastener: Link) -> Result<Line, Bad> {
    if hand == fastener {
        let message = format!("an adapter from {hand} to {fastener} changes nothing");
        return Err(Bad::new("S109", message, format!("write `{}`", noun.sample)));
    }
    let (kind, style, fits) = (noun.kind, noun.style, Vec::new());
    Ok(Line {
        make: Make { kind, style, fits, fastener: Some(fastener), hand: Some(hand), length_mm: None },
        stem: String::from("adapter"),
        size: format!("{}-to-{}", link_key(hand), link_key(fastener)),
        tail: "",
        title: format!("adapter {hand} to {fastener}"),
    })
}

/// A size of a single piece, in the form of its kind.
pub(crate) fn single_size(kind: Kind, text: &str) -> Result<Size, Bad> {
    let noun = noun::of_kind(kind);
    let sizes = one_list(&noun, text)?;
    match sizes.as_slice() {
        [one] => Ok(*one),
        _ => {
            let help = "write one size: `10 mm`, `E10`, `T30`, `8x9`; several sizes are a set";
            Err(Bad::new("S103", "one piece has one size", help))
        }
    }
}
