//! Sheets on paper: every step, slot and piece stands there once, and nothing is said that nobody holds.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use app::ask::{self, Quiet, Request};
use app::load;
use app::paper::{self, Grid, Job, Kind, NoPaper, PaperSize, Wanted};
use app::workshop::Workshop;
use model::plan::{Objective, Plan};
use model::{Book, Store};
use print::paper::{Block, Body, Cell, Sheet, StepLine};

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

fn planned(book: Book, store: Store) -> (Book, Store, Plan) {
    let request = Request {
        vehicle: String::from("A"),
        tasks: Vec::new(),
        objective: Objective::LeastToCarry,
        seconds: 1.0,
        seed: 1,
        threads: 2,
    };
    let answer = ask::plan(&book, &store, &request, &Quiet).unwrap();
    (book, store, answer.plan)
}

fn demo_plan(book: &str) -> (Book, Store, Plan) {
    planned(load::book(&demo("books").join(book)).unwrap(), load::store(&demo("store")).unwrap())
}

fn wanted() -> Wanted {
    Wanted { size: PaperSize::A4, grid: Grid::Plain, skip: 0, date: String::from("2027-03-01") }
}

/// All blocks of a sheet, those within others too, in order.
fn blocks(sheet: &Sheet) -> Vec<&Block> {
    fn all<'b>(blocks: &'b [Block], found: &mut Vec<&'b Block>) {
        for block in blocks {
            found.push(block);
            match block {
                Block::Together(within) => all(within, found),
                Block::Columns(columns) => columns.iter().for_each(|within| all(within, found)),
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    if let Body::Flow(own) = &sheet.body {
        all(own, &mut found);
    }
    found
}

fn steps(sheet: &Sheet) -> Vec<&StepLine> {
    let own = blocks(sheet)
        .into_iter()
        .filter_map(|b| if let Block::Steps(lines) = b { Some(lines) } else { None });
    own.flatten().collect()
}

fn text(cell: &Cell) -> Option<&str> {
    match cell {
        Cell::Words(text) | Cell::Bold(text) | Cell::Tick(text) => Some(text),
        Cell::Blank => None,
    }
}

/// The text of every cell of the tables of a sheet.
fn cells(sheet: &Sheet) -> Vec<&str> {
    let tables = blocks(sheet)
        .into_iter()
        .filter_map(|b| if let Block::Table { rows, .. } = b { Some(rows) } else { None });
    tables.flatten().flat_map(|row| row.cells.iter()).filter_map(text).collect()
}

fn words(sheet: &Sheet) -> String {
    let mut all = vec![sheet.title.clone(), sheet.subtitle.clone()];
    for block in blocks(sheet) {
        match block {
            Block::Heading(text) | Block::Text(text) | Block::Small(text) | Block::Large(text) => {
                all.push(text.clone())
            }
            Block::Caution { text, .. } => all.push(text.clone()),
            _ => {}
        }
    }
    all.extend(cells(sheet).into_iter().map(str::to_owned));
    all.join("\n")
}

fn labels(sheets: &[Sheet]) -> BTreeMap<String, Vec<String>> {
    let own =
        sheets.iter().filter_map(|s| if let Body::Labels(l) = &s.body { Some(&l.labels) } else { None });
    own.flatten().map(|label| (label.code.clone(), label.lines.clone())).collect()
}

#[test]
fn every_step_stands_once_on_a_card_of_at_most_twelve_lines() {
    let (book, store, plan) = demo_plan("tern-24");
    let job = Job::of_plan(&book, &store, &plan);
    let cards = paper::sheets(&job, Kind::Jobs, &wanted()).unwrap();
    assert!(cards.iter().all(|card| (1..=12).contains(&steps(card).len())));
    let all: Vec<&StepLine> = cards.iter().flat_map(steps).collect();
    let planned: Vec<_> = journal::steps_of(&plan).collect();
    assert_eq!(all.len(), planned.len());
    for (line, step) in all.iter().zip(&planned) {
        assert_eq!(line.number, step.number.to_string());
        assert!(line.words.starts_with(&step.text), "{}", line.words);
        assert_eq!(line.cautions.len(), step.cautions.len());
        assert_eq!(line.slot, step.slot.clone().unwrap_or_default());
    }
    // The method sheet has them all too, in the same order.
    let method = paper::sheets(&job, Kind::Method, &wanted()).unwrap();
    let numbers: Vec<&str> = method.iter().flat_map(steps).map(|l| l.number.as_str()).collect();
    assert_eq!(numbers, all.iter().map(|l| l.number.as_str()).collect::<Vec<_>>());
}

#[test]
fn every_stack_of_a_card_stands_there_in_words() {
    let (book, store, plan) = demo_plan("curlew-30");
    for card in paper::sheets(&Job::of_plan(&book, &store, &plan), Kind::Jobs, &wanted()).unwrap() {
        let named = cells(&card);
        for line in steps(&card) {
            let step = journal::steps_of(&plan).find(|s| s.number.to_string() == line.number).unwrap();
            for id in step.actions.iter().filter_map(|a| a.stack.as_deref()) {
                assert!(named.contains(&id), "card {}: {id} of step {}", card.title, line.number);
            }
        }
    }
}

#[test]
fn every_slot_has_one_label_with_count_and_size() {
    let (book, store, plan) = demo_plan("tern-24");
    let sheets = paper::sheets(&Job::of_plan(&book, &store, &plan), Kind::Labels, &wanted()).unwrap();
    let labels = labels(&sheets);
    let stay = ["on part", "in hole"];
    for line in plan.slots.iter().filter(|line| !stay.contains(&line.slot.as_str())) {
        let on = labels.get(&line.slot).unwrap_or_else(|| panic!("no label for {}", line.slot));
        if line.slot != "scrap" {
            assert!(on.iter().any(|l| l.starts_with(&format!("{} x {}", line.count, line.size))), "{on:?}");
        }
    }
    assert!(labels.keys().all(|code| plan.slots.iter().any(|line| line.slot == *code)));
}

#[test]
fn a_kit_is_gathered_in_one_walk() {
    let (book, store, plan) = demo_plan("tern-24");
    let sheet = &paper::sheets(&Job::of_plan(&book, &store, &plan), Kind::Kit, &wanted()).unwrap()[0];
    let all = blocks(sheet);
    let Some(Block::Table { rows, .. }) = all.first() else { panic!("the walk comes first") };
    let headings: Vec<&str> =
        rows.iter().filter(|row| row.is_heading).filter_map(|row| text(&row.cells[0])).collect();
    let mut once = headings.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), headings.len(), "a place is visited twice: {headings:?}");
    assert_eq!(rows.iter().filter(|row| !row.is_heading).count(), plan.kit.pieces.len());
    assert!(plan.kit.pieces.iter().all(|piece| cells(sheet).contains(&piece.title.as_str())));
}

