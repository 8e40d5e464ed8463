//! The sizes of a set: ranges over a series, steps, lists, pairs.

use model::{Drive, DriveForm, PieceKind};
use units::{math, significant};

use super::lex::SetToken;
use super::noun::SetNoun;
use super::{BadSetWords, MAX_SET_PIECES, too_many_pieces};
use crate::standard::series;

/// One size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum PieceSize {
    /// One drive.
    One(Drive),
    /// Two unlike ends.
    Two(Drive, Drive),
    /// A length in mm.
    Length(f64),
    /// Nothing to say.
    None,
}

/// Shortest and longest extension that words can name.
const EXTENSION_MM: core::ops::RangeInclusive<f64> = 10.0..=1000.0;

/// Reads marks such as `4 to 14 mm step 0.5` or `8, 10, 13 mm`.
pub(super) fn read_sizes(noun: &SetNoun, marks: &[SetToken]) -> Result<Vec<PieceSize>, BadSetWords> {
    let mut sizes: Vec<PieceSize> = Vec::new();
    let lists_inches = marks.iter().any(is_inch_mark);
    for group in marks.split(|m| *m == SetToken::Comma) {
        // In `15/16, 1, 1-1/8 in` the 1 is an inch as well; in `9/16 in, 13 mm` the 13 is not.
        let in_inches = lists_inches && !group.contains(&SetToken::Mm) || group.iter().any(is_inch_mark);
        let group: Vec<&SetToken> = group.iter().filter(|m| **m != SetToken::Mm).collect();
        for size in read_size_group(noun, &group, in_inches)? {
            if !sizes.contains(&size) {
                sizes.push(size);
            }
        }
        if sizes.len() > MAX_SET_PIECES {
            return Err(too_many_pieces(sizes.len()));
        }
    }
    Ok(sizes)
}

/// Whether a mark says inches.
fn is_inch_mark(mark: &SetToken) -> bool {
    matches!(mark, SetToken::Inches(_) | SetToken::InchPair(..) | SetToken::Inch)
}

/// The text between two commas.
fn read_size_group(
    noun: &SetNoun,
    group: &[&SetToken],
    in_inches: bool,
) -> Result<Vec<PieceSize>, BadSetWords> {
    if in_inches && !group.is_empty() {
        return read_inch_group(noun, group);
    }
    match group {
        [] => Ok(Vec::new()),
        [SetToken::Number(mark, figure)] => Ok(vec![listed_size(noun, mark, *figure)?]),
        [SetToken::Pair(a, b)] => Ok(vec![paired_size(noun, *a, *b)?]),
        [SetToken::Number(mark, low), SetToken::To, SetToken::Number(again, high)]
            if is_same_mark(mark, again) =>
        {
            size_range(noun, mark, (*low, *high), None)
        }
        [
            SetToken::Number(mark, low),
            SetToken::To,
            SetToken::Number(again, high),
            SetToken::Step,
            SetToken::Number(none, step),
        ] if is_same_mark(mark, again) && none.is_empty() => {
            size_range(noun, mark, (*low, *high), Some(*step))
        }
        _ => Err(BadSetWords::new("S103", "the sizes cannot be read", format!("write `{}`", noun.sample))),
    }
}

/// Inch sizes between two commas: one after the other, or a range over the usual ones.
fn read_inch_group(noun: &SetNoun, group: &[&SetToken]) -> Result<Vec<PieceSize>, BadSetWords> {
    let sizes: Vec<&SetToken> = group.iter().copied().filter(|m| **m != SetToken::Inch).collect();
    if let [low, SetToken::To, high] = sizes.as_slice()
        && let (Some(low_mm), Some(high_mm)) = (inches_mm(low), inches_mm(high))
    {
        return inch_range(noun, low_mm, high_mm);
    }
    let size = |mark: &&SetToken| match mark {
        SetToken::InchPair(a_mm, b_mm) => paired_inch_size(noun, *a_mm, *b_mm),
        mark => match inches_mm(mark) {
            Some(size_mm) => listed_inch_size(noun, size_mm),
            None => Err(BadSetWords::new("S103", "the sizes cannot be read", INCH_HELP)),
        },
    };
    sizes.iter().map(size).collect()
}

