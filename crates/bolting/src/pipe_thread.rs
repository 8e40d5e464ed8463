//! Pipe threads: plugs, senders and fittings that seal in their thread or on a face, and carry no reckoned preload.
//!
//! **Question.** What do `1/8-27 NPT`, `G 1/4` or `Rc 3/8` measure, and what may be reckoned from them?
//!
//! **Symbols.** `D` major diameter (mm): of NPT the outside diameter of the pipe, of ISO threads the basic one at the gauge plane.
//! `P` pitch (mm), 25.4 over the threads per inch.
//!
//! **Method.** The sizes are a table. A taper thread seals by turns past hand-tight: its flanks wedge, and torque says little of how
//! tight it sits. So there is neither preload nor stretch, stress area or stripping load here. What is left is a wide band of torques
//! to choose a tool by where no figure is told, and turns to count time by.
//!
//! **Range.** 1/16 to 2; taper 1 in 16; right-hand and left-hand alike. Profile angles (60° of NPT, 55° of ISO) are not asked for.
//!
//! **Sources.** ASME B1.20.1 (diameter and threads per inch as several public tables print them), ASME B1.20.3 (same sizes, from
//! memory); ISO 7-1 and ISO 228-1 (from memory; sizes 1/8 and 1/4 as a public page prints them). Turns hand-tight and past it are those of a
//! public table of NPT fittings; the torques are from memory.
//!
//! symbol: tpi = threads per inch

use core::fmt;

use units::{Length, Range, Torque};

use crate::ThreadError;

const MM_PER_IN: f64 = 25.4;
const UM_PER_MM: f64 = 1000.0;
const TENTHS_OF_MIL_PER_IN: f64 = 10_000.0;

/// Turns of a taper thread by hand, and with the wrench after them, in the middle sizes (a public table of NPT: 4 to 5 and 2½ to 3¼).
const TURNS_ENGAGED: f64 = 4.5 + 3.0;
/// The band round a common make-up torque of a size that a tool should manage (assumption: wide on purpose).
const BAND_OF_MAKE_UP: (f64, f64) = (0.25, 2.0);

/// Which standard a pipe thread follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PipeThreadForm {
    /// American taper thread, sealed with compound or tape (ASME B1.20.1).
    Npt,
    /// American taper thread that seals dry, by its crests (ASME B1.20.3).
    NptDrySeal,
    /// Parallel thread that seals on a face or a washer (ISO 228-1).
    ParallelOnFace,
    /// Taper thread of a plug or fitting (ISO 7-1).
    TaperExternal,
    /// Taper thread of a hole (ISO 7-1).
    TaperInternal,
    /// Parallel thread of a hole for a taper plug (ISO 7-1).
    ParallelInternal,
}

impl PipeThreadForm {
    /// Its letters in a designation.
    #[must_use]
    pub const fn letters(self) -> &'static str {
        match self {
            Self::Npt => "NPT",
            Self::NptDrySeal => "NPTF",
            Self::ParallelOnFace => "G",
            Self::TaperExternal => "R",
            Self::TaperInternal => "Rc",
            Self::ParallelInternal => "Rp",
        }
    }

    const fn is_american(self) -> bool {
        matches!(self, Self::Npt | Self::NptDrySeal)
    }
}

/// A size of the American series: name, outside diameter of the pipe in 1/10000 in, threads per two inches.
const AMERICAN_SIZES: &[(&str, u32, u32)] = &[
    ("1/16", 3_125, 54),
    ("1/8", 4_050, 54),
    ("1/4", 5_400, 36),
    ("3/8", 6_750, 36),
    ("1/2", 8_400, 28),
    ("3/4", 10_500, 28),
    ("1", 13_150, 23),
    ("1 1/4", 16_600, 23),
    ("1 1/2", 19_000, 23),
    ("2", 23_750, 23),
];

/// A size of the ISO series: name, major diameter in micrometres, threads per inch, whether ISO 7-1 has it besides ISO 228-1.
const ISO_SIZES: &[(&str, u32, u32, bool)] = &[
    ("1/16", 7_723, 28, true),
    ("1/8", 9_728, 28, true),
    ("1/4", 13_157, 19, true),
    ("3/8", 16_662, 19, true),
    ("1/2", 20_955, 14, true),
    ("5/8", 22_911, 14, false),
    ("3/4", 26_441, 14, true),
    ("7/8", 30_201, 14, false),
    ("1", 33_249, 11, true),
    ("1 1/8", 37_897, 11, false),
    ("1 1/4", 41_910, 11, true),
    ("1 1/2", 47_803, 11, true),
    ("1 3/4", 53_746, 11, false),
    ("2", 59_614, 11, true),
];

