//! Reads thread designations, with the series tables behind them.
//!
//! symbol: tpi, figure = threads per inch; any figure

use core::fmt;

use units::math;

use super::spelling::{plain_spelling, refused_spelling, with_number_sign, without_tolerance};
use super::{TENTHS_OF_MIL_PER_IN, Thread, ThreadKind, UM_PER_MM, coarse_pitch_mm};
use crate::pipe_thread::PipeThread;

/// Why a text is not a thread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ThreadError {
    /// The text has no form that is known.
    NotAThread {
        /// The text as written.
        text: String,
    },
    /// The nominal diameter is too small or too large to be meant.
    DiameterOutOfRange {
        /// The text as written.
        text: String,
    },
    /// A metric diameter that has no coarse pitch, so the pitch must be written.
    NoCoarsePitch {
        /// The text as written.
        text: String,
        /// A way to write it.
        sample: String,
    },
    /// An inch diameter without threads per inch, or a metric pitch behind the wrong sign.
    PitchUnclear {
        /// The text as written.
        text: String,
        /// What is missing and what to write.
        hint: String,
    },
    /// The pitch does not go with the diameter, or is no standard pitch.
    AbsurdPitch {
        /// The text as written.
        text: String,
        /// What is wrong and what to write.
        hint: String,
    },
    /// A thread that is known and not read in this spelling, or of which no load is reckoned.
    NotRead {
        /// The text as written.
        text: String,
        /// What to write.
        hint: String,
    },
    /// The series named and the threads per inch contradict each other.
    SeriesMismatch {
        /// The text as written.
        text: String,
        /// What the series would have.
        hint: String,
    },
}

impl fmt::Display for ThreadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAThread { text } => {
                let samples = "`M6`, `M10x1.25`, `1/4-20 UNC`, `#10-32 UNF`, `1/8-27 NPT` or `G 1/4`";
                write!(f, "`{text}` is not a thread; write it as {samples}")
            }
            Self::DiameterOutOfRange { text } => {
                write!(
                    f,
                    "`{text}`: the diameter is out of range; threads may be M1 to M150, or 1/16 in to 6 in"
                )
            }
            Self::NoCoarsePitch { text, sample } => {
                write!(f, "`{text}` has no coarse pitch; write the pitch too, as in `{sample}`")
            }
            Self::PitchUnclear { text, hint }
            | Self::AbsurdPitch { text, hint }
            | Self::NotRead { text, hint }
            | Self::SeriesMismatch { text, hint } => {
                write!(f, "`{text}`: {hint}")
            }
        }
    }
}

impl core::error::Error for ThreadError {}

/// Coarse pitches of ISO 261 in micrometres: (nominal diameter, pitch). M4 to M24 checked, the rest from memory.
const COARSE_UM: &[(u32, u32)] = &[
    (1_000, 250),
    (1_100, 250),
    (1_200, 250),
    (1_400, 300),
    (1_600, 350),
    (1_800, 350),
    (2_000, 400),
    (2_200, 450),
    (2_500, 450),
    (3_000, 500),
    (3_500, 600),
    (4_000, 700),
    (4_500, 750),
    (5_000, 800),
    (6_000, 1_000),
    (7_000, 1_000),
    (8_000, 1_250),
    (9_000, 1_250),
    (10_000, 1_500),
    (11_000, 1_500),
    (12_000, 1_750),
    (14_000, 2_000),
    (16_000, 2_000),
    (18_000, 2_500),
    (20_000, 2_500),
    (22_000, 2_500),
    (24_000, 3_000),
    (27_000, 3_000),
    (30_000, 3_500),
    (33_000, 3_500),
    (36_000, 4_000),
    (39_000, 4_000),
    (42_000, 4_500),
    (45_000, 4_500),
    (48_000, 5_000),
    (52_000, 5_000),
    (56_000, 5_500),
    (60_000, 5_500),
    (64_000, 6_000),
    (68_000, 6_000),
];

/// Pitches that ISO 261 knows, in micrometres (from memory above 3 mm).
const PITCHES_UM: &[u32] = &[
    200, 250, 300, 350, 400, 450, 500, 600, 700, 750, 800, 1_000, 1_250, 1_500, 1_750, 2_000, 2_500, 3_000,
    3_500, 4_000, 4_500, 5_000, 5_500, 6_000, 8_000,
];