const INCH_HELP: &str = "write inch sizes as fractions: `7/16 1/2 9/16`, `1-1/8`, `7/16 to 3/4 in`";

/// A mark as a width in mm, where it is an inch size: a fraction, or whole inches.
fn inches_mm(mark: &SetToken) -> Option<f64> {
    match mark {
        SetToken::Inches(size_mm) => Some(*size_mm),
        SetToken::Number(letters, inches) if letters.is_empty() => Some(*inches * super::lex::MM_PER_IN),
        _ => None,
    }
}

/// One listed inch size; hexagons and hexagon sockets only.
fn listed_inch_size(noun: &SetNoun, size_mm: f64) -> Result<PieceSize, BadSetWords> {
    if is_sized_by_length(noun) {
        return extension_length(noun, size_mm);
    }
    let form = size_form(noun, "", size_mm)?;
    let inch_form = matches!(
        form,
        DriveForm::Hexagon
            | DriveForm::BiHexagon
            | DriveForm::HexSocket
            | DriveForm::Square
            | DriveForm::SquareSocket
    );
    if inch_form && series::is_inch_size_made(size_mm) {
        return Ok(PieceSize::One(Drive::new(form, size_mm)));
    }
    let message = format!("{} is not in the series of inch sizes", Drive::new(form, size_mm));
    Err(BadSetWords::new("S103", message, INCH_HELP))
}

fn paired_inch_size(noun: &SetNoun, a_mm: f64, b_mm: f64) -> Result<PieceSize, BadSetWords> {
    match (listed_inch_size(noun, a_mm)?, listed_inch_size(noun, b_mm)?) {
        (PieceSize::One(a), PieceSize::One(b)) if !noun.combination => Ok(PieceSize::Two(a.min(b), a.max(b))),
        (other, _) => Ok(other),
    }
}

/// The usual inch sizes from one to another.
fn inch_range(noun: &SetNoun, low_mm: f64, high_mm: f64) -> Result<Vec<PieceSize>, BadSetWords> {
    if low_mm > high_mm {
        return Err(BadSetWords::new("S104", "the range runs downwards", "write the smaller first"));
    }
    let ends = [listed_inch_size(noun, low_mm)?, listed_inch_size(noun, high_mm)?];
    let between = series::usual_inch_sizes_mm().filter(|s| *s > low_mm && *s < high_mm);
    let between: Result<Vec<PieceSize>, BadSetWords> = between.map(|s| listed_inch_size(noun, s)).collect();
    let mut sizes = vec![ends[0]];
    sizes.extend(between?);
    sizes.extend(ends[1..].iter().filter(|end| **end != ends[0]));
    Ok(sizes)
}

/// Whether the second mark of a range goes with the first: `T10 to T60`, `T10 to 60`.
fn is_same_mark(first: &str, second: &str) -> bool {
    second.is_empty() || first == second
}

/// The form that letters name, or that of the set.
fn size_form(noun: &SetNoun, mark: &str, figure: f64) -> Result<DriveForm, BadSetWords> {
    let form = match mark {
        "" => noun.form,
        "t" => Some(DriveForm::Hexalobular),
        "e" => Some(DriveForm::ExternalHexalobular),
        "ph" => Some(DriveForm::CrossRecess),
        "pz" => Some(DriveForm::CrossRecessZ),
        "slot" => Some(DriveForm::Slot),
        _ => Some(DriveForm::HexSocket),
    };
    let Some(form) = form else {
        let message = format!("for {} the size must name the form", noun.plural);
        return Err(BadSetWords::new("S103", message, format!("write `{}`", noun.sample)));
    };
    if noun.takes_form(form) {
        return Ok(form);
    }
    let message = format!("{} do not take {}", noun.plural, Drive::new(form, figure));
    Err(BadSetWords::new("S124", message, format!("write `{}`", noun.sample)))
}

/// One listed size.
fn listed_size(noun: &SetNoun, mark: &str, figure: f64) -> Result<PieceSize, BadSetWords> {
    if is_sized_by_length(noun) {
        return extension_length(noun, figure);
    }
    let form = size_form(noun, mark, figure)?;
    if series::is_size_made(form, figure) {
        Ok(PieceSize::One(Drive::new(form, figure)))
    } else {
        Err(size_not_made(form, figure))
    }
}

