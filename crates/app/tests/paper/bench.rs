//! What the bench says of a step stands on paper too: words, holes, tools, figures, cautions, slots.

use super::*;
use app::bench::{StepSheet, step_sheet};
use model::plan::{Step, StepKind};

/// The text of the pack, and the line of each step in the work list with what stands in its box.
struct PackText {
    whole: String,
    lines: BTreeMap<u32, (String, String)>,
    joints: BTreeMap<u32, String>,
}

fn pack_text(pack: &paper::Pack) -> PackText {
    let mut text = PackText { whole: String::new(), lines: BTreeMap::new(), joints: BTreeMap::new() };
    for sheet in &pack.sheets {
        text.whole.push_str(&words(sheet).replace('\u{a0}', " "));
        text.whole.push('\n');
        for block in blocks(sheet) {
            let PaperBlock::PartBox(part) = block else { continue };
            if sheet.title == "Work list" {
                let all: Vec<String> = part.lines.iter().map(line_words).collect();
                for (line, own) in part.lines.iter().zip(&all) {
                    let in_box = format!("{}\n{}", part.title, all.join("\n"));
                    text.lines.insert(line.number.parse().unwrap(), (own.clone(), in_box));
                }
            } else if sheet.title == "Joints" {
                let step = part.title.split(' ').next().unwrap().parse().unwrap();
                text.joints.insert(step, part.lines.iter().map(line_words).collect::<Vec<_>>().join("\n"));
            }
        }
    }
    text
}

/// The cautions of the pack in full; those that can hurt somebody once.
fn check_cautions(text: &PackText, step: &Step) {
    let (line, in_box) = &text.lines[&step.number];
    for caution in &step.cautions {
        let full = caution.text.trim();
        assert!(text.whole.contains(full), "step {}: {full}", step.number);
        let clause: String = full.split(['.', ':', ';', ',']).next().unwrap().chars().take(40).collect();
        let named = format!("{} ", caution.word);
        assert!(
            in_box.contains(&clause) && in_box.contains(&named),
            "step {}: {clause}: {line}",
            step.number
        );
        if caution.word > model::SignalWord::Notice {
            assert_eq!(text.whole.matches(full).count(), 1, "a caution stands once: {full}");
        }
    }
}

/// What the hand sets, and what it comes to: the figures of every pass, as the bench gives that of the pass in hand.
fn check_figures(text: &PackText, step: &Step, sheet: &StepSheet) {
    let (line, _) = &text.lines[&step.number];
    let joint = text.joints.get(&step.number);
    let told = |words: &str| line.contains(words) || joint.is_some_and(|joint| joint.contains(words));
    for figure in step.actions.iter().filter_map(|action| action.figure.as_ref()) {
        assert!(told(figure), "step {}: {figure}: {line}", step.number);
    }
    if step.kind == StepKind::Tighten && sheet.missing_figures.is_empty() {
        assert!(told(&sheet.figure.large), "step {}: {:?}: {line}", step.number, sheet.figure);
    }
}

fn check_step(text: &PackText, book: &Book, plan: &Plan, step: &Step, sheet: &StepSheet) {
    let (line, in_box) = &text.lines[&step.number];
    // The bench says the size of the drive large beside the tool, paper says it in the sentence.
    let fixings = step.fixings.iter().filter_map(|key| book.fixing_by_key(key)).map(|id| book.fixing(id));
    let without_sizes =
        fixings.fold(line.clone(), |line, fixing| line.replace(&format!(" ({})", fixing.drive), ""));
    assert!(without_sizes.contains(&sheet.sentence), "step {}: {}", step.number, sheet.sentence);
    assert_eq!(line.contains("(two people)"), sheet.helper, "step {}", step.number);
    for tool in &sheet.tools {
        if tool.is_missing {
            assert!(line.contains("no tool of yours does it"), "step {}: {line}", step.number);
        } else {
            let joint = text.joints.get(&step.number).map_or("", String::as_str);
            let told = line.contains(&tool.words) || joint.contains(&tool.words);
            assert!(told, "step {}: {}: {line}", step.number, tool.words);
        }
    }
    if let Some(slot) = &sheet.slot {
        assert!(line.contains(&slot.to_string()), "step {}: {slot}", step.number);
    }
    let tells = |fact: &String| in_box.to_lowercase().contains(&fact.trim_end_matches('.').to_lowercase());
    for fact in &sheet.facts {
        assert!(tells(fact), "step {}: {fact}: {in_box}", step.number);
    }
    for board in sheet.measures.iter().filter(|board| !board.measure.is_empty()) {
        assert!(text.whole.contains(&board.title), "step {}: {}", step.number, board.title);
        let places = board.places.iter().map(|place| &place.place);
        assert!(places.clone().all(|place| text.whole.contains(place)), "step {}: {places:?}", step.number);
        for limit in [board.limits.low, board.limits.high].into_iter().flatten() {
            assert!(text.whole.contains(&units::significant(limit, 6)), "{}: {limit}", board.title);
        }
    }
    assert!(
        text.whole.to_lowercase().contains(&sheet.place.station.to_lowercase()),
        "{}",
        sheet.place.station
    );
    let line_or_joint = format!("{line} {}", text.joints.get(&step.number).map_or("", String::as_str));
    for source in sheet.notes.iter().filter_map(|note| note.strip_prefix("source: ")) {
        assert!(text.whole.to_lowercase().contains(&source.trim_end_matches('.').to_lowercase()), "{source}");
    }
    // Where not all holes of the fixings are meant, their names stand beside the step.
    let named: Vec<&String> = step.actions.iter().flat_map(|action| &action.holes).collect();
    let all = plan.slots.iter().filter(|slot| step.fixings.contains(&slot.fixing));
    let all: usize = all.map(|slot| usize::from(slot.count)).sum();
    let mut each = named.clone();
    each.sort();
    each.dedup();
    if each.len() < all {
        let order = text.whole.contains(&format!("joint {}", step.number));
        let is_told =
            |hole: &&&String| line_or_joint.split([' ', '\n', ':']).any(|word| word == hole.as_str());
        assert!(order || each.iter().all(|hole| is_told(&hole)), "step {}: {each:?}: {line}", step.number);
    }
}

