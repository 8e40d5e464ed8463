//! A plan as one printable page for any browser: readiness first, then the work with its drawings.

use crate::bench::capitalise_first;
use crate::draw;
use crate::text;
use model::plan::{Plan, Readiness, ReadinessVerdict, Step, StepSequence};
use model::{Act, Book, SignalWord, Store};
use print::face::face_rules;
use print::svg::{escape_text, write_svg};

const STYLE: &str = "\
:root{color:#111;background:#fff}body{font:18px/1.45 Letters,'Atkinson Hyperlegible',Verdana,sans-serif;margin:0 auto;max-width:60rem;padding:1rem}\
h1{font-size:1.7rem}h2{border-top:2.5px solid #111;padding-top:.6rem;margin-top:2.2rem}\
pre{white-space:pre-wrap;font:16px/1.4 ui-monospace,monospace}.verdict{font-size:2.6rem;font-weight:700;margin:.4rem 0}\
.step{border-top:1px solid #111;padding:.7rem 0;break-inside:avoid}.step b{font-size:1.25rem}.slot{float:right;font-weight:700;font-size:1.25rem}\
.act{margin:.15rem 0 .15rem 1.6rem}.caution{border:2.5px solid #111;padding:.3rem .6rem;margin:.3rem 0}.caution strong{letter-spacing:.06em}\
.caution.danger strong{background:#c8102e;color:#fff;padding:0 .4rem}.caution.warning strong{background:#ff7900;color:#111;padding:0 .4rem}\
.caution.caution-word strong{background:#ffd100;color:#111;padding:0 .4rem}.caution.notice strong{border:1.5px solid #111;padding:0 .4rem}\
details{margin:.3rem 0 .3rem 1.6rem}summary{cursor:pointer;min-height:2.6rem;line-height:2.6rem}svg{width:100%;height:auto;display:block}\
nav{position:sticky;top:0;background:#fff;border-bottom:1px solid #111}nav a{display:inline-block;padding:.7rem 1rem .7rem 0;color:#0b3d91}footer{margin-top:2rem;border-top:2.5px solid #111}\
@media print{nav{display:none}details{display:none}}";

/// The page of a plan.
#[must_use]
pub fn render_plan_page(book: &Book, store: &Store, plan: &Plan) -> String {
    let mut out = String::from("<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n");
    out.push_str("<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n");
    let title = escape_text(&plan.book_title);
    out.push_str(&format!("<title>{title}</title>\n<style>{}{STYLE}</style>\n", face_rules()));
    out.push_str(&format!(
        "<h1>{}</h1>\n<p>{}</p>\n",
        escape_text(&plan.book_title),
        escape_text(&book.origin)
    ));
    let verdict = verdict_word(&plan.readiness);
    out.push_str(&format!("<p class=\"verdict\">{verdict}</p>\n"));
    out.push_str(
        "<nav><a href=\"#ready\">Readiness</a><a href=\"#time\">Time line</a><a href=\"#kit\">Cart</a>",
    );
    out.push_str("<a href=\"#strip\">Strip</a><a href=\"#work\">Work</a><a href=\"#refit\">Refit</a><a href=\"#trays\">Trays</a></nav>\n");
    push_text_block(
        &mut out,
        "ready",
        "Before you start",
        &text::readiness::format_readiness(plan, text::table::PageWidth::USUAL),
    );
    out.push_str(&format!(
        "<h2 id=\"time\">The visit</h2>\n<pre>{}</pre>\n",
        escape_lines(&text::plan_text::plan_summary(plan, text::table::PageWidth::USUAL))
    ));
    out.push_str(&write_svg(&draw::timeline_drawing(book, plan)));
    push_text_block(
        &mut out,
        "kit",
        "Put on the cart",
        &text::plan_text::format_kit(plan, text::table::PageWidth::USUAL),
    );
    for (phase, sequence) in plan.sequences() {
        let (id, name) = (phase.file_word(), capitalise_first(phase.spoken_word()));
        out.push_str(&format!("<h2 id=\"{id}\">{name}</h2>\n"));
        push_sequence_html(&mut out, book, store, plan, sequence);
    }
    out.push_str("<h2 id=\"trays\">Trays</h2>\n");
    for drawing in draw::tray_drawings(book, store, plan) {
        out.push_str(&drawing);
    }
    out.push_str("<footer><p>The maker's service data always win over anything worked out here. ");
    out.push_str("Local rules and licensed practice come first.</p></footer>\n</html>\n");
    out
}

