//! Small random books by a seed, and stacks that could do their duties.
#![expect(dead_code, reason = "each test file uses its own part of it")]

use model::{
    Access, Book, Condition, ConditionId, ConditionKind, CorridorSegment, Drive, Duty, FastenerKind,
    FigureOrigins, Fixing, HeadDimensions, HoldsBack, Hole, Lubrication, Need, Opening, OpeningId, Part,
    PartId, PatternRule, PieceId, ReachVerdict, RefitWait, Sight, Stack, Stage, StageTarget, Station,
    StationId, TappedIn, Task, TaskId, TaskKind, Tightening, Way, WorkingStack,
};
use plan::coverage::JudgedReach;
use plan::scope::{PlanScope, candidate_duties};
use plan::way_in::WayInAnswer;
use reach::DutyReach;
use units::{Angle, Duration, Force, Length, Mass, Torque};

/// Numbers by a seed (splitmix64).
pub struct Numbers(pub u64);

impl Numbers {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count.max(1) as u64) as usize
    }
    pub fn one_in(&mut self, count: usize) -> bool {
        self.below(count) == 0
    }
    pub fn seconds(&mut self, most: usize) -> Duration {
        Duration::from_s((1 + self.below(most)) as f64)
    }
}

/// How large a book.
#[derive(Debug, Clone, Copy)]
pub struct Size {
    pub parts: usize,
    pub conditions: usize,
    pub stations: usize,
    pub fixings: usize,
    pub tasks: usize,
    pub holes: usize,
    /// Whether conditions and parts wait.
    pub waits: bool,
}

impl Size {
    pub const TINY: Self =
        Self { parts: 3, conditions: 1, stations: 2, fixings: 1, tasks: 1, holes: 2, waits: false };
    pub const SMALL: Self =
        Self { parts: 9, conditions: 3, stations: 3, fixings: 2, tasks: 3, holes: 5, waits: true };
    pub const LARGE: Self =
        Self { parts: 800, conditions: 12, stations: 6, fixings: 2, tasks: 40, holes: 6, waits: true };
    pub const DEMO: Self =
        Self { parts: 100, conditions: 5, stations: 6, fixings: 1, tasks: 14, holes: 8, waits: true };
}

pub fn book(seed: u64, size: Size) -> Book {
    let mut n = Numbers(seed);
    let mut book = Book {
        key: "random".into(),
        title: "random book".into(),
        origin: "invented".into(),
        currency: "EUR".into(),
        is_invented: true,
        origins: FigureOrigins::default(),
        stations: (0..size.stations).map(|s| station(s, &mut n)).collect(),
        conditions: Vec::new(),
        openings: vec![
            Opening { key: "port".into(), title: "port".into(), cap: Some("plug 20 mm".into()), count: 2 },
            Opening { key: "pit".into(), title: "pit".into(), cap: None, count: 1 },
        ],
        parts: Vec::new(),
        fixings: Vec::new(),
        tasks: Vec::new(),
        special_tools: Vec::new(),
        measures: Vec::new(),
        rules: Vec::new(),
        goals: Vec::new(),
        settings: Vec::new(),
    };
    // Parts and conditions need only what has a smaller rank, but for some ways, which may close circles.
    book.parts = (0..size.parts).map(|p| part(p, size, &mut n)).collect();
    book.conditions = (0..size.conditions).map(|c| condition(c, size, &mut n)).collect();
    for p in 0..size.parts {
        for _ in 0..n.below(size.fixings + 1) {
            let fixing = fixing(book.fixings.len(), &book.parts[p], PartId::new(p), size, &mut n);
            book.fixings.push(fixing);
        }
    }
    relabel(&mut book);
    book.tasks = (0..size.tasks).map(|t| task(t, size, &mut n)).collect();
    book
}

