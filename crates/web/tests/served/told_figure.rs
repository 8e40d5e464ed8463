//! A figure told at the bench on the page that says why: the one that holds, those before it, and the button that puts it right.

use app::model::FastenerState;
use app::record::{MarkedHole, VisitBody, VisitId, steps_of};
use app::workshop::{Workshop, leisure_budget};

use crate::shop::Shop;
use crate::visits::{EventPen, begin_bare_visit};

/// A cover that was told and taken off, planned back, with a figure that was mistyped and put right; the step that tightens it.
fn cover_told(workshop: &mut Workshop) -> (VisitId, u32) {
    let visit = begin_bare_visit(workshop);
    let mut pen = EventPen::of_workshop(workshop, &visit);
    let (part, fixing) = (String::from("seen-p1"), String::from("seen-f1"));
    let hole = |hole: &str| MarkedHole { hole: hole.into(), from: FastenerState::InPlace };
    let seen = vec![
        VisitBody::PartSeen { part: part.clone(), title: "cover".into(), part_kind: None },
        VisitBody::FixingSeen {
            fixing: fixing.clone(),
            part: part.clone(),
            drive: Some("hexagon 10 mm".into()),
            count: 2,
            first: 1,
            heads: Vec::new(),
            length: None,
        },
        VisitBody::Marked {
            fixing: fixing.clone(),
            holes: vec![hole("1"), hole("2")],
            to: FastenerState::Off,
            slot: None,
            stage: None,
        },
        VisitBody::PartOff { part },
    ];
    pen.say(workshop, seen);
    let made = workshop.prepare_seen_plan(&visit).unwrap().plan_rest(leisure_budget()).unwrap();
    assert!(workshop.adopt_seen_plan(&made).unwrap());
    for figure in ["90 N·m", "9 N·m"] {
        let (source, name) = (String::from("sheet 7 p. 2"), String::from("N. N."));
        let given = VisitBody::FigureGiven { fixing: fixing.clone(), figure: figure.into(), source, name };
        pen.say(workshop, vec![given]);
    }
    let plan = workshop.visit(&visit).unwrap().plan().unwrap().clone();
    let of_it = steps_of(&plan).filter(|step| step.fixings.contains(&fixing));
    let number = of_it.map(|step| step.number).max().unwrap();
    (visit, number)
}

#[tokio::test]
async fn a_told_figure_is_put_right_where_it_is_explained() {
    let (shop, (visit, number)) = Shop::prepared(cover_told);
    let tablet = shop.pair("tablet").await;
    let page = shop.page(&tablet, &format!("/v/{visit}/why/{number}")).await;
    let words = page.words().replace('\u{a0}', " ");
    assert!(words.contains("9 N·m (sheet 7 p. 2; N. N.)"), "{words}");
    assert!(words.contains("Before that: 90 N·m (sheet 7 p. 2; N. N.)"), "{words}");
    assert!(page.text.contains("data-ask=\"figure\" data-fixing=\"seen-f1\""), "{}", page.text);
}
