//! Parts as text, each with its ways and fixings below it.

use super::text::{InlineTable, TableBlock, format_list, format_time, format_with_unit};
use super::{fixing, put_cautions, put_needs, put_supplies};
use crate::words;
use model::{Book, Part, PartId, RefitWait, Way};

pub(super) fn format_part(book: &Book, id: PartId) -> String {
    let part = book.part(id);
    let mut out = format_part_table(book, part);
    for item in &part.ways {
        out.push_str(&format_way(book, item));
    }
    for fixing_id in book.fixings_of(id) {
        out.push_str(&fixing::format_fixing(book, book.fixing(fixing_id)));
    }
    out
}

fn format_part_table(book: &Book, part: &Part) -> String {
    let mut block = TableBlock::new("[[part]]");
    block.put_text("key", &part.key);
    block.put_text("title", &part.title);
    block.put_text("mass", &format_with_unit(part.mass.as_kg(), "kg"));
    block.put_flag("helper", part.helper);
    block.put_text("station", &book.station(part.station).key);
    put_needs(&mut block, book, &part.needs);
    block.put_names("uncovers", part.uncovers.iter().map(|o| book.opening(*o).key.as_str()));
    block.put_text("lift_time", &format_time(part.lift_time));
    block.put_text("place_time", &format_time(part.place_time));
    put_supplies(&mut block, "renew_with", &part.renew_with);
    block.put_list("refit_wait", &format_list(part.refit_waits.iter().map(format_refit_wait)));
    let tools = part.special_tools.iter().map(|id| book.special_tools[id.index()].key.as_str());
    block.put_names("special_tools", tools);
    block.put_flag("brittle", part.brittle);
    put_cautions(&mut block, &part.cautions);
    block.put_optional_text("tip", part.tip.as_deref());
    block.finish()
}

fn format_refit_wait(wait: &RefitWait) -> String {
    let mut item = InlineTable::default();
    item.put_text("title", &wait.title);
    item.put_text("time", &format_time(wait.time));
    item.put_text("holds_back", words::word_of(words::HOLDS_BACK, wait.holds_back));
    item.finish()
}

fn format_way(book: &Book, way: &Way) -> String {
    let mut block = TableBlock::new("[[part.way]]");
    block.put_text("key", &way.key);
    block.put_text("title", &way.title);
    put_needs(&mut block, book, &way.needs);
    block.put_optional_text("station", way.station.map(|s| book.station(s).key.as_str()));
    block.finish()
}
