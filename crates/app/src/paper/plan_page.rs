//! A plan as one page for any browser, and printed from it: whether to begin, hours, what to buy first; then part by part, each step with
//! what is drawn of it beside it.
//!
//! Words are those of the sheets on paper. Links stay: a step has its lasting name, a part `off-…` and `on-…` with its key.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{JobPhase, Plan, Step, StepAction, StepKind};
use model::{Act, Book, Store};
use print::PageDrawings;
use print::face::face_rules;
use print::paper::{PaperBlock, PaperSheet, SheetBody, write_blocks_html};
use print::svg::escape_text;

use super::cautions::CautionList;
use super::words::{self, phase_heading};
use super::{PaperJob, cart_top, front, jobs, kit, shopping};
use crate::bench::{DrawingRoom, capitalise_first};
use crate::{draw, titles};

const STYLE: &str = include_str!("plan_page.css");
/// Joints of fewer holes are not drawn.
const MIN_JOINT_HOLES: usize = 4;
/// Room of a stack in its hole, CSS px; its letters are as large as those of the page.
pub const STACK_ROOM: DrawingRoom = DrawingRoom { width_px: 280.0, height_px: 290.0 };

/// The page of a plan.
#[must_use]
pub fn write_plan_page(book: &Book, store: &Store, plan: &Plan) -> String {
    let job = PaperJob::of_plan(book, store, plan);
    let mut page = PlanPage {
        job: &job,
        cautions: CautionList::of_job(&job),
        drawings: PageDrawings::default(),
        drawn: BTreeMap::new(),
    };
    let mut body = page.head();
    body.push_str(&page.sheet_section("ready", "Before you start", front::front_sheets(&job)));
    body.push_str(&page.sheet_section("buy", "Buy and fetch", shopping::shopping_sheets(&job)));
    let cart = kit::kit_sheets(&job).unwrap_or_default();
    body.push_str(&page.sheet_section("cart", "Put on the cart", cart));
    if let Some(top) = cart_top::draw_cart_top(&job) {
        body.push_str(&page.drawn_section("cart-top", "The cart as it is laid", &[top]));
    }
    for (phase, sequence) in plan.sequences() {
        if !sequence.steps.is_empty() {
            body.push_str(&page.phase_section(phase, &sequence.steps));
        }
    }
    body.push_str(&page.drawn_section("trays", "Trays", &draw::tray_pictures(book, store, plan)));
    body.push_str(&page.drawn_section("time", "The visit by place", &[draw::timeline_drawing(book, plan)]));
    let title = escape_text(&plan.book_title);
    let style = page.drawings.style();
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n<title>{title}</title>\n\
         <style>{}{STYLE}{style}</style>\n{}<main>\n{body}</main>\n\
         <footer><p>{} Local rules and licensed practice come first.</p></footer>\n</html>\n",
        face_rules(),
        PageDrawings::hatch(),
        words::SERVICE_DATA,
    )
}

/// The page while it is written.
struct PlanPage<'j, 'p> {
    job: &'j PaperJob<'p>,
    cautions: CautionList<'p>,
    drawings: PageDrawings,
    /// Stacks in their holes that are drawn, with the name and the number of the step that they are drawn at.
    drawn: BTreeMap<String, (String, u32)>,
}

impl PlanPage<'_, '_> {
    /// The engine, where its figures come from, and the links to all that follows.
    fn head(&self) -> String {
        let plan = self.job.plan;
        let phases = plan.sequences().into_iter().filter(|(_, sequence)| !sequence.steps.is_empty());
        let links =
            phases.map(|(phase, _)| (phase.file_word().to_owned(), capitalise_first(phase.spoken_word())));
        let own = |id: &str, name: &str| (id.to_owned(), name.to_owned());
        let all: Vec<(String, String)> = [own("ready", "Before"), own("buy", "Buy"), own("cart", "Cart")]
            .into_iter()
            .chain(links)
            .chain([own("trays", "Trays"), own("time", "Time")])
            .collect();
        let links: String = all.iter().map(|(id, name)| format!("<a href=\"#{id}\">{name}</a>")).collect();
        format!(
            "<h1>{}</h1>\n<p>{}</p>\n<nav>{links}</nav>\n",
            escape_text(&plan.book_title),
            escape_text(&words::as_sentence(&self.job.book.origin)),
        )
    }

    fn sheet_section(&mut self, id: &str, heading: &str, sheets: Vec<PaperSheet>) -> String {
        let mut out = format!("<section id=\"{id}\"><h2>{heading}</h2>\n");
        for sheet in sheets {
            if let SheetBody::Flow(blocks) | SheetBody::TwoColumns(blocks) = sheet.body {
                out.push_str(&write_blocks_html(&blocks, &mut self.drawings));
            }
        }
        out.push_str("</section>\n");
        out
    }

    fn drawn_section(&mut self, id: &str, heading: &str, drawings: &[print::drawing::Drawing]) -> String {
        let drawn: String = drawings.iter().map(|drawing| self.drawings.write(drawing)).collect();
        format!("<section id=\"{id}\" class=\"drawn\"><h2>{heading}</h2>\n{drawn}</section>\n")
    }

