//! Sheets on paper: every step, slot and piece stands there once, and nothing is said that nobody holds.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[path = "paper/bench.rs"]
mod bench;
#[path = "paper/drawings.rs"]
mod drawings;
#[path = "paper/pages.rs"]
mod pages;

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

/// About eight hours on either demo vehicle.
const TERN_DAY: [&str; 5] =
    ["renew-timing-belt", "renew-water-pump", "renew-oil-filter", "renew-glow-plugs", "reseal-rocker-cover"];
const CURLEW_DAY: [&str; 5] =
    ["renew-plugs", "renew-water-pump", "renew-thermostat", "reseal-valve-covers", "renew-aux-belt"];

fn planned(book: Book, store: Store) -> (Book, Store, Plan) {
    planned_tasks(book, store, &[])
}

fn planned_tasks(book: Book, store: Store, tasks: &[&str]) -> (Book, Store, Plan) {
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: tasks.iter().map(|task| (*task).to_owned()).collect(),
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
    PrintOptions {
        size: PaperSize::A4,
        grid: LabelPaper::Plain,
        skip: 0,
        true_size: false,
        date: String::from("2027-03-01"),
    }
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
    if let SheetBody::Flow(own) | SheetBody::TwoColumns(own) = &sheet.body {
        all(own, &mut found);
    }
    found
}

fn steps(sheet: &PaperSheet) -> Vec<&PaperStep> {
    let own = blocks(sheet).into_iter().filter_map(|block| match block {
        PaperBlock::Steps(lines) => Some(lines),
        PaperBlock::PartBox(part) => Some(&part.lines),
        _ => None,
    });
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
            PaperBlock::Caution { text, .. } | PaperBlock::Band(text) => all.push(text.clone()),
            PaperBlock::Verdict { word, text, .. } => all.extend([word.clone(), text.clone()]),
            PaperBlock::Tag(label) => all.extend(label.lines.iter().cloned()),
            PaperBlock::PartBox(part) => all.extend([part.title.clone(), part.beside.clone()]),
            _ => {}
        }
    }
    all.extend(cells(sheet).into_iter().map(str::to_owned));
    all.extend(steps(sheet).into_iter().map(line_words));
    all.join("\n")
}

/// All that a line says.
fn line_words(line: &PaperStep) -> String {
    let own = [&line.number, &line.words, &line.figure, &line.beside, &line.slot, &line.stop];
    let cautions = line.cautions.iter().map(|(word, text)| format!("{word} {text}"));
    let all = own.into_iter().cloned().chain(line.details.iter().cloned()).chain(cautions);
    // A figure and its unit are kept together by a no-break space.
    all.collect::<Vec<_>>().join("\n").replace('\u{a0}', " ")
}

fn labels(sheets: &[PaperSheet]) -> BTreeMap<String, Vec<String>> {
    let own =
        sheets.iter().filter_map(|s| if let SheetBody::Labels(l) = &s.body { Some(&l.labels) } else { None });
    own.flatten().map(|label| (label.code.clone(), label.lines.clone())).collect()
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
            assert!(
                on.iter().any(|l| l.starts_with(&format!(
                    "{} × {}",
                    line.count,
                    line.size.replace(' ', "\u{a0}")
                ))),
                "{on:?}"
            );
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
    let mut places: Vec<&str> = rows.iter().filter_map(|row| text(&row.cells[1])).collect();
    places.dedup();
    let mut once = places.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), places.len(), "a place is visited twice: {places:?}");
    assert_eq!(rows.len(), plan.kit.pieces.len());
    let told = words(sheet).replace('\u{a0}', " ");
    assert!(plan.kit.pieces.iter().all(|piece| told.contains(piece.title.as_str())));
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

fn wish<'a>(kind: Option<SheetKind>, base: &'a str, zone: &'a jiff::tz::TimeZone) -> paper::VisitPaper<'a> {
    paper::VisitPaper { kind, base, zone, today: "2026-12-01" }
}

#[test]
fn an_interrupted_visit_says_what_must_not_be_done() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("journal")).unwrap();
    let visit =
        demo_scenario::begin_half_way_visit(&mut workshop, &demo(""), Some(1.0), &SilentObserver).unwrap();
    let zone = jiff::tz::TimeZone::UTC;
    let made =
        paper::with_visit(&mut workshop, &visit, &wish(None, "http://192.0.2.7:7420/", &zone), |job| {
            let ledger = paper::sheets_of_kind(job, SheetKind::Ledger, &wanted()).unwrap();
            let told = words(&ledger[0]);
            for never in ["DO NOT START", "DO NOT LOWER"] {
                assert!(told.matches(never).count() > 1, "on the sheet and on the tag: {told}");
            }
            let open = record::Ledger::draw_up(job.state().unwrap(), job.book);
            for line in &open.lines {
                let named =
                    line.at.fixing.as_ref().map_or(line.what.clone(), |key| book_title(job.book, key));
                assert!(told.contains(&line.what) || told.contains(&named), "{}", line.what);
            }
            assert_eq!(ledger.len(), 1, "the tag is on the same sheet");
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
            paper::pack_of_all(job, &wanted())
                .unwrap()
                .sheets
                .iter()
                .map(|s| s.title.clone())
                .collect::<Vec<_>>()
        });
    let titles = made.unwrap();
    for title in ["Resume card", "Ledger", "Kit sheet", "Tray map", "Work list", "Joints", "Readings sheet"] {
        assert!(titles.iter().any(|t| t == title), "{title}: {titles:?}");
    }
    assert!(!titles.iter().any(|t| t.starts_with("Method") || t.starts_with("Owner")), "{titles:?}");
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
        paper::with_visit(workshop, &visit, &wish(Some(SheetKind::Owner), "", &zone), |job| {
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
        let list = pack.sheets.iter().find(|sheet| sheet.title == "Work list").unwrap();
        let numbers: Vec<&str> = steps(list).into_iter().map(|line| line.number.as_str()).collect();
        let planned: Vec<String> = record::steps_of(&plan).map(|step| step.number.to_string()).collect();
        assert_eq!(numbers, planned, "seed {seed}");
    }
}
