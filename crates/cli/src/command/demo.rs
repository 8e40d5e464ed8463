//! `traywright demo`: the main job on the invented books.

use crate::exit::{Failure, Verdict, print};
use crate::progress::Line;
use app::ask::Request;
use app::demo;
use app::model::plan::Objective;
use clap::Args;
use std::path::PathBuf;

/// Plans a visit of the two invented buses, and says what to open next.
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
        print("Two buses of a valley co-operative; all vehicles, engines and tools are invented.\n\n")?;
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
        print("  beside each page lie the same plan as .txt and as .json)\n")?;
        Ok(if violations == 0 { Verdict::Clean } else { Verdict::Found })
    }
}
