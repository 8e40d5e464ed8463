//! Slips in a list of odometer readings: caught, named with what was probably meant, set aside and never averaged.
//!
//! **Question.** 61 200, 65 050, 86 100, 77 600: an odometer does not run back. Which of them is wrong, and what did its writer mean?
//!
//! **Method.** The readings that can all be true form the longest chain in which no step goes back or is faster than a vehicle can go; among equal chains
//! the one with the most even steps. A reading off the chain gets the first explanation that puts it between its neighbours: miles for
//! kilometres, two digits swapped, a digit missing, a digit too many, one digit wrong. A run of two or more at an end that is a chain of its own is a
//! **replaced instrument**, or the same read in miles. A step that is possible but far outside the others is kept and asked about.
//!
//! **Assumptions and range.** At most one slip in a reading. A swap that leaves a possible step cannot be seen by anybody.
//!
//! **Sources.** 1.609 344: NIST SP 811, B.8; fastest day, 2 000 km: assumption; kinds of slips: common practice, no single source.
//!
//! symbol: day, km, suggested_km, typical, low, high, rate, energy, factor, expected = days, km, km a day, km² a day

use bolting::tolerance::student_above_probability;
use serde::Serialize;
use units::math;

use crate::odometer::{OdometerError, OdometerPoint};

/// Kilometres in a mile, by definition (NIST SP 811, B.8).
pub const KM_PER_MILE: f64 = 1.609_344;
/// No vehicle goes further in a day (assumption: day and night at 83 km/h).
pub const MAX_KM_PER_DAY: f64 = 2_000.0;
/// Maximum number of readings.
pub const MAX_ODOMETER_READINGS: usize = 5_000;
/// A possible step is asked about below this probability (assumption).
const UNUSUAL_PROBABILITY: f64 = 2.0e-4;
/// Steps besides it that this needs.
const LEAST_OTHER_STEPS: usize = 4;

/// A reading as it was noted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OdometerNote {
    /// Line or number in the list, for messages.
    pub line: u64,
    /// Day.
    pub day: f64,
    /// What was noted, in km.
    pub km: f64,
    /// Kilometres in the unit it was typed in.
    pub unit_km: f64,
}

// symbol: unit_km = km in one of the unit that a reading was typed in

/// What was probably slipped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OdometerSlipKind {
    /// Miles were noted as kilometres.
    MilesForKm,
    /// Kilometres were noted as miles.
    KmForMiles,
    /// Two neighbouring digits are swapped.
    DigitsSwapped,
    /// A digit is missing.
    DigitMissing,
    /// A digit is too many.
    DigitTooMany,
    /// One digit is wrong.
    DigitWrong,
    /// It goes back, and nothing explains it.
    GoesBack,
    /// It is faster than a vehicle can go, and nothing explains it.
    TooFast,
    /// From here on another instrument counts.
    InstrumentReplaced,
    /// A step far outside the others; the reading is kept.
    UnusualStep,
}

impl OdometerSlipKind {
    /// What it is, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::MilesForKm => "miles noted as kilometres",
            Self::KmForMiles => "kilometres noted as miles",
            Self::DigitsSwapped => "two digits swapped",
            Self::DigitMissing => "a digit missing",
            Self::DigitTooMany => "a digit too many",
            Self::DigitWrong => "one digit wrong",
            Self::GoesBack => "it goes back, and no single slip explains it",
            Self::TooFast => "too far for the days between, and no single slip explains it",
            Self::InstrumentReplaced => "the instrument was replaced: it counts on from here",
            Self::UnusualStep => "a step far outside the others; kept",
        }
    }

    /// Whether the reading counts all the same.
    #[must_use]
    pub const fn is_kept(self) -> bool {
        matches!(self, Self::InstrumentReplaced | Self::UnusualStep)
    }
}

/// A slip with its place and what was probably meant.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OdometerSlip {
    /// Line or number in the list.
    pub line: u64,
    /// Day.
    pub day: f64,
    /// What was noted, in km.
    pub km: f64,
    /// What it is.
    pub kind: OdometerSlipKind,
    /// What was probably meant, in km.
    pub suggested_km: Option<f64>,
}

/// Readings that count, and slips.
#[derive(Debug, Clone, PartialEq)]
pub struct SiftedReadings {
    /// In the order of their days.
    pub points: Vec<OdometerPoint>,
    /// In the order of their days.
    pub slips: Vec<OdometerSlip>,
}

