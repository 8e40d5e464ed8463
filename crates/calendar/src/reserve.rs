//! The reservation table: compartments, pieces, lift and trestles over all visits, and what is promised twice.

use std::collections::BTreeMap;

use crate::make::BenchCalendar;
use crate::visits::BenchQuestion;

/// Kinds of what is reserved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ReservedKind {
    /// A compartment of a tray: never of two visits, however many there are.
    Compartment,
    /// A tool that stays with a vehicle for a while.
    Piece,
    /// The lift.
    Lift,
    /// Trestles.
    Trestle,
    /// Anything else that is there once or a few times.
    Other,
}

/// One thing for one visit over a time.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reservation {
    /// Kind.
    pub kind: ReservedKind,
    /// Address or name: "tray 2, C4", "lift".
    pub what: String,
    /// Letter of the visit.
    pub letter: char,
    /// From then on.
    pub from_s: u32,
    /// Until then; `None` to the end of the visit.
    pub to_s: Option<u32>,
    /// How many.
    pub amount: u32,
}

/// All reservations, and how many there are of what there is more of than one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReservationTable {
    /// Reservations.
    pub rows: Vec<Reservation>,
    /// How many there are; 1 where nothing is said.
    pub counts: BTreeMap<(ReservedKind, String), u32>,
    /// Letters of the open visits.
    pub letters: Vec<char>,
}

/// Something promised twice, or a letter given twice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReservationClash {
    /// Kind; `None` for a letter.
    pub kind: Option<ReservedKind>,
    /// What.
    pub what: String,
    /// Letters of the visits that want it, in order.
    pub letters: Vec<char>,
    /// From when.
    pub from_s: u32,
    /// Until when; `None` for no end in sight.
    pub to_s: Option<u32>,
    /// In words, with what to do.
    pub words: String,
}

impl ReservationTable {
    /// What the calendar's stretches hold; every kind is [`ReservedKind::Other`] unless `kinds` names the holder's.
    #[must_use]
    pub fn of_calendar(
        question: &BenchQuestion,
        calendar: &BenchCalendar,
        kinds: &dyn Fn(usize) -> ReservedKind,
    ) -> Self {
        let mut table =
            Self { letters: question.visits.iter().map(|v| v.letter).collect(), ..Self::default() };
        for (at, holder) in question.holders.iter().enumerate() {
            table.counts.insert((kinds(at), holder.name.clone()), holder.count);
        }
        for (visit, it) in question.visits.iter().enumerate() {
            let line = |item: usize| calendar.lines_of_visit(visit).find(|l| l.item == item);
            for stretch in &it.stretches {
                table.rows.push(Reservation {
                    kind: kinds(stretch.holder),
                    what: question.holders[stretch.holder].name.clone(),
                    letter: it.letter,
                    from_s: stretch.from.and_then(line).map_or(question.now_s, |l| l.start_s),
                    to_s: line(stretch.to).map(|l| l.end_s),
                    amount: stretch.amount,
                });
            }
        }
        table
    }

    /// Everything that is promised twice, in the order of kind and name.
    #[must_use]
    pub fn find_reservation_clashes(&self) -> Vec<ReservationClash> {
        let mut found = self.letter_clashes();
        let mut by_thing: BTreeMap<(ReservedKind, &str), Vec<&Reservation>> = BTreeMap::new();
        for row in &self.rows {
            by_thing.entry((row.kind, &row.what)).or_default().push(row);
        }
        for ((kind, what), mut rows) in by_thing {
            rows.sort();
            let key = (kind, what.to_owned());
            let count = match kind {
                ReservedKind::Compartment => 1,
                _ => self.counts.get(&key).copied().unwrap_or(1),
            };
            found.extend(first_clash(kind, what, &rows, count));
        }
        found
    }

