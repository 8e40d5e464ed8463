//! The cases of `samples.rs`, as data.

/// What to change in which scene, and where the fault stands.
pub struct Case {
    pub code: &'static str,
    /// Texts replaced first; the book stays free of faults.
    pub scene: &'static [(&'static str, &'static str)],
    /// The text that the rule's bad sample replaces.
    pub old: &'static str,
    /// What stands where the fault points; empty where it points nowhere.
    pub at: &'static str,
}

/// A second part without fixings.
pub const PLATE: &str = "[[part]]\nkey = \"plate\"\ntitle = \"plate\"\nmass = \"1 kg\"\nstation = \"front\"\n\
                         lift_time = \"5 s\"\nplace_time = \"5 s\"\n";

const TASK: &str = "[[task]]\nkey        = \"inspect-belt\"";
const PART: &str = "[[part]]\nkey        = \"cover\"";
/// A lift with two heights, and room for a rule.
const LIFT: (&str, &str) = (
    PART,
    "[[setting]]\ntitle  = \"lift\"\nvalues = [\"ground\", \"up\"]\n#start\n\n  [[setting.way]]\n  to   = \"up\"\n  text = \"Raise it.\"\n\n\
     \u{20} [[setting.way]]\n  to   = \"ground\"\n  text = \"Lower it.\"\n\n#rule\n\n[[part]]\nkey        = \"cover\"",
);
const WAY_BACK: &str = "  [[setting.way]]\n  to   = \"ground\"\n  text = \"Lower it.\"";
const PART_END: &str = "place_time = \"20 s\"";
const FASTENER: &str = "kind        = \"bolt\"\n  thread      = \"M6\"\n  length      = 25\n  class       = \"8.8\"\n  drive       = \"hexagon 10 mm\"\n  head        = { height = 6, diameter = 13.5 }";
const AUTO: &str = "pattern     = \"auto\"";
const TIGHTEN: &str = "tighten     = [\"5 N·m\", \"9 N·m\"]";
const DRIVE_HEAD: &str = "drive       = \"hexagon 10 mm\"\n  head        = { height = 6, diameter = 13.5 }";
const HOLES: &str = "holes       = [[0, 0], [40, 0], [0, 60], [40, 60]]";
const CORRIDOR: &str = "corridor = [{ length = 40, clear = 22 }, { clear = 60 }]";
const SWINGS: &str = "swings   = [{ radius = 150, arc = \"60°\" }, { radius = 250, arc = \"25°\" }]";
const BENDS: &str = "bends    = []";
const HEADROOM: &str = "    headroom = 180\n";
const OPENING: &str =
    "[[opening]]\nkey   = \"intake-ports\"\ntitle = \"intake ports\"\n\n[[part]]\nkey        = \"cover\"";
const PLATE_TASK: &str = "[[part]]\nkey = \"plate\"\ntitle = \"plate\"\nmass = \"1 kg\"\nstation = \"front\"\n\
    lift_time = \"5 s\"\nplace_time = \"5 s\"\n#needs\n#uncovers\n#more\n\n[[task]]\nkey        = \"inspect-belt\"";
const WAYS: &str = "place_time = \"20 s\"\n\n[[part.way]]\nkey = \"from-above\"\ntitle = \"from above\"\n\n[[part.way]]\n\
    key = \"from-below\"\ntitle = \"from below\"\nstation = \"front\"\n";

const BOLT: &str = "[[part.fixing]]\nkey = \"more\"\ntitle = \"more\"\nkind = \"bolt\"\nthread = \"M6\"\nclass = \"8.8\"\ndrive = \"hexagon 10 mm\"\nhead = { height = 6, diameter = 13.5 }\nengagement = 12\nsource = \"invented\"\n#tighten\n[[part.fixing.access]]\ncorridor = [{ clear = 60 }]\nheadroom = 100\n\n[[task]]\nkey        = \"inspect-belt\"";
const JOINED: (&str, &str) = (AUTO, "pattern = \"auto\"\n  joint = \"sealed\"");

macro_rules! like {
    ($key:literal) => {
        concat!(
            "[[part.fixing]]\nkey = \"",
            $key,
            "\"\ntitle = \"",
            $key,
            "\"\nkind = \"bolt\"\nthread = \"M6\"\nclass = \"8.8\"\ndrive = \"hexagon 10 mm\"\nhead = { height = 6, diameter = 13.5 }\nengagement = 12\ntapped_in = \"cast-aluminium\"\nlubrication = \"dry\"\ntighten = [\"9 N·m\"]\nsource = \"invented\"\n[[part.fixing.access]]\ncorridor = [{ clear = 60 }]\nheadroom = 100\n\n"
        )
    };
}

