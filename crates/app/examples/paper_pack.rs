//! Writes the pack of a job of the demo, for looking at it: `paper_pack BOOK FILE.pdf TASK…`; all tasks where none is named.
#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "an example stops at what it did not expect")]

use std::path::Path;

use app::ask::{self, PlanRequest, SilentObserver};
use app::load;
use app::model::plan::KitObjective;
use app::paper::{self, LabelPaper, PaperJob, PaperSize, PrintOptions, SheetKind};

fn main() {
    let mut words = std::env::args().skip(1);
    let (book, file) = (words.next().unwrap(), words.next().unwrap());
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let book = load::load_book(&demo.join("books").join(book)).unwrap();
    let store = load::load_store(&demo.join("store")).unwrap();
    let (kinds, tasks): (Vec<String>, Vec<String>) = words.partition(|word| word.starts_with('@'));
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks,
        objective: KitObjective::Balanced,
        seconds: Some(1.0),
        stop_after_s: None,
        seed: 1,
        threads: 2,
    };
    let plan = ask::make_judged_plan(&book, &store, &request, &SilentObserver).unwrap().plan;
    let size = if file.contains("letter") { PaperSize::Letter } else { PaperSize::A4 };
    let options = PrintOptions {
        size,
        grid: LabelPaper::Plain,
        skip: 0,
        true_size: kinds.iter().any(|kind| kind == "@true-size"),
        date: String::from("2027-03-01"),
    };
    let kind = kinds.iter().find_map(|kind| SheetKind::from_name(kind.trim_start_matches('@')));
    let pack = paper::bind_pack(&PaperJob::of_plan(&book, &store, &plan), kind, &options).unwrap();
    let laid = paper::lay_out_pack(&pack).unwrap();
    println!("{}", app::text::paper::format_pages(&laid, size, app::text::table::PageWidth::USUAL));
    std::fs::write(&file, laid.write_pdf().unwrap()).unwrap();
}
