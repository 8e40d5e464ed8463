//! The plan as one page: every step stands there once under its lasting name, links lead somewhere, and the page is light.

use std::collections::BTreeSet;

use super::*;

/// Bytes of a page of 800 steps, at most.
const MAX_BYTES_OF_800_STEPS: usize = 1_000_000;

/// What follows each `before` up to the next quote.
fn quoted<'t>(page: &'t str, before: &str) -> Vec<&'t str> {
    page.split(before).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn every_step_is_on_the_page_under_its_lasting_name_and_every_link_leads_somewhere() {
    for name in ["tern-24", "curlew-30"] {
        let (book, store, plan) = demo_plan(name);
        let page = paper::write_plan_page(&book, &store, &plan);
        let ids: Vec<&str> = quoted(&page, " id=\"");
        let once: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), once.len(), "{name}: no name stands twice");
        for step in plan.all_steps() {
            assert!(once.contains(step.name.0.as_str()), "{name}: {}", step.name.0);
        }
        for part in &plan.way_in.parts {
            for way in ["off", "on"] {
                let anchor = format!("{way}-{}", part.part);
                assert!(once.contains(anchor.as_str()), "{name}: {anchor}");
            }
        }
        let links = quoted(&page, "href=\"#");
        assert!(links.len() > 8 && links.iter().all(|link| once.contains(link)), "{name}");
        let steps = record::steps_of(&plan).count();
        let most = MAX_BYTES_OF_800_STEPS * steps / 800;
        assert!(page.len() <= most, "{name}: {} bytes for {steps} steps, at most {most}", page.len());
        assert!(!page.contains("</span></h3>"), "{name}: a box has a time and no title");
        assert!(!page.contains("<details"), "{name}: what is drawn is in print too");
    }
}

#[test]
fn the_page_begins_with_what_stands_against_it_the_hours_and_what_to_buy() {
    let (book, store, plan) = demo_plan("tern-24");
    let page = paper::write_plan_page(&book, &store, &plan);
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words}"));
    let order = [
        "NO-GO",
        "Against starting",
        "id=\"buy\"",
        "id=\"cart\"",
        "id=\"cart-top\"",
        "id=\"strip\"",
        "id=\"refit\"",
        "id=\"trays\"",
    ];
    assert!(order.windows(2).all(|two| at(two[0]) < at(two[1])), "{:?}", order.map(at));
    assert!(at("at 8 hours a day") < at("id=\"buy\""), "the days stand above");
    for line in &plan.readiness.shopping {
        assert!(page.contains(&print::svg::escape_text(&line.words)), "{}", line.words);
    }
    // Letters of the page are 16 px; what is drawn at a part is as wide as its room, so that its letters are what they are told.
    let style = &page[..at("</style>")];
    assert!(style.contains("body{font:16px"), "{style}");
    let sizes =
        style.split("font-size:").skip(1).filter_map(|rest| rest.split("px").next()?.parse::<f64>().ok());
    let small: Vec<f64> = sizes.filter(|size_px| *size_px < 15.0).collect();
    assert!(small.is_empty(), "{small:?}");
}
