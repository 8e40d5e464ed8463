//! The table of pages in `docs/paper.md` is what the program lays out. `TRAYWRIGHT_RENEW=1` writes it anew.

use super::*;

/// Rows of the table: kinds that a plan alone has.
const KINDS: [SheetKind; 10] = [
    SheetKind::Front,
    SheetKind::Kit,
    SheetKind::Shopping,
    SheetKind::Trays,
    SheetKind::Labels,
    SheetKind::Jobs,
    SheetKind::Tightening,
    SheetKind::HoleCards,
    SheetKind::Readings,
    SheetKind::Method,
];

/// A short job and two of a day, as the page names them.
fn three_jobs() -> [(&'static str, (Book, Store, Plan)); 3] {
    let job = |book: &str, tasks: &[&str]| {
        let book = load::load_book(&demo("books").join(book)).unwrap();
        planned_tasks(book, load::load_store(&demo("store")).unwrap(), tasks)
    };
    [
        ("thermostat", job("tern-24", &["renew-thermostat"])),
        ("belt day", job("tern-24", &TERN_DAY)),
        ("V6 day", job("curlew-30", &CURLEW_DAY)),
    ]
}

/// Pages of a kind, or of the pack, on both papers: "2 / 2"; a dash where there is nothing to print.
fn pages_words(job: &PaperJob<'_>, kind: Option<SheetKind>) -> String {
    let pages = |size| {
        let options = PrintOptions { size, ..wanted() };
        let pack = paper::bind_pack(job, kind, &options).ok()?;
        Some(paper::lay_out_pack(&pack).unwrap().page_count())
    };
    let said = |size| pages(size).map_or_else(|| String::from("–"), |count| count.to_string());
    format!("{} / {}", said(PaperSize::A4), said(PaperSize::Letter))
}

fn table() -> String {
    let jobs = three_jobs();
    let mut out = String::from("| pages, A4 / letter |");
    for (name, (_, _, plan)) in &jobs {
        let hours = app::text::table::spoken_time(plan.total_s());
        out.push_str(&format!(" {name}: {} steps, {hours} |", record::steps_of(plan).count()));
    }
    out.push_str("\n|---|---|---|---|\n");
    for kind in KINDS.map(Some).into_iter().chain([None]) {
        let name = kind.map_or_else(|| String::from("**`pack`**"), |kind| format!("`{}`", kind.name()));
        let cells = jobs
            .iter()
            .map(|(_, (book, store, plan))| pages_words(&PaperJob::of_plan(book, store, plan), kind));
        out.push_str(&format!("| {name} | {} |\n", cells.collect::<Vec<_>>().join(" | ")));
    }
    out
}

#[test]
fn the_page_counts_of_the_docs_are_those_of_the_program() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/paper.md");
    let page = std::fs::read_to_string(&path).unwrap();
    let (begin, end) = ("<!-- pages -->\n", "<!-- end of pages -->");
    let (before, rest) = page.split_once(begin).unwrap();
    let (told, after) = rest.split_once(end).unwrap();
    let made = table();
    if std::env::var_os("TRAYWRIGHT_RENEW").is_some() {
        std::fs::write(&path, format!("{before}{begin}{made}{end}{after}")).unwrap();
        return;
    }
    assert_eq!(told, made, "docs/paper.md tells other page counts; renew it");
}
