//! Accesses as text: as tables below their fixing, and inline for the side that is held.

use super::text::{Block, Inline, list, number, with_unit};
use crate::words;
use model::{Access, AccessBend, Book, CounterHold, Fixing, Segment, SideRoom, Swing};

pub(super) fn table(book: &Book, fixing: &Fixing, access: &Access) -> String {
    let mut block = Block::new("[[part.fixing.access]]");
    if access.holes.len() != fixing.holes.len() {
        let labels = access.holes.iter().map(|h| fixing.holes[usize::from(*h)].label.as_str());
        block.names("holes", labels);
    }
    let ways = &book.part(fixing.part).ways;
    block.text_if("way", access.way.map(|w| ways[usize::from(w)].key.as_str()));
    space(&mut block, book, access);
    if let Some(hold) = &access.counter_hold {
        block.raw("counter_hold", &counter_hold(book, hold));
    }
    block.finish()
}

/// What the held side's access has too.
fn space(item: &mut Inline, book: &Book, access: &Access) {
    item.text_if("station", access.station.map(|s| book.station(s).key.as_str()));
    item.raw("corridor", &list(access.corridor.iter().map(segment)));
    item.list("bends", &list(access.bends.iter().map(bend)));
    item.raw("headroom", &number(access.headroom.as_mm()));
    item.list("swings", &list(access.swings.iter().map(swing)));
    if let Some(room) = &access.side {
        item.raw("side", &side(room));
    }
    item.text("sight", words::word_of(words::SIGHTS, access.sight));
    item.names("drop_over", access.drop_over.iter().map(|o| book.opening(*o).key.as_str()));
}

fn segment(segment: &Segment) -> String {
    let mut item = Inline::default();
    if let Some(length) = segment.length {
        item.raw("length", &number(length.as_mm()));
    }
    item.raw("clear", &number(segment.clear.as_mm()));
    item.finish()
}

fn bend(bend: &AccessBend) -> String {
    let mut item = Inline::default();
    item.raw("at", &number(bend.at.as_mm()));
    item.text("angle", &with_unit(bend.angle.as_deg(), "°"));
    item.finish()
}

fn swing(swing: &Swing) -> String {
    let mut item = Inline::default();
    item.raw("radius", &number(swing.radius.as_mm()));
    item.text("arc", &with_unit(swing.arc.as_deg(), "°"));
    item.finish()
}

fn side(room: &SideRoom) -> String {
    let mut item = Inline::default();
    item.raw("radial", &number(room.radial.as_mm()));
    item.raw("height", &number(room.height.as_mm()));
    item.raw("reach", &number(room.reach.as_mm()));
    item.raw("headroom", &number(room.headroom.as_mm()));
    item.list("swings", &list(room.swings.iter().map(swing)));
    item.finish()
}

fn counter_hold(book: &Book, hold: &CounterHold) -> String {
    let mut access = Inline::default();
    space(&mut access, book, &hold.access);
    let mut item = Inline::default();
    item.text("drive", &hold.drive.to_string());
    item.raw("grip_height", &number(hold.grip_height.as_mm()));
    item.raw("access", &access.finish());
    item.finish()
}
