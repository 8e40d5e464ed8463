//! The rules that the walker itself watches over: T001 to T010.

use crate::catalogue::FaultRule;

/// The walker's own rules.
pub const RULES: &[FaultRule] = &[
    FaultRule {
        code: "T001",
        title: "unknown key",
        why: "A misspelt key would be ignored silently, and its value with it.",
        bad_sample: "title = \"Front cover\"\ntorqe = \"9 N·m\"",
        help: "spell the key as proposed, or remove it.",
    },
    FaultRule {
        code: "T002",
        title: "missing key",
        why: "Without this value nothing can be worked out, and no value is assumed in its place.",
        bad_sample: "torque = \"9 N·m\"",
        help: "add the key to the table that is pointed at.",
    },
    FaultRule {
        code: "T003",
        title: "wrong type",
        why: "A text where a number belongs, or a number where a text belongs, is most often a slip.",
        bad_sample: "title = 12",
        help: "put text in quotes; write numbers, `true` and `false` without them; put lists in brackets.",
    },
    FaultRule {
        code: "T004",
        title: "out of range",
        why: "A figure outside the range that the key can have is a slip of the decimal point or of the unit.",
        bad_sample: "title = \"Front cover\"\ncount = 4000",
        help: "check the decimal point and the unit.",
    },
    FaultRule {
        code: "T005",
        title: "bad value",
        why: "The text is not one of the words, or not a figure with a unit, that the key can have.",
        bad_sample: "title = \"Front cover\"\ntorque = \"9\"",
        help: "write it as proposed; a figure needs its unit, so that nobody has to guess it.",
    },
    FaultRule {
        code: "T006",
        title: "syntax",
        why: "The text does not follow the rules of TOML, so its meaning is unclear.",
        bad_sample: "title = \"Front cover\ntorque = \"9 N·m\"",
        help: "look for a quote, a bracket, a comma or an equals sign that is missing at or before the caret.",
    },
    FaultRule {
        code: "T007",
        title: "not UTF-8",
        why: "Signs such as · and ° come out wrong when a file was saved in another encoding.",
        bad_sample: "",
        help: "save the file as UTF-8; most editors have a setting for it.",
    },
    FaultRule {
        code: "T008",
        title: "file too large",
        why: "A book is written by hand; a file of this size is something else.",
        bad_sample: "",
        help: "split it into several files, or check that it is the right one.",
    },
    FaultRule {
        code: "T009",
        title: "key given twice",
        why: "With two values for one key it is unclear which is meant.",
        bad_sample: "title = \"Front cover\"\ntitle = \"Rear cover\"",
        help: "remove one of them.",
    },
    FaultRule {
        code: "T010",
        title: "empty text",
        why: "A name or a note of only blanks prints as a gap on screens and cards.",
        bad_sample: "title = \" \"",
        help: "write the text, or remove the key if it may be left out.",
    },
];