/// Whether sizes of this set are lengths.
const fn is_sized_by_length(noun: &SetNoun) -> bool {
    matches!(noun.kind.kind, PieceKind::Extension | PieceKind::TiltingExtension)
}

/// The length of an extension.
fn extension_length(noun: &SetNoun, figure: f64) -> Result<PieceSize, BadSetWords> {
    if EXTENSION_MM.contains(&figure) {
        return Ok(PieceSize::Length(figure));
    }
    let message = format!("{} of {} mm are not made", noun.plural, significant(figure, 4));
    Err(BadSetWords::new("S103", message, "lengths go from 10 to 1000 mm; write others as a `[[piece]]`"))
}

/// Two unlike ends of a spanner.
fn paired_size(noun: &SetNoun, a_mm: f64, b_mm: f64) -> Result<PieceSize, BadSetWords> {
    if !matches!(noun.kind.kind, PieceKind::RingSpanner | PieceKind::OpenSpanner | PieceKind::FlareSpanner)
        || noun.combination
    {
        let message = format!("{} have no second end", noun.plural);
        return Err(BadSetWords::new("S103", message, format!("write `{}`", noun.sample)));
    }
    match (listed_size(noun, "", a_mm)?, listed_size(noun, "", b_mm)?) {
        (PieceSize::One(a), PieceSize::One(b)) => Ok(PieceSize::Two(a.min(b), a.max(b))),
        (other, _) => Ok(other),
    }
}

/// A range, over the series or by steps.
fn size_range(
    noun: &SetNoun,
    mark: &str,
    (low, high): (f64, f64),
    step_mm: Option<f64>,
) -> Result<Vec<PieceSize>, BadSetWords> {
    if low > high {
        let (low, high) = (significant(low, 4), significant(high, 4));
        return Err(BadSetWords::new(
            "S104",
            format!("the range runs downwards, from {low} to {high}"),
            "write the smaller first",
        ));
    }
    if let Some(step_mm) = step_mm {
        return stepped_sizes(noun, mark, (low, high), step_mm);
    }
    if is_sized_by_length(noun) {
        return Err(BadSetWords::new(
            "S103",
            "lengths have to be listed, not given as a range",
            format!("write `{}`", noun.sample),
        ));
    }
    let form = size_form(noun, mark, low)?;
    let usual = series::usual_sizes(form);
    for end in [low, high] {
        if !usual.contains(&end) {
            return Err(size_not_made(form, end));
        }
    }
    Ok(usual
        .iter()
        .filter(|s| (low..=high).contains(*s))
        .map(|s| PieceSize::One(Drive::new(form, *s)))
        .collect())
}

/// Every step of a range, the last one at or below its end.
fn stepped_sizes(
    noun: &SetNoun,
    mark: &str,
    (low, high): (f64, f64),
    step_mm: f64,
) -> Result<Vec<PieceSize>, BadSetWords> {
    if step_mm < 0.1 {
        return Err(BadSetWords::new(
            "S103",
            "tools do not come in steps below 0.1",
            "write `step 0.5` or `step 1`",
        ));
    }
    let count = math::floor((high - low) / step_mm + 1.0e-9) as usize + 1;
    if count > MAX_SET_PIECES {
        return Err(too_many_pieces(count));
    }
    let at = |i: usize| math::round((low + step_mm * i as f64) * 100.0) / 100.0;
    if is_sized_by_length(noun) {
        return (0..count).map(|i| extension_length(noun, at(i))).collect();
    }
    let form = size_form(noun, mark, low)?;
    if low < 0.5 || high > 100.0 {
        return Err(size_not_made(form, if low < 0.5 { low } else { high }));
    }
    Ok((0..count).map(|i| PieceSize::One(Drive::new(form, at(i)))).collect())
}

/// S103: a size that is not in the series.
fn size_not_made(form: DriveForm, figure: f64) -> BadSetWords {
    let show = |s: f64| Drive::new(form, s).to_string();
    let near: Vec<String> = series::neighbouring_sizes(form, figure).into_iter().map(show).collect();
    let help = format!("the nearest are {}; a size of your own is a `[[piece]]`", near.join(" and "));
    BadSetWords::new("S103", format!("{} is not in the series of sizes", show(figure)), help)
}