#[test]
fn missing_pieces_are_told_with_their_specification() {
    let (book, store, plan) = demo_plan("curlew-30");
    assert!(!plan.readiness.shopping.is_empty(), "the demo store lacks something");
    let sheet = &paper::sheets(&Job::of_plan(&book, &store, &plan), Kind::Shopping, &wanted()).unwrap()[0];
    let told = words(sheet);
    for line in &plan.readiness.shopping {
        assert!(told.contains(&line.words), "{}", line.words);
    }
    for line in &plan.readiness.supplies {
        assert!(told.contains(&line.supply.name), "{}", line.supply.name);
    }
    let unpriced = plan.readiness.supplies.iter().any(|s| s.supply.price_cents.is_none());
    assert_eq!(unpriced, told.contains("not known"));
}

#[test]
fn every_tightening_step_tells_its_passes_and_sources() {
    let (book, store, plan) = demo_plan("tern-24");
    let sheet = &paper::sheets(&Job::of_plan(&book, &store, &plan), Kind::Tightening, &wanted()).unwrap()[0];
    let told = words(sheet);
    let tightens = model::plan::StepKind::Tighten;
    for step in journal::steps_of(&plan).filter(|s| s.kind == tightens) {
        assert!(told.contains(&format!("Step {}: {}", step.number, step.text)));
        for key in &step.fixings {
            let fixing = book.fixing(book.fixing_by_key(key).unwrap());
            assert!(told.contains(fixing.tightening.source.trim_end_matches('.')), "{key}");
        }
        let figures: Vec<&String> = step.actions.iter().filter_map(|a| a.figure.as_ref()).collect();
        assert!(figures.iter().all(|figure| cells(sheet).contains(&figure.as_str())), "step {}", step.number);
    }
}

#[test]
fn holes_of_a_card_lie_as_in_the_book() {
    let (book, store, plan) = demo_plan("tern-24");
    let cards = paper::sheets(&Job::of_plan(&book, &store, &plan), Kind::HoleCards, &wanted()).unwrap();
    assert!(!cards.is_empty());
    for card in &cards {
        let Body::HoleCard(body) = &card.body else { panic!("{} is no hole card", card.title) };
        let part = book.parts.iter().find(|p| card.title == format!("Hole card: {}", p.title)).unwrap();
        let id = book.part_by_key(&part.key).unwrap();
        let known: Vec<_> = book.fixings_of(id).flat_map(|f| &book.fixing(f).holes).collect();
        for spot in &body.holes {
            let at = |h: &&&model::Hole| (h.x.as_mm(), h.y.as_mm()) == spot.at_mm && h.label == spot.label;
            assert!(known.iter().any(|h| at(&h)), "{}: {}", card.title, spot.label);
        }
        let mut turns: Vec<u32> = body.holes.iter().filter_map(|h| h.turn).collect();
        turns.sort_unstable();
        assert!(
            turns.iter().enumerate().all(|(at, turn)| *turn == at as u32 + 1),
            "{}: {turns:?}",
            card.title
        );
    }
}

