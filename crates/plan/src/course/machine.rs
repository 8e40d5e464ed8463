//! The world of a book compiled for the search: values of all things in one word, events that check and change it, ways.

use std::collections::BTreeMap;

use model::{
    Book, PartId, PartStanding, SettingEffect, SettingId, SettingKind, ValueMask, WorldNeed, WorldRule,
    WorldRuleKind, WorldThing,
};

/// The things that one world can hold; more is a fault of the book.
pub const MAX_WORLD_THINGS: usize = 64;
/// Bits of one value.
const VALUE_BITS: usize = 4;
/// Values in one word.
const VALUES_PER_WORD: usize = 64 / VALUE_BITS;

/// The value of every thing, four bits each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct PackedWorld([u64; MAX_WORLD_THINGS / VALUES_PER_WORD]);

impl PackedWorld {
    /// The value of a thing.
    #[must_use]
    pub const fn value(&self, thing: u8) -> u8 {
        let at = thing as usize;
        (self.0[at / VALUES_PER_WORD] >> (at % VALUES_PER_WORD * VALUE_BITS) & 0xf) as u8
    }

    /// Gives a thing a value.
    pub const fn set_value(&mut self, thing: u8, value: u8) {
        let (word, shift) = (thing as usize / VALUES_PER_WORD, thing as usize % VALUES_PER_WORD * VALUE_BITS);
        self.0[word] = self.0[word] & !(0xf << shift) | (value as u64 & 0xf) << shift;
    }

    /// Whether a thing has one of some values.
    #[must_use]
    pub const fn is_any(&self, need: &CompiledNeed) -> bool {
        need.values >> self.value(need.thing) & 1 == 1
    }

    /// Whether all needs hold.
    #[must_use]
    pub fn has_all(&self, needs: &[CompiledNeed]) -> bool {
        needs.iter().all(|need| self.is_any(need))
    }
}

/// Values of one thing of which one has to hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct CompiledNeed {
    /// Position of the thing.
    pub thing: u8,
    /// The values that do.
    pub values: ValueMask,
}

/// One moment of a step: what has to hold, and what is so afterwards.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WorldEvent {
    /// What has to hold when it begins.
    pub needs: Vec<CompiledNeed>,
    /// A part that stands loose afterwards where it was held before.
    pub loosens: Option<u8>,
    /// New values.
    pub sets: Vec<(u8, u8)>,
}

/// A way between the values of a setting.
#[derive(Debug, Clone, PartialEq)]
pub struct CompiledWay {
    /// The setting.
    pub setting: SettingId,
    /// Position of the way in the setting.
    pub way: usize,
    /// The values that it leads from, as a need of the setting itself.
    pub from: CompiledNeed,
    /// What has to hold, and what it sets: its own new value first.
    pub event: WorldEvent,
    /// Working position; nothing: wherever the mechanic is.
    pub station: Option<u16>,
    /// Hands-on seconds.
    pub time_s: f64,
    /// Whether it moves the lift.
    pub is_lift: bool,
}

/// A rule of the book.
#[derive(Debug, Clone, PartialEq)]
struct CompiledRule {
    kind: CompiledRuleKind,
    during: Vec<CompiledNeed>,
}

#[derive(Debug, Clone, PartialEq)]
enum CompiledRuleKind {
    AtLeastOne(Vec<CompiledNeed>),
    NeverTogether(Vec<CompiledNeed>),
    StaysStill(Vec<u8>),
}

impl CompiledRule {
    /// Whether a world keeps it; what stays still is a matter of changes.
    fn holds(&self, world: PackedWorld) -> bool {
        if !world.has_all(&self.during) {
            return true;
        }
        match &self.kind {
            CompiledRuleKind::AtLeastOne(needs) => needs.iter().any(|need| world.is_any(need)),
            CompiledRuleKind::NeverTogether(needs) => !world.has_all(needs),
            CompiledRuleKind::StaysStill(_) => true,
        }
    }
}

/// Settings, parts that rules and needs name, rules and ways.
#[derive(Debug, Clone, PartialEq)]
pub struct WorldMachine {
    setting_count: usize,
    part_things: BTreeMap<PartId, u8>,
    /// Things behind settings and parts that only units of the course speak of.
    mark_count: usize,
    rules: Vec<Option<CompiledRule>>,
    /// All ways, in the order of the book.
    pub ways: Vec<CompiledWay>,
    /// What has to hold to work at each station.
    pub station_needs: Vec<Vec<CompiledNeed>>,
    /// What has to hold at the end.
    pub goal: Vec<CompiledNeed>,
}

