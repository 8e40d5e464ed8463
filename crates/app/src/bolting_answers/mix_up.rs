//! Wrong bolt, right hole: what one swap does, or which swaps of a whole book do harm.
//!
//! **Method.** `bolting::mixup`. For a book, every ordered pair of bolts and screws of one thread is tried that look alike
//! (same drive, or heads within half a millimetre) but differ in length or class, and that lie near each other: on one
//! part, or on parts worked from one station. Fasteners of one size with the same effect in a hole share one line.
//!
//! **Worked example.** M6 × 30 in the hole of an M6 × 20 (10 mm clamped, 14 mm of thread): the head stays 6 mm off.

use super::{AnswerGrounds, BoltingError, friction, holes, read};
use bolting::mixup::{self, MixUpBolt, MixUpConsequence, MixUpKind, MixUpSeat, MixUpSeverity};
use bolting::{Lubrication, PropertyClass, TappedIn, Thread};
use model::{Book, FastenerKind, Fixing};
use serde::{Deserialize, Serialize};

/// Heads whose diameters differ by no more look alike, mm (assumption).
const LIKE_HEAD_MM: f64 = 0.5;

/// The question about one swap, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct MixUpRequest {
    /// The fastener that goes in: `M6 x 30, 8.8`.
    pub fastener: String,
    /// The fastener that belongs there: `M6 x 20, 8.8`.
    pub instead_of: String,
    /// Thickness clamped under the head: `10 mm`.
    pub clamped: String,
    /// Depth of usable thread from the joint face; without it a through hole or an unknown depth.
    pub depth: Option<String>,
    /// Torque of the hole.
    pub torque: Option<String>,
    /// What the hole is tapped into; without it steel.
    pub material: Option<String>,
    /// State of lubrication.
    pub lubrication: Option<String>,
}

/// One thing that happens.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixUpEffect {
    /// Short name: `bottoms-out`.
    pub kind: MixUpKind,
    /// How bad it is.
    pub severity: MixUpSeverity,
    /// In words, with figures.
    pub words: String,
    /// Torque over what gives way, for the order; left out of the answer.
    #[serde(skip)]
    pub overload_ratio: f64,
}

/// The answer about one swap.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixUpAnswer {
    /// The fastener that goes in.
    pub fastener: String,
    /// The fastener that belongs there.
    pub instead_of: String,
    /// How bad the worst is.
    pub severity: MixUpSeverity,
    /// All that happens, worst first.
    pub happens: Vec<MixUpEffect>,
    /// What it rests on.
    pub why: AnswerGrounds,
}

/// The question about a whole book.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct MixUpMatrixRequest {
    /// Only the holes of this fixing.
    pub fixing: Option<String>,
    /// Whether fasteners from anywhere on the vehicle are tried, and not only those near by.
    pub anywhere: bool,
}

/// Fasteners of one size that do harm in one hole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HarmfulSwap {
    /// The fixing whose hole they go in.
    pub hole_of: String,
    /// The fixings whose fasteners go in the wrong hole, in book order.
    pub fasteners_of: Vec<String>,
    /// Their size.
    pub fastener: String,
    /// The size that belongs there.
    pub instead_of: String,
    /// How bad the worst is.
    pub severity: MixUpSeverity,
    /// All that happens, worst first.
    pub happens: Vec<MixUpEffect>,
    /// Of the worst, for the order; left out of the answer.
    #[serde(skip)]
    pub overload_ratio: f64,
}

/// The answer about a whole book.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixUpMatrix {
    /// Key of the book.
    pub book: String,
    /// Fixings whose fasteners were tried: those with thread, length and clamped thickness.
    pub tried: Vec<String>,
    /// Look-alike pairs tried.
    pub pairs: usize,
    /// Swaps that do harm or may, worst first, then by how far the torque passes what gives way.
    pub swaps: Vec<HarmfulSwap>,
    /// What it rests on.
    pub why: AnswerGrounds,
}

