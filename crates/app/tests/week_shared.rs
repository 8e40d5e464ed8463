//! One set of trays, one pin, one beam, one cart for two vehicles: what is given to one is not given to the other, and the judge sees it.

#[path = "common/van_bench.rs"]
mod van_bench;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use app::model::Tray;
use app::model::plan::SlotLine;
use app::record::{VisitBody, VisitCommand, VisitId};
use app::text::table::PageWidth;
use app::text::week::format_day;
use app::week::{ThingDay, WeekAnswer, WeekRequest, WeekSaying, lay_out_week, parse_stretches};
use app::workshop::Workshop;
use judge::together::judge_together;
use judge::visits::judge_visits;
use van_bench::begin_van;

/// Monday 1 March 2027, when the shop opens.
const NOW: &str = "2027-03-01T08:00";

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn workshop() -> Workshop {
    let archive = app::workshop::carry::SqliteArchive::in_memory().expect("memory");
    let mut shop = Workshop::over_archive(archive).expect("a workshop");
    let stretches = parse_stretches(["Mon-Fri 08:00-12:00 12:30-16:30"]).expect("hours");
    say(&mut shop, WeekSaying::Hours(stretches));
    shop
}

fn say(shop: &mut Workshop, saying: WeekSaying) {
    let device = shop.device().clone();
    shop.say_of_week(&device, saying, NOW).expect("it is written");
}

fn set(shop: &mut Workshop, visit: &VisitId, setting: &str, value: &str) {
    let device = shop.device().clone();
    let body = VisitBody::SettingChanged { setting: setting.into(), value: value.into() };
    shop.carry_out_command(visit, &device, &VisitCommand::from(body)).expect("it is set");
}

fn plain() -> (PathBuf, PathBuf) {
    (root().join("tests/lifted-book"), root().join("demo/store"))
}

fn two_vans(texts: &(PathBuf, PathBuf)) -> (Workshop, VisitId, VisitId) {
    let mut shop = workshop();
    let a = begin_van(&mut shop, "A", texts.clone()).expect("a visit");
    let b = begin_van(&mut shop, "B", texts.clone()).expect("a visit");
    (shop, a, b)
}

fn laid(shop: &mut Workshop) -> WeekAnswer {
    lay_out_week(shop, &WeekRequest { now: NOW.into(), ..WeekRequest::default() }).expect("a calendar")
}

/// A has the pin in and waits three days for the cover that goes on before the pin comes out.
fn pin_waits(shop: &mut Workshop, a: &VisitId) {
    set(shop, a, "crank-pin", "in");
    let day = ThingDay::InDays(3);
    say(shop, WeekSaying::Part { visit: a.clone(), part: "cover".into(), day });
}

/// The small book with a pin that is a tool of the store, of which there are so many.
fn with_tool(folder: &Path, count: u32) -> (PathBuf, PathBuf) {
    let (from_book, from_store) = plain();
    let (book, store) = (folder.join("book.toml"), folder.join("store"));
    let text = std::fs::read_to_string(from_book.join("book.toml")).expect("the book");
    let own = text.replace(
        "text    = \"Push the pin into the crank from below.\"",
        "text    = \"Push the pin into the crank from below.\"\n  special_tools = [\"shop-pin\"]",
    );
    assert_ne!(own, text);
    let tool = "\n[[special_tool]]\nkey = \"shop-pin\"\ntitle = \"crankshaft locking pin\"\nspecification = \"pin 7.9 mm\"\ncan_be_made = true\n";
    std::fs::write(&book, own + tool).expect("written");
    std::fs::create_dir_all(&store).expect("a folder");
    for entry in std::fs::read_dir(from_store).expect("the store") {
        let path = entry.expect("a file").path();
        std::fs::copy(&path, store.join(path.file_name().expect("a name"))).expect("copied");
    }
    let piece = format!(
        "[[piece]]\nkey = \"long-pin\"\ntitle = \"pin 7.9 mm\"\nkind = \"special\"\nanswers = [\"shop-pin\"]\nplace = \"grey cabinet / hook 9\"\ncount = {count}\n"
    );
    std::fs::write(store.join("zz-pin.toml"), piece).expect("written");
    (book, store)
}

#[test]
fn one_pin_is_never_in_two_engines() {
    let (mut shop, a, _) = two_vans(&plain());
    pin_waits(&mut shop, &a);
    let answer = laid(&mut shop);
    let case = answer.judged();
    let pins: Vec<_> = case.holds.iter().filter(|hold| hold.holder == 1).collect();
    assert!(pins.iter().any(|hold| hold.from.is_none() && case.items[hold.to].visit == 0), "{pins:?}");
    assert!(pins.iter().any(|hold| hold.from.is_some() && case.items[hold.to].visit == 1), "{pins:?}");
    assert_eq!((case.holder_counts.clone(), judge_visits(&case)), (vec![1, 1], Vec::new()));
    let mut both = case.clone();
    let later = both.holds.iter().position(|hold| hold.holder == 1 && hold.from.is_some()).expect("B's");
    both.holds[later].from = None;
    assert!(judge_visits(&both).iter().any(|violation| violation.code == "C607"));

    let (worlds, mut starts) = answer.judged_worlds();
    assert_eq!(judge_together(&worlds, &starts), []);
    starts[1].fill(0);
    assert!(judge_together(&worlds, &starts).iter().any(|violation| violation.code == "C610"));
}