impl WorldMachine {
    /// The machine of a book's settings, needs and rules.
    #[must_use]
    pub fn new(book: &Book) -> Self {
        let setting_count = book.settings.len().min(MAX_WORLD_THINGS);
        let mut machine = Self {
            setting_count,
            part_things: BTreeMap::new(),
            mark_count: 0,
            rules: Vec::new(),
            ways: Vec::new(),
            station_needs: Vec::new(),
            goal: Vec::new(),
        };
        for part in watched_parts(book) {
            if machine.thing_count() < MAX_WORLD_THINGS {
                let thing = machine.thing_count() as u8;
                machine.part_things.insert(part, thing);
            }
        }
        machine.rules = book.rules.iter().map(|rule| Some(machine.compile_rule(rule))).collect();
        machine.station_needs = book.stations.iter().map(|s| machine.compile_needs(&s.needs)).collect();
        machine.goal = (0..setting_count)
            .map(|at| CompiledNeed { thing: at as u8, values: book.settings[at].end })
            .collect();
        machine.ways =
            book.settings.iter().enumerate().take(setting_count).fold(Vec::new(), |mut ways, (at, _)| {
                ways.extend(machine.compile_ways(book, SettingId::new(at)));
                ways
            });
        machine
    }

    fn thing_count(&self) -> usize {
        self.setting_count + self.part_things.len() + self.mark_count
    }

    /// One thing more, of which units make a mark: 0 at the start. Nothing where the world holds no more things.
    pub fn add_mark(&mut self) -> Option<u8> {
        let thing = self.thing_count();
        (thing < MAX_WORLD_THINGS).then(|| {
            self.mark_count += 1;
            thing as u8
        })
    }

    /// The world as the book has it when the vehicle comes in: settings at their start, parts held.
    #[must_use]
    pub fn start_world(&self, book: &Book) -> PackedWorld {
        let mut world = PackedWorld::default();
        for (at, setting) in book.settings.iter().enumerate().take(self.setting_count) {
            world.set_value(at as u8, setting.start);
        }
        world
    }

    /// The thing that a part is; nothing where no rule and no need names it.
    #[must_use]
    pub fn thing_of_part(&self, part: PartId) -> Option<u8> {
        self.part_things.get(&part).copied()
    }

    /// The needs in their compiled form; those of things that the machine does not hold are left out.
    #[must_use]
    pub fn compile_needs(&self, needs: &[WorldNeed]) -> Vec<CompiledNeed> {
        needs.iter().filter_map(|need| self.compile_need(*need)).collect()
    }

    fn compile_need(&self, need: WorldNeed) -> Option<CompiledNeed> {
        let thing = match need.thing {
            WorldThing::Setting(id) => Some(id.index()).filter(|at| *at < self.setting_count)? as u8,
            WorldThing::Part(part) => self.thing_of_part(part)?,
        };
        Some(CompiledNeed { thing, values: need.values })
    }

