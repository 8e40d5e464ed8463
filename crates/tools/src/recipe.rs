//! What to build from a set or a piece: its kind, its style, its sizes, its links.

use model::{DriveForm, GripFit, PieceKind, PieceLink, inch_words};
use units::significant;

/// Every kind with its word; `hex-key` is read as a driver with a bent handle.
pub(crate) const KINDS: &[(&str, RecipeKind)] = &[
    ("socket", RecipeKind::plain(PieceKind::Socket)),
    ("bit-socket", RecipeKind::plain(PieceKind::BitSocket)),
    ("bit", RecipeKind::plain(PieceKind::Bit)),
    ("bit-holder", RecipeKind::plain(PieceKind::BitHolder)),
    ("extension", RecipeKind::plain(PieceKind::Extension)),
    ("tilting-extension", RecipeKind::plain(PieceKind::TiltingExtension)),
    ("joint", RecipeKind::plain(PieceKind::Joint)),
    ("adapter", RecipeKind::plain(PieceKind::Adapter)),
    ("ratchet", RecipeKind::plain(PieceKind::Ratchet)),
    ("breaker-bar", RecipeKind::plain(PieceKind::BreakerBar)),
    ("spinner-handle", RecipeKind::plain(PieceKind::SpinnerHandle)),
    ("nut-driver", RecipeKind::plain(PieceKind::NutDriver)),
    ("screwdriver", RecipeKind::plain(PieceKind::Screwdriver)),
    ("hex-key", RecipeKind { kind: PieceKind::Screwdriver, bent: true }),
    ("power-driver", RecipeKind::plain(PieceKind::PowerDriver)),
    ("ring-spanner", RecipeKind::plain(PieceKind::RingSpanner)),
    ("open-spanner", RecipeKind::plain(PieceKind::OpenSpanner)),
    ("flare-spanner", RecipeKind::plain(PieceKind::FlareSpanner)),
    ("ratcheting-ring", RecipeKind::plain(PieceKind::RatchetingRing)),
    ("crow-foot", RecipeKind::plain(PieceKind::CrowFoot)),
    ("torque-wrench", RecipeKind::plain(PieceKind::TorqueWrench)),
    ("torque-screwdriver", RecipeKind::plain(PieceKind::TorqueScrewdriver)),
    ("pliers", RecipeKind::plain(PieceKind::Pliers)),
    ("hook", RecipeKind::plain(PieceKind::Hook)),
    ("special", RecipeKind::plain(PieceKind::Special)),
];

/// A kind of piece, with bent keys kept apart from straight drivers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct RecipeKind {
    /// The kind.
    pub(crate) kind: PieceKind,
    /// A bent key.
    pub(crate) bent: bool,
}

impl RecipeKind {
    /// A kind without a bend.
    pub(crate) const fn plain(kind: PieceKind) -> Self {
        Self { kind, bent: false }
    }

    /// Its word with an article.
    pub(crate) fn word_with_article(self) -> String {
        let word = self.word();
        let vowel = word.starts_with(['a', 'e', 'i', 'o', 'u']);
        format!("{} {word}", if vowel { "an" } else { "a" })
    }

    /// Its word.
    pub(crate) fn word(self) -> &'static str {
        KINDS.iter().find(|(_, kind)| *kind == self).map_or("piece", |(word, _)| word)
    }
}

/// Words that change the dimensions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct PieceStyle {
    /// Long socket, long bit.
    pub(crate) deep: bool,
    /// Machine socket.
    pub(crate) impact: bool,
    /// Socket with a joint of its own.
    pub(crate) jointed: bool,
    /// Twelve-point.
    pub(crate) twelve: bool,
    /// Which end of a combination spanner.
    pub(crate) end: Option<SpannerEnd>,
    /// A double-ended spanner.
    pub(crate) double: bool,
}

/// The ends of a combination spanner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum SpannerEnd {
    /// Its ring.
    Ring,
    /// Its open end.
    Open,
}

/// What to build one piece from, besides the figures that its owner gives.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PieceRecipe {
    /// Kind.
    pub(crate) kind: RecipeKind,
    /// Style.
    pub(crate) style: PieceStyle,
    /// What it takes hold of; empty for pieces that take hold of nothing.
    pub(crate) fits: Vec<GripFit>,
    /// Link on the fastener's side.
    pub(crate) fastener: Option<PieceLink>,
    /// Link on the hand's side.
    pub(crate) hand: Option<PieceLink>,
    /// Length from the words (extensions).
    pub(crate) length_mm: Option<f64>,
}