/// Whether a step can be true.
fn is_possible_step(from: &OdometerNote, to: &OdometerNote) -> bool {
    let (days, km) = (to.day - from.day, to.km - from.km);
    (0.0..=MAX_KM_PER_DAY * days.max(0.5)).contains(&km)
}

/// The longest chain of possible steps, the most even one among equals, by position.
fn find_longest_chain(notes: &[OdometerNote]) -> Vec<usize> {
    let mut best: Vec<(usize, f64, Option<usize>)> = Vec::with_capacity(notes.len());
    for note in notes {
        let mut own = (1, 0.0, None);
        for (before, (length, energy, _)) in best.iter().enumerate() {
            if !is_possible_step(&notes[before], note) {
                continue;
            }
            let (days, km) = ((note.day - notes[before].day).max(0.5), note.km - notes[before].km);
            let sum = energy + km * km / days;
            if length + 1 > own.0 || (length + 1 == own.0 && sum < own.1) {
                own = (length + 1, sum, Some(before));
            }
        }
        best.push(own);
    }
    let better = |a: &usize, b: &usize| {
        let (one, other) = (&best[*a], &best[*b]);
        one.0.cmp(&other.0).then(other.1.total_cmp(&one.1))
    };
    let mut chain = Vec::new();
    let mut next = (0..notes.len()).max_by(better);
    while let Some(at) = next {
        chain.push(at);
        next = best[at].2;
    }
    chain.reverse();
    chain
}

/// The step that a figure seems rounded to: whole thousands, hundreds or tens that five-figure readings rarely are by chance.
fn rounding_step(note: &OdometerNote) -> Option<f64> {
    let typed = note.km / note.unit_km;
    let is_whole = |step: f64| typed > 0.0 && (typed / step - math::round(typed / step)).abs() < 1.0e-9;
    [1000.0, 100.0].into_iter().find(|step| is_whole(*step)).map(|step| step * note.unit_km)
}

/// Sifts noted readings, in any order.
///
/// # Errors
/// [`OdometerError::TooMany`].
pub fn sift_readings(noted: &[OdometerNote]) -> Result<SiftedReadings, OdometerError> {
    if noted.len() > MAX_ODOMETER_READINGS {
        return Err(OdometerError::TooMany);
    }
    let mut notes = noted.to_vec();
    notes.sort_by(|a, b| a.day.total_cmp(&b.day).then(a.km.total_cmp(&b.km)).then(a.line.cmp(&b.line)));
    let chain = find_longest_chain(&notes);
    let (mut slips, mut instruments) = (Vec::new(), vec![None; notes.len()]);
    chain.iter().for_each(|at| instruments[*at] = Some(0));
    name_runs_at_ends(&notes, &chain, &mut instruments, &mut slips);
    for at in 0..notes.len() {
        let is_named =
            slips.iter().any(|s: &OdometerSlip| s.line == notes[at].line && s.day == notes[at].day);
        if instruments[at].is_none() && !is_named {
            slips.push(explain_reading(&notes, &chain, at));
        }
    }
    let kept = (0..notes.len()).filter_map(|at| instruments[at].map(|instrument| (at, instrument)));
    let points: Vec<OdometerPoint> = kept
        .map(|(at, instrument)| OdometerPoint {
            day: notes[at].day,
            km: notes[at].km,
            rounded_to_km: rounding_step(&notes[at]),
            instrument,
        })
        .collect();
    ask_about_steps(&notes, &chain, &mut slips);
    slips.sort_by(|a, b| a.day.total_cmp(&b.day).then(a.line.cmp(&b.line)));
    Ok(SiftedReadings { points, slips })
}