    /// The parts of a stretch, under the places where they are worked.
    fn phase_section(&mut self, phase: JobPhase, steps: &[Step]) -> String {
        let mut out = format!("<section id=\"{}\">\n", phase.file_word());
        let mut told = BTreeSet::new();
        for run in steps.chunk_by(|a, b| a.station == b.station) {
            let heading = phase_heading(self.job.book, phase, &run[0].station);
            out.push_str(&format!("<h2 class=\"band\">{}</h2>\n", escape_text(&heading)));
            for (at, group) in
                run.chunk_by(|a, b| jobs::subject_of_step(a) == jobs::subject_of_step(b)).enumerate()
            {
                out.push_str(&self.part_section(phase, group, at == 0, &mut told));
            }
        }
        out.push_str("</section>\n");
        out
    }

    /// One part: its steps, and what is drawn of them.
    fn part_section(
        &mut self,
        phase: JobPhase,
        group: &[Step],
        begins_place: bool,
        told: &mut BTreeSet<String>,
    ) -> String {
        let steps: Vec<&Step> = group.iter().collect();
        let mut lines = jobs::box_of_steps(self.job, &steps, &self.cautions, begins_place);
        if lines.title.is_empty() {
            lines.title = words::capitalised_title(&state_titles(self.job.book, &steps));
        }
        let anchor = self.anchor_of_part(phase, group[0].part.as_deref(), told);
        let words = write_blocks_html(&[PaperBlock::PartBox(lines)], &mut self.drawings);
        let figures = self.figures_of_steps(&steps);
        format!("<div class=\"unit\"{anchor}>{words}{figures}</div>\n")
    }

    /// `off-…` where a part first comes off, `on-…` where it goes on; nothing where it was told before.
    fn anchor_of_part(&self, phase: JobPhase, part: Option<&str>, told: &mut BTreeSet<String>) -> String {
        let way = match phase {
            JobPhase::Strip => "off",
            JobPhase::Work => "at",
            JobPhase::Refit => "on",
        };
        let anchor = part.map(|key| format!("{way}-{key}"));
        anchor
            .filter(|anchor| told.insert(anchor.clone()))
            .map_or_else(String::new, |anchor| format!(" id=\"{}\"", escape_text(&anchor)))
    }

    /// Every stack in its hole, drawn where the page first comes to it, and the order of a joint's holes.
    fn figures_of_steps(&mut self, steps: &[&Step]) -> String {
        let mut figures = String::new();
        let mut told = BTreeSet::new();
        for step in steps {
            for action in &step.actions {
                if self.is_drawn(action) {
                    figures.push_str(&self.stack_figure(step, action, &mut told));
                }
            }
            let PaperJob { book, plan, .. } = *self.job;
            let is_joint =
                step.kind == StepKind::Tighten && jobs::holes_of_step(step).len() >= MIN_JOINT_HOLES;
            if is_joint && let Some(drawing) = draw::pattern_picture(book, plan, step) {
                let caption = format!("joint {}, holes in their order", step.number);
                figures.push_str(&figure("wide", &self.drawings.write(&drawing), &caption));
            }
        }
        if figures.is_empty() { figures } else { format!("<div class=\"figures\">{figures}</div>") }
    }

    /// Breaking loose and tightening are drawn: running out and in take the same socket with another drive, and are drawn where a
    /// fixing has nothing else.
    fn is_drawn(&self, action: &StepAction) -> bool {
        let duties = &self.job.plan.duties;
        let Some(own) = duties.get(action.duty) else { return false };
        let drawn_by = match own.act {
            Act::Free | Act::Tighten => return true,
            Act::RunOut => Act::Free,
            Act::RunIn => Act::Tighten,
        };
        let other = |duty: &model::plan::DutyLine| {
            duty.fixing == own.fixing
                && duty.access == own.access
                && duty.act == drawn_by
                && duty.stack.is_some()
        };
        !duties.iter().any(other)
    }

    /// The stack of an action in its hole; a link where the very same was drawn before, once a part.
    fn stack_figure(&mut self, step: &Step, action: &StepAction, told: &mut BTreeSet<u32>) -> String {
        let PaperJob { book, store, plan, .. } = *self.job;
        let Some(drawing) = draw::duty_bare(book, store, plan, action.duty, STACK_ROOM) else {
            return String::new();
        };
        let drawn = self.drawings.write(&drawing);
        if let Some((anchor, number)) = self.drawn.get(&drawn) {
            if !told.insert(*number) {
                return String::new();
            }
            let anchor = escape_text(anchor);
            return format!("<p class=\"again\"><a href=\"#{anchor}\">as at step {number}</a></p>");
        }
        told.insert(step.number);
        self.drawn.insert(drawn.clone(), (step.name.0.clone(), step.number));
        figure("stack", &drawn, &format!("step {}, to scale", step.number))
    }
}

/// What steps on no part and no task bring about: conditions and settings of the vehicle, in the order of the work; the first two of
/// many.
fn state_titles(book: &Book, steps: &[&Step]) -> String {
    let setting = |key: &str| book.setting_by_key(key).map(|id| book.setting(id).title.clone());
    let mut all: Vec<String> = Vec::new();
    for step in steps {
        let condition = step.condition.as_deref().map(|key| titles::any_title(book, key));
        let set = step.sets.first().and_then(|set| setting(&set.setting));
        let wait = (step.kind == StepKind::Wait).then(|| record::wait_title(&step.text).to_owned());
        all.extend(condition.or(set).or(wait).filter(|title| !all.contains(title)));
    }
    match all.as_slice() {
        [] => String::from("besides"),
        [first, second, more @ ..] if !more.is_empty() => format!("{first}; {second}; {} more", more.len()),
        few => few.join("; "),
    }
}

fn figure(class: &str, drawn: &str, caption: &str) -> String {
    format!("<figure class=\"{class}\">{drawn}<figcaption>{}</figcaption></figure>", escape_text(caption))
}