    /// What an act sets, in compiled form.
    pub fn compile_effects<'a>(
        &'a self,
        sets: &'a [SettingEffect],
    ) -> impl Iterator<Item = (u8, u8)> + use<'a> {
        let known = sets.iter().filter(|set| set.setting.index() < self.setting_count);
        known.map(|set| (set.setting.index() as u8, set.value))
    }

    fn compile_rule(&self, rule: &WorldRule) -> CompiledRule {
        let kind = match &rule.kind {
            WorldRuleKind::AtLeastOne(needs) => CompiledRuleKind::AtLeastOne(self.compile_needs(needs)),
            WorldRuleKind::NeverTogether(needs) => CompiledRuleKind::NeverTogether(self.compile_needs(needs)),
            WorldRuleKind::StaysStill(settings) => {
                CompiledRuleKind::StaysStill(settings.iter().map(|s| s.index() as u8).collect())
            }
        };
        CompiledRule { kind, during: self.compile_needs(&rule.during) }
    }

    fn compile_ways(&self, book: &Book, id: SettingId) -> Vec<CompiledWay> {
        let setting = book.setting(id);
        let thing = id.index() as u8;
        let compile = |(at, way): (usize, &model::SettingWay)| {
            let mut needs = self.compile_needs(&way.needs);
            if let Some(station) = way.station {
                needs.extend(self.station_needs[station.index()].iter().copied());
            }
            let own = core::iter::once((thing, way.to));
            let sets = own.chain(self.compile_effects(&way.sets)).collect();
            CompiledWay {
                setting: id,
                way: at,
                from: CompiledNeed { thing, values: way.from },
                event: WorldEvent { needs, loosens: None, sets },
                station: way.station.map(|s| s.index() as u16),
                time_s: way.time_s(),
                is_lift: setting.kind == SettingKind::Lift,
            }
        };
        setting.ways.iter().enumerate().map(compile).collect()
    }

    /// The machine without one of its rules.
    #[must_use]
    pub fn without_rule(&self, rule: usize) -> Self {
        let mut machine = self.clone();
        if let Some(rule) = machine.rules.get_mut(rule) {
            *rule = None;
        }
        machine
    }

    /// The things that stand in a rule with another.
    pub fn things_ruled_with(&self, thing: u8) -> impl Iterator<Item = u8> + '_ {
        let things = |rule: &CompiledRule| {
            let mut all: Vec<u8> = rule.during.iter().map(|need| need.thing).collect();
            match &rule.kind {
                CompiledRuleKind::AtLeastOne(needs) | CompiledRuleKind::NeverTogether(needs) => {
                    all.extend(needs.iter().map(|need| need.thing));
                }
                CompiledRuleKind::StaysStill(still) => all.extend(still),
            }
            all
        };
        self.rules.iter().flatten().map(things).filter(move |all| all.contains(&thing)).flatten()
    }

    /// The world after an event; nothing where a need does not hold or a rule would be broken.
    #[must_use]
    pub fn after_event(&self, world: PackedWorld, event: &WorldEvent) -> Option<PackedWorld> {
        if !world.has_all(&event.needs) {
            return None;
        }
        let mut next = world;
        if let Some(part) = event.loosens.filter(|part| world.value(*part) == PartStanding::Held.index()) {
            next.set_value(part, PartStanding::Loose.index());
        }
        event.sets.iter().for_each(|(thing, value)| next.set_value(*thing, *value));
        (next == world || self.allows_change(world, next)).then_some(next)
    }

    /// The world after a way; nothing where it does not lead from here or is not allowed.
    #[must_use]
    pub fn after_way(&self, world: PackedWorld, way: &CompiledWay) -> Option<PackedWorld> {
        if !world.is_any(&way.from) || world.value(way.from.thing) == way.event.sets[0].1 {
            return None;
        }
        self.after_event(world, &way.event)
    }

    /// No rule is broken by a change; one that was broken before it may stay so until something puts it right.
    fn allows_change(&self, from: PackedWorld, to: PackedWorld) -> bool {
        self.rules.iter().flatten().all(|rule| match &rule.kind {
            CompiledRuleKind::AtLeastOne(_) | CompiledRuleKind::NeverTogether(_) => {
                rule.holds(to) || !rule.holds(from)
            }
            CompiledRuleKind::StaysStill(things) => {
                !from.has_all(&rule.during)
                    || things.iter().all(|thing| from.value(*thing) == to.value(*thing))
            }
        })
    }

    /// The rules that are broken in a world, by their position in the book.
    pub fn broken_rules(&self, world: PackedWorld) -> impl Iterator<Item = usize> + '_ {
        let rules = self.rules.iter().enumerate();
        rules.filter(move |(_, rule)| rule.as_ref().is_some_and(|rule| !rule.holds(world))).map(|(at, _)| at)
    }
}

/// The parts that a rule or a need names, rising.
fn watched_parts(book: &Book) -> Vec<PartId> {
    let mut needs: Vec<&WorldNeed> = Vec::new();
    for rule in &book.rules {
        needs.extend(&rule.during);
        match &rule.kind {
            WorldRuleKind::AtLeastOne(of) | WorldRuleKind::NeverTogether(of) => needs.extend(of),
            WorldRuleKind::StaysStill(_) => {}
        }
    }
    needs.extend(book.stations.iter().flat_map(|s| &s.needs));
    needs.extend(book.settings.iter().flat_map(|s| &s.ways).flat_map(|w| &w.needs));
    for part in &book.parts {
        needs.extend(part.world.taking_off.needs.iter().chain(&part.world.setting_on.needs));
    }
    for fixing in &book.fixings {
        needs.extend(fixing.world.loosening.needs.iter().chain(&fixing.world.tightening.needs));
    }
    for condition in &book.conditions {
        needs.extend(condition.making.needs.iter().chain(&condition.undoing.needs));
    }
    needs.extend(book.tasks.iter().flat_map(|t| &t.world.needs));
    let part = |need: &&WorldNeed| match need.thing {
        WorldThing::Part(part) => Some(part),
        WorldThing::Setting(_) => None,
    };
    let mut parts: Vec<PartId> = needs.iter().filter_map(part).collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_of_many_things_do_not_touch_each_other() {
        let mut world = PackedWorld::default();
        for thing in 0..MAX_WORLD_THINGS as u8 {
            world.set_value(thing, thing % 16);
        }
        world.set_value(17, 9);
        for thing in 0..MAX_WORLD_THINGS as u8 {
            assert_eq!(world.value(thing), if thing == 17 { 9 } else { thing % 16 });
        }
    }
}