/// The finest pitch is this share of the diameter; finer is a slip (assumption: ISO 261 stays above 1/50).
const FINEST_PITCH_RATIO: f64 = 0.02;

/// Unified series of ASME B1.1 (from memory): diameter text, diameter in 1/10000 in, threads per inch coarse and fine.
pub(super) const INCH_SERIES: &[(&str, u32, u32, Option<u32>)] = &[
    ("#2", 860, 56, Some(64)),
    ("#3", 990, 48, Some(56)),
    ("#4", 1_120, 40, Some(48)),
    ("#5", 1_250, 40, Some(44)),
    ("#6", 1_380, 32, Some(40)),
    ("#8", 1_640, 32, Some(36)),
    ("#10", 1_900, 24, Some(32)),
    ("#12", 2_160, 24, Some(28)),
    ("1/4", 2_500, 20, Some(28)),
    ("5/16", 3_125, 18, Some(24)),
    ("3/8", 3_750, 16, Some(24)),
    ("7/16", 4_375, 14, Some(20)),
    ("1/2", 5_000, 13, Some(20)),
    ("9/16", 5_625, 12, Some(18)),
    ("5/8", 6_250, 11, Some(18)),
    ("3/4", 7_500, 10, Some(16)),
    ("7/8", 8_750, 9, Some(14)),
    ("1", 10_000, 8, Some(12)),
    ("1 1/8", 11_250, 7, Some(12)),
    ("1 1/4", 12_500, 7, Some(12)),
    ("1 3/8", 13_750, 6, Some(12)),
    ("1 1/2", 15_000, 6, Some(12)),
];

/// A figure as a whole number, where it is one within rounding and small enough to be meant.
pub(super) fn whole_number(figure: f64) -> Option<u32> {
    let rounded = math::round(figure);
    let fits = (1.0..=1.0e6).contains(&rounded) && (figure - rounded).abs() < 1.0e-3;
    fits.then_some(rounded as u32)
}

pub(super) fn coarse_um(d_um: u32) -> Option<u32> {
    COARSE_UM.iter().find(|row| row.0 == d_um).map(|row| row.1)
}

/// The coarsest pitch for a diameter: its own coarse pitch, or that of the next larger tabled diameter.
fn coarsest_um(d_um: u32) -> u32 {
    COARSE_UM.iter().find(|row| row.0 >= d_um).map_or(8_000, |row| row.1)
}

pub(super) fn metric_thread(d_mm: f64, pitch_mm: f64, text: &str) -> Result<Thread, ThreadError> {
    let out_of_range = || ThreadError::DiameterOutOfRange { text: text.into() };
    let absurd = |hint: String| ThreadError::AbsurdPitch { text: text.into(), hint };
    let d_um = whole_number(d_mm * UM_PER_MM)
        .filter(|um| (1_000..=150_000).contains(um))
        .ok_or_else(out_of_range)?;
    let coarsest_um = coarsest_um(d_um);
    let coarsest_mm = f64::from(coarsest_um) / UM_PER_MM;
    if pitch_mm.is_nan() || pitch_mm > coarsest_mm + 1.0e-6 {
        let length = "the number after the `x` is the pitch; write the length separately";
        return Err(absurd(format!(
            "a pitch of {pitch_mm} mm is too coarse, at most {coarsest_mm}; {length}"
        )));
    }
    let pitch_um =
        whole_number(pitch_mm * UM_PER_MM).filter(|um| PITCHES_UM.contains(um)).ok_or_else(|| {
            absurd(format!("{pitch_mm} mm is not a pitch of ISO 261; the coarse pitch is {coarsest_mm}"))
        })?;
    if pitch_mm < FINEST_PITCH_RATIO * d_mm {
        return Err(absurd(format!("a pitch of {pitch_mm} mm is too fine for this diameter")));
    }
    Ok(Thread(ThreadKind::Metric { d_um, pitch_um }))
}