fn station(at: usize, n: &mut Numbers) -> Station {
    Station {
        key: format!("st{at}"),
        title: format!("station {at}"),
        enter: n.seconds(60).into(),
        hand_force: Force::from_n(400.0),
        cautions: Vec::new(),
        needs: Vec::new(),
    }
}

/// A part may need conditions of a third of its rank: a condition needs parts below three times its own.
fn needs_below(rank: usize, size: Size, most: usize, n: &mut Numbers) -> Vec<Need> {
    let mut needs = Vec::new();
    for _ in 0..n.below(most + 1) {
        let reach = rank.min(size.parts);
        if n.one_in(4) && rank > 0 && size.conditions > 0 {
            let c = n.below(size.conditions);
            if condition_rank(c, size) < rank {
                needs.push(Need::Condition(ConditionId::new(c)));
            }
        } else if reach > 0 {
            let low = reach.saturating_sub(12);
            needs.push(Need::Off(PartId::new(low + n.below(reach - low))));
        }
    }
    needs.sort_unstable();
    needs.dedup();
    needs
}

fn condition_rank(at: usize, size: Size) -> usize {
    at * size.parts / (size.conditions + 1)
}

fn part(at: usize, size: Size, n: &mut Numbers) -> Part {
    let ways = if n.one_in(3) && at > 1 { ways(at, size, n) } else { Vec::new() };
    let wait = |n: &mut Numbers| RefitWait {
        title: "sealant".into(),
        time: n.seconds(900),
        holds_back: [HoldsBack::Tightening, HoldsBack::Filling, HoldsBack::NextPart][n.below(3)],
    };
    let uncovers = if n.one_in(4) { vec![OpeningId::new(n.below(2))] } else { Vec::new() };
    Part {
        key: format!("p{at:03}"),
        title: format!("part {at}"),
        kind: None,
        mass: Mass::from_kg(2.0).into(),
        helper: n.one_in(9),
        station: StationId::new(n.below(size.stations)),
        needs: needs_below(at, size, 2, n),
        ways,
        uncovers,
        lift_time: n.seconds(40).into(),
        place_time: n.seconds(60).into(),
        renew_with: Vec::new(),
        refit_waits: if size.waits && n.one_in(6) { vec![wait(n)] } else { Vec::new() },
        special_tools: Vec::new(),
        brittle: false,
        cautions: Vec::new(),
        refit_cautions: Vec::new(),
        tip: None,
        refit_tip: None,
        origins: FigureOrigins::default(),
        world: model::PartWorld::default(),
    }
}

fn ways(at: usize, size: Size, n: &mut Numbers) -> Vec<Way> {
    let way = |key: &str, needs| Way { key: key.into(), title: key.into(), needs, station: None };
    let mut ways = vec![way("above", needs_below(at, size, 3, n)), way("below", needs_below(at, size, 3, n))];
    if n.one_in(2) {
        // A way that may need parts that need this one: open only if they have another way.
        let any = Need::Off(PartId::new(n.below(size.parts)));
        let own = Need::Off(PartId::new(at));
        ways.push(way("side", if any == own { Vec::new() } else { vec![any] }));
        let last = ways.len() - 1;
        ways.swap(0, last);
    }
    ways
}

fn condition(at: usize, size: Size, n: &mut Numbers) -> Condition {
    let rank = condition_rank(at, size);
    let kinds = [ConditionKind::Drained, ConditionKind::Waited, ConditionKind::Isolated, ConditionKind::Set];
    Condition {
        key: format!("c{at}"),
        title: format!("condition {at}"),
        establish: format!("Make condition {at}."),
        restore: (!n.one_in(3)).then(|| format!("Undo condition {at}.")),
        kind: kinds[n.below(4)],
        establish_time: n.seconds(300),
        restore_time: n.seconds(300),
        hold_up: if size.waits && n.one_in(2) { n.seconds(900) } else { Duration::ZERO },
        needs: needs_below(rank, size, 1, n),
        station: StationId::new(n.below(size.stations)),
        restore_station: None,
        supplies: Vec::new(),
        cautions: Vec::new(),
        safety: n.one_in(3),
        making: model::ActWorld::default(),
        undoing: model::ActWorld::default(),
    }
}

