//! A key is one entry: added to a table, it is read, written, in the schema, on the page and a column.

use std::sync::LazyLock;

use faults::{FaultCollector, FaultRule, SourceTexts, parse_toml};
use fields::{
    FieldTable, KeyNeed, ListRules, NameDirectory, NameIndex, NameKind, ReadingDesk, SheetRules, at, count,
    list_at, maybe, name, names, quantity, read_sheet, rows, text, word,
};
use proptest::prelude::*;
use units::Length;

#[derive(Debug, Clone, PartialEq, Default)]
struct Lid {
    title: String,
    hinge: Option<usize>,
    others: Vec<usize>,
    pins: Vec<Pin>,
    thickness: Option<Length>,
}

#[derive(Debug, Clone, PartialEq, Default)]
struct Pin {
    title: String,
    count: u16,
}

const RULE: FaultRule =
    FaultRule { code: "X001", title: "odd", why: "It is odd.", bad_sample: "", help: "mend it." };
static HINGES: NameKind = NameKind { what: "hinge", unknown: &RULE };
const RULES: ListRules = ListRules { too_many: &RULE, named_twice: &RULE };

static PIN: LazyLock<FieldTable<Pin>> = LazyLock::new(|| {
    FieldTable::new("pin", Pin::default).required("title", text(), at!(title), "Name.").optional(
        "count",
        count(1..=9),
        at!(count),
        "How many.",
    )
});

/// A table before a key is added.
fn old_table() -> FieldTable<Lid> {
    FieldTable::new("lid", Lid::default)
        .required("title", text(), at!(title), "Name.")
        .such_as("\"front lid\"")
        .optional("hinge", name(&HINGES), maybe!(hinge), "Where it turns.")
        .optional("others", names(2, &HINGES), list_at!(others), "Where else.")
        .optional("pins", rows(3, &PIN), list_at!(pins), "What holds it.")
}

static OLD: LazyLock<FieldTable<Lid>> = LazyLock::new(old_table);

/// The same with one entry more.
static NEW: LazyLock<FieldTable<Lid>> = LazyLock::new(|| {
    let thin = quantity("2 mm", Length::from_mm(0.5)..=Length::from_mm(40.0));
    old_table().optional("thickness", thin, maybe!(thickness), "How thick it is.").or_else("not known")
});

fn hinge_names() -> NameDirectory {
    let mut names = NameDirectory::new();
    names.set(&HINGES, NameIndex::of_names(["left", "right", "middle"]));
    names
}

/// A row and the faults of its text, code and message.
fn read(table: &FieldTable<Lid>, text: &str) -> (Lid, Vec<String>) {
    let mut sources = SourceTexts::new();
    let file = sources.add_text("lid.toml", text);
    let bag = FaultCollector::new();
    let document = parse_toml(&sources, file, &bag);
    let mut desk = ReadingDesk::new(&bag, RULES, document.is_damaged());
    desk.names = hinge_names();
    let lid = table.read_table(document.root_table(), &desk).value;
    drop(desk);
    drop(document);
    let found = bag.into_faults();
    (lid, found.sorted().iter().map(|fault| format!("{} {}", fault.code, fault.message)).collect())
}

#[test]
fn a_new_key_is_read_written_described_and_a_column() {
    let written = "title = \"lid\"\nthickness = 3\n";
    assert_eq!(read(&OLD, written).1, ["T001 unknown key `thickness`"]);
    let (lid, said) = read(&NEW, written);
    assert_eq!((lid.thickness, said.is_empty()), (Some(Length::from_mm(3.0)), true));
    assert_eq!(fields::write_document(&NEW, &lid, &hinge_names()), written);
    let schema: serde_json::Value = serde_json::from_str(&fields::json_schema("lid", &*NEW)).expect("JSON");
    assert_eq!(schema["properties"]["thickness"]["description"], "How thick it is.");
    assert_eq!(schema["$defs"]["pin"]["required"], serde_json::json!(["title"]));
    let row = "| `thickness` | length such as `2 mm`, 0.5 mm to 40 mm | not known | How thick it is. |";
    assert!(fields::reference_page(&*NEW).contains(row), "{}", fields::reference_page(&*NEW));
    assert!(!fields::reference_page(&*OLD).contains("thickness"));
    assert_eq!(
        NEW.fields().last().map(|field| (field.key(), field.need())),
        Some(("thickness", KeyNeed::Optional))
    );
}

