//! Words on the drawings of the demo books: none leaves its drawing, none lies over another, whatever face a browser takes.

use super::*;
use app::draw;
use print::drawing::Drawing;
use print::svg::write_svg;
use print::words::text_boxes;

/// Every drawing of a plan that page, bench or paper shows.
fn drawings_of_plan(book: &Book, store: &Store, plan: &Plan) -> Vec<Drawing> {
    let mut all = vec![draw::timeline_drawing(book, plan)];
    all.extend(draw::tray_pictures(book, store, plan));
    for index in 0..plan.duties.len() {
        all.extend(draw::duty_bare(book, store, plan, index, paper::STACK_ROOM));
        all.extend(draw::duty_picture(book, store, plan, index));
    }
    for step in record::steps_of(plan).filter(|step| step.kind == model::plan::StepKind::Tighten) {
        all.extend(draw::pattern_picture(book, plan, step));
        all.extend(draw::pattern_for_paper(book, plan, step));
    }
    all
}

/// The edge of a drawing may be touched, not crossed.
const EDGE_PX: f64 = 0.6;

fn faults_of_words(drawing: &Drawing) -> Vec<String> {
    let boxes = text_boxes(drawing);
    let mut faults = Vec::new();
    for (at, one) in boxes.iter().enumerate() {
        let (left, top, right, bottom) = one.edges_px;
        let inside = left >= -EDGE_PX && top >= -EDGE_PX;
        if !inside || right > drawing.width_px + EDGE_PX || bottom > drawing.height_px + EDGE_PX {
            faults.push(format!("{}: `{}` leaves it: {:?}", drawing.id, one.text, one.edges_px));
        }
        for other in boxes[at + 1..].iter().filter(|other| one.lies_over(other)) {
            faults.push(format!("{}: `{}` lies over `{}`", drawing.id, one.text, other.text));
        }
    }
    faults
}

#[test]
fn no_words_of_a_drawing_leave_it_or_meet() {
    for key in ["tern-24", "curlew-30"] {
        let (book, store, plan) = demo_plan(key);
        let all = drawings_of_plan(&book, &store, &plan);
        assert!(all.len() > 400, "{key}: {} drawings", all.len());
        let faults: Vec<String> = all.iter().flat_map(faults_of_words).collect();
        let shown: Vec<&String> = faults.iter().take(30).collect();
        assert!(faults.is_empty(), "{key}: {} faults: {shown:#?}", faults.len());
    }
}

/// A browser that takes another face sets each text as wide as ours: the SVG carries the width.
#[test]
fn every_text_of_a_drawing_carries_its_width() {
    let (book, store, plan) = jobs_of_a_day_of_curlew();
    for drawing in drawings_of_plan(&book, &store, &plan).iter().take(60) {
        let svg = write_svg(drawing);
        assert_eq!(svg.matches("<text ").count(), svg.matches("textLength=").count(), "{}", drawing.id);
    }
}

fn jobs_of_a_day_of_curlew() -> (Book, Store, Plan) {
    let book = load::load_book(&demo("books/curlew-30")).unwrap();
    planned_tasks(book, load::load_store(&demo("store")).unwrap(), &CURLEW_DAY)
}