/// Jobs of about eight hours on both demo vehicles.
fn jobs_of_a_day() -> [(Book, Store, Plan); 2] {
    let job = |book: &str, tasks: [&str; 5]| {
        let book = load::load_book(&demo("books").join(book)).unwrap();
        planned_tasks(book, load::load_store(&demo("store")).unwrap(), &tasks)
    };
    [job("tern-24", TERN_DAY), job("curlew-30", CURLEW_DAY)]
}

#[test]
fn nothing_that_the_bench_says_is_missing_on_paper() {
    for (book, store, plan) in jobs_of_a_day() {
        let pack = paper::pack_of_all(&PaperJob::of_plan(&book, &store, &plan), &wanted()).unwrap();
        let text = pack_text(&pack);
        let visit = record::Visit::default();
        for step in record::steps_of(&plan) {
            check_cautions(&text, step);
            let sheet =
                step_sheet(&book, &store, &plan, &visit, step.number, app::bench::DrawingRoom::default())
                    .unwrap();
            check_step(&text, &book, &plan, step, &sheet);
            check_figures(&text, step, &sheet);
        }
        assert!(text.lines.len() > 200 && text.lines.len() == record::steps_of(&plan).count());
    }
}

/// A job of eight hours hangs at the engine on two dozen sheets at most; the first edition took 156.
#[test]
fn a_day_of_work_is_a_thin_pack() {
    for (book, store, plan) in jobs_of_a_day() {
        for (size, most) in [(PaperSize::A4, 25), (PaperSize::Letter, 30)] {
            let options = PrintOptions { size, ..wanted() };
            let job = PaperJob::of_plan(&book, &store, &plan);
            let laid = paper::lay_out_pack(&paper::pack_of_all(&job, &options).unwrap()).unwrap();
            assert!(laid.page_count() <= most, "{} on {size:?}: {:?}", book.key, laid.sheet_pages());
            assert!(laid.sheet_pages()[0].1 <= 2, "the front page: {:?}", laid.sheet_pages());
        }
    }
}

#[test]
fn a_step_that_no_tool_does_cannot_be_ticked() {
    let (book, store, plan) = demo_plan("tern-24");
    let pack = paper::pack_of_all(&PaperJob::of_plan(&book, &store, &plan), &wanted()).unwrap();
    let stuck = |step: &Step| {
        let duties = step.actions.iter().filter_map(|action| plan.duties.get(action.duty));
        duties.into_iter().any(|duty| duty.stack.is_none() && duty.sure == model::ReachVerdict::No)
    };
    let list = pack.sheets.iter().find(|sheet| sheet.title == "Work list").unwrap();
    let mut stops = 0;
    for line in steps(list) {
        let step = record::steps_of(&plan).find(|s| s.number.to_string() == line.number).unwrap();
        assert_eq!(!line.stop.is_empty(), stuck(step), "step {}", step.number);
        stops += usize::from(!line.stop.is_empty());
    }
    assert!(stops > 0 && !plan.readiness.gaps.is_empty(), "the demo store lacks a tool");
    let front = &pack.sheets[0];
    let said = blocks(front)
        .into_iter()
        .any(|block| matches!(block, PaperBlock::Verdict { word, is_stop: true, .. } if word == "NO-GO"));
    assert!(said, "{}", words(front));
    for against in &plan.readiness.against {
        let told = words(front).to_lowercase();
        assert!(told.contains(&against.trim_end_matches('.').to_lowercase()), "{against}");
    }
}