impl PieceRecipe {
    /// The largest size of its first form, where it has one.
    pub(crate) fn nominal_fit(&self) -> Option<GripFit> {
        let first = self.fits.first()?;
        let alike = self.fits.iter().filter(|f| f.form == first.form);
        alike.copied().max_by(|a, b| a.high.total_cmp(&b.high))
    }

    /// The only link, or the one on the hand's side.
    pub(crate) fn link(&self) -> Option<PieceLink> {
        self.hand.or(self.fastener)
    }
}

/// A size as it is in a key: `10`, `e10`, `t30`, `ph2`, `8x9`, `9-16in`.
pub(crate) fn size_key(fits: &[GripFit]) -> String {
    let part = |(mark, number): &(&str, SizeNumber)| match number {
        SizeNumber::Plain(number) => format!("{mark}{number}"),
        SizeNumber::Inch(number) => format!("{mark}{}in", number.replace('/', "-")),
    };
    size_parts(fits).iter().map(part).collect::<Vec<_>>().join("x")
}

/// A size as it is in a title: `10 mm`, `E10`, `slot 6 mm`, `8x9 mm`, `9/16 in`.
pub(crate) fn size_title(fits: &[GripFit]) -> String {
    let parts = size_parts(fits);
    let numbers: Vec<&str> = parts.iter().map(|(_, number)| number.as_str()).collect();
    let unit = if parts.iter().all(|(_, n)| matches!(n, SizeNumber::Inch(_))) { "in" } else { "mm" };
    match parts.first() {
        None => String::new(),
        Some((mark @ ("t" | "e" | "ph" | "pz"), _)) => {
            format!("{}{}", mark.to_uppercase(), numbers.join("x"))
        }
        Some(("slot-", _)) => format!("slot {} {unit}", numbers.join("x")),
        Some(_) => format!("{} {unit}", numbers.join("x")),
    }
}

/// A size as it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
enum SizeNumber {
    /// In millimetres, or a number.
    Plain(String),
    /// In inches, as a fraction.
    Inch(String),
}

impl SizeNumber {
    fn as_str(&self) -> &str {
        match self {
            Self::Plain(number) | Self::Inch(number) => number,
        }
    }
}

/// Mark and number of each size, each number once.
fn size_parts(fits: &[GripFit]) -> Vec<(&'static str, SizeNumber)> {
    let mut parts: Vec<(&'static str, SizeNumber)> = Vec::new();
    for fit in fits {
        let inch = |size: f64| inch_words(size).filter(|_| fit.form.is_sized_in_mm());
        let number = match (fit.low == fit.high, inch(fit.low), inch(fit.high)) {
            (true, Some(number), _) => SizeNumber::Inch(number),
            (true, None, _) => SizeNumber::Plain(significant(fit.high, 4)),
            (false, Some(low), Some(high)) => SizeNumber::Inch(format!("{low}-{high}")),
            (false, ..) => {
                SizeNumber::Plain(format!("{}-{}", significant(fit.low, 4), significant(fit.high, 4)))
            }
        };
        let part = (size_mark(fit.form), number);
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    parts
}

/// The letters before a number.
const fn size_mark(form: DriveForm) -> &'static str {
    match form {
        DriveForm::Hexalobular => "t",
        DriveForm::ExternalHexalobular => "e",
        DriveForm::CrossRecess => "ph",
        DriveForm::CrossRecessZ => "pz",
        DriveForm::Slot => "slot-",
        _ => "",
    }
}

/// A link as it is in a key.
pub(crate) const fn link_key(link: PieceLink) -> &'static str {
    match link {
        PieceLink::Hex6 => "hex",
        PieceLink::Square6 => "1-4",
        PieceLink::Square10 => "3-8",
        PieceLink::Square12 => "1-2",
        PieceLink::Square20 => "3-4",
    }
}

/// Links by their words.
pub(crate) const LINKS: &[(&str, PieceLink)] = &[
    ("1/4 in", PieceLink::Square6),
    ("3/8 in", PieceLink::Square10),
    ("1/2 in", PieceLink::Square12),
    ("3/4 in", PieceLink::Square20),
    ("1/4 in hex", PieceLink::Hex6),
];
