//! The open lines of a ledger as a person takes them in: what endangers first, then what is apart, part by part.

use std::collections::BTreeMap;

use model::Book;
use record::ledger::{Ledger, LedgerLine, LedgerLineKind, VehicleVerdict};

use crate::titles;

/// Lines of one fixing in one state, or one line of something else.
#[derive(Debug, Clone, PartialEq)]
pub struct LineGroup<'l> {
    /// "cover bolts 1 2 3 off, in A-T1-06".
    pub words: String,
    /// Its lines.
    pub lines: Vec<&'l LedgerLine>,
}

/// What is apart of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartLines<'l> {
    /// What a person calls the part.
    pub title: String,
    /// Its lines in groups.
    pub groups: Vec<LineGroup<'l>>,
}

/// What is apart at one working position.
#[derive(Debug, Clone, PartialEq)]
pub struct StationLines<'l> {
    /// The working position; empty where the book tells none.
    pub station: String,
    /// Parts, in the order of the book.
    pub parts: Vec<PartLines<'l>>,
}

/// Whether a line says only that the job is under way: something is off that the plan puts back.
#[must_use]
pub const fn is_work_in_hand(kind: LedgerLineKind) -> bool {
    matches!(
        kind,
        LedgerLineKind::Freed
            | LedgerLineKind::Off
            | LedgerLineKind::FingerTight
            | LedgerLineKind::NotRenewed
            | LedgerLineKind::PartOff
    )
}

/// What is apart, by working position and part.
#[must_use]
pub fn lines_by_place<'l>(ledger: &'l Ledger, book: Option<&Book>) -> Vec<StationLines<'l>> {
    let mut places: BTreeMap<(usize, usize), Vec<&LedgerLine>> = BTreeMap::new();
    for line in ledger.lines.iter().filter(|line| is_work_in_hand(line.kind)) {
        places.entry(place_of_line(line, book)).or_default().push(line);
    }
    let mut stations: Vec<StationLines<'l>> = Vec::new();
    for ((station, part), lines) in places {
        let title = |at: usize| {
            book.and_then(|book| book.stations.get(at)).map_or_else(String::new, |s| s.title.clone())
        };
        let name = book
            .and_then(|book| book.parts.get(part))
            .map_or_else(|| part_key(&lines), |part| part.title.clone());
        let part = PartLines { title: name, groups: group_lines(lines) };
        let station = title(station);
        match stations.last_mut().filter(|last| last.station == station) {
            Some(last) => last.parts.push(part),
            None => stations.push(StationLines { station, parts: vec![part] }),
        }
    }
    stations
}

fn part_key(lines: &[&LedgerLine]) -> String {
    lines.first().and_then(|line| line.at.part.clone()).unwrap_or_else(|| String::from("elsewhere"))
}

/// Position of station and part in the book; what the book does not know comes last.
fn place_of_line(line: &LedgerLine, book: Option<&Book>) -> (usize, usize) {
    let of_fixing = || book.and_then(|b| b.fixing_by_key(&line.of).map(|id| b.fixing(id).part));
    let known =
        line.at.part.as_deref().and_then(|key| book.and_then(|b| b.part_by_key(key))).or_else(of_fixing);
    let found = known.zip(book).map(|(id, book)| {
        let part = book.part(id);
        let station = book.stations.iter().position(|s| s.key == book.station(part.station).key);
        let at = book.parts.iter().position(|p| p.key == part.key);
        (station.unwrap_or(usize::MAX), at.unwrap_or(usize::MAX))
    });
    found.unwrap_or((usize::MAX, usize::MAX))
}

/// Lines of one fixing in one state and slot as one.
pub fn group_lines<'l>(lines: Vec<&'l LedgerLine>) -> Vec<LineGroup<'l>> {
    let mut groups: Vec<LineGroup<'l>> = Vec::new();
    for line in lines {
        let is_same = |group: &LineGroup<'_>| {
            let first = group.lines[0];
            first.kind == line.kind
                && first.of == line.of
                && first.slot == line.slot
                && line.at.hole.is_some()
        };
        match groups.iter_mut().find(|group| is_same(group)) {
            Some(group) => group.lines.push(line),
            None => groups.push(LineGroup { words: String::new(), lines: vec![line] }),
        }
    }
    for group in &mut groups {
        group.words = group_words(&group.lines);
    }
    groups
}

/// A sentence that names all holes of lines that differ in the hole alone.
fn group_words(lines: &[&LedgerLine]) -> String {
    let first = lines[0];
    let holes: Vec<&str> = lines.iter().filter_map(|line| line.at.hole.as_deref()).collect();
    match (holes.as_slice(), first.at.hole.as_deref()) {
        ([_, _, ..], Some(hole)) => {
            let one = format!(" {hole} ");
            first.what.replacen(&one, &format!(" {} ", holes.join(" ")), 1).replacen(" is ", " are ", 1)
        }
        _ => first.what.clone(),
    }
}

/// What stands against something in a few words: "12 fasteners off", "the lift stands at chest"; the gravest first.
#[must_use]
pub fn verdict_words(
    ledger: &Ledger,
    verdict: &VehicleVerdict,
    book: Option<&Book>,
) -> Vec<(String, String)> {
    let reasons: Vec<&LedgerLine> = verdict
        .reasons
        .iter()
        .filter_map(|reason| ledger.lines.iter().find(|line| line.key == reason.line))
        .collect();
    let mut kinds: Vec<(LedgerLineKind, Vec<&LedgerLine>)> = Vec::new();
    for line in reasons {
        match kinds.iter_mut().find(|(kind, _)| *kind == line.kind) {
            Some((_, lines)) => lines.push(line),
            None => kinds.push((line.kind, vec![line])),
        }
    }
    let words = |(kind, lines): (LedgerLineKind, Vec<&LedgerLine>)| {
        let of = |line: &LedgerLine| {
            book.map_or_else(|| line.of.clone(), |book| titles::any_title(book, &line.of))
        };
        let words = match lines.as_slice() {
            [one] => one.what.clone(),
            many => {
                let mut names: Vec<String> = many.iter().map(|line| of(line)).collect();
                names.dedup();
                let more = names.len().saturating_sub(2);
                let named = names[..names.len().min(2)].join(", ");
                let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
                format!("{} {}: {named}{rest}", many.len(), kind.title().to_lowercase())
            }
        };
        (lines[0].key.clone(), words)
    };
    kinds.into_iter().map(words).collect()
}
