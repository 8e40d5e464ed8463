//! The format's name and its keys, table by table: what the reader asks for and the schema tells.
//!
//! A test reads a book that uses every table and compares the keys that the reader asked for with these.

use crate::words;

/// The format line of a book's head.
pub(crate) const FORMAT: &str = "traywright-book/1";

/// How a value is written.
#[derive(Debug, Clone, Copy)]
pub(crate) enum ValueSyntax {
    /// The format line.
    Format,
    /// Text.
    Text,
    /// A key of its own, or the key of something else.
    Key,
    /// A list of keys or labels.
    Keys,
    /// `true` or `false`.
    Flag,
    /// A whole number from nothing up.
    Count,
    /// A number.
    Number,
    /// Millimetres as a bare number, or a length with its unit.
    Length,
    /// A figure with its unit, such as the sample.
    Quantity(&'static str),
    /// A price, with or without its currency.
    Price,
    /// One of some words.
    Word(fn() -> Vec<&'static str>),
    /// A table.
    Table(&'static str),
    /// A list of tables.
    Tables(&'static str),
    /// Holes: pairs of figures, or tables.
    Holes,
    /// Passes of tightening.
    Passes,
    /// A word for a pattern, or the maker's sequence.
    Pattern,
}

/// One key of a table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct KeySyntax {
    pub(crate) name: &'static str,
    pub(crate) form: ValueSyntax,
    pub(crate) needed: bool,
    pub(crate) about: &'static str,
}

/// One kind of table with its keys.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TableSyntax {
    pub(crate) name: &'static str,
    pub(crate) keys: &'static [KeySyntax],
}

const fn required_key(name: &'static str, form: ValueSyntax, about: &'static str) -> KeySyntax {
    KeySyntax { name, form, needed: true, about }
}

const fn optional_key(name: &'static str, form: ValueSyntax, about: &'static str) -> KeySyntax {
    KeySyntax { name, form, needed: false, about }
}

/// The words of a table of words.
macro_rules! word {
    ($words:ident) => {
        ValueSyntax::Word(|| words::$words.iter().map(|(word, _)| *word).collect())
    };
}

const KEY: KeySyntax = required_key(
    "key",
    ValueSyntax::Key,
    "Short name: lower-case words joined by hyphens, unique of its kind.",
);
const TITLE: KeySyntax = required_key("title", ValueSyntax::Text, "What a person calls it.");
const STATION: KeySyntax = required_key("station", ValueSyntax::Key, "Working position.");
const OWN_STATION: KeySyntax =
    optional_key("station", ValueSyntax::Key, "Working position, where it differs from the part's.");
const OFF_FIRST: KeySyntax = optional_key("off_first", ValueSyntax::Keys, "Parts that must be off before.");
const CONDITIONS: KeySyntax =
    optional_key("conditions", ValueSyntax::Keys, "Conditions that must hold before.");
const CAUTIONS: KeySyntax = optional_key("cautions", ValueSyntax::Tables("caution"), "Cautions before it.");
const TOOLS: KeySyntax =
    optional_key("special_tools", ValueSyntax::Keys, "Special tools that must be at hand.");
const CORRIDOR: KeySyntax = required_key(
    "corridor",
    ValueSyntax::Tables("segment"),
    "From the head outward; the last stretch has no length.",
);
const BENDS: KeySyntax =
    optional_key("bends", ValueSyntax::Tables("bend"), "Where the axis turns, rising by distance.");
const HEADROOM: KeySyntax =
    required_key("headroom", ValueSyntax::Length, "Greatest length from the head, hand included.");
const SWINGS: KeySyntax =
    optional_key("swings", ValueSyntax::Tables("swing"), "Free arcs for handles; none means free all round.");
const SIDE: KeySyntax =
    optional_key("side", ValueSyntax::Table("side"), "Room beside the head for a flat tool.");
const SIGHT: KeySyntax = optional_key("sight", word!(SIGHTS), "Whether the head is seen, or felt only.");
const DROP_OVER: KeySyntax = optional_key("drop_over", ValueSyntax::Keys, "Openings that lie below.");

/// All tables of the format; the first is that of the file itself.
pub(crate) const TABLES: &[TableSyntax] = &[
    TableSyntax {
        name: "book",
        keys: &[
            required_key("format", ValueSyntax::Format, "The format and its version."),
            required_key("key", ValueSyntax::Key, "Short name of the book."),
            TITLE,
            required_key(
                "origin",
                ValueSyntax::Text,
                "Where the book comes from; says so when it is invented.",
            ),
            required_key("currency", ValueSyntax::Text, "Three-letter currency of all prices."),
            optional_key(
                "station",
                ValueSyntax::Tables("station"),
                "Working positions; the vehicle starts at the first.",
            ),
            optional_key("condition", ValueSyntax::Tables("condition"), "States of the vehicle."),
            optional_key("opening", ValueSyntax::Tables("opening"), "Openings into the engine."),
            optional_key("special_tool", ValueSyntax::Tables("special_tool"), "Tools asked for by name."),
            optional_key("part", ValueSyntax::Tables("part"), "Whatever comes off, opens or unplugs."),
            optional_key("task", ValueSyntax::Tables("task"), "Work that may be wanted."),
        ],
    },
    TableSyntax {
        name: "station",
        keys: &[
            KEY,
            TITLE,
            required_key(
                "enter",
                ValueSyntax::Quantity("30 s"),
                "Time to get into the position, lift or lower included.",
            ),
            optional_key(
                "hand_force",
                ValueSyntax::Quantity("400 N"),
                "Greatest force that a hand gives there.",
            ),
            CAUTIONS,
        ],
    },
    TableSyntax {
        name: "condition",
        keys: &[
            KEY,
            TITLE,
            required_key("kind", word!(CONDITION_KINDS), "What kind of state it is."),
            required_key("establish", ValueSyntax::Text, "What is done to bring it about."),
            optional_key("restore", ValueSyntax::Text, "What is done to undo it at refit."),
            optional_key(
                "establish_time",
                ValueSyntax::Quantity("10 min"),
                "Hands-on time to bring it about.",
            ),
            optional_key("restore_time", ValueSyntax::Quantity("15 min"), "Hands-on time to undo it."),
            optional_key(
                "hold_up",
                ValueSyntax::Quantity("20 min"),
                "Wait before it holds; other work may go on.",
            ),
            OFF_FIRST,
            CONDITIONS,
            STATION,
            optional_key("supplies", ValueSyntax::Tables("supply"), "What to get for it."),
            CAUTIONS,
            optional_key("safety", ValueSyntax::Flag, "Shown on the readiness sheet before the first step."),
        ],
    },
    TableSyntax {
        name: "opening",
        keys: &[
            KEY,
            TITLE,
            optional_key(
                "cap",
                ValueSyntax::Text,
                "The cap that closes it; left out if it cannot be closed.",
            ),
            optional_key("count", ValueSyntax::Count, "How many openings; one if left out."),
        ],
    },
    TableSyntax {
        name: "special_tool",
        keys: &[
            KEY,
            TITLE,
            required_key(
                "specification",
                ValueSyntax::Text,
                "What it has to be able to do, with its geometry.",
            ),
            optional_key("can_be_made", ValueSyntax::Flag, "Can be made in the workshop."),
        ],
    },
    TableSyntax {
        name: "part",
        keys: &[
            KEY,
            TITLE,
            required_key("mass", ValueSyntax::Quantity("4.8 kg"), "Mass."),
            optional_key("helper", ValueSyntax::Flag, "Wants a second pair of hands."),
            STATION,
            OFF_FIRST,
            CONDITIONS,
            optional_key("uncovers", ValueSyntax::Keys, "Openings that it uncovers."),
            required_key(
                "lift_time",
                ValueSyntax::Quantity("40 s"),
                "Time to lift it off once its fixings are out.",
            ),
            required_key("place_time", ValueSyntax::Quantity("60 s"), "Time to set it back in place."),
            optional_key("renew_with", ValueSyntax::Tables("supply"), "What is renewed with it."),
            optional_key("refit_wait", ValueSyntax::Tables("refit_wait"), "Waits at refit."),
            TOOLS,
            optional_key("brittle", ValueSyntax::Flag, "Likely to break at this age."),
            CAUTIONS,
            optional_key("tip", ValueSyntax::Text, "Advice that helps the hand."),
            optional_key(
                "way",
                ValueSyntax::Tables("way"),
                "None, or at least two ways of which one is taken.",
            ),
            optional_key("fixing", ValueSyntax::Tables("fixing"), "What holds it."),
        ],
    },
    TableSyntax { name: "way", keys: &[KEY, TITLE, OFF_FIRST, CONDITIONS, OWN_STATION] },
    TableSyntax {
        name: "refit_wait",
        keys: &[
            TITLE,
            required_key("time", ValueSyntax::Quantity("10 min"), "How long."),
            required_key("holds_back", word!(HOLDS_BACK), "What may not start before."),
        ],
    },
    TableSyntax {
        name: "supply",
        keys: &[
            required_key("name", ValueSyntax::Text, "What it is, with its specification."),
            optional_key("count", ValueSyntax::Count, "How many; one if left out."),
            optional_key("price", ValueSyntax::Price, "Price of one."),
            optional_key("before_start", ValueSyntax::Flag, "Must be in hand before the first step."),
        ],
    },
    TableSyntax {
        name: "caution",
        keys: &[
            required_key("word", word!(SIGNAL_WORDS), "Signal word."),
            required_key("text", ValueSyntax::Text, "Hazard, consequence, and what to do."),
        ],
    },
    TableSyntax {
        name: "fixing",
        keys: &[
            KEY,
            TITLE,
            required_key("kind", word!(FASTENER_KINDS), "What kind of fastener it is."),
            optional_key("thread", ValueSyntax::Text, "Thread, such as M6, M10x1.25, 1/4-20 UNC."),
            optional_key("length", ValueSyntax::Length, "Length under the head."),
            optional_key("class", ValueSyntax::Text, "Property class, such as 8.8."),
            required_key(
                "drive",
                ValueSyntax::Text,
                "What the tool takes hold of, such as hexagon 10 mm, T30, latch.",
            ),
            optional_key("head", ValueSyntax::Table("head"), "Head; wanted for drives that are turned."),
            optional_key("count", ValueSyntax::Count, "How many fasteners; as many as holes if left out."),
            optional_key(
                "holes",
                ValueSyntax::Holes,
                "Places on the part's face; one at the origin if left out.",
            ),
            optional_key("engagement", ValueSyntax::Length, "Thread engaged; wanted with a thread."),
            optional_key("clamped", ValueSyntax::Length, "Thickness clamped under the head."),
            optional_key(
                "tapped_depth",
                ValueSyntax::Length,
                "Depth of usable thread; left out for through holes.",
            ),
            optional_key("tapped_in", word!(TAPPED_IN), "What it is tapped into; steel if left out."),
            optional_key("tighten", ValueSyntax::Passes, "Passes: torques, angles, seat."),
            optional_key("pattern", ValueSyntax::Pattern, "Order of the holes."),
            optional_key(
                "end_torque",
                ValueSyntax::Quantity("60 N·m"),
                "Torque at the end of an angle pass.",
            ),
            optional_key("tolerance", ValueSyntax::Quantity("4 %"), "Allowed deviation of the torque."),
            optional_key("closing_pass", ValueSyntax::Flag, "Once more at the last torque."),
            optional_key("source", ValueSyntax::Text, "Where the figures come from."),
            optional_key("joint", ValueSyntax::Text, "Fixings of one part tightened as one pattern."),
            optional_key(
                "lubrication",
                word!(LUBRICATIONS),
                "What the figures hold for; unstated if left out.",
            ),
            optional_key("one_time", ValueSyntax::Flag, "Renewed each time."),
            optional_key("price", ValueSyntax::Price, "Price of one new fastener."),
            optional_key("captive", ValueSyntax::Flag, "Stays on the part by itself."),
            optional_key("critical", ValueSyntax::Flag, "Never by power, and looked at a second time."),
            optional_key("history", ValueSyntax::Tables("history"), "What makes it break loose harder."),
            optional_key("keep", word!(KEEPS), "Where to keep it while it is off."),
            optional_key("access", ValueSyntax::Tables("access"), "At least one; every hole at least once."),
        ],
    },
    TableSyntax {
        name: "head",
        keys: &[
            optional_key("height", ValueSyntax::Length, "Height of an outer drive."),
            optional_key("recess", ValueSyntax::Length, "Depth of an inner drive."),
            required_key("diameter", ValueSyntax::Length, "Largest diameter, flange or washer included."),
            optional_key("protrusion", ValueSyntax::Length, "How far a stud stands out above a nut."),
        ],
    },
    TableSyntax {
        name: "hole",
        keys: &[
            optional_key("label", ValueSyntax::Text, "Label, unique on the part; its number if left out."),
            required_key("x", ValueSyntax::Length, "Rightward."),
            required_key("y", ValueSyntax::Length, "Upward."),
        ],
    },
    TableSyntax {
        name: "history",
        keys: &[
            required_key("cause", word!(HISTORY_CAUSES), "Why."),
            required_key("factor", ValueSyntax::Number, "How much harder, 1 to 5."),
        ],
    },
    TableSyntax {
        name: "access",
        keys: &[
            optional_key("holes", ValueSyntax::Keys, "Labels of the holes; all if left out."),
            optional_key("way", ValueSyntax::Key, "The way it holds on; every way if left out."),
            OWN_STATION,
            CORRIDOR,
            BENDS,
            HEADROOM,
            SWINGS,
            SIDE,
            SIGHT,
            DROP_OVER,
            optional_key(
                "counter_hold",
                ValueSyntax::Table("counter_hold"),
                "The other side, where it needs holding.",
            ),
        ],
    },
    TableSyntax {
        name: "segment",
        keys: &[
            optional_key("length", ValueSyntax::Length, "Length; left out for the last, open one."),
            required_key("clear", ValueSyntax::Length, "Diameter that is clear round the axis."),
        ],
    },
    TableSyntax {
        name: "bend",
        keys: &[
            required_key("at", ValueSyntax::Length, "Distance from the head."),
            required_key("angle", ValueSyntax::Quantity("30°"), "By how much the axis turns."),
        ],
    },
    TableSyntax {
        name: "swing",
        keys: &[
            required_key("radius", ValueSyntax::Length, "Radius of the handle."),
            required_key("arc", ValueSyntax::Quantity("60°"), "Arc that is free for it."),
        ],
    },
    TableSyntax {
        name: "side",
        keys: &[
            required_key("radial", ValueSyntax::Length, "Radius that is clear all round the axis."),
            required_key("height", ValueSyntax::Length, "Clear height from the seat of the head."),
            optional_key(
                "reach",
                ValueSyntax::Length,
                "How far the room reaches in its best direction; `radial` if left out.",
            ),
            optional_key(
                "headroom",
                ValueSyntax::Length,
                "Greatest length of a shaft beside the head, hand included; none if left out.",
            ),
            SWINGS,
        ],
    },
    TableSyntax {
        name: "counter_hold",
        keys: &[
            required_key("drive", ValueSyntax::Text, "What is held."),
            required_key(
                "grip_height",
                ValueSyntax::Length,
                "Height of the held head, or depth of its recess.",
            ),
            required_key("access", ValueSyntax::Table("held_access"), "The way to it."),
        ],
    },
    TableSyntax {
        name: "held_access",
        keys: &[OWN_STATION, CORRIDOR, BENDS, HEADROOM, SWINGS, SIDE, SIGHT, DROP_OVER],
    },
    TableSyntax {
        name: "task",
        keys: &[
            KEY,
            TITLE,
            required_key("kind", word!(TASK_KINDS), "Kind of work."),
            OFF_FIRST,
            CONDITIONS,
            required_key("work", ValueSyntax::Quantity("6 min"), "Its own work, once the way is open."),
            STATION,
            optional_key("supplies", ValueSyntax::Tables("supply"), "Parts and consumables."),
            TOOLS,
            optional_key("leaving", ValueSyntax::Price, "Loss to expect if left for the next visit."),
            CAUTIONS,
            optional_key("note", ValueSyntax::Text, "What to do, in a sentence or two."),
        ],
    },
];