/// Any screw thread, in the spelling of the text; refusals quote it as written.
pub(super) fn parse_designation(text: &str) -> Result<Thread, ThreadError> {
    let plain = plain_spelling(text);
    if let Some(refused) = refused_spelling(&plain, text) {
        return Err(refused);
    }
    if let Some(pipe) = PipeThread::parse(text) {
        let pipe = pipe?;
        return Err(ThreadError::NotRead { text: text.into(), hint: pipe.seal_words().into() });
    }
    let size = without_tolerance(&plain);
    match size.strip_prefix('M') {
        Some(rest) => parse_metric(rest, text),
        None => parse_inch(&with_number_sign(size), text),
    }
}

fn parse_metric(rest: &str, text: &str) -> Result<Thread, ThreadError> {
    let not = || ThreadError::NotAThread { text: text.into() };
    if let Some((d, pitch)) = rest.split_once('-').map(|(d, pitch)| (d.trim(), pitch.trim()))
        && plain_figure(d).and(plain_figure(pitch)).is_some()
    {
        let hint = format!("the pitch stands behind an `x`: write `M{d}x{pitch}`");
        return Err(ThreadError::PitchUnclear { text: text.into(), hint });
    }
    let mut fields = rest.split(['x', 'X', '×', '*']).map(str::trim);
    let d_mm = fields.next().and_then(plain_figure).ok_or_else(not)?;
    let pitch_mm = match fields.next() {
        Some(pitch) => plain_figure(pitch).ok_or_else(not)?,
        None => default_pitch_mm(d_mm, text)?,
    };
    if fields.next().is_some() { Err(not()) } else { metric_thread(d_mm, pitch_mm, text) }
}

fn default_pitch_mm(d_mm: f64, text: &str) -> Result<f64, ThreadError> {
    if !(1.0..=150.0).contains(&d_mm) {
        return Err(ThreadError::DiameterOutOfRange { text: text.into() });
    }
    let sample = || format!("M{d_mm}x{}", if d_mm > 12.0 { 1.5 } else { 1.0 });
    coarse_pitch_mm(d_mm).ok_or_else(|| ThreadError::NoCoarsePitch { text: text.into(), sample: sample() })
}

/// Digits with at most one point or comma: no signs, exponents, `inf` or `nan`.
fn plain_figure(text: &str) -> Option<f64> {
    let plain = !text.is_empty()
        && text.len() <= 12
        && text.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',');
    if plain { text.replace(',', ".").parse().ok() } else { None }
}

pub(super) fn inch_thread(d_in: f64, tpi: f64, text: &str) -> Result<Thread, ThreadError> {
    let out_of_range = || ThreadError::DiameterOutOfRange { text: text.into() };
    let absurd = |hint: &str| ThreadError::AbsurdPitch { text: text.into(), hint: hint.into() };
    let d_tenths_of_mil = whole_number(d_in * TENTHS_OF_MIL_PER_IN)
        .filter(|d| (600..=60_000).contains(d))
        .ok_or_else(out_of_range)?;
    let tpi =
        whole_number(tpi).ok_or_else(|| absurd("threads per inch must be a whole number above zero"))?;
    let coarsest = INCH_SERIES.iter().find(|row| row.1 >= d_tenths_of_mil).map_or(4, |row| row.2);
    if tpi < coarsest {
        let pipe = PipeThread::parse(&format!("{text} NPT")).and_then(Result::ok);
        let pipe =
            pipe.map_or_else(String::new, |pipe| format!("; if a pipe thread is meant, write `{pipe}`"));
        return Err(absurd(&format!(
            "{tpi} threads per inch is too coarse for this diameter; use at least {coarsest}{pipe}"
        )));
    }
    if 1.0 / f64::from(tpi) < FINEST_PITCH_RATIO * d_in || tpi > 100 {
        return Err(absurd(&format!("{tpi} threads per inch is too fine for this diameter")));
    }
    Ok(Thread(ThreadKind::Inch { d_tenths_of_mil, tpi }))
}

