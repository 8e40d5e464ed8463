//! The format's name and its keys, table by table: what the reader asks for and the schema tells.
//!
//! A test reads a book that uses every table and compares the keys that the reader asked for with these.

use crate::words;

/// The format line of a book's head.
pub(crate) const FORMAT: &str = "traywright-book/1";

/// How a value is written.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Form {
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
pub(crate) struct Key {
    pub(crate) name: &'static str,
    pub(crate) form: Form,
    pub(crate) needed: bool,
    pub(crate) about: &'static str,
}

/// One kind of table with its keys.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Table {
    pub(crate) name: &'static str,
    pub(crate) keys: &'static [Key],
}

const fn need(name: &'static str, form: Form, about: &'static str) -> Key {
    Key { name, form, needed: true, about }
}

const fn may(name: &'static str, form: Form, about: &'static str) -> Key {
    Key { name, form, needed: false, about }
}

/// The words of a table of words.
macro_rules! word {
    ($words:ident) => {
        Form::Word(|| words::$words.iter().map(|(word, _)| *word).collect())
    };
}

const KEY: Key =
    need("key", Form::Key, "Short name: lower-case words joined by hyphens, unique of its kind.");
const TITLE: Key = need("title", Form::Text, "What a person calls it.");
const STATION: Key = need("station", Form::Key, "Working position.");
const OWN_STATION: Key = may("station", Form::Key, "Working position, where it differs from the part's.");
const OFF_FIRST: Key = may("off_first", Form::Keys, "Parts that must be off before.");
const CONDITIONS: Key = may("conditions", Form::Keys, "Conditions that must hold before.");
const CAUTIONS: Key = may("cautions", Form::Tables("caution"), "Cautions before it.");
const TOOLS: Key = may("special_tools", Form::Keys, "Special tools that must be at hand.");
const CORRIDOR: Key =
    need("corridor", Form::Tables("segment"), "From the head outward; the last stretch has no length.");
const BENDS: Key = may("bends", Form::Tables("bend"), "Where the axis turns, rising by distance.");
const HEADROOM: Key = need("headroom", Form::Length, "Greatest length from the head, hand included.");
const SWINGS: Key = may("swings", Form::Tables("swing"), "Free arcs for handles; none means free all round.");
const SIDE: Key = may("side", Form::Table("side"), "Room beside the head for a flat tool.");
const SIGHT: Key = may("sight", word!(SIGHTS), "Whether the head is seen, or felt only.");
const DROP_OVER: Key = may("drop_over", Form::Keys, "Openings that lie below.");