#[test]
fn a_row_of_a_spreadsheet_is_read_by_the_same_table() {
    let columns: Vec<&'static str> = NEW.fields().iter().map(fields::Field::key).collect();
    let mut sources = SourceTexts::new();
    let file = sources.add_text("lids.csv", "title,thickness,others,hinge\nlid,99,left; right,up\n,2,,\n");
    let bag = FaultCollector::new();
    let mut desk = ReadingDesk::new(&bag, RULES, false);
    desk.names = hinge_names();
    let rules = SheetRules { unknown_column: &RULE, bad_form: &RULE };
    let rows = read_sheet(&sources, file, &bag, &columns, rules);
    let lids: Vec<Lid> = rows.iter().map(|row| NEW.read_row(row, &desk).value).collect();
    assert_eq!((lids[0].title.as_str(), &lids[0].others), ("lid", &vec![0, 1]));
    assert_eq!(lids[1].thickness, Some(Length::from_mm(2.0)));
    drop(desk);
    let found = bag.into_faults();
    let said: Vec<&str> = found.sorted().iter().map(|fault| fault.message.as_str()).collect();
    assert_eq!(said, ["`thickness` is outside 0.5 mm to 40 mm", "unknown hinge `up`", "missing key `title`"]);
}

#[test]
fn every_fault_of_a_table_is_reported_in_one_run() {
    let text = "thicknes = 2\nhinge = \"lft\"\nothers = [\"left\", \"left\", 3]\npins = [{ count = 12 }]\nthickness = true\n";
    let expected = [
        "T002 missing key `title`",
        "T001 unknown key `thicknes`; did you mean `thickness`?",
        "X001 unknown hinge `lft`; did you mean `left`?",
        "X001 `others` has 3 items; at most 2 are read",
        "X001 `left` is listed twice",
        "T002 missing key `title`",
        "T004 `count` is out of range",
        "T003 `thickness` has the wrong type",
    ];
    assert_eq!(read(&NEW, text).1, expected);
}

#[test]
fn words_are_read_exactly_or_in_any_case() {
    static CASES: LazyLock<FieldTable<(u8, u8)>> = LazyLock::new(|| {
        FieldTable::new("cases", || (0, 0))
            .optional("exact", word(&[("dry", 1), ("oiled", 2)]), at!(0), "Exact.")
            .optional("any", word(&[("dry", 1), ("oiled", 2)]).any_case(), at!(1), "Any case.")
    });
    let mut sources = SourceTexts::new();
    let file = sources.add_text("cases.toml", "exact = \"Dry\"\nany = \"Oiled\"\n");
    let bag = FaultCollector::new();
    let document = parse_toml(&sources, file, &bag);
    let row = CASES.read_table(document.root_table(), &ReadingDesk::new(&bag, RULES, false)).value;
    assert_eq!((row, bag.len()), ((0, 2), 1));
}

proptest! {
    #[test]
    fn what_is_written_is_read_back(
        title in "[a-z\"\\\\'#]{1,12}x", hinge in proptest::option::of(0_usize..3), others in 0_usize..3,
        pins in proptest::collection::vec(("[a-z]{1,5}", 1_u16..9), 0..3), mm in proptest::option::of(0.5_f64..40.0),
    ) {
        let pins = pins.into_iter().map(|(title, count)| Pin { title, count }).collect();
        let others = (0..others).take(2).collect();
        let lid = Lid { title, hinge, others, pins, thickness: mm.map(Length::from_mm) };
        let text = fields::write_document(&NEW, &lid, &hinge_names());
        let (again, said) = read(&NEW, &text);
        prop_assert!(said.is_empty(), "{said:?}\n{text}");
        prop_assert_eq!(again, lid);
    }
}