#[test]
fn who_waits_for_the_pin_is_told_with_the_cheapest_way_out() {
    let (mut shop, a, _) = two_vans(&plain());
    pin_waits(&mut shop, &a);
    let answer = laid(&mut shop);
    let clashes = answer.clashes();
    let clash = clashes.iter().find(|clash| clash.words.contains("crank pin")).expect("B wants the pin");
    assert!(clash.words.starts_with("A has the crank pin until Thu 4 Mar"), "{}", clash.words);
    assert!(clash.ways[0].starts_with("B waits: A finished "), "{:?}", clash.ways);
    assert!(clash.ways.iter().all(|way| !way.contains("rolled")), "no rolling frees a pin: {:?}", clash.ways);
    let assumed = "A and B want the crank pin; that there is one is assumed, the tool store names none";
    assert!(answer.notices().iter().any(|words| words == assumed), "{:?}", answer.notices());
}

#[test]
fn of_a_tool_of_the_store_there_are_as_many_as_it_says() {
    for (count, waits) in [(1, true), (2, false)] {
        let folder = tempfile::tempdir().expect("a folder");
        let (mut shop, a, _) = two_vans(&with_tool(folder.path(), count));
        pin_waits(&mut shop, &a);
        let answer = laid(&mut shop);
        assert_eq!(answer.judged().holder_counts, [1, count]);
        let words: Vec<String> = answer.clashes().into_iter().map(|clash| clash.words).collect();
        assert_eq!(words.iter().any(|words| words.contains("crankshaft locking pin")), waits, "{words:?}");
        assert!(answer.notices().iter().all(|words| !words.contains("assumed, the tool")));
        let drawers = answer.today().cart;
        let pin = drawers.iter().flat_map(|drawer| &drawer.pieces).find(|piece| piece.title == "pin 7.9 mm");
        // A has its own in until Thursday; the second is for B, today.
        assert_eq!(pin.map(|pin| pin.count), Some(count), "{drawers:?}");
    }
}

#[test]
fn two_open_visits_are_never_given_one_compartment_and_one_letter() {
    let (mut shop, a, b) = two_vans(&plain());
    let mut given = Vec::new();
    for visit in [&a, &b] {
        let (book, store, plan) =
            shop.visit(visit).expect("a visit").require_planned_texts().expect("a plan");
        assert_eq!(judge::judge_plan(book, store, plan), []);
        let of_tray = |tray: &Tray| {
            let number = |line: &SlotLine| line.slot.compartment_of(&plan.asked.vehicle, &tray.key);
            plan.slots.iter().filter_map(number).map(|at| (tray.key.clone(), at)).collect::<Vec<_>>()
        };
        given.push(store.trays.iter().flat_map(of_tray).collect::<BTreeSet<_>>());
    }
    assert!(!given[0].is_empty() && given[0].len() == given[1].len(), "{given:?}");
    assert!(given[0].is_disjoint(&given[1]), "{given:?}");
    assert_eq!(shop.free_letter().as_deref(), Some("C"));
    let refused = begin_van(&mut shop, "A", plain()).expect_err("A is taken");
    assert_eq!(
        refused.to_string(),
        "the letter A is on the trays and bags of van A, whose visit is open; give this vehicle another: C is free"
    );
    assert_eq!(shop.list_visits().expect("visits").len(), 2, "nothing was written");
}

#[test]
fn compartments_that_two_have_already_are_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut shop, mut other) = (workshop(), workshop());
    begin_van(&mut shop, "A", plain()).expect("a visit");
    let b = begin_van(&mut other, "B", plain()).expect("a visit");
    let file = folder.path().join("visit");
    app::workshop::carry::export_visit(other.archive(), &b, &file).expect("written");
    shop.import_visit_file(&file).expect("taken in");
    let answer = laid(&mut shop);
    let (worlds, starts) = answer.judged_worlds();
    assert!(judge_together(&worlds, &starts).iter().any(|violation| violation.code == "C608"));
    let told = answer
        .notices()
        .iter()
        .any(|words| words.starts_with("tray T1, compartment 1 is in use for A and B"));
    assert!(told, "{:?}", answer.notices());
}

#[test]
fn one_cart_is_loaded_for_both() {
    let (mut shop, ..) = two_vans(&plain());
    let answer = laid(&mut shop);
    let drawers = answer.today().cart;
    let pieces: Vec<_> = drawers.iter().flat_map(|drawer| &drawer.pieces).collect();
    assert!(pieces.iter().any(|piece| piece.letters == ['A', 'B']), "{drawers:?}");
    let titles: BTreeSet<&String> = pieces.iter().map(|piece| &piece.title).collect();
    assert_eq!(titles.len(), pieces.len(), "each once");
    let text = format_day(&answer, PageWidth::nearest(60));
    assert!(text.lines().all(|line| line.chars().count() <= 60), "{text}");
    assert!(text.contains("\nLay on the cart\n") && text.contains("for A and B"), "{text}");
}
