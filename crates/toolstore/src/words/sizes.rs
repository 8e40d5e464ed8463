//! The sizes of a set: ranges over a series, steps, lists, pairs.

use model::{Drive, DriveForm, PieceKind};
use units::{math, significant};

use super::lex::Mark;
use super::noun::Noun;
use super::{Bad, PIECES_MAX, too_many};
use crate::standard::series;

/// One size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Size {
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
pub(super) fn read(noun: &Noun, marks: &[Mark]) -> Result<Vec<Size>, Bad> {
    let mut sizes: Vec<Size> = Vec::new();
    for group in marks.split(|m| *m == Mark::Comma) {
        let group: Vec<&Mark> = group.iter().filter(|m| **m != Mark::Mm).collect();
        for size in one_group(noun, &group)? {
            if !sizes.contains(&size) {
                sizes.push(size);
            }
        }
        if sizes.len() > PIECES_MAX {
            return Err(too_many(sizes.len()));
        }
    }
    Ok(sizes)
}

/// What stands between two commas.
fn one_group(noun: &Noun, group: &[&Mark]) -> Result<Vec<Size>, Bad> {
    match group {
        [] => Ok(Vec::new()),
        [Mark::Number(mark, figure)] => Ok(vec![one(noun, mark, *figure)?]),
        [Mark::Pair(a, b)] => Ok(vec![pair(noun, *a, *b)?]),
        [Mark::Number(mark, low), Mark::To, Mark::Number(again, high)] if same(mark, again) => {
            range(noun, mark, (*low, *high), None)
        }
        [
            Mark::Number(mark, low),
            Mark::To,
            Mark::Number(again, high),
            Mark::Step,
            Mark::Number(none, step),
        ] if same(mark, again) && none.is_empty() => range(noun, mark, (*low, *high), Some(*step)),
        _ if group.contains(&&Mark::Inch) => {
            let help = "write millimetres; an inch size is a piece with `fits = \"hexagon 3/8 in\"`";
            Err(Bad::new("S103", "sets take no inch sizes", help))
        }
        _ => Err(Bad::new("S103", "the sizes cannot be read", format!("write `{}`", noun.sample))),
    }
}

/// Whether the second mark of a range goes with the first: `T10 to T60`, `T10 to 60`.
fn same(first: &str, second: &str) -> bool {
    second.is_empty() || first == second
}

/// The form that letters name, or that of the set.
fn form(noun: &Noun, mark: &str, figure: f64) -> Result<DriveForm, Bad> {
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
        let message = format!("{} want their form with the size", noun.plural);
        return Err(Bad::new("S103", message, format!("write `{}`", noun.sample)));
    };
    if noun.takes(form) {
        return Ok(form);
    }
    let message = format!("{} do not take {}", noun.plural, Drive::new(form, figure));
    Err(Bad::new("S124", message, format!("write `{}`", noun.sample)))
}

/// One listed size.
fn one(noun: &Noun, mark: &str, figure: f64) -> Result<Size, Bad> {
    if is_length(noun) {
        return length(noun, figure);
    }
    let form = form(noun, mark, figure)?;
    if series::is_made(form, figure) {
        Ok(Size::One(Drive::new(form, figure)))
    } else {
        Err(not_made(form, figure))
    }
}

/// Whether sizes of this set are lengths.
const fn is_length(noun: &Noun) -> bool {
    matches!(noun.kind.kind, PieceKind::Extension | PieceKind::TiltingExtension)
}

/// The length of an extension.
fn length(noun: &Noun, figure: f64) -> Result<Size, Bad> {
    if EXTENSION_MM.contains(&figure) {
        return Ok(Size::Length(figure));
    }
    let message = format!("{} of {} mm are not made", noun.plural, significant(figure, 4));
    Err(Bad::new("S103", message, "lengths go from 10 to 1000 mm; write others as a `[[piece]]`"))
}

/// Two unlike ends of a spanner.
fn pair(noun: &Noun, a_mm: f64, b_mm: f64) -> Result<Size, Bad> {
    if !matches!(noun.kind.kind, PieceKind::RingSpanner | PieceKind::OpenSpanner | PieceKind::FlareSpanner)
        || noun.combination
    {
        let message = format!("{} have no second end", noun.plural);
        return Err(Bad::new("S103", message, format!("write `{}`", noun.sample)));
    }
    match (one(noun, "", a_mm)?, one(noun, "", b_mm)?) {
        (Size::One(a), Size::One(b)) => Ok(Size::Two(a.min(b), a.max(b))),
        (other, _) => Ok(other),
    }
}

/// A range, over the series or by steps.
fn range(noun: &Noun, mark: &str, (low, high): (f64, f64), step_mm: Option<f64>) -> Result<Vec<Size>, Bad> {
    if low > high {
        let (low, high) = (significant(low, 4), significant(high, 4));
        return Err(Bad::new(
            "S104",
            format!("the sizes run down, from {low} to {high}"),
            "write the smaller first",
        ));
    }
    if let Some(step_mm) = step_mm {
        return stepped(noun, mark, (low, high), step_mm);
    }
    if is_length(noun) {
        return Err(Bad::new("S103", "lengths are listed, not ranged", format!("write `{}`", noun.sample)));
    }
    let form = form(noun, mark, low)?;
    let usual = series::usual(form);
    for end in [low, high] {
        if !usual.contains(&end) {
            return Err(not_made(form, end));
        }
    }
    Ok(usual.iter().filter(|s| (low..=high).contains(*s)).map(|s| Size::One(Drive::new(form, *s))).collect())
}

/// Every step of a range, the last one at or below its end.
fn stepped(noun: &Noun, mark: &str, (low, high): (f64, f64), step_mm: f64) -> Result<Vec<Size>, Bad> {
    if step_mm < 0.1 {
        return Err(Bad::new(
            "S103",
            "a step below 0.1 is none that tools come in",
            "write `step 0.5` or `step 1`",
        ));
    }
    let count = math::floor((high - low) / step_mm + 1.0e-9) as usize + 1;
    if count > PIECES_MAX {
        return Err(too_many(count));
    }
    let at = |i: usize| math::round((low + step_mm * i as f64) * 100.0) / 100.0;
    if is_length(noun) {
        return (0..count).map(|i| length(noun, at(i))).collect();
    }
    let form = form(noun, mark, low)?;
    if low < 0.5 || high > 100.0 {
        return Err(not_made(form, if low < 0.5 { low } else { high }));
    }
    Ok((0..count).map(|i| Size::One(Drive::new(form, at(i)))).collect())
}

/// S103: a size that is not in the series.
fn not_made(form: DriveForm, figure: f64) -> Bad {
    let show = |s: f64| Drive::new(form, s).to_string();
    let near: Vec<String> = series::neighbours(form, figure).into_iter().map(show).collect();
    let help = format!("near it are {}; a size of your own is a `[[piece]]`", near.join(" and "));
    Bad::new("S103", format!("{} is not in the series of sizes", show(figure)), help)
}
