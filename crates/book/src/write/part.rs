//! Parts as text, each with its ways and fixings below it.

use super::text::{Block, Inline, list, time, with_unit};
use super::{cautions, fixing, needs, supplies};
use crate::words;
use model::{Book, Part, PartId, RefitWait, Way};

pub(super) fn part(book: &Book, id: PartId) -> String {
    let part = book.part(id);
    let mut out = table(book, part);
    for item in &part.ways {
        out.push_str(&way(book, item));
    }
    for fixing_id in book.fixings_of(id) {
        out.push_str(&fixing::fixing(book, book.fixing(fixing_id)));
    }
    out
}

fn table(book: &Book, part: &Part) -> String {
    let mut block = Block::new("[[part]]");
    block.text("key", &part.key);
    block.text("title", &part.title);
    block.text("mass", &with_unit(part.mass.as_kg(), "kg"));
    block.flag("helper", part.helper);
    block.text("station", &book.station(part.station).key);
    needs(&mut block, book, &part.needs);
    block.names("uncovers", part.uncovers.iter().map(|o| book.opening(*o).key.as_str()));
    block.text("lift_time", &time(part.lift_time));
    block.text("place_time", &time(part.place_time));
    supplies(&mut block, "renew_with", &part.renew_with);
    block.list("refit_wait", &list(part.refit_waits.iter().map(refit_wait)));
    let tools = part.special_tools.iter().map(|id| book.special_tools[id.index()].key.as_str());
    block.names("special_tools", tools);
    block.flag("brittle", part.brittle);
    cautions(&mut block, &part.cautions);
    block.text_if("tip", part.tip.as_deref());
    block.finish()
}

fn refit_wait(wait: &RefitWait) -> String {
    let mut item = Inline::default();
    item.text("title", &wait.title);
    item.text("time", &time(wait.time));
    item.text("holds_back", words::word_of(words::HOLDS_BACK, wait.holds_back));
    item.finish()
}

fn way(book: &Book, way: &Way) -> String {
    let mut block = Block::new("[[part.way]]");
    block.text("key", &way.key);
    block.text("title", &way.title);
    needs(&mut block, book, &way.needs);
    block.text_if("station", way.station.map(|s| book.station(s).key.as_str()));
    block.finish()
}