/// Answers the question about one swap.
///
/// # Errors
/// [`BoltingError::Field`] with the field that cannot be used and what to write.
pub fn assess_mix_up(asked: &MixUpRequest) -> Result<MixUpAnswer, BoltingError> {
    let fastener = parse_bolt("fastener", &asked.fastener)?;
    let intended = parse_bolt("instead-of", &asked.instead_of)?;
    let state = asked.lubrication.as_ref();
    let seat = MixUpSeat {
        intended,
        clamped: read::parse_length("clamped", &asked.clamped)?,
        tapped_depth: read::given_text(asked.depth.as_ref())
            .map(|t| read::parse_length("depth", t))
            .transpose()?,
        torque: read::given_text(asked.torque.as_ref())
            .map(|t| read::parse_torque("torque", t))
            .transpose()?
            .map(|t| t.0),
        tapped_in: read::parse_material(asked.material.as_ref())?.unwrap_or(TappedIn::Steel),
        lubrication: read::given_text(state)
            .map_or(Ok(Lubrication::Unstated), friction::parse_lubrication)?,
    };
    if seat.clamped >= intended.length {
        let words = format!(
            "{} are clamped, but the fastener that belongs there is only {} long; check both",
            seat.clamped, intended.length
        );
        return Err(read::field_error("clamped", words));
    }
    let happens = mix_up_effects(&fastener, &seat);
    let mut why = mix_up_grounds();
    if seat.torque.is_none() {
        why.add_caution("Without the hole's torque, stripping and yield could not be checked.");
    }
    if seat.tapped_depth.is_none() {
        why.add_caution(
            "The depth of the hole is not known, so whether a longer fastener bottoms out was not checked.",
        );
    }
    Ok(MixUpAnswer {
        fastener: bolt_size_words(&fastener),
        instead_of: bolt_size_words(&intended),
        severity: happens.first().map_or(MixUpSeverity::Harmless, |h| h.severity),
        happens,
        why,
    })
}

/// The swaps of a book that do harm.
///
/// # Errors
/// [`BoltingError::Field`] for a fixing that the book does not have.
pub fn find_harmful_swaps(book: &Book, asked: &MixUpMatrixRequest) -> Result<MixUpMatrix, BoltingError> {
    let only =
        read::given_text(asked.fixing.as_ref()).map(|key| holes::require_fixing(book, key)).transpose()?;
    let kinds = [FastenerKind::Bolt, FastenerKind::Screw];
    let loose: Vec<(&Fixing, MixUpBolt)> = book
        .fixings
        .iter()
        .filter(|f| kinds.contains(&f.kind) && !f.captive && !f.slackened)
        .filter_map(|f| Some((f, bolt_of(f)?)))
        .collect();
    let (mut pairs, mut swaps) = (0, Vec::new());
    for (hole, _) in loose.iter().filter(|(hole, _)| only.is_none_or(|o| o.key == hole.key)) {
        let Some(seat) = seat_of(hole) else { continue };
        let near = |f: &Fixing| asked.anywhere || are_near(book, f, hole);
        let others = loose.iter().filter(|(f, _)| f.key != hole.key && look_alike(f, hole) && near(f));
        let others: Vec<&(&Fixing, MixUpBolt)> = others.collect();
        pairs += others.len();
        swaps.extend(swaps_into(hole, &seat, &others));
    }
    swaps.sort_by(|a: &HarmfulSwap, b| {
        b.severity.cmp(&a.severity).then(b.overload_ratio.total_cmp(&a.overload_ratio))
    });
    let tried = loose.iter().filter(|(f, _)| f.clamped.is_some()).map(|(f, _)| f.key.clone()).collect();
    Ok(MixUpMatrix { book: book.key.clone(), tried, pairs, swaps, why: mix_up_grounds() })
}

/// Whether two fixings hold one part, or parts that are worked from one station.
fn are_near(book: &Book, a: &Fixing, b: &Fixing) -> bool {
    a.part == b.part || book.part(a.part).station == book.part(b.part).station
}

/// What does harm in one hole, by size of the fastener.
fn swaps_into(hole: &Fixing, seat: &MixUpSeat, others: &[&(&Fixing, MixUpBolt)]) -> Vec<HarmfulSwap> {
    let mut swaps: Vec<HarmfulSwap> = Vec::new();
    for (from, fastener) in others {
        let fastener_words = bolt_size_words(fastener);
        if let Some(same) = swaps.iter_mut().find(|s| s.fastener == fastener_words) {
            same.fasteners_of.push(from.key.clone());
            continue;
        }
        let mut happens = mix_up_effects(fastener, seat);
        happens.retain(|h| h.severity >= MixUpSeverity::Unknown);
        let Some((severity, overload_ratio)) = happens.first().map(|h| (h.severity, h.overload_ratio)) else {
            continue;
        };
        swaps.push(HarmfulSwap {
            hole_of: hole.key.clone(),
            fasteners_of: vec![from.key.clone()],
            fastener: fastener_words,
            instead_of: bolt_size_words(&seat.intended),
            severity,
            happens,
            overload_ratio,
        });
    }
    swaps
}

fn mix_up_effects(fastener: &MixUpBolt, seat: &MixUpSeat) -> Vec<MixUpEffect> {
    let happening = |c: &MixUpConsequence| MixUpEffect {
        kind: c.kind(),
        severity: c.severity(),
        words: c.to_string(),
        overload_ratio: c.overload_ratio(),
    };
    mixup::mix_up_consequences(fastener, seat).iter().map(happening).collect()
}

fn bolt_of(fixing: &Fixing) -> Option<MixUpBolt> {
    Some(MixUpBolt { thread: fixing.screw_thread()?, length: fixing.length?, class: fixing.class })
}