/// Readings before or after the chain that are chains of their own: miles, or another instrument.
fn name_runs_at_ends(
    notes: &[OdometerNote],
    chain: &[usize],
    instruments: &mut [Option<u32>],
    slips: &mut Vec<OdometerSlip>,
) {
    let (Some(first), Some(last)) = (chain.first().copied(), chain.last().copied()) else { return };
    let typical = rate_of_chain(notes, chain);
    for (run, is_after) in [(0..first, false), (last + 1..notes.len(), true)] {
        let run: Vec<usize> = run.collect();
        let is_chain = run.windows(2).all(|p| is_possible_step(&notes[p[0]], &notes[p[1]]));
        if run.len() < 2 || !is_chain {
            continue;
        }
        let joined = |factor: f64| {
            let scaled = |at: usize| OdometerNote { km: notes[at].km * factor, ..notes[at] };
            let (from, to) = if is_after {
                (notes[last], scaled(run[0]))
            } else {
                (scaled(run[run.len() - 1]), notes[first])
            };
            let (days, km) = ((to.day - from.day).max(0.5), to.km - from.km);
            is_possible_step(&from, &to) && typical.is_some_and(|rate| km <= 4.0 * rate * days + 500.0)
        };
        let unit =
            [(KM_PER_MILE, OdometerSlipKind::MilesForKm), (1.0 / KM_PER_MILE, OdometerSlipKind::KmForMiles)];
        if let Some((factor, kind)) = unit.into_iter().find(|(factor, _)| joined(*factor)) {
            let of_run = |at: &usize| name_slip(&notes[*at], kind, Some(notes[*at].km * factor));
            slips.extend(run.iter().map(of_run));
            continue;
        }
        // What starts anew, not far from nought beside what was there before.
        let (low, high) = if is_after { (run[0], last) } else { (first, run[run.len() - 1]) };
        if notes[low].km < notes[high].km {
            let instrument = if is_after { 2 } else { 1 };
            run.iter().for_each(|at| instruments[*at] = Some(instrument));
            slips.push(name_slip(&notes[low], OdometerSlipKind::InstrumentReplaced, None));
        }
    }
}

fn name_slip(note: &OdometerNote, kind: OdometerSlipKind, suggested_km: Option<f64>) -> OdometerSlip {
    OdometerSlip { line: note.line, day: note.day, km: note.km, kind, suggested_km }
}

fn rate_of_chain(notes: &[OdometerNote], chain: &[usize]) -> Option<f64> {
    let (first, last) = (notes[*chain.first()?], notes[*chain.last()?]);
    (last.day > first.day).then(|| (last.km - first.km) / (last.day - first.day))
}

/// Between which figures a reading at a place of the list could lie, and what would be expected.
fn window_at(notes: &[OdometerNote], chain: &[usize], at: usize) -> Option<(f64, f64, f64)> {
    let before = chain.iter().rev().find(|k| **k < at && notes[**k].day <= notes[at].day).map(|k| notes[*k]);
    let after = chain.iter().find(|k| **k > at).map(|k| notes[*k]);
    let typical = rate_of_chain(notes, chain);
    let day = notes[at].day;
    match (before, after) {
        (Some(a), Some(b)) => {
            let share = if b.day > a.day { (day - a.day) / (b.day - a.day) } else { 0.5 };
            Some((a.km, b.km, a.km + share * (b.km - a.km)))
        }
        (Some(a), None) => {
            let km = typical? * (day - a.day);
            Some((a.km, a.km + 3.0 * km + 300.0, a.km + km))
        }
        (None, Some(b)) => {
            let km = typical? * (b.day - day);
            Some(((b.km - 3.0 * km - 300.0).max(0.0), b.km, b.km - km))
        }
        (None, None) => None,
    }
}

/// The first explanation that puts a reading where it could lie.
fn explain_reading(notes: &[OdometerNote], chain: &[usize], at: usize) -> OdometerSlip {
    let note = &notes[at];
    let found = window_at(notes, chain, at).and_then(|window| find_meaning(note, window));
    let Some((kind, km)) = found else {
        let goes_back = chain.iter().any(|k| {
            let other = &notes[*k];
            (other.day <= note.day && other.km > note.km) || (other.day >= note.day && other.km < note.km)
        });
        let kind = if goes_back { OdometerSlipKind::GoesBack } else { OdometerSlipKind::TooFast };
        return name_slip(note, kind, None);
    };
    name_slip(note, kind, Some(km))
}

/// The figures that may have been meant, were the digits typed with one slip.
type DigitSlip = fn(&[u8]) -> Vec<Vec<u8>>;

/// What a figure was meant to be, if one slip explains it: kind and km.
fn find_meaning(
    note: &OdometerNote,
    (low, high, expected): (f64, f64, f64),
) -> Option<(OdometerSlipKind, f64)> {
    let typed = math::round(note.km / note.unit_km);
    let digits = if (0.0..1.0e12).contains(&typed) { format!("{typed:.0}") } else { return None };
    let units = [
        (OdometerSlipKind::MilesForKm, note.km * KM_PER_MILE),
        (OdometerSlipKind::KmForMiles, note.km / KM_PER_MILE),
    ];
    // A unit mixed up has to meet the expected figure rather closely: half of the window would hide any slip.
    let near = 0.25 * (high - low) + 1.0;
    if let Some(found) =
        units.into_iter().find(|(_, km)| (low..=high).contains(km) && (km - expected).abs() <= near)
    {
        return Some(found);
    }
    let of_digits: [(OdometerSlipKind, DigitSlip); 4] = [
        (OdometerSlipKind::DigitsSwapped, swap_digits),
        (OdometerSlipKind::DigitMissing, add_digits),
        (OdometerSlipKind::DigitTooMany, drop_digits),
        (OdometerSlipKind::DigitWrong, change_digits),
    ];
    of_digits.into_iter().find_map(|(kind, vary)| {
        let meant = vary(digits.as_bytes())
            .into_iter()
            .filter_map(|d| String::from_utf8(d).ok()?.parse::<f64>().ok());
        let fits = meant.map(|figure| figure * note.unit_km).filter(|km| (low..=high).contains(km));
        let nearest = fits.min_by(|a, b| (a - expected).abs().total_cmp(&(b - expected).abs()))?;
        Some((kind, nearest))
    })
}

