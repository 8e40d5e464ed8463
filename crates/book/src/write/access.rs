//! Accesses as text: as tables below their fixing, and inline for the side that is held.

use super::text::{InlineTable, TableBlock, format_list, format_number, format_with_unit};
use crate::words;
use model::{Access, AccessBend, Book, CorridorSegment, CounterHold, Fixing, SideRoom, Swing};

pub(super) fn format_access(book: &Book, fixing: &Fixing, access: &Access) -> String {
    let mut block = TableBlock::new("[[part.fixing.access]]");
    if access.holes.len() != fixing.holes.len() {
        let labels = access.holes.iter().map(|h| fixing.holes[usize::from(*h)].label.as_str());
        block.put_names("holes", labels);
    }
    let ways = &book.part(fixing.part).ways;
    block.put_optional_text("way", access.way.map(|w| ways[usize::from(w)].key.as_str()));
    put_access_space(&mut block, book, access);
    if let Some(hold) = &access.counter_hold {
        block.put_raw("counter_hold", &format_counter_hold(book, hold));
    }
    block.finish()
}

/// What the held side's access has too.
fn put_access_space(item: &mut InlineTable, book: &Book, access: &Access) {
    item.put_optional_text("station", access.station.map(|s| book.station(s).key.as_str()));
    item.put_raw("corridor", &format_list(access.corridor.iter().map(format_segment)));
    item.put_list("bends", &format_list(access.bends.iter().map(format_bend)));
    item.put_raw("headroom", &format_number(access.headroom.as_mm()));
    item.put_list("swings", &format_list(access.swings.iter().map(format_swing)));
    if let Some(room) = &access.side {
        item.put_raw("side", &format_side_room(room));
    }
    item.put_text("sight", words::word_of(words::SIGHTS, access.sight));
    item.put_names("drop_over", access.drop_over.iter().map(|o| book.opening(*o).key.as_str()));
}

fn format_segment(segment: &CorridorSegment) -> String {
    let mut item = InlineTable::default();
    if let Some(length) = segment.length {
        item.put_raw("length", &format_number(length.as_mm()));
    }
    item.put_raw("clear", &format_number(segment.clear.as_mm()));
    item.finish()
}

fn format_bend(bend: &AccessBend) -> String {
    let mut item = InlineTable::default();
    item.put_raw("at", &format_number(bend.at.as_mm()));
    item.put_text("angle", &format_with_unit(bend.angle.as_deg(), "°"));
    item.finish()
}

fn format_swing(swing: &Swing) -> String {
    let mut item = InlineTable::default();
    item.put_raw("radius", &format_number(swing.radius.as_mm()));
    item.put_text("arc", &format_with_unit(swing.arc.as_deg(), "°"));
    item.finish()
}

fn format_side_room(room: &SideRoom) -> String {
    let mut item = InlineTable::default();
    item.put_raw("radial", &format_number(room.radial.as_mm()));
    item.put_raw("height", &format_number(room.height.as_mm()));
    item.put_raw("reach", &format_number(room.reach.as_mm()));
    item.put_raw("headroom", &format_number(room.headroom.as_mm()));
    item.put_list("swings", &format_list(room.swings.iter().map(format_swing)));
    item.finish()
}

fn format_counter_hold(book: &Book, hold: &CounterHold) -> String {
    let mut access = InlineTable::default();
    put_access_space(&mut access, book, &hold.access);
    let mut item = InlineTable::default();
    item.put_text("drive", &hold.drive.to_string());
    item.put_raw("grip_height", &format_number(hold.grip_height.as_mm()));
    item.put_raw("access", &access.finish());
    item.finish()
}