/// All tables of the format; the first is that of the file itself.
pub(crate) const TABLES: &[Table] = &[
    Table {
        name: "book",
        keys: &[
            need("format", Form::Format, "The format and its version."),
            need("key", Form::Key, "Short name of the book."),
            TITLE,
            need("origin", Form::Text, "Where the book comes from; says so when it is invented."),
            need("currency", Form::Text, "Three-letter currency of all prices."),
            may("station", Form::Tables("station"), "Working positions; the vehicle starts at the first."),
            may("condition", Form::Tables("condition"), "States of the vehicle."),
            may("opening", Form::Tables("opening"), "Openings into the engine."),
            may("special_tool", Form::Tables("special_tool"), "Tools asked for by name."),
            may("part", Form::Tables("part"), "Whatever comes off, opens or unplugs."),
            may("task", Form::Tables("task"), "Work that may be wanted."),
        ],
    },
    Table {
        name: "station",
        keys: &[
            KEY,
            TITLE,
            need("enter", Form::Quantity("30 s"), "Time to get into the position, lift or lower included."),
            may("hand_force", Form::Quantity("400 N"), "Greatest force that a hand gives there."),
            CAUTIONS,
        ],
    },
    Table {
        name: "condition",
        keys: &[
            KEY,
            TITLE,
            need("kind", word!(CONDITION_KINDS), "What kind of state it is."),
            need("establish", Form::Text, "What is done to bring it about."),
            may("restore", Form::Text, "What is done to undo it at refit."),
            may("establish_time", Form::Quantity("10 min"), "Hands-on time to bring it about."),
            may("restore_time", Form::Quantity("15 min"), "Hands-on time to undo it."),
            may("hold_up", Form::Quantity("20 min"), "Wait before it holds; other work may go on."),
            OFF_FIRST,
            CONDITIONS,
            STATION,
            may("supplies", Form::Tables("supply"), "What to get for it."),
            CAUTIONS,
            may("safety", Form::Flag, "Shown on the readiness sheet before the first step."),
        ],
    },
    Table {
        name: "opening",
        keys: &[
            KEY,
            TITLE,
            may("cap", Form::Text, "The cap that closes it; left out if it cannot be closed."),
            may("count", Form::Count, "How many openings; one if left out."),
        ],
    },
    Table {
        name: "special_tool",
        keys: &[
            KEY,
            TITLE,
            need("specification", Form::Text, "What it has to be able to do, with its geometry."),
            may("can_be_made", Form::Flag, "Can be made in the workshop."),
        ],
    },
    Table {
        name: "part",
        keys: &[
            KEY,
            TITLE,
            need("mass", Form::Quantity("4.8 kg"), "Mass."),
            may("helper", Form::Flag, "Wants a second pair of hands."),
            STATION,
            OFF_FIRST,
            CONDITIONS,
            may("uncovers", Form::Keys, "Openings that it uncovers."),
            need("lift_time", Form::Quantity("40 s"), "Time to lift it off once its fixings are out."),
            need("place_time", Form::Quantity("60 s"), "Time to set it back in place."),
            may("renew_with", Form::Tables("supply"), "What is renewed with it."),
            may("refit_wait", Form::Tables("refit_wait"), "Waits at refit."),
            TOOLS,
            may("brittle", Form::Flag, "Likely to break at this age."),
            CAUTIONS,
            may("tip", Form::Text, "Advice that helps the hand."),
            may("way", Form::Tables("way"), "None, or at least two ways of which one is taken."),
            may("fixing", Form::Tables("fixing"), "What holds it."),
        ],
    },
    Table { name: "way", keys: &[KEY, TITLE, OFF_FIRST, CONDITIONS, OWN_STATION] },
    Table {
        name: "refit_wait",
        keys: &[
            TITLE,
            need("time", Form::Quantity("10 min"), "How long."),
            need("holds_back", word!(HOLDS_BACK), "What may not start before."),
        ],
    },
    Table {
        name: "supply",
        keys: &[
            need("name", Form::Text, "What it is, with its specification."),
            may("count", Form::Count, "How many; one if left out."),
            may("price", Form::Price, "Price of one."),
            may("before_start", Form::Flag, "Must be in hand before the first step."),
        ],
    },
    Table {
        name: "caution",
        keys: &[
            need("word", word!(SIGNAL_WORDS), "Signal word."),
            need("text", Form::Text, "Hazard, consequence, and what to do."),
        ],
    },
    Table {
        name: "fixing",
        keys: &[
            KEY,
            TITLE,
            need("kind", word!(FASTENER_KINDS), "What kind of fastener it is."),
            may("thread", Form::Text, "Thread, such as M6, M10x1.25, 1/4-20 UNC."),
            may("length", Form::Length, "Length under the head."),
            may("class", Form::Text, "Property class, such as 8.8."),
            need("drive", Form::Text, "What the tool takes hold of, such as hexagon 10 mm, T30, latch."),
            may("head", Form::Table("head"), "Head; wanted for drives that are turned."),
            may("count", Form::Count, "How many fasteners; as many as holes if left out."),
            may("holes", Form::Holes, "Places on the part's face; one at the origin if left out."),
            may("engagement", Form::Length, "Thread engaged; wanted with a thread."),
            may("clamped", Form::Length, "Thickness clamped under the head."),
            may("tapped_depth", Form::Length, "Depth of usable thread; left out for through holes."),
            may("tapped_in", word!(TAPPED_IN), "What it is tapped into; steel if left out."),
            may("tighten", Form::Passes, "Passes: torques, angles, seat."),
            may("pattern", Form::Pattern, "Order of the holes."),
            may("end_torque", Form::Quantity("60 N·m"), "Torque at the end of an angle pass."),
            may("tolerance", Form::Quantity("4 %"), "Allowed deviation of the torque."),
            may("closing_pass", Form::Flag, "Once more at the last torque."),
            may("source", Form::Text, "Where the figures come from."),
            may("joint", Form::Text, "Fixings of one part tightened as one pattern."),
            may("lubrication", word!(LUBRICATIONS), "What the figures hold for; unstated if left out."),
            may("one_time", Form::Flag, "Renewed each time."),
            may("price", Form::Price, "Price of one new fastener."),
            may("captive", Form::Flag, "Stays on the part by itself."),
            may("critical", Form::Flag, "Never by power, and looked at a second time."),
            may("history", Form::Tables("history"), "What makes it break loose harder."),
            may("keep", word!(KEEPS), "Where to keep it while it is off."),
            may("access", Form::Tables("access"), "At least one; every hole at least once."),
        ],
    },
    Table {
        name: "head",
        keys: &[
            may("height", Form::Length, "Height of an outer drive."),
            may("recess", Form::Length, "Depth of an inner drive."),
            need("diameter", Form::Length, "Largest diameter, flange or washer included."),
            may("protrusion", Form::Length, "How far a stud stands out above a nut."),
        ],
    },
    Table {
        name: "hole",
        keys: &[
            may("label", Form::Text, "Label, unique on the part; its number if left out."),
            need("x", Form::Length, "Rightward."),
            need("y", Form::Length, "Upward."),
        ],
    },
    Table {
        name: "history",
        keys: &[
            need("cause", word!(HISTORY_CAUSES), "Why."),
            need("factor", Form::Number, "How much harder, 1 to 5."),
        ],
    },
    Table {
        name: "access",
        keys: &[
            may("holes", Form::Keys, "Labels of the holes; all if left out."),
            may("way", Form::Key, "The way it holds on; every way if left out."),
            OWN_STATION,
            CORRIDOR,
            BENDS,
            HEADROOM,
            SWINGS,
            SIDE,
            SIGHT,
            DROP_OVER,
            may("counter_hold", Form::Table("counter_hold"), "The other side, where it needs holding."),
        ],
    },
    Table {
        name: "segment",
        keys: &[
            may("length", Form::Length, "Length; left out for the last, open one."),
            need("clear", Form::Length, "Diameter that is clear round the axis."),
        ],
    },
    Table {
        name: "bend",
        keys: &[
            need("at", Form::Length, "Distance from the head."),
            need("angle", Form::Quantity("30°"), "By how much the axis turns."),
        ],
    },
    Table {
        name: "swing",
        keys: &[
            need("radius", Form::Length, "Radius of the handle."),
            need("arc", Form::Quantity("60°"), "Arc that is free for it."),
        ],
    },
    Table {
        name: "side",
        keys: &[
            need("radial", Form::Length, "Radius that is clear all round the axis."),
            need("height", Form::Length, "Clear height from the seat of the head."),
            may(
                "reach",
                Form::Length,
                "How far the room reaches in its best direction; `radial` if left out.",
            ),
            may(
                "headroom",
                Form::Length,
                "Greatest length of a shaft beside the head, hand included; none if left out.",
            ),
            SWINGS,
        ],
    },
    Table {
        name: "counter_hold",
        keys: &[
            need("drive", Form::Text, "What is held."),
            need("grip_height", Form::Length, "Height of the held head, or depth of its recess."),
            need("access", Form::Table("held_access"), "The way to it."),
        ],
    },
    Table {
        name: "held_access",
        keys: &[OWN_STATION, CORRIDOR, BENDS, HEADROOM, SWINGS, SIDE, SIGHT, DROP_OVER],
    },
    Table {
        name: "task",
        keys: &[
            KEY,
            TITLE,
            need("kind", word!(TASK_KINDS), "Kind of work."),
            OFF_FIRST,
            CONDITIONS,
            need("work", Form::Quantity("6 min"), "Its own work, once the way is open."),
            STATION,
            may("supplies", Form::Tables("supply"), "Parts and consumables."),
            TOOLS,
            may("leaving", Form::Price, "Loss to expect if left for the next visit."),
            CAUTIONS,
            may("note", Form::Text, "What to do, in a sentence or two."),
        ],
    },
];