fn swap_digits(digits: &[u8]) -> Vec<Vec<u8>> {
    let swapped = |k: usize| {
        let mut all = digits.to_vec();
        all.swap(k, k + 1);
        all
    };
    (0..digits.len().saturating_sub(1)).filter(|k| digits[*k] != digits[k + 1]).map(swapped).collect()
}

fn add_digits(digits: &[u8]) -> Vec<Vec<u8>> {
    let added = |k: usize, digit: u8| [&digits[..k], &[digit], &digits[k..]].concat();
    (0..=digits.len()).flat_map(|k| (b'0'..=b'9').map(move |digit| added(k, digit))).collect()
}

fn drop_digits(digits: &[u8]) -> Vec<Vec<u8>> {
    (0..digits.len()).map(|k| [&digits[..k], &digits[k + 1..]].concat()).filter(|d| !d.is_empty()).collect()
}

fn change_digits(digits: &[u8]) -> Vec<Vec<u8>> {
    let changed = |k: usize, digit: u8| {
        let mut all = digits.to_vec();
        all[k] = digit;
        all
    };
    (0..digits.len())
        .flat_map(|k| (b'0'..=b'9').map(move |digit| (k, digit)))
        .filter(|(k, digit)| digits[*k] != *digit)
        .map(|(k, digit)| changed(k, digit))
        .collect()
}

/// Asks about a last step that is far outside the others, and about a first one.
fn ask_about_steps(notes: &[OdometerNote], chain: &[usize], slips: &mut Vec<OdometerSlip>) {
    for is_last in [true, false] {
        let own = if is_last { chain.len().checked_sub(1) } else { Some(0) };
        let Some(own) = own.filter(|_| chain.len() >= LEAST_OTHER_STEPS + 2) else { continue };
        let rest: Vec<usize> = chain.iter().copied().filter(|k| *k != chain[own]).collect();
        let (from, to) = if is_last { (chain[own - 1], chain[own]) } else { (chain[0], chain[1]) };
        let Some(probability) = step_probability(notes, &rest, (&notes[from], &notes[to])) else { continue };
        if probability < UNUSUAL_PROBABILITY {
            let meant = window_at(notes, &rest, chain[own])
                .and_then(|window| find_meaning(&notes[chain[own]], window));
            let suggested =
                meant.filter(|(kind, _)| *kind <= OdometerSlipKind::DigitTooMany).map(|(_, km)| km);
            slips.push(name_slip(&notes[chain[own]], OdometerSlipKind::UnusualStep, suggested));
        }
    }
}

/// Two-sided probability of a step as far out as this, by the other steps.
fn step_probability(
    notes: &[OdometerNote],
    rest: &[usize],
    step: (&OdometerNote, &OdometerNote),
) -> Option<f64> {
    let rate = rate_of_chain(notes, rest)?;
    let others =
        rest.windows(2).map(|p| (notes[p[1]].day - notes[p[0]].day, notes[p[1]].km - notes[p[0]].km));
    let others: Vec<(f64, f64)> = others.filter(|(days, _)| *days > 0.0).collect();
    let span: f64 = others.iter().map(|(days, _)| days).sum();
    let count = others.len().checked_sub(1).filter(|nu| *nu + 1 >= LEAST_OTHER_STEPS)?;
    let spread: f64 = others.iter().map(|(days, km)| (km - rate * days) * (km - rate * days) / days).sum();
    let (days, km) = (step.1.day - step.0.day, step.1.km - step.0.km);
    let variance = spread / count as f64 * (days + days * days / span);
    let off = (km - rate * days).abs() / math::sqrt(variance);
    off.is_finite().then(|| 2.0 * student_above_probability(off, count as f64))
}