    fn letter_clashes(&self) -> Vec<ReservationClash> {
        let mut letters = self.letters.clone();
        letters.sort_unstable();
        let mut twice: Vec<char> = letters.windows(2).filter(|w| w[0] == w[1]).map(|w| w[0]).collect();
        twice.dedup();
        let clash = |letter: char| ReservationClash {
            kind: None,
            what: letter.to_string(),
            letters: vec![letter],
            from_s: 0,
            to_s: None,
            words: format!("two open visits have the letter {letter}; give one of them another"),
        };
        twice.into_iter().map(clash).collect()
    }
}

/// The first moment at which more is promised than there is.
fn first_clash(
    kind: ReservedKind,
    what: &str,
    rows: &[&Reservation],
    count: u32,
) -> Option<ReservationClash> {
    let ends = |r: &Reservation| r.to_s.unwrap_or(u32::MAX);
    for now in rows {
        let at_once: Vec<&&Reservation> =
            rows.iter().filter(|r| r.from_s <= now.from_s && now.from_s < ends(r)).collect();
        let mut letters: Vec<char> = at_once.iter().map(|r| r.letter).collect();
        letters.sort_unstable();
        letters.dedup();
        let amount: u64 = at_once.iter().map(|r| u64::from(r.amount)).sum();
        // One visit may lay several things into its compartment.
        let is_clash = match kind {
            ReservedKind::Compartment => letters.len() > 1,
            ReservedKind::Piece | ReservedKind::Lift | ReservedKind::Trestle | ReservedKind::Other => {
                amount > u64::from(count)
            }
        };
        if is_clash {
            let to_s = at_once.iter().filter_map(|r| r.to_s).min();
            let named: Vec<String> = letters.iter().map(char::to_string).collect();
            let words = clash_words(kind, what, &named.join(" and "), (amount, count));
            return Some(ReservationClash {
                kind: Some(kind),
                what: what.to_owned(),
                letters,
                from_s: now.from_s,
                to_s,
                words,
            });
        }
    }
    None
}

fn clash_words(kind: ReservedKind, what: &str, who: &str, (amount, count): (u64, u32)) -> String {
    match kind {
        ReservedKind::Compartment => {
            format!("compartment {what} is in use for {who}; move the fasteners of one to a free compartment")
        }
        ReservedKind::Piece | ReservedKind::Lift | ReservedKind::Trestle | ReservedKind::Other => format!(
            "{amount} of `{what}` are promised to {who} and there are {count}; let one wait or roll it out"
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(kind: ReservedKind, what: &str, letter: char, from_s: u32, to_s: Option<u32>) -> Reservation {
        Reservation { kind, what: what.into(), letter, from_s, to_s, amount: 1 }
    }

    #[test]
    fn a_compartment_is_never_of_two_visits_and_a_letter_of_one() {
        let kind = ReservedKind::Compartment;
        let rows = vec![
            row(kind, "tray 1, A1", 'A', 0, None),
            row(kind, "tray 1, A1", 'A', 5, Some(9)),
            row(kind, "tray 1, A2", 'A', 0, Some(50)),
            row(kind, "tray 1, A2", 'B', 50, None),
        ];
        let mut table = ReservationTable { rows, counts: BTreeMap::new(), letters: vec!['A', 'B'] };
        assert_eq!(table.find_reservation_clashes(), []);
        table.rows[3].from_s = 49;
        table.letters.push('B');
        let found = table.find_reservation_clashes();
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].kind, found[0].what.as_str()), (None, "B"));
        assert_eq!((found[1].what.as_str(), found[1].letters.as_slice()), ("tray 1, A2", &['A', 'B'][..]));
        assert_eq!((found[1].from_s, found[1].to_s), (49, Some(50)));
    }

    #[test]
    fn what_there_is_more_of_goes_to_as_many() {
        let kind = ReservedKind::Trestle;
        let rows = ['A', 'B', 'C'].map(|l| row(kind, "pair of trestles", l, 10, Some(20))).to_vec();
        let counts = BTreeMap::from([((kind, String::from("pair of trestles")), 3)]);
        let mut table = ReservationTable { rows, counts, letters: Vec::new() };
        assert_eq!(table.find_reservation_clashes(), []);
        table.counts.clear();
        assert_eq!(table.find_reservation_clashes()[0].letters, ['A', 'B', 'C']);
    }
}
