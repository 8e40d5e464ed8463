//! The round before the start: four lists that are ticked line by line, and whether all of it is at hand.

use model::plan::{Plan, ReadinessVerdict};
use plan::readiness::open_ends_words;
use record::{Visit, VisitBody};

use super::readiness_now;
use super::readiness_now::{plugs_in, plugs_words, seen_open_ends};
use crate::text::readiness as text;

/// A line to tick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartLine {
    /// What is to be at hand or done, in words.
    pub words: String,
    /// Where it lies, or how it is come by; empty where that is not told.
    pub way: String,
    /// Whether somebody has ticked it.
    pub is_at_hand: bool,
}

impl StartLine {
    /// What a tap on it writes.
    #[must_use]
    pub fn tap(&self) -> [VisitBody; 1] {
        [VisitBody::Gathered { what: self.words.clone(), is_at_hand: !self.is_at_hand }]
    }
}

/// One of the four lists.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartList {
    /// Its name.
    pub title: &'static str,
    /// Its lines.
    pub lines: Vec<StartLine>,
}

impl StartList {
    /// Lines that nobody has ticked.
    #[must_use]
    pub fn open(&self) -> usize {
        self.lines.iter().filter(|line| !line.is_at_hand).count()
    }
}

/// The round before the start of a visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartRound {
    /// The lists that have lines, in the order in which a mechanic walks: safety, what is bought, parts and caps, the cart.
    pub lists: Vec<StartList>,
    /// What the button says: that all is at hand, or how much is not and that the work begins all the same.
    pub button: String,
}

/// The lists of a plan, with what somebody has ticked.
#[must_use]
pub fn start_round(plan: &Plan, visit: &Visit) -> StartRound {
    let ready = &plan.readiness;
    let line = |words: String, way: String| {
        let is_at_hand = visit.gathered.contains(&words);
        StartLine { words, way, is_at_hand }
    };
    let pieces =
        |count: u32, name: &str| if count > 1 { format!("{count} × {name}") } else { name.to_owned() };
    let safety = ready.safety.iter().map(|words| line(words.clone(), String::new())).collect();
    let bought = ready.shopping.iter().map(|l| line(l.words.clone(), text::obtain_verb(l.how).to_owned()));
    let missing = ready.not_at_hand.iter().map(|l| line(l.title.clone(), l.state.spoken_word().to_owned()));
    let supplies = ready.supplies.iter().map(|l| {
        let when = if l.supply.before_start { "" } else { "may come later" };
        line(pieces(u32::from(l.supply.count), &l.supply.name), when.to_owned())
    });
    let caps = ready.caps.iter().filter_map(|l| {
        let cap = l.cap.as_deref()?;
        Some(line(format!("{} for {}", pieces(u32::from(l.count), cap), l.opening), String::from("cap")))
    });
    let plugs = seen_open_ends(visit).filter(|(key, title)| {
        // Ends that were closed as the part came off ask for nothing more.
        plugs_in(visit, key) == 0 && ready.open.iter().any(|line| line.words == open_ends_words(title))
    });
    let plugs = plugs.map(|(_, title)| line(plugs_words(title), String::from("cap")));
    let cart = plan.kit.pieces.iter().map(|l| {
        line(pieces(u32::from(l.count), &l.title), format!("{} {}", l.place.cabinet, l.place.drawer))
    });
    let all = [
        StartList { title: "Safety", lines: safety },
        StartList { title: "Buy, borrow, make", lines: bought.chain(missing).collect() },
        StartList { title: "Parts, supplies and caps", lines: supplies.chain(caps).chain(plugs).collect() },
        StartList { title: "On the cart", lines: cart.collect() },
    ];
    let lists: Vec<StartList> = all.into_iter().filter(|list| !list.lines.is_empty()).collect();
    let button =
        button_words(readiness_now(plan, visit).verdict.refit, lists.iter().map(StartList::open).sum());
    StartRound { lists, button }
}

/// What is true of the start: a button that leads to the bench never says more.
fn button_words(refit: ReadinessVerdict, open: usize) -> String {
    let count = crate::text::table::count_with_noun(open, "line");
    match (refit, open) {
        (ReadinessVerdict::Go, 0) => String::from("All at hand: to the bench"),
        (ReadinessVerdict::Go, _) => format!("To the bench, {count} not ticked"),
        (_, 0) => String::from("To the bench, though the plan says not yet"),
        (_, _) => format!("To the bench, though the plan says not yet and {count} not ticked"),
    }
}
