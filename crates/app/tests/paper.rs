//! Sheets on paper: every step, slot and piece stands there once, and nothing is said that nobody holds.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use app::ask::{self, PlanRequest, SilentObserver};
use app::load;
use app::paper::{self, LabelPaper, PaperJob, PaperSize, PrintOptions, SheetError, SheetKind};
use app::workshop::{EventArchive as _, Workshop};
use model::plan::{KitObjective, Plan};
use model::{Book, Store};
use print::paper::{PaperBlock, PaperCell, PaperSheet, PaperStep, SheetBody};

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

fn planned(book: Book, store: Store) -> (Book, Store, Plan) {
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: Vec::new(),
        objective: KitObjective::LeastToCarry,
        seconds: Some(1.0),
        stop_after_s: None,
        seed: 1,
        threads: 2,
    };
    let answer = ask::make_judged_plan(&book, &store, &request, &SilentObserver).unwrap();
    (book, store, answer.plan)
}

fn demo_plan(book: &str) -> (Book, Store, Plan) {
    planned(load::load_book(&demo("books").join(book)).unwrap(), load::load_store(&demo("store")).unwrap())
}

fn wanted() -> PrintOptions {
    PrintOptions { size: PaperSize::A4, grid: LabelPaper::Plain, skip: 0, date: String::from("2027-03-01") }
}

