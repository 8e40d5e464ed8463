//! `traywright demo`: the main job on the invented books.

use super::plan::SearchLimitArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer};
use crate::page_width::page_width;
use crate::progress::ProgressLine;
use app::ask::PlanRequest;
use app::model::plan::KitObjective;
use app::text;
use app::workshop::Workshop;
use clap::Args;
use demo_scenario::{begin_half_way_visit, next_best_text, plan_demo_books};
use std::path::PathBuf;
use web::ServeSettings;

/// Plans a visit of the two invented buses, opens one half-way through, and serves it at the bench.
#[derive(Debug, Args)]
pub struct DemoCommand {
    /// Folder that holds `books` and `store`.
    #[arg(long, default_value = "demo", value_name = "FOLDER")]
    from: PathBuf,
    /// Folder to write the sheets into.
    #[arg(long, default_value = "out", value_name = "FOLDER")]
    out: PathBuf,
    #[command(flatten)]
    limits: SearchLimitArguments,
    /// Port of the bench pages; 0 takes a free one.
    #[arg(long, value_name = "PORT", default_value_t = 7420)]
    port: u16,
    /// Write the sheets and the half-way visit, and exit without serving the bench.
    #[arg(long)]
    no_serve: bool,
}

/// Lines of next best purchases.
const NEXT: usize = 5;

impl DemoCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        app::plan_files::require_out_folder(&self.out)?;
        let request = PlanRequest {
            vehicle: String::from("A"),
            tasks: Vec::new(),
            objective: KitObjective::Balanced,
            seconds: self.limits.seconds,
            stop_after_s: self.limits.stop_after_s,
            seed: 1,
            threads: 2,
        };
        let line = ProgressLine::new();
        let sheets = plan_demo_books(&self.from, &self.out, &request, &line);
        line.clear_line();
        let sheets = sheets?;
        print_answer("Two buses of a valley co-operative. Vehicles, engines and tools are invented.\n\n")?;
        let mut violations = 0;
        for sheet in &sheets {
            print_answer(&sheet.summary)?;
            print_answer(&format!("{}\njudge:   {}\n\n", sheet.verdict, sheet.judge_words()))?;
            violations += sheet.violations;
        }
        print_answer("Next best for both buses together, what opens up most jobs first:\n")?;
        print_answer(&next_best_text(&sheets, NEXT, page_width()))?;
        print_answer("\nOpen next:\n")?;
        for sheet in &sheets {
            print_answer(&format!("  {}\n", sheet.page.display()))?;
        }
        print_answer("  (readiness first, then every step with its tools drawn to scale;\n")?;
        print_answer("  beside each page lie the same plan as .txt and as .json)\n\n")?;
        let workshop = self.open_half_way_visit()?;
        if violations > 0 || self.no_serve {
            return Ok(if violations == 0 { CommandVerdict::Clean } else { CommandVerdict::Found });
        }
        let settings = ServeSettings {
            port: self.port,
            open: false,
            names: Vec::new(),
            certificates: None,
            shelf: app::workshop::BookShelf::default(),
        };
        super::serve::serve_workshop(workshop, &settings)
    }

    /// Opens the half-way visit, or goes on with the one that an earlier demo opened.
    fn open_half_way_visit(&self) -> Result<Workshop, CommandFailure> {
        let path = self.out.join("demo.journal");
        let mut workshop = Workshop::open_to_serve(&path)?;
        let known = workshop.list_visits()?.into_iter().next();
        let visit = match known {
            Some(visit) => visit,
            None => {
                let line = ProgressLine::new();
                let begun = begin_half_way_visit(&mut workshop, &self.from, self.limits.seconds, &line);
                line.clear_line();
                begun?
            }
        };
        let card = app::bench::visit_card(workshop.visit(&visit)?);
        print_answer("A visit half-way through, interrupted, with a nut lost:\n")?;
        print_answer(&text::visit::format_visit_card(&card, page_width()))?;
        print_answer(&format!("  (its journal: {})\n\n", path.display()))?;
        Ok(workshop)
    }
}