/// An inch thread in plain spelling; `text` is how it was written.
fn parse_inch(plain: &str, text: &str) -> Result<Thread, ThreadError> {
    let not = || ThreadError::NotAThread { text: text.into() };
    let (size, series) = split_series(plain);
    let (d_text, tpi_text) = split_inch_pitch(size);
    if let Some(number) = number_size(&d_text, tpi_text) {
        return parse_inch(&format!("#{number}{}", &plain[d_text.len()..]), text);
    }
    let d_in = inch_diameter(&d_text).ok_or_else(not)?;
    let wanted = series.and_then(|s| series_tpi(d_in, s));
    let tpi = match (tpi_text, wanted) {
        (Some(tpi), _) => plain_figure(tpi.trim()).ok_or_else(not)?,
        (None, Some(wanted)) => f64::from(wanted),
        (None, None) if plain.contains(['/', '#']) || text.contains('"') => {
            return Err(pitch_missing(d_in, text));
        }
        (None, None) => return Err(not()),
    };
    match (series, wanted) {
        (Some(series), Some(wanted)) if (tpi - f64::from(wanted)).abs() > 1.0e-6 => {
            Err(ThreadError::SeriesMismatch {
                text: text.into(),
                hint: format!("{series} of this size has {wanted} threads per inch, not {tpi}"),
            })
        }
        _ => inch_thread(d_in, tpi, text),
    }
}

/// The refusal of an inch diameter that says nothing of its pitch, with what its series have.
fn pitch_missing(d_in: f64, text: &str) -> ThreadError {
    let d = whole_number(d_in * TENTHS_OF_MIL_PER_IN);
    let series = INCH_SERIES.iter().find(|row| Some(row.1) == d);
    let samples = match series {
        Some((name, _, coarse, Some(fine))) => format!("`{name}-{coarse} UNC` or `{name}-{fine} UNF`"),
        Some((name, _, coarse, None)) => format!("`{name}-{coarse} UNC`"),
        None => format!("`{text}-20`"),
    };
    let hint = format!("the threads per inch are missing; write {samples}");
    ThreadError::PitchUnclear { text: text.into(), hint }
}

/// Splits the threads per inch off; `1-1/8-7` is the diameter 1 1/8.
fn split_inch_pitch(size: &str) -> (String, Option<&str>) {
    let Some((d, rest)) = size.split_once('-') else { return (size.to_owned(), None) };
    let is_whole = !d.is_empty() && d.chars().all(|c| c.is_ascii_digit());
    match rest.split_once('-') {
        Some((fraction, tpi)) if is_whole && fraction.contains('/') => (format!("{d} {fraction}"), Some(tpi)),
        None if is_whole && rest.contains('/') => (format!("{d} {rest}"), None),
        Some(_) | None => (d.to_owned(), Some(rest)),
    }
}

/// A number size that is written without its sign, `10-24`: no inch size has the threads per inch of a number size.
fn number_size<'d>(d_text: &'d str, tpi_text: Option<&str>) -> Option<&'d str> {
    let name = format!("#{d_text}");
    let row = INCH_SERIES.iter().find(|row| row.0 == name)?;
    let tpi = tpi_text?.trim().parse::<u32>().ok()?;
    (tpi == row.2 || Some(tpi) == row.3).then_some(d_text)
}

/// Splits a trailing series name off.
fn split_series(upper: &str) -> (&str, Option<&'static str>) {
    for series in ["UNC", "UNF", "UNS", "UNEF", "UN"] {
        if let Some(size) = upper.strip_suffix(series) {
            return (size.trim().trim_end_matches('-').trim_end(), Some(series));
        }
    }
    (upper, None)
}

fn series_tpi(d_in: f64, series: &str) -> Option<u32> {
    let d = whole_number(d_in * TENTHS_OF_MIL_PER_IN)?;
    let row = INCH_SERIES.iter().find(|row| row.1 == d)?;
    match series {
        "UNC" => Some(row.2),
        "UNF" => row.3,
        _ => None,
    }
}

/// Reads `#10`, `1/4`, `1 1/8`, `0.250`.
fn inch_diameter(text: &str) -> Option<f64> {
    let text = text.trim();
    if text.starts_with('#') {
        let row = INCH_SERIES.iter().find(|row| row.0 == text)?;
        return Some(f64::from(row.1) / TENTHS_OF_MIL_PER_IN);
    }
    if let Some((whole_in, fraction)) = text.split_once(' ') {
        return Some(plain_figure(whole_in.trim())? + parse_ratio(fraction.trim())?);
    }
    parse_ratio(text).or_else(|| plain_figure(text))
}

fn parse_ratio(text: &str) -> Option<f64> {
    let (over, under) = text.split_once('/')?;
    let (over, under) = (plain_figure(over)?, plain_figure(under)?);
    (under > 0.0).then_some(over / under)
}
