//! Writes a book back to text, such that reading the text gives the same book again.
//!
//! Only what differs from the format's defaults is written. Figures are written with as many digits as they need and
//! in the base unit; passes of tightening stand as the book wrote them. The law `read(write(b)) == b` holds for every
//! book whose fixings follow their parts in order, as those of a read book do.

mod access;
mod fixing;
mod part;
mod text;

use crate::syntax::FORMAT;
use model::{Book, Caution, Condition, Need, Opening, SpecialTool, Station, Supply, Task};
pub(crate) use text::quoted;
use text::{Block, Inline, list, money, time};

/// The text of a book in the book format, one file.
#[must_use]
pub fn write(book: &Book) -> String {
    let mut out = head(book);
    let stations = book.stations.iter().map(station);
    let conditions = book.conditions.iter().map(|c| condition(book, c));
    let openings = book.openings.iter().map(opening);
    let tools = book.special_tools.iter().map(special_tool);
    for block in stations.chain(conditions).chain(openings).chain(tools) {
        out.push_str(&block);
    }
    for id in book.part_ids() {
        out.push_str(&part::part(book, id));
    }
    for item in &book.tasks {
        out.push_str(&task(book, item));
    }
    out
}

fn head(book: &Book) -> String {
    let mut block = Block::head();
    block.text("format", FORMAT);
    block.text("key", &book.key);
    block.text("title", &book.title);
    block.text("origin", &book.origin);
    block.text("currency", &book.currency);
    block.finish()
}

fn station(station: &Station) -> String {
    let mut block = Block::new("[[station]]");
    block.text("key", &station.key);
    block.text("title", &station.title);
    block.text("enter", &time(station.enter));
    block.text("hand_force", &text::with_unit(station.hand_force.as_n(), "N"));
    cautions(&mut block, &station.cautions);
    block.finish()
}

fn condition(book: &Book, condition: &Condition) -> String {
    let mut block = Block::new("[[condition]]");
    block.text("key", &condition.key);
    block.text("title", &condition.title);
    block.text("kind", crate::words::word_of(crate::words::CONDITION_KINDS, condition.kind));
    block.text("establish", &condition.establish);
    block.text_if("restore", condition.restore.as_deref());
    block.text("establish_time", &time(condition.establish_time));
    block.text("restore_time", &time(condition.restore_time));
    block.text("hold_up", &time(condition.hold_up));
    needs(&mut block, book, &condition.needs);
    block.text("station", &book.station(condition.station).key);
    supplies(&mut block, "supplies", &condition.supplies);
    cautions(&mut block, &condition.cautions);
    block.flag("safety", condition.safety);
    block.finish()
}

fn opening(opening: &Opening) -> String {
    let mut block = Block::new("[[opening]]");
    block.text("key", &opening.key);
    block.text("title", &opening.title);
    block.text_if("cap", opening.cap.as_deref());
    block.raw("count", &opening.count.to_string());
    block.finish()
}

fn special_tool(tool: &SpecialTool) -> String {
    let mut block = Block::new("[[special_tool]]");
    block.text("key", &tool.key);
    block.text("title", &tool.title);
    block.text("specification", &tool.specification);
    block.flag("can_be_made", tool.can_be_made);
    block.finish()
}

fn task(book: &Book, task: &Task) -> String {
    let mut block = Block::new("[[task]]");
    block.text("key", &task.key);
    block.text("title", &task.title);
    block.text("kind", crate::words::word_of(crate::words::TASK_KINDS, task.kind));
    needs(&mut block, book, &task.needs);
    block.text("work", &time(task.work));
    block.text("station", &book.station(task.station).key);
    supplies(&mut block, "supplies", &task.supplies);
    let tools = task.special_tools.iter().map(|id| book.special_tools[id.index()].key.as_str());
    block.names("special_tools", tools);
    block.text_if("leaving", task.leaving.map(money).as_deref());
    cautions(&mut block, &task.cautions);
    block.text_if("note", task.note.as_deref());
    block.finish()
}

/// Needs as two lists: parts, then conditions, each in the book's order.
fn needs(block: &mut Block, book: &Book, needs: &[Need]) {
    let parts = needs.iter().filter_map(|n| match n {
        Need::Off(part) => Some(book.part(*part).key.as_str()),
        Need::Condition(_) => None,
    });
    block.names("off_first", parts);
    let conditions = needs.iter().filter_map(|n| match n {
        Need::Condition(condition) => Some(book.condition(*condition).key.as_str()),
        Need::Off(_) => None,
    });
    block.names("conditions", conditions);
}

fn supplies(block: &mut Block, key: &str, supplies: &[Supply]) {
    let line = |supply: &Supply| {
        let mut item = Inline::default();
        item.text("name", &supply.name);
        item.raw("count", &supply.count.to_string());
        item.text_if("price", supply.price_cents.map(money).as_deref());
        item.flag("before_start", supply.before_start);
        item.finish()
    };
    block.list(key, &list(supplies.iter().map(line)));
}

fn cautions(block: &mut Block, cautions: &[Caution]) {
    let line = |caution: &Caution| {
        let word = quoted(&caution.word.to_string());
        format!("{{ word = {word}, text = {} }}", quoted(&caution.text))
    };
    block.list("cautions", &list(cautions.iter().map(line)));
}