/// "Go", "Open" or "No-go": the worse of the first bolt and the refit.
#[must_use]
pub fn verdict_word(ready: &Readiness) -> &'static str {
    match ready.verdict.first_bolt.max(ready.verdict.refit) {
        ReadinessVerdict::Go => "Go",
        ReadinessVerdict::Open => "Open",
        ReadinessVerdict::No => "No-go",
    }
}

fn push_text_block(out: &mut String, id: &str, title: &str, text: &str) {
    out.push_str(&format!("<h2 id=\"{id}\">{title}</h2>\n<pre>{}</pre>\n", escape_lines(text)));
}

/// Escapes a text and keeps its lines.
fn escape_lines(text: &str) -> String {
    text.lines().map(escape_text).collect::<Vec<_>>().join("\n")
}

fn push_sequence_html(out: &mut String, book: &Book, store: &Store, plan: &Plan, sequence: &StepSequence) {
    let mut station = "";
    for step in &sequence.steps {
        if step.station != station {
            let title = book.stations.iter().find(|s| s.key == step.station).map_or("", |s| s.title.as_str());
            out.push_str(&format!("<h3>{}</h3>\n", escape_text(title)));
            station = &step.station;
        }
        push_step_html(out, book, store, plan, step);
    }
}

/// The class of a caution in our style sheets, by its signal word.
#[must_use]
pub const fn caution_class(word: SignalWord) -> &'static str {
    match word {
        SignalWord::Danger => "danger",
        SignalWord::Warning => "warning",
        SignalWord::Caution => "caution-word",
        SignalWord::Notice => "notice",
    }
}

fn push_step_html(out: &mut String, book: &Book, store: &Store, plan: &Plan, step: &Step) {
    out.push_str("<div class=\"step\">");
    for caution in &step.cautions {
        let (word, class) = (caution.word, caution_class(caution.word));
        let text = escape_text(&caution.text);
        out.push_str(&format!("<div class=\"caution {class}\"><strong>{word}</strong> {text}</div>"));
    }
    if let Some(slot) = &step.slot {
        out.push_str(&format!("<span class=\"slot\">{}</span>", escape_text(&slot.to_string())));
    }
    let helper = if step.helper { " (two people)" } else { "" };
    out.push_str(&format!("<b>{}</b> {}{helper}", step.number, escape_text(&step.text)));
    let mut shown: Vec<&String> = Vec::new();
    let mut drawings = String::new();
    let mut last = String::new();
    for action in &step.actions {
        let Some(duty) = plan.duties.get(action.duty) else { continue };
        let words = text::plan_text::action_words(plan, duty, action);
        if words != last {
            out.push_str(&format!("<div class=\"act\">{}</div>", escape_text(&words)));
        }
        last = words;
        let Some(stack) = &action.stack else { continue };
        if !shown.contains(&stack) {
            shown.push(stack);
            drawings.push_str(&draw::duty_drawing(book, store, plan, action.duty).unwrap_or_default());
        }
    }
    let tightens =
        step.actions.iter().any(|a| plan.duties.get(a.duty).is_some_and(|d| d.act == Act::Tighten));
    if tightens {
        drawings.push_str(&draw::pattern_drawing(book, plan, step).unwrap_or_default());
    }
    if !drawings.is_empty() {
        out.push_str(&format!("<details><summary>drawn to scale</summary>{drawings}</details>"));
    }
    out.push_str("</div>\n");
}