#[test]
fn a_plan_alone_has_no_ledger_and_labels_keep_to_their_paper() {
    let (book, store, plan) = demo_plan("tern-24");
    let job = Job::of_plan(&book, &store, &plan);
    for kind in [Kind::Resume, Kind::Ledger] {
        assert_eq!(paper::sheets(&job, kind, &wanted()), Err(NoPaper::NeedsVisit(kind)));
    }
    let other = Wanted { grid: Grid::LetterBy30, ..wanted() };
    assert_eq!(paper::sheets(&job, Kind::Labels, &other), Err(NoPaper::OtherPaper(Grid::LetterBy30)));
    assert!(paper::sheets(&job, Kind::Labels, &Wanted { size: PaperSize::Letter, ..other }).is_ok());
    let used = Wanted { skip: 500, ..wanted() };
    assert!(matches!(paper::pack(&job, &used), Err(NoPaper::Skip { skip: 500, .. })));
    for (size, grid) in [PaperSize::A4, PaperSize::Letter].into_iter().flat_map(|s| Grid::ALL.map(|g| (s, g)))
    {
        let Some(lies) = grid.on(size) else { continue };
        let (width_mm, height_mm) = size.size_mm();
        let right = lies.margin_mm.0 + f64::from(lies.columns - 1) * lies.pitch_mm.0 + lies.label_mm.0;
        let bottom = lies.margin_mm.1 + f64::from(lies.rows - 1) * lies.pitch_mm.1 + lies.label_mm.1;
        assert!(right <= width_mm + 1e-9 && bottom <= height_mm + 1e-9, "{grid:?} on {size:?}");
    }
}

fn book_title(book: &Book, fixing: &str) -> String {
    book.fixing(book.fixing_by_key(fixing).unwrap()).title.clone()
}

#[test]
fn an_interrupted_visit_says_what_must_not_be_done() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("journal")).unwrap();
    let visit = workshop.begin_half_way(&demo(""), 1.0, &Quiet).unwrap();
    let zone = jiff::tz::TimeZone::UTC;
    let made = paper::with_visit(&mut workshop, &visit, None, "http://192.0.2.7:7420/", &zone, |job| {
        let ledger = paper::sheets(job, Kind::Ledger, &wanted()).unwrap();
        let told = words(&ledger[0]);
        for never in ["DO NOT START", "DO NOT LOWER"] {
            assert!(told.contains(never), "{told}");
        }
        let open = journal::Ledger::of(job.state().unwrap(), job.book);
        for line in &open.lines {
            let named = line.at.fixing.as_ref().map_or(line.what.clone(), |key| book_title(job.book, key));
            assert!(told.contains(&line.what) || told.contains(&named), "{}", line.what);
        }
        assert!(labels(&ledger)["A"].contains(&String::from("DO NOT START")));
        let resume = words(&paper::sheets(job, Kind::Resume, &wanted()).unwrap()[0]);
        let pause = job.state().unwrap().pause().unwrap();
        assert!(resume.contains(pause.words.trim_end_matches('.')), "{resume}");
        let owner = words(&paper::sheets(job, Kind::Owner, &wanted()).unwrap()[0]);
        for key in &job.plan.asked.tasks {
            let title = &job.book.task(job.book.task_by_key(key).unwrap()).title;
            let title: String = title.chars().skip(1).collect();
            assert!(owner.contains(&title), "{title}");
        }
        assert!(!owner.contains("green") && !owner.contains("amber"));
        let sheets = paper::sheets(job, Kind::Labels, &wanted()).unwrap();
        let Body::Labels(sheet) = &sheets[0].body else { panic!("labels") };
        let address = format!("http://192.0.2.7:7420/v/{visit}/slot/");
        assert!(sheet.labels.iter().all(|l| l.link.starts_with(&address) && !l.link.contains(' ')));
        paper::pack(job, &wanted()).unwrap().sheets.len()
    });
    assert!(made.unwrap() > Kind::ALL.len());
}

#[test]
fn sheets_of_generated_books_hold_every_step() {
    for seed in 0..4 {
        let (book, store) = app::generated(seed, 40, 160, 200);
        let book = book::read(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
        let store = toolstore::read(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
        let (book, store, plan) = planned(book, store);
        let job = Job::of_plan(&book, &store, &plan);
        let pack = paper::pack(&job, &wanted()).unwrap();
        let cards = pack.sheets.iter().filter(|sheet| sheet.title.starts_with("Job card"));
        let lines: usize = cards.map(|card| steps(card).len()).sum();
        assert_eq!(lines, journal::steps_of(&plan).count(), "seed {seed}");
    }
}
