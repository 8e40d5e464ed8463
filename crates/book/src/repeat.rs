//! Parts that are told once and are there several times: one description, a part for each label.
//!
//! The first label is the one that was described. What was measured at it, or stands somewhere for it, is for the others inferred: one that was
//! measured is not four. Space and times of the copies are *inferred* therefore, tightening only where it was measured; a cited figure
//! holds for all of them. A reference to the described part means all of its copies, within a copy that copy itself; a copy may
//! be named by its own key too.

use faults::{SourceSpan, Spanned, TomlDocument, TomlKind};
use fields::{ReadingDesk, ValueSpot};
use model::{
    ActWorld, Book, FigureGrade, FigureOrigin, FigureOrigins, Need, PartId, WorldNeed, WorldRuleKind,
    WorldThing,
};

use crate::drafts::{FixingDraft, PartDraft};
use crate::limits::{MAX_ITEMS, MAX_REPEATS};
use crate::reader::key_of_title;
use crate::rules::names as rule;

/// A part of the book with its places, and the row that describes it.
pub(crate) struct PartRow {
    pub(crate) draft: PartDraft,
    pub(crate) spot: ValueSpot,
    pub(crate) row: usize,
    /// Keys of its fixings as they are described, without a label.
    pub(crate) described_keys: Vec<String>,
}

/// Where the names of parts lead: for each row, and behind the rows for each copy's own key, positions in the book.
#[derive(Debug, Default)]
pub(crate) struct PartPlaces(Vec<Vec<PartId>>);

/// The key of a copy: that of the described one with the label behind it.
fn key_of_copy(key: &str, label: &str) -> String {
    format!("{key}-{}", key_of_title(label))
}

/// How many copies may still be made of all rows of a book.
struct CopyBudget(usize);

impl CopyBudget {
    fn new(rows: usize) -> Self {
        Self(MAX_ITEMS.saturating_sub(rows))
    }

    /// The labels that are made parts of; none where there are too many.
    fn take_labels<'l>(&mut self, labels: &'l [String]) -> &'l [String] {
        let labels = &labels[..labels.len().min(MAX_REPEATS)];
        if labels.len() > self.0 {
            return &[];
        }
        self.0 -= labels.len();
        labels
    }
}