/// Three more fixings like the cover's bolts.
const LIKE: &str =
    concat!(like!("like-a"), like!("like-b"), like!("like-c"), "[[task]]\nkey        = \"inspect-belt\"");

const fn case(code: &'static str, old: &'static str, at: &'static str) -> Case {
    Case { code, scene: &[], old, at }
}

const fn staged(
    code: &'static str,
    scene: &'static [(&'static str, &'static str)],
    old: &'static str,
    at: &'static str,
) -> Case {
    Case { code, scene, old, at }
}

pub const CASES: &[Case] = &[
    case("B101", "format   = \"traywright-book/2\"", "\"traywright-book/7\""),
    staged("B103", &[(TASK, PLATE_TASK)], "[[part]]\nkey = \"plate\"", "\"cover\""),
    case("B104", "key        = \"inspect-belt\"", "\"Front_Cover\""),
    case("B105", "station    = \"front\"", "\"frnt\""),
    staged(
        "B106",
        &[(
            "kind       = \"inspect\"",
            "kind       = \"inspect\"
conditions = [\"engine-cold\"] # again",
        )],
        "station    = \"front\"
conditions = [\"engine-cold\"]",
        "\"engine-cool\"",
    ),
    case("B107", "off_first  = [\"cover\"]", "\"cowling\""),
    case("B108", PART_END, "\"intake\""),
    case("B109", "conditions = [\"engine-cold\"]", "\"engine-cold\"]"),
    case("B111", "currency = \"EUR\"", "\"euro\""),
    case("B112", "leaving    = \"140.00\"", "\"-140.00\""),
    case("B113", "leaving    = \"140.00\"", "\"140.00 USD\""),
    case("B114", "leaving    = \"140.00\"", "\"crank-pn\""),
    case("B115", "thread      = \"M6\"", "\"M6x25\""),
    case("B116", "class       = \"8.8\"", "\"8,8\""),
    case("B117", "drive       = \"hexagon 10 mm\"", "\"hexagon M6\""),
    case("B118", HOLES, "[40]"),
    case("B119", TIGHTEN, "\"5\""),
    case(
        "B120",
        "[[task]]\nkey        = \"inspect-belt\"\ntitle      = \"look at the belt behind the cover\"\nkind       = \"inspect\"\noff_first  = [\"cover\"]\nwork       = \"5 min\"\nstation    = \"front\"\nleaving    = \"140.00\"\n",
        "",
    ),
    staged("B121", &[(PART_END, WAYS)], CORRIDOR, "\"from-behind\""),
    case("B122", CORRIDOR, "\"9\""),
    case("B123", "leaving    = \"140.00\"", "0 }]"),
    staged("B126", &[(TASK, "#measure\n[[task]]\nkey        = \"inspect-belt\"")], "#measure", "\"0.3\""),
    staged(
        "B127",
        &[(TASK, "#measure\n[[task]]\nkey        = \"inspect-belt\"")],
        "#measure",
        "\"meassure\"",
    ),
    staged("B128", &[(TASK, "#measure\n[[task]]\nkey        = \"inspect-belt\"")], "#measure", "\"0.30 mm\""),
    case("B129", "leaving    = \"140.00\"", "\"120000\""),
    staged(
        "B201",
        &[
            (TASK, PLATE_TASK),
            ("conditions = [\"engine-cold\"]", "conditions = [\"engine-cold\"]\noff_first = [\"plate\"]"),
        ],
        "#needs",
        "\"plate\"]",
    ),
    case("B202", PART_END, "\"cover\""),
    staged(
        "B203",
        &[
            (
                "[[part]]\nkey        = \"cover\"",
                "[[condition]]\nkey = \"quiet\"\ntitle = \"quiet\"\nkind = \"set\"\nestablish = \"Wait.\"\nstation = \"front\"\n\
             #needs\n\n[[part]]\nkey        = \"cover\"",
            ),
            ("hold_up        = \"40 min\"", "hold_up        = \"40 min\"\nconditions = [\"quiet\"]"),
        ],
        "#needs",
        "\"quiet\"]",
    ),
    case("B204", PART_END, "[[part.way]]"),
    case("B205", PART_END, "[[part.way]]\nkey   = \"from-below\""),
    case(
        "B206",
        "kind           = \"waited\"\nestablish      = \"Let the engine cool down.\"\nhold_up        = \"40 min\"",
        "[[condition]]",
    ),
    case(
        "B207",
        "kind           = \"waited\"\nestablish      = \"Let the engine cool down.\"",
        "\"drained\"",
    ),
    case("B208", "hold_up        = \"40 min\"", "\"5 min\""),
    case("B209", "conditions = [\"engine-cold\"]", "\"engine-cold\""),
    staged(
        "B210",
        &[
            (PART, OPENING),
            (PART_END, "place_time = \"20 s\"\nuncovers = [\"intake-ports\"]\n"),
            (TASK, PLATE_TASK),
        ],
        "#uncovers",
        "\"intake-ports\"",
    ),
    staged(
        "B211",
        &[(
            PART,
            "#opening

[[part]]
key        = \"cover\"",
        )],
        "#opening",
        "\"intake-ports\"",
    ),
    staged(
        "B212",
        &[
            (PART, OPENING),
            (TASK, PLATE_TASK),
            ("#needs", "off_first = [\"cover\"]"),
            ("#uncovers", "uncovers = [\"intake-ports\"]"),
            (HEADROOM, "    headroom = 180\n    #drop\n"),
        ],
        "#drop",
        "\"intake-ports\"",
    ),
    case("B213", "mass       = \"0.8 kg\"", "\"800 kg\""),
    case("B214", "mass       = \"0.8 kg\"", "\"28 kg\""),
    case("B215", PART_END, "\"filling\""),
    staged("B216", &[(PART, "#tool\n\n[[part]]\nkey        = \"cover\"")], "#tool", "\"crank-pin\""),
    staged("B217", &[(PART, "#station\n\n[[part]]\nkey        = \"cover\"")], "#station", "\"under\""),
    case("B218", "hand_force = \"400 N\"", "\"40 kN\""),
    case("B219", "work       = \"5 min\"", "\"0 min\""),
    staged(
        "B220",
        &[(
            TASK,
            "[[part.fixing]]\nkey = \"crank-key\"\ntitle = \"crank key\"\n#kind\n\n[[task]]\nkey        = \"inspect-belt\"",
        )],
        "#kind",
        "\"key\"",
    ),
    case("B301", "count       = 4", "5"),
    case("B302", HOLES, "{ label"),
    case("B303", HOLES, "[0, 60]]"),
    case("B305", CORRIDOR, "[[part.fixing.access]]"),
    staged("B306", &[(PART_END, WAYS)], CORRIDOR, "[[part.fixing.access]]"),
    case("B308", "engagement  = 13", "26"),
    case("B309", "tapped_depth = 18", "10"),
    staged("B310", &[("tapped_depth = 18", "")], "clamped     = 12", "3"),
    case("B311", "length      = 25", "34"),
    case("B313", TIGHTEN, "\"9000 N·m\""),
    case("B314", TIGHTEN, "\"80 N·m\""),
    case("B315", TIGHTEN, "\"5 N·m\"]"),
    case("B316", TIGHTEN, "\"90°\""),
    case("B317", TIGHTEN, "\"3 N·m\""),
    case("B318", AUTO, "\"0.04 %\""),
    case("B319", TIGHTEN, "\"900°\""),
    case("B320", DRIVE_HEAD, "\"hexagon 17 mm\""),
    case("B321", "drive       = \"hexagon 10 mm\"", "\"hexagon 16 mm\""),
    case("B322", DRIVE_HEAD, "\"T15\""),
    case("B323", "head        = { height = 6, diameter = 13.5 }", "6, "),
    case("B324", FASTENER, "\"hex socket 5 mm\""),
    case("B327", "lubrication = \"dry\"", "\"tray\""),
    case("B328", "lubrication = \"dry\"", "13 }"),
    case("B330", TIGHTEN, "true"),
    case("B332", DRIVE_HEAD, "[\"5 N·m\", \"9 N·m\"]"),
    staged(
        "B333",
        &[JOINED, (TASK, PLATE_TASK), (TASK, BOLT), ("#tighten", "tighten = [\"9 N·m\"]\n#joint")],
        "#joint",
        "\"sealed\" # as",
    ),
    staged(
        "B334",
        &[JOINED, (TASK, BOLT), ("#tighten", "tighten = [\"5 N·m\", \"9 N·m\"]")],
        "tighten = [\"5 N·m\", \"9 N·m\"]",
        "\"sealed\"",
    ),
    case("B335", AUTO, "\"3\"]"),
    case("B336", AUTO, "\"20 N·m\""),
    case("B337", TIGHTEN, "\"by feel\""),
    case("B338", TIGHTEN, "\"15 N·m\""),
    staged("B339", &[(TASK, LIKE)], TIGHTEN, "\"12 N·m\""),
    case("B340", "tapped_in   = \"cast-aluminium\"", "\"9 N·m\""),
    staged(
        "B341",
        &[
            ("lubrication = \"dry\"", "lubrication = \"paste\""),
            (TIGHTEN, "tighten     = [\"5 N·m\", \"7 N·m\"]"),
        ],
        "tighten     = [\"5 N·m\", \"7 N·m\"]",
        "\"12 N·m\"",
    ),
    case("B342", TIGHTEN, "\"90°\""),
    case("B344", "lubrication = \"dry\"", "[\"cover-bolts\"]"),
    staged(
        "B345",
        &[
            (TASK, PLATE_TASK),
            (
                "#more",
                "[[part.fixing]]\nkey = \"plate-clip\"\ntitle = \"plate clip\"\nkind = \"clip\"\ndrive = \"push clip 8 mm\"",
            ),
        ],
        "lubrication = \"dry\"",
        "\"plate-clip\"",
    ),
    staged(
        "B131",
        &[
            LIFT,
            (PART_END, "place_time = \"20 s\"\nrepeat = [\"left\", \"right\"]"),
            (TASK, PLATE_TASK),
            (
                "#rule",
                "[[rule]]\ntitle = \"held\"\nnever_together = [{ setting = \"lift\", is = [\"up\"] }, { part = \"plate\", is = [\"off\"] }]",
            ),
        ],
        "never_together = [{ setting = \"lift\", is = [\"up\"] }, { part = \"plate\", is = [\"off\"] }]",
        "{ part = \"cover\"",
    ),
    case("B130", "lubrication = \"dry\"", "\"main-bolts\""),
    case("B343", "lubrication = \"dry\"", "\"tray\""),
    case("B401", CORRIDOR, "[]"),
    case("B402", CORRIDOR, "{ clear = 22"),
    case("B403", CORRIDOR, "90"),
    case("B404", CORRIDOR, "12"),
    staged("B405", &[(BENDS, "bends    = []\n    side     = \"none\"")], CORRIDOR, "11"),
    case("B406", "headroom = 180", "35"),
    case("B407", BENDS, "55"),
    case("B408", BENDS, "550"),
    case("B409", BENDS, "\"120°\""),
    case("B410", SWINGS, "\"400°\""),
    case("B411", SWINGS, "\"60°\""),
    case("B412", SWINGS, "3 }"),
    case("B413", SWINGS, "5, "),
    case("B414", SWINGS, "10 }"),
    case("B415", SWINGS, "\"latch\""),
    case("B416", BENDS, "22"),
    staged("B501", &[LIFT], PART_END, "{ is"),
    staged("B502", &[LIFT], PART_END, "\"uup\""),
    staged("B503", &[LIFT], "values = [\"ground\", \"up\"]", "\"up\"]"),
    staged(
        "B504",
        &[LIFT, ("values = [\"ground\", \"up\"]", "values = [\"ground\", \"up\", \"low\"]")],
        PART_END,
        "[\"low\"]",
    ),
    staged("B505", &[LIFT], WAY_BACK, "\"up\"]"),
    staged("B506", &[LIFT], "#rule", "[[rule]]"),
    staged("B507", &[LIFT], "#rule", "{ setting"),
    staged("B508", &[LIFT], "#rule", "{ part"),
    staged("B509", &[LIFT], "  to   = \"up\"", "[\"ground\", \"up\"]\n  to"),
    staged("B510", &[LIFT], "#start", "\"down\""),
    staged("B511", &[LIFT], PART_END, "[] }"),
    staged("B513", &[LIFT], PART_END, "\"lfit\""),
    staged(
        "B514",
        &[
            (TASK, PLATE_TASK),
            ("conditions = [\"engine-cold\"]", "conditions = [\"engine-cold\"]\noff_first = [\"plate\"]"),
        ],
        PART_END,
        "[\"plate\"]\n\n",
    ),
    staged("B515", &[LIFT], "  to   = \"up\"", "{ setting"),
    staged("B516", &[LIFT], PART_END, "{ setting = \"lift\", is = [\"ground\"]"),
];