fn seat_of(fixing: &Fixing) -> Option<MixUpSeat> {
    Some(MixUpSeat {
        intended: bolt_of(fixing)?,
        clamped: fixing.clamped?,
        tapped_depth: fixing.tapped_depth,
        torque: fixing.greatest_torque(),
        tapped_in: fixing.tapped_in,
        lubrication: fixing.lubrication,
    })
}

fn look_alike(a: &Fixing, b: &Fixing) -> bool {
    let heads = (a.head.diameter - b.head.diameter).as_mm().abs() <= LIKE_HEAD_MM;
    a.thread == b.thread && (a.drive == b.drive || heads) && (a.length != b.length || a.class != b.class)
}

/// A fastener in words: `M6 × 30, 8.8`.
fn bolt_size_words(bolt: &MixUpBolt) -> String {
    let class = bolt.class.map_or_else(String::new, |c| format!(", {c}"));
    format!("{} × {}{class}", bolt.thread, units::significant(bolt.length.as_mm(), 4))
}

/// Splits the class off, which stands behind a comma, `SAE 5`, or is the last word.
fn split_class(text: &str) -> (String, Option<PropertyClass>) {
    let behind_comma = text.rsplit_once(',');
    if let Some((rest, Ok(class))) = behind_comma.map(|(rest, class)| (rest, PropertyClass::parse(class))) {
        let words = rest.replace(',', " ");
        return (words.split_whitespace().collect::<Vec<_>>().join(" "), Some(class));
    }
    let spaced = text.replace(',', " ");
    let mut words: Vec<&str> = spaced.split_whitespace().collect();
    let class = words.last().filter(|_| words.len() > 1).and_then(|w| PropertyClass::parse(w).ok());
    if class.is_some() {
        words.pop();
    }
    (words.join(" "), class)
}

/// Reads `M6 x 30, 8.8`, `M10x1.25x40 10.9`, `1/4-20 UNC x 1 in, SAE 5`.
fn parse_bolt(field: &'static str, text: &str) -> Result<MixUpBolt, BoltingError> {
    let (rest, class) = split_class(&text.replace('×', "x"));
    let wrong = || {
        read::field_error(
            field,
            format!("`{text}` is not a fastener; write thread, length and class as `M6 x 30, 8.8`"),
        )
    };
    let (thread, length) = match rest.rsplit_once(" x ") {
        Some(parts) => parts,
        None if Thread::parse(&rest).is_ok() => return Err(wrong()),
        None => rest.rsplit_once('x').ok_or_else(wrong)?,
    };
    let thread = Thread::parse(&thread.replace(" x ", "x"))
        .map_err(|error| read::field_error(field, error.to_string()))?;
    let bare = length.trim().parse::<f64>().is_ok();
    let length = if bare { format!("{} mm", length.trim()) } else { length.to_owned() };
    Ok(MixUpBolt { thread, length: read::parse_length(field, &length)?, class })
}

fn mix_up_grounds() -> AnswerGrounds {
    let formula = [
        "engaged = min(l − t, h)     short by = l − t − h",
        "needed  = 1.25 × the length whose thread holds the preload of T at the least friction",
    ];
    let holds = "fully threaded bolts; a shank that jams in the thread is not detected";
    let sources = [
        "geometry; stripping after FED-STD-H28/2B, yield after VDI 2230; the reserve of 1.25 is an assumption",
        "a fastener can start in the other's thread where their diameters differ by less than 3 % (assumption)",
    ];
    AnswerGrounds::new(&formula, holds, &sources)
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Length;

    #[track_caller]
    fn check(text: &str, expected: &str) {
        assert_eq!(
            parse_bolt("fastener", text).map(|b| bolt_size_words(&b)).map_err(|e| e.to_string()),
            Ok(expected.to_owned())
        );
    }

    #[test]
    fn fasteners_are_read_as_people_write_them() {
        check("M6 x 30, 8.8", "M6 × 30, 8.8");
        check("M6×30 8.8", "M6 × 30, 8.8");
        check("M10x1.25x40 10.9", "M10x1.25 × 40, 10.9");
        check("M10 x 1.25 x 40", "M10x1.25 × 40");
        check("M8 x 1 in A2-70", "M8 × 25.4, A2-70");
        check("1/4-20 UNC x 1 in", "1/4-20 UNC × 25.4");
        check("1/4-20 UNC x 1 in, SAE 5", "1/4-20 UNC × 25.4, SAE 5");
        check("3/8-16 x 2 in, three lines", "3/8-16 UNC × 50.8, SAE 5");
        check("M6 x 30, , 8.8", "M6 × 30, 8.8");
        for wrong in ["", "M6", "M10x1.25", "x 30", "M6 x", "M6 x -3", "bolt", "8.8"] {
            assert!(parse_bolt("fastener", wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_length_is_a_length_and_not_a_pitch() {
        let read = parse_bolt("fastener", "M8x30").expect("a length that is no pitch");
        assert_eq!(read.length, Length::from_mm(30.0));
    }
}
