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
pub(crate) use text::quote_toml;
use text::{InlineTable, TableBlock, format_list, format_money, format_time};

/// The text of a book in the book format, one file.
#[must_use]
pub fn write_book(book: &Book) -> String {
    let mut out = format_book_head(book);
    let stations = book.stations.iter().map(format_station);
    let conditions = book.conditions.iter().map(|c| format_condition(book, c));
    let openings = book.openings.iter().map(format_opening);
    let tools = book.special_tools.iter().map(format_special_tool);
    for block in stations.chain(conditions).chain(openings).chain(tools) {
        out.push_str(&block);
    }
    for id in book.part_ids() {
        out.push_str(&part::format_part(book, id));
    }
    for item in &book.tasks {
        out.push_str(&format_task(book, item));
    }
    out
}

fn format_book_head(book: &Book) -> String {
    let mut block = TableBlock::without_heading();
    block.put_text("format", FORMAT);
    block.put_text("key", &book.key);
    block.put_text("title", &book.title);
    block.put_text("origin", &book.origin);
    block.put_text("currency", &book.currency);
    block.finish()
}

fn format_station(station: &Station) -> String {
    let mut block = TableBlock::new("[[station]]");
    block.put_text("key", &station.key);
    block.put_text("title", &station.title);
    block.put_text("enter", &format_time(station.enter));
    block.put_text("hand_force", &text::format_with_unit(station.hand_force.as_n(), "N"));
    put_cautions(&mut block, &station.cautions);
    block.finish()
}

fn format_condition(book: &Book, condition: &Condition) -> String {
    let mut block = TableBlock::new("[[condition]]");
    block.put_text("key", &condition.key);
    block.put_text("title", &condition.title);
    block.put_text("kind", crate::words::word_of(crate::words::CONDITION_KINDS, condition.kind));
    block.put_text("establish", &condition.establish);
    block.put_optional_text("restore", condition.restore.as_deref());
    block.put_text("establish_time", &format_time(condition.establish_time));
    block.put_text("restore_time", &format_time(condition.restore_time));
    block.put_text("hold_up", &format_time(condition.hold_up));
    put_needs(&mut block, book, &condition.needs);
    block.put_text("station", &book.station(condition.station).key);
    put_supplies(&mut block, "supplies", &condition.supplies);
    put_cautions(&mut block, &condition.cautions);
    block.put_flag("safety", condition.safety);
    block.finish()
}

fn format_opening(opening: &Opening) -> String {
    let mut block = TableBlock::new("[[opening]]");
    block.put_text("key", &opening.key);
    block.put_text("title", &opening.title);
    block.put_optional_text("cap", opening.cap.as_deref());
    block.put_raw("count", &opening.count.to_string());
    block.finish()
}

fn format_special_tool(tool: &SpecialTool) -> String {
    let mut block = TableBlock::new("[[special_tool]]");
    block.put_text("key", &tool.key);
    block.put_text("title", &tool.title);
    block.put_text("specification", &tool.specification);
    block.put_flag("can_be_made", tool.can_be_made);
    block.finish()
}

fn format_task(book: &Book, task: &Task) -> String {
    let mut block = TableBlock::new("[[task]]");
    block.put_text("key", &task.key);
    block.put_text("title", &task.title);
    block.put_text("kind", crate::words::word_of(crate::words::TASK_KINDS, task.kind));
    put_needs(&mut block, book, &task.needs);
    block.put_text("work", &format_time(task.work));
    block.put_text("station", &book.station(task.station).key);
    put_supplies(&mut block, "supplies", &task.supplies);
    let tools = task.special_tools.iter().map(|id| book.special_tools[id.index()].key.as_str());
    block.put_names("special_tools", tools);
    block.put_optional_text("leaving", task.leaving.map(format_money).as_deref());
    put_cautions(&mut block, &task.cautions);
    block.put_optional_text("note", task.note.as_deref());
    block.finish()
}

/// Needs as two lists: parts, then conditions, each in the book's order.
fn put_needs(block: &mut TableBlock, book: &Book, needs: &[Need]) {
    let parts = needs.iter().filter_map(|n| match n {
        Need::Off(part) => Some(book.part(*part).key.as_str()),
        Need::Condition(_) => None,
    });
    block.put_names("off_first", parts);
    let conditions = needs.iter().filter_map(|n| match n {
        Need::Condition(condition) => Some(book.condition(*condition).key.as_str()),
        Need::Off(_) => None,
    });
    block.put_names("conditions", conditions);
}

fn put_supplies(block: &mut TableBlock, key: &str, supplies: &[Supply]) {
    let line = |supply: &Supply| {
        let mut item = InlineTable::default();
        item.put_text("name", &supply.name);
        item.put_raw("count", &supply.count.to_string());
        item.put_optional_text("price", supply.price_cents.map(format_money).as_deref());
        item.put_flag("before_start", supply.before_start);
        item.finish()
    };
    block.put_list(key, &format_list(supplies.iter().map(line)));
}

fn put_cautions(block: &mut TableBlock, cautions: &[Caution]) {
    let line = |caution: &Caution| {
        let word = quote_toml(&caution.word.to_string());
        format!("{{ word = {word}, text = {} }}", quote_toml(&caution.text))
    };
    block.put_list("cautions", &format_list(cautions.iter().map(line)));
}
