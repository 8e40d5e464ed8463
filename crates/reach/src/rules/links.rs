//! The way of the links: do the squares of a stack go one way, from the grip outward?
//!
//! With a bit's hexagonal shank at the grip left out, links never become smaller or never become larger, and a link that
//! was left does not come back. So an adapter up and one down are no extension.
//!
//! Worked example: a 3/8 in socket, an adapter to 1/4 in and one back to 3/8 in come back to a link that was left. A bit in a
//! holder with a 3/8 in square and an adapter to a 1/4 in ratchet leave the shank, then become smaller: they are allowed.

use crate::index::link_position;
use model::{Piece, PieceLink};

/// The links from the grip outward, as far as a chain has grown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct LinkCourse {
    /// The outermost link, by position in [`PieceLink::ALL`].
    pub last: usize,
    /// Links that were left, one bit each.
    left: u8,
    rises: bool,
    falls: bool,
}

impl LinkCourse {
    /// Of a grip alone.
    pub const fn from_grip(link: usize) -> Self {
        Self { last: link, left: 0, rises: false, falls: false }
    }

    /// With one piece more, whose outer link is at a position; `None` where that turns back.
    pub fn go_on(self, link: usize) -> Option<Self> {
        if link == self.last {
            return Some(self);
        }
        let leaves_shank = self.left == 0 && self.last == link_position(PieceLink::Hex6);
        let course = Self {
            last: link,
            left: self.left | 1 << self.last,
            rises: self.rises || (link > self.last && !leaves_shank),
            falls: self.falls || link < self.last,
        };
        let comes_back = self.left & 1 << link != 0;
        (!(comes_back || course.rises && course.falls)).then_some(course)
    }
}

/// Whether the links of a linked chain go one way.
pub(crate) fn do_links_go_one_way(chain: &[&Piece]) -> bool {
    let mut links = chain.iter().filter_map(|p| p.toward_hand).map(link_position);
    let Some(first) = links.next() else { return true };
    links.try_fold(LinkCourse::from_grip(first), LinkCourse::go_on).is_some()
}