/// Common make-up torque by the largest diameter that it holds for: mm, N·m (from memory: 12, 25, 40, 54, 78, 112, 154, 211 and 300 lbf·ft for
/// steel fittings of 1/8 to 2).
const MAKE_UP: &[(f64, f64)] = &[
    (10.5, 16.0),
    (14.0, 34.0),
    (17.5, 54.0),
    (23.0, 73.0),
    (27.0, 106.0),
    (34.0, 152.0),
    (43.0, 209.0),
    (49.0, 286.0),
    (61.0, 407.0),
];

/// A pipe thread by its form and size; a small key that can be used in a sorted map.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PipeThread {
    form: PipeThreadForm,
    /// Position in the table of its series.
    row: u8,
}

impl PipeThread {
    /// Reads `1/8-27 NPT`, `1/8 NPTF`, `G 1/4`, `G 1/4 A`, `R 1/4`, `Rc 1/4`, `Rp 1/4`, and the trade's `1/4 BSPP` and `1/4 BSPT`; `None`
    /// where the text does not name a pipe thread at all.
    ///
    /// # Errors
    /// [`ThreadError`] for a size that its standard does not have, for threads per inch that are not those of the size, and for `BSP`
    /// without a word on whether it is parallel or taper.
    #[must_use]
    pub fn parse(text: &str) -> Option<Result<Self, ThreadError>> {
        let plain = crate::thread::plain_spelling(text);
        let (form, size) = match split_letters(&plain)? {
            NamedForm::Known(form, size) => (form, size),
            NamedForm::Either(size) => {
                let hint = format!("parallel or taper? write `G {size}` (parallel) or `R {size}` (taper)");
                return Some(Err(ThreadError::NotRead { text: text.trim().into(), hint }));
            }
        };
        Some(read_size(form, size, text.trim()))
    }

    /// Which standard it follows.
    #[must_use]
    pub const fn form(self) -> PipeThreadForm {
        self.form
    }

    /// The size in the words of its standard: `1/8`, `1 1/4`; not a measure.
    #[must_use]
    pub fn size_name(self) -> &'static str {
        let row = usize::from(self.row);
        if self.form.is_american() { AMERICAN_SIZES[row].0 } else { ISO_SIZES[row].0 }
    }

    /// Major diameter `D`.
    #[must_use]
    pub fn d_mm(self) -> f64 {
        let row = usize::from(self.row);
        if self.form.is_american() {
            f64::from(AMERICAN_SIZES[row].1) * MM_PER_IN / TENTHS_OF_MIL_PER_IN
        } else {
            f64::from(ISO_SIZES[row].1) / UM_PER_MM
        }
    }

    /// Threads per inch; some sizes have half ones.
    #[must_use]
    pub fn tpi(self) -> f64 {
        let row = usize::from(self.row);
        if self.form.is_american() {
            f64::from(AMERICAN_SIZES[row].2) * 0.5
        } else {
            f64::from(ISO_SIZES[row].2)
        }
    }

    /// Pitch `P`.
    #[must_use]
    pub fn pitch_mm(self) -> f64 {
        MM_PER_IN / self.tpi()
    }

    /// Whether it wedges in its hole and seals there: all but `G`, which seals on a face.
    #[must_use]
    pub const fn seals_in_its_thread(self) -> bool {
        !matches!(self.form, PipeThreadForm::ParallelOnFace)
    }

    /// Length engaged where nobody tells it, by the turns that are common.
    #[must_use]
    pub fn usual_engagement(self) -> Length {
        Length::from_mm(TURNS_ENGAGED * self.pitch_mm())
    }

    /// The torques that a tool for it should manage where no figure is told: a wide band round what is common for its size.
    ///
    /// Never a figure to tighten to.
    #[must_use]
    pub fn torques_to_reckon_with(self) -> Range<Torque> {
        let d_mm = self.d_mm();
        let row = MAKE_UP.iter().find(|(up_to_mm, _)| d_mm <= *up_to_mm).or(MAKE_UP.last());
        let make_up_n_m = row.map_or(0.0, |(_, n_m)| *n_m);
        let (low, high) = BAND_OF_MAKE_UP;
        crate::angle::range_in_order(
            Torque::from_n_m(low * make_up_n_m),
            Torque::from_n_m(high * make_up_n_m),
        )
    }

    /// What makes it tight, in a sentence without its full stop.
    #[must_use]
    pub const fn seal_words(self) -> &'static str {
        if self.seals_in_its_thread() {
            "taper pipe thread: it seals by turns past hand-tight, so no preload is worked out"
        } else {
            "parallel pipe thread: it seals on its face or washer, so no preload is worked out"
        }
    }
}