/// All blocks of a sheet, those within others too, in order.
fn blocks(sheet: &PaperSheet) -> Vec<&PaperBlock> {
    fn all<'b>(blocks: &'b [PaperBlock], found: &mut Vec<&'b PaperBlock>) {
        for block in blocks {
            found.push(block);
            match block {
                PaperBlock::Together(within) => all(within, found),
                PaperBlock::Columns(columns) => columns.iter().for_each(|within| all(within, found)),
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    if let SheetBody::Flow(own) = &sheet.body {
        all(own, &mut found);
    }
    found
}

fn steps(sheet: &PaperSheet) -> Vec<&PaperStep> {
    let own = blocks(sheet)
        .into_iter()
        .filter_map(|b| if let PaperBlock::Steps(lines) = b { Some(lines) } else { None });
    own.flatten().collect()
}

fn text(cell: &PaperCell) -> Option<&str> {
    match cell {
        PaperCell::Words(text) | PaperCell::Bold(text) | PaperCell::Tick(text) => Some(text),
        PaperCell::Blank => None,
    }
}

/// The text of every cell of the tables of a sheet.
fn cells(sheet: &PaperSheet) -> Vec<&str> {
    let tables = blocks(sheet)
        .into_iter()
        .filter_map(|b| if let PaperBlock::Table { rows, .. } = b { Some(rows) } else { None });
    tables.flatten().flat_map(|row| row.cells.iter()).filter_map(text).collect()
}

fn words(sheet: &PaperSheet) -> String {
    let mut all = vec![sheet.title.clone(), sheet.subtitle.clone()];
    for block in blocks(sheet) {
        match block {
            PaperBlock::Heading(text)
            | PaperBlock::Text(text)
            | PaperBlock::Small(text)
            | PaperBlock::Large(text) => all.push(text.clone()),
            PaperBlock::Caution { text, .. } => all.push(text.clone()),
            _ => {}
        }
    }
    all.extend(cells(sheet).into_iter().map(str::to_owned));
    all.join("\n")
}

fn labels(sheets: &[PaperSheet]) -> BTreeMap<String, Vec<String>> {
    let own =
        sheets.iter().filter_map(|s| if let SheetBody::Labels(l) = &s.body { Some(&l.labels) } else { None });
    own.flatten().map(|label| (label.code.clone(), label.lines.clone())).collect()
}

/// Steps of a card as its headings and cautions lead to them: phase and position, cautions of the position, numbers.
fn runs(card: &PaperSheet) -> Vec<(String, Vec<String>, Vec<u32>)> {
    let mut runs: Vec<(String, Vec<String>, Vec<u32>)> = Vec::new();
    for block in blocks(card) {
        match (block, runs.last_mut()) {
            (PaperBlock::Heading(text), _) => runs.push((text.clone(), Vec::new(), Vec::new())),
            (PaperBlock::Caution { text, .. }, Some(run)) => {
                assert!(run.2.is_empty(), "a caution stands before the steps that it is about");
                run.1.push(text.clone());
            }
            (PaperBlock::Steps(lines), Some(run)) => {
                run.2.extend(lines.iter().map(|l| l.number.parse::<u32>().unwrap()))
            }
            _ => {}
        }
    }
    runs
}

#[test]
fn every_step_stands_once_and_only_a_full_card_is_followed() {
    let (book, store, plan) = demo_plan("tern-24");
    let job = PaperJob::of_plan(&book, &store, &plan);
    let cards = paper::sheets_of_kind(&job, SheetKind::Jobs, &wanted()).unwrap();
    let (last, full) = cards.split_last().unwrap();
    assert!(full.iter().all(|card| steps(card).len() == 12), "a card ends before it is full");
    assert!((1..=12).contains(&steps(last).len()));
    let all: Vec<&PaperStep> = cards.iter().flat_map(steps).collect();
    let planned: Vec<_> = record::steps_of(&plan).collect();
    assert_eq!(all.len(), planned.len());
    for (line, step) in all.iter().zip(&planned) {
        assert_eq!(line.number, step.number.to_string());
        assert!(line.words.starts_with(&step.text), "{}", line.words);
        assert_eq!(line.cautions.len(), step.cautions.len());
        assert_eq!(line.slot, step.slot.as_ref().map(ToString::to_string).unwrap_or_default());
    }
    // The method sheet has them all too, in the same order.
    let method = paper::sheets_of_kind(&job, SheetKind::Method, &wanted()).unwrap();
    let numbers: Vec<&str> = method.iter().flat_map(steps).map(|l| l.number.as_str()).collect();
    assert_eq!(numbers, all.iter().map(|l| l.number.as_str()).collect::<Vec<_>>());
}

#[test]
fn a_change_of_position_is_a_heading_with_the_cautions_of_the_position() {
    let (book, store, plan) = demo_plan("tern-24");
    let cards =
        paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::Jobs, &wanted()).unwrap();
    let planned: BTreeMap<u32, _> = record::steps_of(&plan).map(|step| (step.number, step)).collect();
    let mut changes = 0;
    for card in &cards {
        let runs = runs(card);
        changes += runs.len() - 1;
        let mut minded: Vec<&str> = Vec::new();
        for (heading, cautions, numbers) in &runs {
            let station = &planned[&numbers[0]].station;
            assert!(numbers.iter().all(|n| planned[n].station == *station), "{}: {heading}", card.title);
            let known = book.stations.iter().find(|s| s.key == *station).unwrap();
            assert!(
                heading.to_lowercase().ends_with(&known.title.to_lowercase()),
                "{heading}: {}",
                known.title
            );
            // What the first step bears itself is not said twice.
            let own = &planned[&numbers[0]].cautions;
            let of_position = known.cautions.iter().filter(|c| !own.contains(c)).count();
            let expected = if minded.contains(&station.as_str()) { 0 } else { of_position };
            assert_eq!(cautions.len(), expected, "{}: {heading}", card.title);
            minded.push(station);
        }
    }
    assert!(changes > 0, "the plan changes its position within a card");
}

#[test]
fn a_line_with_a_torque_names_where_it_comes_from() {
    let (book, store, plan) = demo_plan("tern-24");
    let cards =
        paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::Jobs, &wanted()).unwrap();
    let lines: BTreeMap<&str, &PaperStep> =
        cards.iter().flat_map(steps).map(|line| (line.number.as_str(), line)).collect();
    let mut torques = 0;
    for step in record::steps_of(&plan) {
        let told = &lines[step.number.to_string().as_str()].details;
        let named = told.iter().find_map(|detail| detail.strip_prefix("source: "));
        if step.kind != model::plan::StepKind::Tighten {
            assert_eq!(named, None, "step {}", step.number);
            continue;
        }
        torques += 1;
        for key in &step.fixings {
            let source = &book.fixing(book.fixing_by_key(key).unwrap()).tightening.source;
            let named = named.unwrap_or_else(|| panic!("step {} names no source: {told:?}", step.number));
            assert!(named.split("; ").any(|one| source.starts_with(one.trim_end_matches(" …"))), "{named}");
        }
    }
    assert!(torques > 10);
}

#[test]
fn every_stack_of_a_card_stands_there_in_words() {
    let (book, store, plan) = demo_plan("curlew-30");
    for card in
        paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::Jobs, &wanted()).unwrap()
    {
        let named = cells(&card);
        for line in steps(&card) {
            let step = record::steps_of(&plan).find(|s| s.number.to_string() == line.number).unwrap();
            for id in step.actions.iter().filter_map(|a| a.stack.as_deref()) {
                assert!(named.contains(&id), "card {}: {id} of step {}", card.title, line.number);
            }
        }
    }
}

