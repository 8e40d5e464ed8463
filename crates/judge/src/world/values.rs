//! The replayed world: the value of each setting, the standing of each part, and the fasteners that are undone.

use crate::replay::{FastenerTouch, wanted_stages};
use model::progress::Progress;
use model::{
    Act, Book, FixingId, PartId, PartStanding, Setting, SettingEffect, SettingId, ValueMask, WorldNeed,
    WorldThing,
};
use std::collections::BTreeMap;

/// Whether a set of values holds a value.
pub(super) fn is_value_in(values: ValueMask, value: u8) -> bool {
    value < 16 && values >> value & 1 == 1
}

/// The values of a set in words: `low or chest`.
pub(super) fn value_words(setting: &Setting, values: ValueMask) -> String {
    let words = setting.values.iter().enumerate().filter(|(at, _)| is_value_in(values, *at as u8));
    words.map(|(_, word)| word.as_str()).collect::<Vec<_>>().join(" or ")
}

/// The value of every setting and the standing of every part at one moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct WorldMoment {
    /// In the order of the book's settings.
    pub settings: Vec<u8>,
    /// In the order of the book's parts.
    pub standings: Vec<PartStanding>,
}

impl WorldMoment {
    /// Whether a thing has one of the values of a need.
    pub fn allows(&self, need: &WorldNeed) -> bool {
        is_value_in(need.values, self.value(need.thing))
    }

    /// Whether all needs hold; so they do where there are none.
    pub fn allows_all(&self, needs: &[WorldNeed]) -> bool {
        needs.iter().all(|need| self.allows(need))
    }

    fn value(&self, thing: WorldThing) -> u8 {
        match thing {
            WorldThing::Setting(id) => self.settings.get(id.index()).copied().unwrap_or_default(),
            WorldThing::Part(id) => self.standing(id).index(),
        }
    }

    pub fn standing(&self, part: PartId) -> PartStanding {
        self.standings.get(part.index()).copied().unwrap_or(PartStanding::Held)
    }

    /// Whether a part is off.
    pub fn is_off(&self, part: PartId) -> bool {
        self.standing(part) == PartStanding::Off
    }

    /// A thing and what it stands at: `` `lift` is at `ground` ``.
    pub fn standing_words(&self, book: &Book, thing: WorldThing) -> String {
        match thing {
            WorldThing::Setting(id) => {
                let setting = book.setting(id);
                format!("`{}` is at `{}`", setting.key, setting.word(self.value(thing)))
            }
            WorldThing::Part(id) => {
                format!("part `{}` is `{}`", book.part(id).key, self.standing(id).spoken_word())
            }
        }
    }

    /// Who needs what, and what it stands at instead.
    pub fn unmet_words(&self, book: &Book, asker: &str, need: &WorldNeed) -> String {
        let wanted = match need.thing {
            WorldThing::Setting(id) => value_words(book.setting(id), need.values),
            WorldThing::Part(_) => {
                let standings = [PartStanding::Held, PartStanding::Loose, PartStanding::Off];
                let wanted = standings.into_iter().filter(|s| need.values & s.bit() != 0);
                wanted.map(PartStanding::spoken_word).collect::<Vec<_>>().join(" or ")
            }
        };
        format!("{asker}: {}, and is to be `{wanted}`", self.standing_words(book, need.thing))
    }
}

/// The world of a book while steps are replayed.
pub(super) struct ReplayedWorld<'a> {
    book: &'a Book,
    moment: WorldMoment,
    /// The fasteners that do not hold, with the passes of tightening that each has been through since it was run in.
    undone: BTreeMap<(FixingId, u16), usize>,
}

impl<'a> ReplayedWorld<'a> {
    /// The world of a progress: settings that it does not tell are at the book's start, parts and fasteners untouched.
    pub fn begin(book: &'a Book, progress: &Progress) -> Self {
        let told = |setting: &Setting| setting.value_by_word(progress.settings.get(&setting.key)?);
        let settings = book.settings.iter().map(|s| told(s).unwrap_or(s.start)).collect();
        let standings = book.parts.iter().map(|part| match progress.parts_off.contains(&part.key) {
            true => PartStanding::Off,
            false => PartStanding::Held,
        });
        let moment = WorldMoment { settings, standings: standings.collect() };
        let mut world = Self { book, moment, undone: BTreeMap::new() };
        for id in book.fixing_ids() {
            for (at, hole) in book.fixing(id).holes.iter().enumerate() {
                let fastener = progress.fastener(&book.fixing(id).key, &hole.label);
                if !fastener.state.is_closed() {
                    world.undone.insert((id, at as u16), usize::from(fastener.passes));
                }
            }
        }
        book.part_ids().for_each(|part| world.stand_part(part));
        world
    }

    /// How everything stands now.
    pub const fn values(&self) -> &WorldMoment {
        &self.moment
    }

    /// Whether all fasteners of a fixing hold.
    pub fn is_done(&self, fixing: FixingId) -> bool {
        !self.undone.keys().any(|(id, _)| *id == fixing)
    }

    /// Lifts a part off, or sets it in place.
    pub fn move_part(&mut self, part: PartId, standing: PartStanding) {
        if let Some(now) = self.moment.standings.get_mut(part.index()) {
            *now = standing;
        }
        self.stand_part(part);
    }

    /// A part in place is held where all its fasteners hold, else loose.
    fn stand_part(&mut self, part: PartId) {
        let is_undone = self.undone.keys().any(|(id, _)| self.book.fixing(*id).part == part);
        let in_place = if is_undone { PartStanding::Loose } else { PartStanding::Held };
        if let Some(now) = self.moment.standings.get_mut(part.index()).filter(|s| **s != PartStanding::Off) {
            *now = in_place;
        }
    }

    /// Does one act to one fastener.
    pub fn touch_fastener(&mut self, touch: FastenerTouch) {
        let fixing = self.book.fixing(touch.fixing);
        let key = (touch.fixing, touch.hole);
        let passes = match touch.act {
            Act::Free | Act::RunOut | Act::RunIn => 0,
            Act::Tighten => self.undone.get(&key).map_or(0, |passes| passes + 1),
        };
        let is_through = passes >= wanted_stages(fixing).len();
        match touch.act {
            Act::RunIn | Act::Tighten if is_through => _ = self.undone.remove(&key),
            Act::Free | Act::RunOut | Act::RunIn | Act::Tighten => _ = self.undone.insert(key, passes),
        }
        self.stand_part(fixing.part);
    }

    /// A fastener no longer holds.
    pub fn bring_out(&mut self, fixing: FixingId, hole: u16) {
        self.undone.insert((fixing, hole), 0);
        self.stand_part(self.book.fixing(fixing).part);
    }

    /// Gives settings their new values.
    pub fn apply_effects(&mut self, effects: &[SettingEffect]) {
        for effect in effects {
            self.set_value(effect.setting, effect.value);
        }
    }

    fn set_value(&mut self, setting: SettingId, value: u8) {
        if let Some(now) = self.moment.settings.get_mut(setting.index()) {
            *now = value;
        }
    }
}
