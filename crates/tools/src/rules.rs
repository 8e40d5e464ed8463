//! The rules of a store, S101 to S127, and the page that explains them.

use faults::FaultRule;

/// A rule from its words.
const fn store_rule(
    code: &'static str,
    title: &'static str,
    why: &'static str,
    bad_sample: &'static str,
    help: &'static str,
) -> FaultRule {
    FaultRule { code, title, why, bad_sample, help }
}

/// The rule of a code; the first rule for a text that is not a code, which the tests of the samples would show.
pub(crate) fn find_store_rule(code: &str) -> &'static FaultRule {
    RULES.iter().find(|rule| rule.code == code).unwrap_or(&RULES[0])
}

/// The rules that this crate watches over; those of the text itself are [`faults::RULES`].
pub const RULES: &[FaultRule] = &[
    store_rule(
        "S101",
        "key given twice",
        "Plans, lists and labels name a piece by its key; with two of the same key it is unclear which is meant.",
        "[[piece]]\nkey = \"r\"\nkind = \"ratchet\"\nlink = \"1/4 in\"\nplace = \"a / b\"\n\n[[piece]]\nkey = \"r\"\nkind = \"ratchet\"\nlink = \"3/8 in\"\nplace = \"a / b\"",
        "rename one; several pieces that are alike are one piece with `count`.",
    ),
    store_rule(
        "S102",
        "unknown words in a set",
        "A misread word would fill a drawer with tools that are not in it.",
        "[[set]]\nset = \"1/4 in depe sockets 4 to 14 mm\"\nplace = \"a / b\"",
        "write the set as the help shows; `docs/store-format.md` has all of the grammar.",
    ),
    store_rule(
        "S103",
        "size not in the series",
        "A size that is not made is most often a slip; a bolt would be planned with a tool that is not there.",
        "[[set]]\nset = \"hexalobular bits T11 to T60 on 3/8 in\"\nplace = \"a / b\"",
        "write a size of the series; a size of your own is a `[[piece]]`.",
    ),
    store_rule(
        "S104",
        "range the wrong way round",
        "In a range that runs downwards either end may be the slip.",
        "[[piece]]\nkind = \"torque-wrench\"\nlink = \"1/4 in\"\nrange = \"25 to 5 N·m\"\nplace = \"a / b\"",
        "write the smaller end first.",
    ),
    store_rule(
        "S105",
        "set without sizes",
        "A set of sockets without sizes describes no tool; handles and joints have no sizes at all.",
        "[[set]]\nset = \"1/4 in deep sockets\"\nplace = \"a / b\"",
        "write the sizes as the help shows.",
    ),
    store_rule(
        "S106",
        "exception that is not in the set",
        "An exception that takes nothing out is a slip, and the size that is really missing still counts as there.",
        "[[set]]\nset = \"1/4 in sockets 8 to 13 mm\"\nexcept = [\"7 mm\"]\nplace = \"a / b\"",
        "correct the exception or the words of the set.",
    ),
    store_rule(
        "S107",
        "too many pieces",
        "A set of thousands of sizes, or a store of tens of thousands of tools, is a slip of a step or a range.",
        "[[set]]\nset = \"1/4 in sockets 4 to 50 mm step 0.1\"\nplace = \"a / b\"",
        "write a coarser step; use `count` for pieces that are alike.",
    ),
    store_rule(
        "S108",
        "missing link",
        "Without its square or shank it is unknown what a piece goes onto.",
        "[[piece]]\nkind = \"ratchet\"\nplace = \"a / b\"",
        "write `link = \"1/4 in\"`, or the link in the words of the set.",
    ),
    store_rule(
        "S109",
        "impossible link",
        "A spanner has no square drive; a socket has exactly one.",
        "[[set]]\nset = \"1/4 in ring spanners 8 to 13 mm\"\nplace = \"a / b\"",
        "take the link out, or name the tool that has it.",
    ),
    store_rule(
        "S110",
        "more away than owned",
        "What is lent or out for calibration belongs to what is owned; otherwise the count at hand is wrong.",
        "[[piece]]\nkind = \"ratchet\"\nlink = \"1/4 in\"\nplace = \"a / b\"\ncount = 1\nlent = 2",
        "include those that are away in `count`.",
    ),
    store_rule(
        "S111",
        "joint angle too large",
        "No joint drives beyond a right angle: past 90° the handle would turn the fastener back.",
        "[[piece]]\nkind = \"joint\"\nlink = \"1/4 in\"\nmax_angle = \"120°\"\nplace = \"a / b\"",
        "write the greatest angle at which it still turns, and its centre from the fastener's end.",
    ),
    store_rule(
        "S112",
        "outer diameter below the opening",
        "A socket thinner than the hexagon it takes cannot be; a plan would send it where it does not fit.",
        "[[piece]]\nkind = \"socket\"\nlink = \"1/4 in\"\nsize = \"13 mm\"\ndiameter = 13\nplace = \"a / b\"",
        "measure the outer diameter again, across its widest place.",
    ),
    store_rule(
        "S113",
        "absurd tolerance",
        "A torque tool always has an error, and it is at most a quarter.",
        "[[piece]]\nkind = \"torque-wrench\"\nlink = \"1/4 in\"\nrange = \"5 to 25 N·m\"\ntolerance = \"40 %\"\nplace = \"a / b\"",
        "take the figure from its calibration sheet; ISO 6789 allows 4 %, small tools 6 %.",
    ),
    store_rule(
        "S114",
        "absurd full scale",
        "A scale that its square would not survive is a slip of the unit: lbf·in, lbf·ft and N·m are mixed up easily.",
        "[[piece]]\nkind = \"torque-wrench\"\nlink = \"1/4 in\"\nrange = \"50 to 250 N·m\"\nplace = \"a / b\"",
        "check figure, unit and square.",
    ),
    store_rule(
        "S115",
        "clutch steps not rising",
        "The lowest step that does the work is chosen; steps out of order lead to the wrong one.",
        "[[piece]]\nkind = \"power-driver\"\nlink = \"1/4 in hex\"\nspeed = \"1500 rpm\"\nmax_torque = \"30 N·m\"\nclutch = [\"4 N·m\", \"2 N·m\"]\nplace = \"a / b\"",
        "write the steps from the lowest to the highest, none above `max_torque`.",
    ),
    store_rule(
        "S116",
        "unknown column",
        "A column with a misspelt name would be ignored silently, with every figure in it.",
        "kind,size,link,retension,place\nsocket,10 mm,1/4 in,magnet,a / b",
        "name the column like a key of a piece or a set; see docs/store-format.md.",
    ),
    store_rule(
        "S117",
        "row with too many or too few fields",
        "A shifted row puts every figure under the wrong name.",
        "kind,size,link,place\nsocket,10 mm,1/4 in",
        "leave empty fields between the separators; put a field with a separator in it in double quotes.",
    ),
    store_rule(
        "S118",
        "file of another kind",
        "What is neither TOML nor CSV is not read, and the tools in it would be missing.",
        "",
        "save it as .toml or .csv, or keep it elsewhere.",
    ),
    store_rule(
        "S119",
        "piece without what its kind needs",
        "A socket without a size, an extension without a length or a torque wrench without a range can do nothing.",
        "[[piece]]\nkind = \"extension\"\nlink = \"1/4 in\"\nplace = \"a / b\"",
        "add what the message names.",
    ),
    store_rule(
        "S120",
        "no head, or two",
        "The head says that these files are a store, and of which version.",
        "cart_places = 40",
        "keep `format` and `title` at the top of exactly one file.",
    ),
    store_rule(
        "S121",
        "unknown format",
        "A store of another version may mean other things by the same words.",
        "format = \"traywright-store/7\"\ntitle = \"Workshop\"",
        "write `format = \"traywright-store/1\"`.",
    ),
    store_rule(
        "S122",
        "place without cabinet or drawer",
        "The kit sheet is sorted by cabinet and drawer; without them a piece has to be searched for.",
        "[[piece]]\nkind = \"ratchet\"\nlink = \"1/4 in\"\nplace = \"somewhere\"",
        "write both with a stroke between: `red cabinet / drawer 1`.",
    ),
    store_rule(
        "S123",
        "impossible ratchet step",
        "The step decides whether a ratchet works in the free swing; it is a turn divided by the teeth.",
        "[[piece]]\nkind = \"ratchet\"\nlink = \"1/4 in\"\nteeth = 72\nstep = \"10°\"\nplace = \"a / b\"",
        "count the teeth, and leave the step out.",
    ),
    store_rule(
        "S124",
        "drive that does not suit the kind",
        "A socket goes over a head and a bit into one; the other way round nothing is held.",
        "[[piece]]\nkind = \"socket\"\nlink = \"1/4 in\"\nsize = \"T30\"\nplace = \"a / b\"",
        "check kind and size.",
    ),
    store_rule(
        "S125",
        "figure that no hand tool has",
        "A slip of the decimal point or of the unit makes a tool too long, too thick or too strong to be true.",
        "[[piece]]\nkind = \"extension\"\nlink = \"1/4 in\"\nlength = 15000\nplace = \"a / b\"",
        "check the decimal point and the unit.",
    ),
    store_rule(
        "S126",
        "store without pieces",
        "With nothing in the store every fastener is out of reach.",
        "format = \"traywright-store/1\"\ntitle = \"Workshop\"",
        "write a first set: `set = \"1/4 in sockets 4 to 14 mm\"`.",
    ),
    store_rule(
        "S127",
        "key that the kind does not use",
        "A figure that counts for nothing was most likely meant for another kind.",
        "[[piece]]\nkind = \"socket\"\nlink = \"1/4 in\"\nsize = \"10 mm\"\nteeth = 72\nplace = \"a / b\"",
        "remove it, or check the kind.",
    ),
];

/// The page of the rules, as it is in `docs/errors-store.md`.
#[must_use]
pub fn store_errors_page() -> String {
    let opening = "Every fault that the reader of a store reports, with a sample that provokes it. Faults of the text itself \
                   (T001 to T010: unknown keys, missing keys, bad values, syntax) are those of books too. The format is described in \
                   [store-format.md](store-format.md).";
    faults::rules_page("Faults of stores", opening, &[RULES])
}