#[test]
fn every_slot_has_one_label_with_count_and_size() {
    let (book, store, plan) = demo_plan("tern-24");
    let sheets =
        paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::Labels, &wanted())
            .unwrap();
    let labels = labels(&sheets);
    let stay = ["on part", "in hole"];
    let slots: Vec<(String, &model::plan::SlotLine)> =
        plan.slots.iter().map(|line| (line.slot.to_string(), line)).collect();
    for (slot, line) in slots.iter().filter(|(slot, _)| !stay.contains(&slot.as_str())) {
        let on = labels.get(slot).unwrap_or_else(|| panic!("no label for {slot}"));
        if slot != "scrap" {
            assert!(on.iter().any(|l| l.starts_with(&format!("{} x {}", line.count, line.size))), "{on:?}");
        }
    }
    assert!(labels.keys().all(|code| slots.iter().any(|(slot, _)| slot == code)));
}

#[test]
fn a_kit_is_gathered_in_one_walk() {
    let (book, store, plan) = demo_plan("tern-24");
    let sheet = &paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::Kit, &wanted())
        .unwrap()[0];
    let all = blocks(sheet);
    let Some(PaperBlock::Table { rows, .. }) = all.first() else { panic!("the walk comes first") };
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
    let sheet =
        &paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::Shopping, &wanted())
            .unwrap()[0];
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
    let sheet =
        &paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::Tightening, &wanted())
            .unwrap()[0];
    let told = words(sheet);
    let tightens = model::plan::StepKind::Tighten;
    for step in record::steps_of(&plan).filter(|s| s.kind == tightens) {
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
    let cards =
        paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::HoleCards, &wanted())
            .unwrap();
    assert!(!cards.is_empty());
    for card in &cards {
        let SheetBody::HoleCard(body) = &card.body else { panic!("{} is no hole card", card.title) };
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
fn holes_too_far_apart_are_told_and_the_rest_prints() {
    let (mut book, store, plan) = demo_plan("tern-24");
    let before =
        paper::sheets_of_kind(&PaperJob::of_plan(&book, &store, &plan), SheetKind::HoleCards, &wanted())
            .unwrap();
    let wished =
        |key: &str| plan.slots.iter().any(|s| s.fixing == key && s.keep == model::KeepPlace::HoleCard);
    let fixing = book.fixings.iter_mut().find(|f| wished(&f.key)).expect("the demo keeps a part on a card");
    // A book that gives metres for millimetres.
    fixing.holes[0].x = units::Length::from_mm(4_000.0);
    let job = PaperJob::of_plan(&book, &store, &plan);
    let after = paper::sheets_of_kind(&job, SheetKind::HoleCards, &wanted()).unwrap();
    assert_eq!(after.len(), before.len());
    let told: Vec<&PaperSheet> = after.iter().filter(|s| matches!(s.body, SheetBody::Flow(_))).collect();
    assert_eq!(told.len(), 1, "one part lies too far apart");
    assert!(
        words(told[0]).contains("The holes span") && words(told[0]).contains("in millimetres?"),
        "{}",
        words(told[0])
    );
    let one = paper::pack_of_kind(&job, SheetKind::HoleCards, &wanted()).unwrap();
    assert!(paper::write_pdf(&one).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn a_plan_alone_has_no_ledger_and_labels_keep_to_their_paper() {
    let (book, store, plan) = demo_plan("tern-24");
    let job = PaperJob::of_plan(&book, &store, &plan);
    for kind in [SheetKind::Resume, SheetKind::Ledger] {
        assert_eq!(paper::sheets_of_kind(&job, kind, &wanted()), Err(SheetError::NeedsVisit(kind)));
    }
    let other = PrintOptions { grid: LabelPaper::LetterBy30, ..wanted() };
    assert_eq!(
        paper::sheets_of_kind(&job, SheetKind::Labels, &other),
        Err(SheetError::OtherPaper(LabelPaper::LetterBy30))
    );
    assert!(
        paper::sheets_of_kind(&job, SheetKind::Labels, &PrintOptions { size: PaperSize::Letter, ..other })
            .is_ok()
    );
    let used = PrintOptions { skip: 500, ..wanted() };
    assert!(matches!(paper::pack_of_all(&job, &used), Err(SheetError::Skip { skip: 500, .. })));
    for (size, grid) in
        [PaperSize::A4, PaperSize::Letter].into_iter().flat_map(|s| LabelPaper::ALL.map(|g| (s, g)))
    {
        let Some(lies) = grid.grid_on_paper(size) else { continue };
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
    let visit =
        demo_scenario::begin_half_way_visit(&mut workshop, &demo(""), Some(1.0), &SilentObserver).unwrap();
    let zone = jiff::tz::TimeZone::UTC;
    let made = paper::with_visit(&mut workshop, &visit, None, "http://192.0.2.7:7420/", &zone, |job| {
        let ledger = paper::sheets_of_kind(job, SheetKind::Ledger, &wanted()).unwrap();
        let told = words(&ledger[0]);
        for never in ["DO NOT START", "DO NOT LOWER"] {
            assert!(told.contains(never), "{told}");
        }
        let open = record::Ledger::draw_up(job.state().unwrap(), job.book);
        for line in &open.lines {
            let named = line.at.fixing.as_ref().map_or(line.what.clone(), |key| book_title(job.book, key));
            assert!(told.contains(&line.what) || told.contains(&named), "{}", line.what);
        }
        assert!(labels(&ledger)["A"].contains(&String::from("DO NOT START")));
        let resume = words(&paper::sheets_of_kind(job, SheetKind::Resume, &wanted()).unwrap()[0]);
        let pause = job.state().unwrap().current_pause().unwrap();
        assert!(resume.contains(pause.words.trim_end_matches('.')), "{resume}");
        let owner = words(&paper::sheets_of_kind(job, SheetKind::Owner, &wanted()).unwrap()[0]);
        for key in &job.plan.asked.tasks {
            let title = &job.book.task(job.book.task_by_key(key).unwrap()).title;
            let title: String = title.chars().skip(1).collect();
            assert!(owner.contains(&title), "{title}");
        }
        assert!(!owner.contains("green") && !owner.contains("amber"));
        let sheets = paper::sheets_of_kind(job, SheetKind::Labels, &wanted()).unwrap();
        let SheetBody::Labels(sheet) = &sheets[0].body else { panic!("labels") };
        let address = format!("http://192.0.2.7:7420/v/{visit}/slot/");
        assert!(sheet.labels.iter().all(|l| l.link.starts_with(&address) && !l.link.contains(' ')));
        paper::pack_of_all(job, &wanted()).unwrap().sheets.len()
    });
    assert!(made.unwrap() > SheetKind::ALL.len());
}

/// A small picture as PNG: points of three colours, so that nothing else in the file is like it.
fn small_picture() -> Vec<u8> {
    let image = image::RgbImage::from_fn(48, 36, |x, y| image::Rgb([(x * 5) as u8, (y * 7) as u8, 90]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

#[test]
fn a_picture_of_the_visit_is_in_the_owners_report() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("journal")).unwrap();
    let visit =
        demo_scenario::begin_half_way_visit(&mut workshop, &demo(""), Some(1.0), &SilentObserver).unwrap();
    let zone = jiff::tz::TimeZone::UTC;
    let report = |workshop: &mut Workshop| {
        paper::with_visit(workshop, &visit, Some(SheetKind::Owner), "", &zone, |job| {
            let pack = paper::pack_of_kind(job, SheetKind::Owner, &wanted()).unwrap();
            (
                blocks(&pack.sheets[0]).iter().filter(|b| matches!(b, PaperBlock::Photo { .. })).count(),
                paper::write_pdf(&pack).unwrap(),
            )
        })
        .unwrap()
    };
    let (before, plain) = report(&mut workshop);
    let kept = workshop.put_picture(&visit, &small_picture()).unwrap();
    let at = record::EventPlace { step: Some(3), ..record::EventPlace::default() };
    let device = workshop.device().clone();
    let told = record::VisitCommand::Say(record::VisitBody::Pictured {
        picture: kept.picture.clone(),
        original: kept.original,
        at,
    });
    workshop.carry_out_command(&visit, &device, &told).unwrap();
    let (after, with_picture) = report(&mut workshop);
    assert_eq!((before, after), (0, 1));
    // The copy is a JPEG, and a JPEG lies in a PDF as it is.
    let copy = workshop.archive().find_document(&kept.picture).unwrap().unwrap().bytes;
    let holds = |pdf: &[u8]| pdf.windows(copy.len()).any(|bytes| bytes == copy);
    assert!(holds(&with_picture) && !holds(&plain), "the picture is in the file");
}

#[test]
fn sheets_of_generated_books_hold_every_step() {
    for seed in 0..4 {
        let (book, store) = generate::generate_book_and_store(seed, 40, 160, 200);
        let book = book::read_book(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
        let store = tools::read_store(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
        let (book, store, plan) = planned(book, store);
        let job = PaperJob::of_plan(&book, &store, &plan);
        let pack = paper::pack_of_all(&job, &wanted()).unwrap();
        let cards = pack.sheets.iter().filter(|sheet| sheet.title.starts_with("Job card"));
        let lines: usize = cards.map(|card| steps(card).len()).sum();
        assert_eq!(lines, record::steps_of(&plan).count(), "seed {seed}");
    }
}
