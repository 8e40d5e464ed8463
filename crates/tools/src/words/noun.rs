//! What the words of a set name: the kind of piece, its style and the form of its sizes.

use faults::nearest_name;
use model::{DriveForm, PieceKind};

use super::BadSetWords;
use crate::recipe::{PieceStyle, RecipeKind};

/// What a set is a set of.
#[derive(Debug, Clone)]
pub(crate) struct SetNoun {
    pub(crate) kind: RecipeKind,
    pub(crate) style: PieceStyle,
    /// Form of a bare number; nothing where the size must say it.
    pub(crate) form: Option<DriveForm>,
    /// Whether each tool is two pieces.
    pub(crate) combination: bool,
    /// Whether it has sizes.
    pub(crate) sized: bool,
    /// How many links it has.
    pub(crate) links: usize,
    /// What a person calls several.
    pub(crate) plural: &'static str,
    /// How it is written.
    pub(crate) sample: &'static str,
    /// Name in keys, and in titles.
    name: &'static str,
    said: &'static str,
}

/// One row of the grammar: head word, word that must come with it, kind, links, sized, plural, key, title, sample, and the
/// other words that may come there.
struct GrammarRow {
    head: &'static str,
    with: &'static str,
    kind: RecipeKind,
    links: usize,
    sized: bool,
    plural: &'static str,
    name: &'static str,
    said: &'static str,
    sample: &'static str,
    others: &'static [&'static str],
}

const fn grammar_row(
    (head, with): (&'static str, &'static str),
    kind: PieceKind,
    (links, sized): (usize, bool),
    [plural, name, said, sample]: [&'static str; 4],
    others: &'static [&'static str],
) -> GrammarRow {
    GrammarRow { head, with, kind: RecipeKind::plain(kind), links, sized, plural, name, said, sample, others }
}

use PieceKind as K;

/// Words for the form of a drive that bits, keys and drivers may have.
const FORMS: &[&str] = &[
    "hexalobular",
    "hex",
    "hexagon",
    "socket",
    "cross",
    "slot",
    "slotted",
    "square",
    "internal",
    "long",
    "short",
];

/// The grammar; the first row whose head and companion both occur applies.
const ENTRIES: &[GrammarRow] = &[
    grammar_row(
        ("crow-foot", ""),
        K::CrowFoot,
        (1, true),
        ["crow-feet", "crow-foot", "crow-foot", "crow-feet 10 to 19 mm on 3/8 in"],
        &["open", "hexagon"],
    ),
    grammar_row(
        ("adapter", ""),
        K::Adapter,
        (2, false),
        ["adapters", "adapter", "adapter", "adapters 3/8 in to 1/4 in"],
        &[],
    ),
    grammar_row(
        ("extension", "tilting"),
        K::TiltingExtension,
        (1, true),
        [
            "tilting extensions",
            "tilting-extension",
            "tilting extension",
            "1/4 in tilting extensions 50, 100, 250 mm",
        ],
        &[],
    ),
    grammar_row(
        ("extension", ""),
        K::Extension,
        (1, true),
        ["extensions", "extension", "extension", "1/4 in extensions 50, 100, 150 mm"],
        &["rigid"],
    ),
    grammar_row(
        ("joint", ""),
        K::Joint,
        (1, false),
        ["joints", "joint", "joint", "1/4 in joint"],
        &["universal"],
    ),
    grammar_row(
        ("holder", "bit"),
        K::BitHolder,
        (1, false),
        ["bit holders", "bit-holder", "bit holder", "1/4 in bit holder"],
        &[],
    ),
    grammar_row(
        ("ratchet", ""),
        K::Ratchet,
        (1, false),
        ["ratchets", "ratchet", "ratchet", "1/4 in ratchet"],
        &["reversible"],
    ),
    grammar_row(
        ("bar", "breaker"),
        K::BreakerBar,
        (1, false),
        ["breaker bars", "breaker-bar", "breaker bar", "1/2 in breaker bar"],
        &[],
    ),
    grammar_row(
        ("handle", "spinner"),
        K::SpinnerHandle,
        (1, false),
        ["spinner handles", "spinner-handle", "spinner handle", "1/4 in spinner handle"],
        &[],
    ),
    grammar_row(
        ("driver", "nut"),
        K::NutDriver,
        (0, true),
        ["nut drivers", "nut-driver", "nut driver", "nut drivers 5 to 13 mm"],
        &["hexagon"],
    ),
    grammar_row(
        ("screwdriver", ""),
        K::Screwdriver,
        (0, true),
        ["screwdrivers", "screwdriver", "screwdriver", "screwdrivers PH1, PH2, slot 4"],
        FORMS,
    ),
    GrammarRow {
        kind: RecipeKind { kind: K::Screwdriver, bent: true },
        ..grammar_row(
            ("key", ""),
            K::Screwdriver,
            (0, true),
            ["hex keys", "key", "key", "hex keys 3 to 10 mm"],
            FORMS,
        )
    },
    grammar_row(
        ("spanner", "combination"),
        K::RingSpanner,
        (0, true),
        [
            "combination spanners",
            "combination-spanner",
            "combination spanner",
            "combination spanners 8 to 19 mm",
        ],
        &["hexagon", "bi-hexagon"],
    ),
    grammar_row(
        ("spanner", "ratcheting"),
        K::RatchetingRing,
        (0, true),
        [
            "ratcheting ring spanners",
            "ratcheting-ring",
            "ratcheting ring spanner",
            "ratcheting ring spanners 8 to 19 mm",
        ],
        &["ring", "hexagon", "bi-hexagon"],
    ),
    grammar_row(
        ("spanner", "flare"),
        K::FlareSpanner,
        (0, true),
        ["flare spanners", "flare-spanner", "flare spanner", "flare spanners 10 to 17 mm"],
        &["hexagon"],
    ),
    grammar_row(
        ("spanner", "ring"),
        K::RingSpanner,
        (0, true),
        ["ring spanners", "ring-spanner", "ring spanner", "ring spanners 8x9, 10x11, 12x13"],
        &["hexagon", "bi-hexagon"],
    ),
    grammar_row(
        ("spanner", "open"),
        K::OpenSpanner,
        (0, true),
        ["open spanners", "open-spanner", "open spanner", "open spanners 8x9, 10x11"],
        &["hexagon"],
    ),
    grammar_row(
        ("bit", ""),
        K::Bit,
        (1, true),
        ["bits", "bit", "bit", "hexalobular bits T10 to T60 on 3/8 in"],
        FORMS,
    ),
    grammar_row(
        ("socket", ""),
        K::Socket,
        (1, true),
        ["sockets", "socket", "socket", "1/4 in deep sockets 4 to 14 mm"],
        &[
            "deep",
            "long",
            "short",
            "hexagon",
            "bi-hexagon",
            "external",
            "hexalobular",
            "e",
            "impact",
            "jointed",
            "square",
        ],
    ),
];

