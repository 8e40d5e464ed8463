//! What a set or a piece is to become: its kind, its style, its sizes, its links.

use model::{DriveForm, Fit, Link, PieceKind};
use units::significant;

/// Every kind with its word; `hex-key` is read as a driver with a bent handle.
pub(crate) const KINDS: &[(&str, Kind)] = &[
    ("socket", Kind::plain(PieceKind::Socket)),
    ("bit-socket", Kind::plain(PieceKind::BitSocket)),
    ("bit", Kind::plain(PieceKind::Bit)),
    ("bit-holder", Kind::plain(PieceKind::BitHolder)),
    ("extension", Kind::plain(PieceKind::Extension)),
    ("tilting-extension", Kind::plain(PieceKind::TiltingExtension)),
    ("joint", Kind::plain(PieceKind::Joint)),
    ("adapter", Kind::plain(PieceKind::Adapter)),
    ("ratchet", Kind::plain(PieceKind::Ratchet)),
    ("breaker-bar", Kind::plain(PieceKind::BreakerBar)),
    ("spinner-handle", Kind::plain(PieceKind::SpinnerHandle)),
    ("nut-driver", Kind::plain(PieceKind::NutDriver)),
    ("screwdriver", Kind::plain(PieceKind::Screwdriver)),
    ("hex-key", Kind { kind: PieceKind::Screwdriver, bent: true }),
    ("power-driver", Kind::plain(PieceKind::PowerDriver)),
    ("ring-spanner", Kind::plain(PieceKind::RingSpanner)),
    ("open-spanner", Kind::plain(PieceKind::OpenSpanner)),
    ("flare-spanner", Kind::plain(PieceKind::FlareSpanner)),
    ("ratcheting-ring", Kind::plain(PieceKind::RatchetingRing)),
    ("crow-foot", Kind::plain(PieceKind::CrowFoot)),
    ("torque-wrench", Kind::plain(PieceKind::TorqueWrench)),
    ("torque-screwdriver", Kind::plain(PieceKind::TorqueScrewdriver)),
    ("pliers", Kind::plain(PieceKind::Pliers)),
    ("hook", Kind::plain(PieceKind::Hook)),
    ("special", Kind::plain(PieceKind::Special)),
];

/// A kind of piece, bent keys told from straight drivers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Kind {
    /// The kind.
    pub(crate) kind: PieceKind,
    /// A bent key.
    pub(crate) bent: bool,
}

impl Kind {
    /// A kind without a bend.
    pub(crate) const fn plain(kind: PieceKind) -> Self {
        Self { kind, bent: false }
    }

    /// Its word with an article.
    pub(crate) fn one(self) -> String {
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
pub(crate) struct Style {
    /// Long socket, long bit.
    pub(crate) deep: bool,
    /// Machine socket.
    pub(crate) impact: bool,
    /// Socket with a joint of its own.
    pub(crate) jointed: bool,
    /// Twelve-point.
    pub(crate) twelve: bool,
    /// Which end of a combination spanner.
    pub(crate) end: Option<End>,
    /// A double-ended spanner.
    pub(crate) double: bool,
}

/// The ends of a combination spanner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum End {
    /// Its ring.
    Ring,
    /// Its open end.
    Open,
}

/// What to build one piece from, besides the figures that its owner gives.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Make {
    /// Kind.
    pub(crate) kind: Kind,
    /// Style.
    pub(crate) style: Style,
    /// What it takes hold of; empty for pieces that take hold of nothing.
    pub(crate) fits: Vec<Fit>,
    /// Link on the fastener's side.
    pub(crate) fastener: Option<Link>,
    /// Link on the hand's side.
    pub(crate) hand: Option<Link>,
    /// Length from the words (extensions).
    pub(crate) length_mm: Option<f64>,
}

impl Make {
    /// The largest size of its first form, where it has one.
    pub(crate) fn nominal(&self) -> Option<Fit> {
        let first = self.fits.first()?;
        let alike = self.fits.iter().filter(|f| f.form == first.form);
        alike.copied().max_by(|a, b| a.high.total_cmp(&b.high))
    }

    /// The only link, or the one on the hand's side.
    pub(crate) fn link(&self) -> Option<Link> {
        self.hand.or(self.fastener)
    }
}

/// A size as it stands in a key: `10`, `e10`, `t30`, `ph2`, `8x9`.
pub(crate) fn size_key(fits: &[Fit]) -> String {
    size_parts(fits).iter().map(|(mark, number)| format!("{mark}{number}")).collect::<Vec<_>>().join("x")
}

/// A size as it stands in a title: `10 mm`, `E10`, `slot 6 mm`, `8x9 mm`.
pub(crate) fn size_title(fits: &[Fit]) -> String {
    let parts = size_parts(fits);
    let numbers: Vec<&str> = parts.iter().map(|(_, number)| number.as_str()).collect();
    match parts.first() {
        None => String::new(),
        Some((mark @ ("t" | "e" | "ph" | "pz"), _)) => {
            format!("{}{}", mark.to_uppercase(), numbers.join("x"))
        }
        Some(("slot-", _)) => format!("slot {} mm", numbers.join("x")),
        Some(_) => format!("{} mm", numbers.join("x")),
    }
}

/// Mark and number of each size, each number once.
fn size_parts(fits: &[Fit]) -> Vec<(&'static str, String)> {
    let mut parts: Vec<(&'static str, String)> = Vec::new();
    for fit in fits {
        let number = match fit.low == fit.high {
            true => significant(fit.high, 4),
            false => format!("{}-{}", significant(fit.low, 4), significant(fit.high, 4)),
        };
        let part = (mark(fit.form), number);
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    parts
}

/// The letters before a number.
const fn mark(form: DriveForm) -> &'static str {
    match form {
        DriveForm::Hexalobular => "t",
        DriveForm::ExternalHexalobular => "e",
        DriveForm::CrossRecess => "ph",
        DriveForm::CrossRecessZ => "pz",
        DriveForm::Slot => "slot-",
        _ => "",
    }
}

/// A link as it stands in a key.
pub(crate) const fn link_key(link: Link) -> &'static str {
    match link {
        Link::Hex6 => "hex",
        Link::Square6 => "1-4",
        Link::Square10 => "3-8",
        Link::Square12 => "1-2",
        Link::Square20 => "3-4",
    }
}

/// Links by their words.
pub(crate) const LINKS: &[(&str, Link)] = &[
    ("1/4 in", Link::Square6),
    ("3/8 in", Link::Square10),
    ("1/2 in", Link::Square12),
    ("3/4 in", Link::Square20),
    ("1/4 in hex", Link::Hex6),
];