fn fixing(at: usize, part: &Part, id: PartId, size: Size, n: &mut Numbers) -> Fixing {
    let turned = !n.one_in(5);
    let holes = 1 + n.below(size.holes);
    let stage = |n_m: f64| Stage {
        target: StageTarget::Torque(Torque::from_n_m(n_m)),
        as_written: format!("{n_m} N·m"),
    };
    let stages = match n.below(3) {
        0 => vec![stage(9.0)],
        1 => vec![stage(5.0), stage(9.0)],
        _ => vec![
            stage(9.0),
            Stage { target: StageTarget::Angle(Angle::from_deg(90.0)), as_written: "90°".into() },
        ],
    };
    Fixing {
        key: format!("f{at:03}"),
        title: format!("bolts {at}"),
        part: id,
        kind: if turned { FastenerKind::Bolt } else { FastenerKind::Connector },
        thread: turned.then(|| "M6".parse().expect("a thread")),
        is_left_hand: false,
        length: None,
        class: None,
        drive: Drive::parse(if turned { "hexagon 10 mm" } else { "latch" }).expect("a drive"),
        head: HeadDimensions {
            grip_height: Length::from_mm(6.0),
            diameter: Length::from_mm(13.0),
            protrusion: Length::ZERO,
        },
        holes: (0..holes).map(|_| hole(n)).collect(),
        are_places_known: true,
        engagement: Length::from_mm(12.0).into(),
        clamped: None,
        tapped_depth: None,
        tapped_in: TappedIn::Steel,
        tightening: Tightening {
            stages: if turned { stages } else { Vec::new() },
            pattern: [PatternRule::Auto, PatternRule::CrissCross, PatternRule::Spiral][n.below(3)].clone(),
            end_torque: None,
            tolerance_fraction: 0.04,
            closing_pass: n.one_in(3),
            source: "invented".into(),
        },
        joint: n.one_in(2).then(|| "face".to_owned()),
        lubrication: Lubrication::Dry,
        one_time: n.one_in(4),
        price: None,
        captive: false,
        slackened: false,
        critical: false,
        history: Vec::new(),
        keep: None,
        accesses: accesses(part, holes as u16, size, n),
        origins: FigureOrigins::default(),
        figures: None,
        reckoned_torque: None,
        world: model::FixingWorld::default(),
    }
}

fn hole(n: &mut Numbers) -> Hole {
    let mm = |n: &mut Numbers| Length::from_mm(n.below(200) as f64);
    Hole { label: String::new(), x: mm(n), y: mm(n) }
}

fn relabel(book: &mut Book) {
    let mut counts = vec![0; book.parts.len()];
    for fixing in &mut book.fixings {
        for hole in &mut fixing.holes {
            counts[fixing.part.index()] += 1;
            hole.label = counts[fixing.part.index()].to_string();
        }
    }
}

/// All holes through one access; or split, overlapping, or by way besides.
fn accesses(part: &Part, holes: u16, size: Size, n: &mut Numbers) -> Vec<Access> {
    let access = |holes: Vec<u16>, way: Option<u16>, station: Option<StationId>| Access {
        holes,
        way,
        station,
        corridor: vec![CorridorSegment { length: None, clear: Length::from_mm(60.0) }],
        bends: Vec::new(),
        headroom: Length::from_mm(300.0),
        swings: Vec::new(),
        side: None,
        sight: Sight::Seen,
        drop_over: Vec::new(),
        counter_hold: None,
    };
    let mut all = vec![access((0..holes).collect(), None, None)];
    let other = StationId::new(n.below(size.stations));
    if holes > 1 && n.one_in(2) {
        let cut = 1 + n.below(usize::from(holes) - 1) as u16;
        all = vec![
            access((0..cut).collect(), None, None),
            access((cut - 1..holes).collect(), None, Some(other)),
        ];
    }
    if part.ways.len() > 1 && n.one_in(2) {
        all.push(access((0..holes).collect(), Some(1), Some(other)));
    }
    all
}