/// The keys of all copies in the order of rows and labels, each with the place of its row.
pub(crate) fn copy_keys(
    documents: &[TomlDocument<'_>],
    keys: impl Fn(usize) -> String,
    rows: usize,
) -> Vec<Spanned<String>> {
    let mut budget = CopyBudget::new(rows);
    let parts = documents.iter().flat_map(|document| {
        document.root_table().optional_field("part").read_tables().into_iter().take(MAX_ITEMS)
    });
    let mut found = Vec::new();
    for (row, part) in parts.enumerate() {
        let list = part.optional_field("repeat");
        let items = if list.kind() == Some(TomlKind::List) { list.list_items() } else { Vec::new() };
        let labels: Vec<String> =
            items.iter().filter_map(|item| item.peek_text().map(str::to_owned)).collect();
        let key = keys(row);
        let span = part.span();
        found.extend(
            budget.take_labels(&labels).iter().map(|label| Spanned::new(key_of_copy(&key, label), span)),
        );
    }
    found
}

/// A part for each label, and the others as they are.
pub(crate) fn expand_parts(
    rows: Vec<(PartDraft, ValueSpot)>,
    above: FigureOrigins,
    desk: &ReadingDesk<'_>,
) -> (Vec<PartRow>, PartPlaces) {
    let mut budget = CopyBudget::new(rows.len());
    let (mut parts, mut places, mut copies) = (Vec::new(), Vec::new(), Vec::new());
    for (row, (mut draft, spot)) in rows.into_iter().enumerate() {
        let labels = core::mem::take(&mut draft.repeat);
        let described_keys: Vec<String> = draft.fixings.iter().map(|f| f.fixing.key.clone()).collect();
        let taken = budget.take_labels(&labels);
        if taken.is_empty() {
            if !labels.is_empty() {
                desk.cut_to_limit("repeat", &mut vec![(); MAX_ITEMS + 1], MAX_ITEMS, spot.span);
            }
            places.push(vec![PartId::new(parts.len())]);
            parts.push(PartRow { draft, spot, row, described_keys });
            continue;
        }
        let first = parts.len();
        for (at, label) in taken.iter().enumerate() {
            copies.push(vec![PartId::new(parts.len())]);
            let mut spot = spot.clone();
            // What is wrong with the description is told once.
            spot.bad |= at > 0;
            spot.keys
                .get_mut("fixing")
                .into_iter()
                .flat_map(|list| &mut list.items)
                .for_each(|item| item.bad |= at > 0);
            let draft = copy_part(&draft, label, (at > 0).then_some(above));
            parts.push(PartRow { draft, spot, row, described_keys: described_keys.clone() });
        }
        places.push((first..parts.len()).map(PartId::new).collect());
    }
    places.extend(copies);
    (parts, PartPlaces(places))
}

/// A part under one label; what is inferred from the described one says so, with the origins that stand above it.
fn copy_part(described: &PartDraft, label: &str, inferred_below: Option<FigureOrigins>) -> PartDraft {
    let mut copy = described.clone();
    copy.part.key = key_of_copy(&described.part.key, label);
    copy.part.title = format!("{label} {}", described.part.title);
    for fixing in &mut copy.fixings {
        name_fixing(fixing, label);
    }
    if let Some(above) = inferred_below {
        let of_part = described.part.origins.or_else(above);
        copy.part.origins = inferred_origins(copy.part.origins, of_part);
        for fixing in &mut copy.fixings {
            let told = fixing.fixing.origins;
            fixing.fixing.origins = inferred_origins(told, told.or_else(of_part));
        }
    }
    copy
}

fn name_fixing(fixing: &mut FixingDraft, label: &str) {
    let own = &mut fixing.fixing;
    if !own.key.is_empty() {
        own.key = key_of_copy(&own.key, label);
    }
    if !own.title.is_empty() {
        own.title = format!("{label} {}", own.title);
    }
    if let Some(joint) = &mut own.joint {
        *joint = format!("{joint}, {label}");
    }
}

/// The origins of a copy: space and times inferred unless they were assumed already, tightening where it was measured.
fn inferred_origins(told: FigureOrigins, effective: FigureOrigins) -> FigureOrigins {
    let is_assumed = |origin: Option<FigureOrigin>| origin.is_some_and(|o| o.grade() == FigureGrade::Assumed);
    let inferred = |told: Option<FigureOrigin>, effective| {
        if is_assumed(effective) { told } else { Some(FigureOrigin::Inferred) }
    };
    let is_measured = effective.tightening == Some(FigureOrigin::Measured);
    FigureOrigins {
        space: inferred(told.space, effective.space),
        times: inferred(told.times, effective.times),
        tightening: if is_measured { Some(FigureOrigin::Inferred) } else { told.tightening },
    }
}

/// A copy by the row that describes it, whose own references mean itself.
type OwnCopy = Option<(usize, PartId)>;

impl PartPlaces {
    /// The parts that a reference means.
    fn parts_meant(&self, part: PartId, own: OwnCopy) -> Vec<PartId> {
        match (self.0.get(part.index()), own) {
            (Some(_), Some((row, itself))) if row == part.index() => vec![itself],
            (Some(meant), _) => meant.clone(),
            // A name without a place is a fault that was told; nothing is meant by it.
            (None, _) => Vec::new(),
        }
    }

    fn place_needs(&self, needs: &mut Vec<Need>, spot: Option<&mut ValueSpot>, own: OwnCopy) {
        let told = core::mem::take(needs);
        let mut items = Vec::new();
        for (at, need) in told.into_iter().enumerate() {
            let meant: Vec<Need> = match need {
                Need::Off(part) => self.parts_meant(part, own).into_iter().map(Need::Off).collect(),
                Need::Condition(_) => vec![need],
            };
            for one in meant.into_iter().filter(|one| !needs.contains(one)).collect::<Vec<_>>() {
                needs.push(one);
                items.extend(spot.as_ref().map(|spot| spot.item(at).clone()));
            }
        }
        if let Some(spot) = spot {
            spot.items = items;
        }
    }

    fn place_world_needs(&self, needs: &mut Vec<WorldNeed>, own: OwnCopy) {
        let told = core::mem::take(needs);
        for need in told {
            match need.thing {
                WorldThing::Part(part) => {
                    let meant = self.parts_meant(part, own).into_iter();
                    needs.extend(meant.map(|part| WorldNeed { thing: WorldThing::Part(part), ..need }));
                }
                WorldThing::Setting(_) => needs.push(need),
            }
        }
    }

    fn place_act(&self, act: &mut ActWorld, own: OwnCopy) {
        self.place_world_needs(&mut act.needs, own);
    }

    /// Puts the references of a part and its fixings to the positions of the book.
    pub(crate) fn place_part(&self, row: &mut PartRow, itself: PartId) {
        let own = Some((row.row, itself));
        let part = &mut row.draft.part;
        self.place_needs(&mut part.needs, row.spot.keys.get_mut("needs"), own);
        for (at, way) in part.ways.iter_mut().enumerate() {
            let spot = row.spot.keys.get_mut("way").and_then(|list| list.items.get_mut(at));
            self.place_needs(&mut way.needs, spot.and_then(|spot| spot.keys.get_mut("needs")), own);
        }
        self.place_act(&mut part.world.taking_off, own);
        self.place_act(&mut part.world.setting_on, own);
        let after = core::mem::take(&mut part.world.on_after);
        part.world.on_after = after.into_iter().flat_map(|id| self.parts_meant(id, own)).collect();
        for fixing in &mut row.draft.fixings {
            self.place_act(&mut fixing.fixing.world.loosening, own);
            self.place_act(&mut fixing.fixing.world.tightening, own);
        }
    }

    /// Puts the references of all that is no part to the positions of the book; a rule that names several parts at once is reported (B131).
    pub(crate) fn place_book(
        &self,
        book: &mut Book,
        spots: (&mut [ValueSpot], &mut [ValueSpot], &[ValueSpot]),
        desk: &ReadingDesk<'_>,
    ) {
        let (conditions, tasks, rules) = spots;
        for (condition, spot) in book.conditions.iter_mut().zip(conditions) {
            self.place_needs(&mut condition.needs, spot.keys.get_mut("needs"), None);
            self.place_act(&mut condition.making, None);
            self.place_act(&mut condition.undoing, None);
        }
        for (task, spot) in book.tasks.iter_mut().zip(tasks) {
            self.place_needs(&mut task.needs, spot.keys.get_mut("needs"), None);
            self.place_act(&mut task.world, None);
        }
        book.stations.iter_mut().for_each(|station| self.place_world_needs(&mut station.needs, None));
        book.goals.iter_mut().for_each(|goal| self.place_world_needs(&mut goal.needs, None));
        let ways = book.settings.iter_mut().flat_map(|setting| &mut setting.ways);
        ways.for_each(|way| self.place_world_needs(&mut way.needs, None));
        for (world_rule, spot) in book.rules.iter_mut().zip(rules) {
            self.place_world_needs(&mut world_rule.during, None);
            let (needs, key) = match &mut world_rule.kind {
                WorldRuleKind::AtLeastOne(needs) => (needs, "at_least_one"),
                WorldRuleKind::NeverTogether(needs) => (needs, "never_together"),
                WorldRuleKind::StaysStill(_) => continue,
            };
            for (at, need) in needs.iter().enumerate() {
                let span: SourceSpan = spot.key(key).item(at).span;
                if let WorldThing::Part(part) = need.thing
                    && self.parts_meant(part, None).len() > 1
                {
                    desk.bag.push(rule::b131_several_parts(span));
                }
            }
            self.place_world_needs(needs, None);
        }
    }
}
