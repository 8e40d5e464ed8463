//! `traywright demo`: the main job on the invented books.

use crate::exit::{Failure, Verdict, print};
use crate::progress::Line;
use app::ask::Request;
use app::model::plan::Objective;
use app::workshop::Workshop;
use app::{demo, text};
use clap::Args;
use std::path::PathBuf;
use web::Settings;

/// Plans a visit of the two invented buses, opens one half-way through, and serves it at the bench.
#[derive(Debug, Args)]
pub struct Demo {
    /// Folder that holds `books` and `store`.
    #[arg(long, default_value = "demo", value_name = "FOLDER")]
    from: PathBuf,
    /// Folder to write the sheets into.
    #[arg(long, default_value = "out", value_name = "FOLDER")]
    out: PathBuf,
    /// Time limit for each book.
    #[arg(long, default_value_t = 20.0)]
    seconds: f64,
    /// Port of the bench pages; 0 takes a free one.
    #[arg(long, default_value_t = 7420)]
    port: u16,
    /// Write the sheets and the half-way visit, and end without serving the bench.
    #[arg(long)]
    no_serve: bool,
}

/// Lines of next best purchases.
const NEXT: usize = 5;

impl Demo {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let request = Request {
            vehicle: String::from("A"),
            tasks: Vec::new(),
            objective: Objective::LeastToCarry,
            seconds: self.seconds,
            seed: 1,
            threads: 2,
        };
        let line = Line::new();
        let sheets = demo::demo(&self.from, &self.out, &request, &line);
        line.done();
        let sheets = sheets?;
        print("Two buses of a valley co-operative. Vehicles, engines and tools are invented.\n\n")?;
        let mut violations = 0;
        for sheet in &sheets {
            print(&sheet.summary)?;
            print(&format!("{}\njudge:   {}\n\n", sheet.verdict, sheet.judged()))?;
            violations += sheet.violations;
        }
        print("Next best for both buses together, most jobs opened first:\n")?;
        print(&demo::next_best(&sheets, NEXT))?;
        print("\nOpen next:\n")?;
        for sheet in &sheets {
            print(&format!("  {}\n", sheet.page.display()))?;
        }
        print("  (readiness first, then every step with its tools drawn to scale;\n")?;
        print("  beside each page lie the same plan as .txt and as .json)\n\n")?;
        let workshop = self.half_way()?;
        if violations > 0 || self.no_serve {
            return Ok(if violations == 0 { Verdict::Clean } else { Verdict::Found });
        }
        let settings = Settings { port: self.port, open: false, names: Vec::new(), certificates: None };
        super::serve::serve(workshop, &settings)
    }

    /// Opens the visit that stands half-way; one that an earlier demo opened is gone on with.
    fn half_way(&self) -> Result<Workshop, Failure> {
        let path = self.out.join("demo.journal");
        let mut workshop = Workshop::open(&path)?;
        let known = workshop.visits()?.into_iter().map(|line| line.visit).next();
        let visit = match known {
            Some(visit) => visit,
            None => {
                let line = Line::new();
                let begun = workshop.begin_half_way(&self.from, self.seconds, &line);
                line.done();
                begun?
            }
        };
        let card = app::bench::card(workshop.visit(&visit)?);
        print("A visit half-way through, interrupted, with a nut lost:\n")?;
        print(&text::visit::card(&card))?;
        print(&format!("  (its journal: {})\n\n", path.display()))?;
        Ok(workshop)
    }
}
