//! Fixings as text, each with its accesses below it.

use super::access;
use super::text::{Block, Inline, list, money, number, quoted, with_unit};
use crate::words;
use model::{Book, Fixing, Hole, Keep, PatternRule};

pub(super) fn fixing(book: &Book, fixing: &Fixing) -> String {
    let mut block = Block::new("[[part.fixing]]");
    block.text("key", &fixing.key);
    block.text("title", &fixing.title);
    block.text("kind", words::word_of(words::FASTENER_KINDS, fixing.kind));
    block.text_if("thread", fixing.thread.map(|t| t.to_string()).as_deref());
    length_if(&mut block, "length", fixing.length);
    block.text_if("class", fixing.class.map(bolting::PropertyClass::name));
    block.text("drive", &fixing.drive.to_string());
    block.raw("head", &head(fixing));
    block.raw("count", &fixing.holes.len().to_string());
    block.raw("holes", &list(fixing.holes.iter().map(hole)));
    block.raw("engagement", &number(fixing.engagement.as_mm()));
    length_if(&mut block, "clamped", fixing.clamped);
    length_if(&mut block, "tapped_depth", fixing.tapped_depth);
    block.text("tapped_in", words::word_of(words::TAPPED_IN, fixing.tapped_in));
    tightening(&mut block, fixing);
    condition_of_fastener(&mut block, fixing);
    let accesses = fixing.accesses.iter().map(|a| access::table(book, fixing, a));
    block.finish() + &accesses.collect::<String>()
}

fn length_if(block: &mut Block, key: &str, length: Option<units::Length>) {
    if let Some(length) = length {
        block.raw(key, &number(length.as_mm()));
    }
}

fn head(fixing: &Fixing) -> String {
    let mut item = Inline::default();
    let grip = if fixing.drive.is_internal() { "recess" } else { "height" };
    item.raw(grip, &number(fixing.head.grip_height.as_mm()));
    item.raw("diameter", &number(fixing.head.diameter.as_mm()));
    if fixing.head.protrusion.as_mm() != 0.0 {
        item.raw("protrusion", &number(fixing.head.protrusion.as_mm()));
    }
    item.finish()
}

fn hole(hole: &Hole) -> String {
    let mut item = Inline::default();
    item.text("label", &hole.label);
    item.raw("x", &number(hole.x.as_mm()));
    item.raw("y", &number(hole.y.as_mm()));
    item.finish()
}

fn tightening(block: &mut Block, fixing: &Fixing) {
    let rules = &fixing.tightening;
    block.names("tighten", rules.stages.iter().map(|s| s.as_written.as_str()));
    match &rules.pattern {
        PatternRule::Auto => {}
        PatternRule::CrissCross => block.text("pattern", "criss-cross"),
        PatternRule::Spiral => block.text("pattern", "spiral"),
        PatternRule::Given(labels) => block.raw("pattern", &list(labels.iter().map(|l| quoted(l)))),
    }
    block.text_if("end_torque", rules.end_torque.map(|t| with_unit(t.as_n_m(), "N·m")).as_deref());
    block.text("tolerance", &percent(rules.tolerance_fraction));
    block.flag("closing_pass", rules.closing_pass);
    block.text_if("source", Some(rules.source.as_str()).filter(|s| !s.is_empty()));
}

/// A fraction as a percentage that divides back to exactly the same fraction.
fn percent(tolerance_fraction: f64) -> String {
    let near = tolerance_fraction * 100.0;
    let exact =
        [near, near.next_up(), near.next_down()].into_iter().find(|p| p / 100.0 == tolerance_fraction);
    with_unit(exact.unwrap_or(near), "%")
}

fn condition_of_fastener(block: &mut Block, fixing: &Fixing) {
    block.text_if("joint", fixing.joint.as_deref());
    block.text("lubrication", words::word_of(words::LUBRICATIONS, fixing.lubrication));
    block.flag("one_time", fixing.one_time);
    block.text_if("price", fixing.price.map(money).as_deref());
    block.flag("captive", fixing.captive);
    block.flag("critical", fixing.critical);
    let history = fixing.history.iter().map(|(cause, factor)| {
        let word = words::word_of(words::HISTORY_CAUSES, *cause);
        format!("{{ cause = {}, factor = {} }}", quoted(word), number(*factor))
    });
    block.list("history", &list(history));
    let keep = fixing.keep.map(|k: Keep| words::word_of(words::KEEPS, k));
    block.text_if("keep", keep);
}