impl fmt::Display for PipeThread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (size, letters) = (self.size_name(), self.form.letters());
        if self.form.is_american() {
            write!(f, "{size}-{} {letters}", self.tpi())
        } else {
            write!(f, "{letters} {size}")
        }
    }
}

/// What the letters of a designation say.
enum NamedForm<'t> {
    /// The form, and the rest of the text.
    Known(PipeThreadForm, &'t str),
    /// Parallel or taper is not told.
    Either(&'t str),
}

/// Letters before or behind a size, the longest of a beginning first; nothing of them stands for a screw thread.
const LETTERS: &[(&str, Option<PipeThreadForm>)] = &[
    ("NPTF", Some(PipeThreadForm::NptDrySeal)),
    ("NPT", Some(PipeThreadForm::Npt)),
    ("BSPP", Some(PipeThreadForm::ParallelOnFace)),
    ("BSPT", Some(PipeThreadForm::TaperExternal)),
    ("BSP", None),
    ("RC", Some(PipeThreadForm::TaperInternal)),
    ("RP", Some(PipeThreadForm::ParallelInternal)),
    ("R", Some(PipeThreadForm::TaperExternal)),
    ("G", Some(PipeThreadForm::ParallelOnFace)),
];

/// The form of a designation and its size; `None` where it has no such letters beside a figure.
fn split_letters(plain: &str) -> Option<NamedForm<'_>> {
    let is_size = |rest: &str| rest.starts_with(|c: char| c.is_ascii_digit());
    LETTERS.iter().find_map(|(letters, form)| {
        let before = plain.strip_prefix(letters).map(|rest| rest.trim_start_matches([' ', '-']));
        // A single letter behind a figure may be a unit or a class.
        let behind = plain.strip_suffix(letters).filter(|_| letters.len() > 2);
        let behind = behind.map(|rest| rest.trim_end_matches([' ', '-']));
        let size = before.filter(|rest| is_size(rest)).or_else(|| behind.filter(|rest| is_size(rest)))?;
        Some(form.map_or(NamedForm::Either(size), |form| NamedForm::Known(form, size)))
    })
}

/// A size with or without its threads per inch, `1/8-27` or `1/8`; a class of tolerance behind a `G` is passed over.
fn read_size(form: PipeThreadForm, size: &str, text: &str) -> Result<PipeThread, ThreadError> {
    let size = match form {
        PipeThreadForm::ParallelOnFace => size.trim_end_matches(['A', 'B']).trim_end_matches([' ', '-']),
        _ => size,
    };
    let (name, tpi) = split_pitch(size);
    let not_read = |hint: String| ThreadError::NotRead { text: text.into(), hint };
    let row = if form.is_american() {
        AMERICAN_SIZES.iter().position(|row| row.0 == name)
    } else {
        let has_it = |row: &(&str, u32, u32, bool)| row.3 || form == PipeThreadForm::ParallelOnFace;
        ISO_SIZES.iter().position(|row| row.0 == name && has_it(row))
    };
    let letters = form.letters();
    let Some(row) = row else {
        let sample = if form.is_american() { "1/8-27 NPT" } else { "G 1/4" };
        let sizes: Vec<&str> = if form.is_american() {
            AMERICAN_SIZES.iter().map(|row| row.0).collect()
        } else {
            ISO_SIZES.iter().filter(|row| row.3 || letters == "G").map(|row| row.0).collect()
        };
        let hint =
            format!("{letters} has no size `{name}`; its sizes are {}, as in `{sample}`", sizes.join(", "));
        return Err(not_read(hint));
    };
    let thread = PipeThread { form, row: row as u8 };
    let wanted = thread.tpi().to_string();
    match tpi {
        Some(tpi) if tpi != wanted && !(tpi == "11 1/2" && wanted == "11.5") => {
            let hint = format!("{name} {letters} has {wanted} threads per inch, not {tpi}; write `{thread}`");
            Err(not_read(hint))
        }
        Some(_) | None => Ok(thread),
    }
}

/// Splits `1/8-27` into size and threads per inch; `1-1/4` is one size.
fn split_pitch(size: &str) -> (String, Option<String>) {
    let fields: Vec<&str> = size.split('-').map(str::trim).collect();
    let (name, rest) = match fields.as_slice() {
        [whole, fraction, rest @ ..] if !whole.contains('/') && fraction.contains('/') => {
            (format!("{whole} {fraction}"), rest)
        }
        [name, rest @ ..] => ((*name).to_owned(), rest),
        [] => (String::new(), &[][..]),
    };
    let tpi = rest.join(" ");
    (name, Some(tpi).filter(|tpi| !tpi.is_empty()))
}