fn task(at: usize, size: Size, n: &mut Numbers) -> Task {
    Task {
        key: format!("t{at}"),
        title: format!("renew thing {at}"),
        kind: TaskKind::Renew,
        needs: {
            let mut needs = needs_below(size.parts, size, 2, n);
            needs.push(Need::Off(PartId::new(n.below(size.parts))));
            needs.sort_unstable();
            needs.dedup();
            needs
        },
        work: n.seconds(600).into(),
        station: StationId::new(n.below(size.stations)),
        supplies: Vec::new(),
        special_tools: Vec::new(),
        leaving: None,
        every: Vec::new(),
        cautions: Vec::new(),
        note: None,
        world: model::ActWorld::default(),
    }
}

/// Some tasks of a book, at least one.
pub fn some_tasks(book: &Book, seed: u64) -> Vec<TaskId> {
    let mut n = Numbers(seed ^ 0xa5a5);
    let all = (0..book.tasks.len()).map(TaskId::new);
    let mut some: Vec<TaskId> = all.filter(|_| n.one_in(2)).collect();
    if some.is_empty() {
        some.push(TaskId::new(0));
    }
    some
}

/// Stacks of few pieces out of a small store, the cheapest first; sometimes none.
pub fn workings(duty: &Duty, holes: usize, seed: u64) -> Vec<WorkingStack> {
    let mix = (duty.fixing.index() as u64) << 20 | u64::from(duty.access) << 12 | (duty.act as u64) << 8;
    let mut n = Numbers(seed ^ mix ^ u64::from(duty.stage.unwrap_or(7)));
    let count = n.below(5);
    let mut all: Vec<WorkingStack> = (0..count).map(|_| working(holes, &mut n)).collect();
    all.sort_by(|a, b| a.cost.as_s().total_cmp(&b.cost.as_s()));
    all
}

fn working(holes: usize, n: &mut Numbers) -> WorkingStack {
    let mut pieces: Vec<PieceId> = (0..n.below(4)).map(|_| PieceId::new(n.below(12))).collect();
    pieces.dedup();
    let hold = if n.one_in(6) { vec![PieceId::new(12 + n.below(3))] } else { Vec::new() };
    let time = Duration::from_s((2 + n.below(15)) as f64 * holes as f64);
    let picks = (pieces.len() + hold.len()) as f64 * times::PICK_S;
    WorkingStack {
        stack: Stack { pieces, bends: Vec::new(), hold },
        time,
        cost: time + Duration::from_s(picks),
        top: Length::from_mm(100.0),
        force: None,
        setting: None,
        joint_error_fraction: 0.0,
    }
}

/// The scope of a way in with invented stacks, and all of them usable.
pub fn scope(book: &Book, found: &WayInAnswer, seed: u64) -> (PlanScope, Vec<Vec<u16>>) {
    let reached = candidate_duties(book, &found.parts).into_iter().map(|duty| {
        let holes = book.fixing(duty.fixing).accesses[usize::from(duty.access)].holes.len();
        let workings = workings(&duty, holes, seed);
        let verdict = if workings.is_empty() { ReachVerdict::No } else { ReachVerdict::Proven };
        JudgedReach { reach: DutyReach { duty, workings, miss: None }, verdict, rooms: None }
    });
    let scope = PlanScope::new(
        book,
        found.tasks.clone(),
        found.parts.clone(),
        found.conditions.clone(),
        reached.collect(),
    )
    .expect("every hole has an access that is open on every way");
    let usable = scope.duties.iter().map(|d| (0..d.workings.len() as u16).collect()).collect();
    (scope, usable)
}