/// What the words name.
pub(super) fn find_noun(words: &[String]) -> Result<SetNoun, BadSetWords> {
    let there = |word: &str| word.is_empty() || words.iter().any(|w| w == word);
    let Some(found) = ENTRIES.iter().find(|e| there(e.head) && there(e.with)) else {
        return Err(no_noun_found(words));
    };
    let allowed = |w: &&String| *w == found.head || *w == found.with || found.others.contains(&w.as_str());
    match words.iter().find(|w| !allowed(w)) {
        Some(word) => Err(unknown_word(word, found)),
        None => Ok(noun_of_row(found, words)),
    }
}

/// S102: words that name no kind of piece.
fn no_noun_found(words: &[String]) -> BadSetWords {
    let heads = || ENTRIES.iter().flat_map(|e| [e.head, e.with]).filter(|w| !w.is_empty());
    let near = words
        .iter()
        .find_map(|word| Some((word, nearest_name(word, heads())?)).filter(|(word, near)| word != near));
    let message = match (near, words) {
        (Some((word, near)), _) => {
            format!("unknown word `{}`; did you mean `{near}`?", crate::parsing::clip_text(word))
        }
        (None, []) => String::from("these words name no kind of piece"),
        (None, _) => format!("`{}` names no kind of piece", crate::parsing::clip_text(&words.join(" "))),
    };
    let mut samples: Vec<&str> = ENTRIES.iter().map(|e| e.plural).collect();
    samples.dedup();
    BadSetWords::new(
        "S102",
        message,
        format!("write `[link] [style] noun sizes`; nouns are {}", samples.join(", ")),
    )
}

/// S102: a word that does not go with the noun.
fn unknown_word(word: &str, found: &GrammarRow) -> BadSetWords {
    let known = found.others.iter().copied().chain([found.head, found.with]).filter(|w| !w.is_empty());
    let hint = nearest_name(word, known).map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
    let others = if found.others.is_empty() {
        String::new()
    } else {
        format!("; words that may come here: {}", found.others.join(", "))
    };
    let message = format!("unknown word `{}` for {}{hint}", crate::parsing::clip_text(word), found.plural);
    BadSetWords::new("S102", message, format!("write it as `{}`{others}", found.sample))
}

/// The noun of a row, styled by the words.
fn noun_of_row(found: &GrammarRow, words: &[String]) -> SetNoun {
    let there = |word: &str| words.iter().any(|w| w == word);
    let style = PieceStyle {
        deep: there("deep") || there("long"),
        impact: there("impact"),
        jointed: there("jointed"),
        twelve: there("bi-hexagon"),
        ..PieceStyle::default()
    };
    let form = bare_number_form(found, &there);
    SetNoun {
        kind: found.kind,
        style,
        form,
        combination: found.with == "combination",
        sized: found.sized,
        links: found.links,
        plural: found.plural,
        sample: found.sample,
        name: found.name,
        said: found.said,
    }
}

