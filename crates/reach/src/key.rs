//! Signatures: duties whose signature is the same are answered by one search.

use crate::site::{ReachSite, ReachWork};
use model::{Access, Book, Duty, StageTarget, Swing};

/// The figures of a space, or of a whole duty, as plain bits.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(crate) struct SpaceKey(Vec<u64>);

impl SpaceKey {
    fn push(&mut self, figure: f64) {
        self.0.push(figure.to_bits());
    }

    fn push_count(&mut self, count: usize) {
        self.0.push(count as u64);
    }

    fn push_swings(&mut self, swings: &[Swing]) {
        self.push_count(swings.len());
        for swing in swings {
            self.push(swing.radius.as_mm());
            self.push(swing.arc.as_deg());
        }
    }

    fn push_site(&mut self, site: &ReachSite) {
        self.push_count(site.drive.form() as usize);
        self.push(site.drive.size());
        self.push_count(usize::from(site.has_pipe));
        self.push(site.grip_height_mm);
        self.push(site.protrusion_mm);
        self.push_access(site.access);
    }

    fn push_access(&mut self, access: &Access) {
        self.push(access.headroom.as_mm());
        self.push_count(access.corridor.len());
        for segment in &access.corridor {
            self.push(segment.length.map_or(-1.0, units::Length::as_mm));
            self.push(segment.clear.as_mm());
        }
        self.push_count(access.bends.len());
        for bend in &access.bends {
            self.push(bend.at.as_mm());
            self.push(bend.angle.as_deg());
        }
        self.push_swings(&access.swings);
        self.push_count(usize::from(access.side.is_some()));
        if let Some(side) = &access.side {
            for figure in [side.radial, side.height, side.reach, side.headroom] {
                self.push(figure.as_mm());
            }
            self.push_swings(&side.swings);
        }
    }

    fn push_work(&mut self, work: &ReachWork) {
        self.push_count(work.act as usize);
        self.push(work.torque.map_or(-1.0, units::Torque::as_n_m));
        self.push(work.tighten.map_or(-1.0, units::Torque::as_n_m));
        self.push(work.tolerance_fraction);
        for is_so in [work.wants_retention, work.is_critical, work.is_risky] {
            self.push_count(usize::from(is_so));
        }
        self.push_count(match work.target {
            None => 0,
            Some(StageTarget::Torque(_)) => 1,
            Some(StageTarget::Angle(_)) => 2,
            Some(StageTarget::Seat) => 3,
            Some(StageTarget::ByFeel) => 4,
            Some(StageTarget::NotKnown) => 5,
            Some(StageTarget::Loosen) => 6,
        });
    }

    /// All that the nearest miss of a duty depends on.
    pub fn of_miss(book: &Book, duty: Duty) -> Self {
        let mut key = space_key(book, duty);
        for site in [ReachSite::of_duty(book, duty), ReachSite::of_hold(book, duty)].iter().flatten() {
            key.push(site.hand_force.as_n());
        }
        if let Some(work) = ReachWork::of_duty(book, duty) {
            key.push_work(&work);
        }
        key
    }
}

/// The space on both sides of a duty's fastener.
pub(crate) fn space_key(book: &Book, duty: Duty) -> SpaceKey {
    let mut key = SpaceKey::default();
    for site in [ReachSite::of_duty(book, duty), ReachSite::of_hold(book, duty)] {
        key.push_count(usize::from(site.is_some()));
        if let Some(site) = &site {
            key.push_site(site);
        }
    }
    key
}
