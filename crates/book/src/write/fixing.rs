//! Fixings as text, each with its accesses below it.

use super::access;
use super::text::{
    InlineTable, TableBlock, format_list, format_money, format_number, format_with_unit, quote_toml,
};
use crate::words;
use model::{Book, Fixing, Hole, KeepPlace, PatternRule};

pub(super) fn format_fixing(book: &Book, fixing: &Fixing) -> String {
    let mut block = TableBlock::new("[[part.fixing]]");
    block.put_text("key", &fixing.key);
    block.put_text("title", &fixing.title);
    block.put_text("kind", words::word_of(words::FASTENER_KINDS, fixing.kind));
    block.put_optional_text("thread", fixing.thread.map(|t| t.to_string()).as_deref());
    put_optional_length(&mut block, "length", fixing.length);
    block.put_optional_text("class", fixing.class.map(bolting::PropertyClass::name));
    block.put_text("drive", &fixing.drive.to_string());
    block.put_raw("head", &format_fastener_head(fixing));
    block.put_raw("count", &fixing.holes.len().to_string());
    block.put_raw("holes", &format_list(fixing.holes.iter().map(format_hole)));
    block.put_raw("engagement", &format_number(fixing.engagement.as_mm()));
    put_optional_length(&mut block, "clamped", fixing.clamped);
    put_optional_length(&mut block, "tapped_depth", fixing.tapped_depth);
    block.put_text("tapped_in", words::word_of(words::TAPPED_IN, fixing.tapped_in));
    put_tightening(&mut block, fixing);
    put_fastener_care(&mut block, fixing);
    let accesses = fixing.accesses.iter().map(|a| access::format_access(book, fixing, a));
    block.finish() + &accesses.collect::<String>()
}

fn put_optional_length(block: &mut TableBlock, key: &str, length: Option<units::Length>) {
    if let Some(length) = length {
        block.put_raw(key, &format_number(length.as_mm()));
    }
}

fn format_fastener_head(fixing: &Fixing) -> String {
    let mut item = InlineTable::default();
    let grip = if fixing.drive.is_internal() { "recess" } else { "height" };
    item.put_raw(grip, &format_number(fixing.head.grip_height.as_mm()));
    item.put_raw("diameter", &format_number(fixing.head.diameter.as_mm()));
    if fixing.head.protrusion.as_mm() != 0.0 {
        item.put_raw("protrusion", &format_number(fixing.head.protrusion.as_mm()));
    }
    item.finish()
}

fn format_hole(hole: &Hole) -> String {
    let mut item = InlineTable::default();
    item.put_text("label", &hole.label);
    item.put_raw("x", &format_number(hole.x.as_mm()));
    item.put_raw("y", &format_number(hole.y.as_mm()));
    item.finish()
}

fn put_tightening(block: &mut TableBlock, fixing: &Fixing) {
    let rules = &fixing.tightening;
    block.put_names("tighten", rules.stages.iter().map(|s| s.as_written.as_str()));
    match &rules.pattern {
        PatternRule::Auto => {}
        PatternRule::CrissCross => block.put_text("pattern", "criss-cross"),
        PatternRule::Spiral => block.put_text("pattern", "spiral"),
        PatternRule::Given(labels) => {
            block.put_raw("pattern", &format_list(labels.iter().map(|l| quote_toml(l))))
        }
    }
    block.put_optional_text(
        "end_torque",
        rules.end_torque.map(|t| format_with_unit(t.as_n_m(), "N·m")).as_deref(),
    );
    block.put_text("tolerance", &format_percent(rules.tolerance_fraction));
    block.put_flag("closing_pass", rules.closing_pass);
    block.put_optional_text("source", Some(rules.source.as_str()).filter(|s| !s.is_empty()));
}

/// A fraction as a percentage that divides back to exactly the same fraction.
fn format_percent(tolerance_fraction: f64) -> String {
    let near = tolerance_fraction * 100.0;
    let exact =
        [near, near.next_up(), near.next_down()].into_iter().find(|p| p / 100.0 == tolerance_fraction);
    format_with_unit(exact.unwrap_or(near), "%")
}

fn put_fastener_care(block: &mut TableBlock, fixing: &Fixing) {
    block.put_optional_text("joint", fixing.joint.as_deref());
    block.put_text("lubrication", words::word_of(words::LUBRICATIONS, fixing.lubrication));
    block.put_flag("one_time", fixing.one_time);
    block.put_optional_text("price", fixing.price.map(format_money).as_deref());
    block.put_flag("captive", fixing.captive);
    block.put_flag("critical", fixing.critical);
    let history = fixing.history.iter().map(|(cause, factor)| {
        let word = words::word_of(words::HISTORY_CAUSES, *cause);
        format!("{{ cause = {}, factor = {} }}", quote_toml(word), format_number(*factor))
    });
    block.put_list("history", &format_list(history));
    let keep = fixing.keep.map(|k: KeepPlace| words::word_of(words::KEEPS, k));
    block.put_optional_text("keep", keep);
}