/// Form of a bare number.
fn bare_number_form(found: &GrammarRow, there: &dyn Fn(&str) -> bool) -> Option<DriveForm> {
    let external = there("external") || there("e");
    match found.kind.kind {
        K::Bit | K::Screwdriver if there("hexalobular") => Some(DriveForm::Hexalobular),
        K::Bit | K::Screwdriver if there("cross") => Some(DriveForm::CrossRecess),
        K::Bit | K::Screwdriver if there("slot") || there("slotted") => Some(DriveForm::Slot),
        K::Bit | K::Screwdriver if there("square") => Some(DriveForm::SquareSocket),
        K::Bit | K::Screwdriver if there("hex") || there("hexagon") || found.kind.bent => {
            Some(DriveForm::HexSocket)
        }
        K::Bit | K::Screwdriver => None,
        K::Socket if there("square") => Some(DriveForm::Square),
        _ if external => Some(DriveForm::ExternalHexalobular),
        _ => Some(DriveForm::Hexagon),
    }
}

/// The noun of a single piece's kind; bits take a bare number as a hexagon socket.
pub(super) fn noun_of_kind(kind: RecipeKind) -> SetNoun {
    let same = if kind.kind == K::BitSocket { RecipeKind::plain(K::Bit) } else { kind };
    let row = ENTRIES.iter().find(|e| e.kind == same).unwrap_or(&ENTRIES[ENTRIES.len() - 1]);
    let mut noun = noun_of_row(row, &[]);
    if matches!(kind.kind, K::Bit | K::BitSocket) {
        noun.form = Some(DriveForm::HexSocket);
    }
    noun
}

impl SetNoun {
    /// Whether a form of drive goes with it.
    pub(super) const fn takes_form(&self, form: DriveForm) -> bool {
        let internal = matches!(self.kind.kind, K::Bit | K::BitSocket | K::Screwdriver);
        match form {
            DriveForm::Hexagon | DriveForm::BiHexagon | DriveForm::Square => !internal,
            DriveForm::ExternalHexalobular => {
                matches!(self.kind.kind, K::Socket | K::NutDriver | K::RingSpanner | K::RatchetingRing)
            }
            _ => internal,
        }
    }

    /// Its name in a key and in a title.
    pub(super) fn key_and_title_words(&self, style: PieceStyle, form: Option<DriveForm>) -> (String, String) {
        let mut words: Vec<&str> = Vec::new();
        let internal = matches!(self.kind.kind, K::Bit | K::BitSocket);
        if style.deep {
            words.push(if internal { "long" } else { "deep" });
        }
        let marks = [(style.impact, "impact"), (style.jointed, "jointed")];
        words.extend(marks.iter().filter(|(on, _)| *on).map(|(_, word)| *word));
        if style.twelve && self.kind.kind == K::Socket {
            words.push("bi-hexagon");
        }
        let said = words.iter().map(|w| format!("{w} ")).collect::<String>() + self.title_noun(form);
        words.extend(self.key_form(form));
        words.push(self.name);
        (words.join("-"), said)
    }

    /// The form's word in a key.
    fn key_form(&self, form: Option<DriveForm>) -> Option<&'static str> {
        let straight = self.kind.kind == K::Screwdriver && !self.kind.bent;
        match form? {
            DriveForm::ExternalHexalobular => Some("external"),
            DriveForm::Square => Some("square"),
            _ if straight => None,
            DriveForm::Hexalobular => Some("hexalobular"),
            DriveForm::HexSocket if self.kind.bent => Some("hex"),
            DriveForm::HexSocket => Some("hex-socket"),
            DriveForm::CrossRecess | DriveForm::CrossRecessZ => Some("cross"),
            DriveForm::Slot => Some("slot"),
            DriveForm::SquareSocket => Some("square"),
            _ => None,
        }
    }

    /// Its name in a title.
    fn title_noun(&self, form: Option<DriveForm>) -> &'static str {
        match (form, self.kind.bent, self.kind.kind) {
            (Some(DriveForm::Square), ..) => "eight-point socket",
            (Some(DriveForm::SquareSocket), true, _) => "square key",
            (Some(DriveForm::SquareSocket), false, _) => "square bit",
            (Some(DriveForm::HexSocket), true, _) => "hex key",
            (Some(DriveForm::HexSocket), false, K::Bit | K::BitSocket) => "hex socket bit",
            (Some(DriveForm::HexSocket), false, _) => "hex socket screwdriver",
            _ => self.said,
        }
    }
}
