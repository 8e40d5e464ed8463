//! Room classes: what is measured lies within what the class says.
//!
//! Why: a class proves by its bounds; where a measurement lies outside them, one of the two was said of another hole.

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{AccessFigures, Fixing, Known, SideFigures};
use units::Length;

rule! { B416 "measured outside its class",
why "A room class states the least and the greatest of every figure; a measurement outside them says that it is another class, or another hole.",
bad "room     = \"open\"\n    bends    = []",
help "take the class out where the room is measured, choose the class that holds it, or measure again." }

pub(super) const RULES: &[FaultRule] = &[B416];

/// Lengths are read with a rule to half a millimetre.
const ROUNDING_MM: f64 = 0.5;

/// A figure as told, the bounds of its class, and where it was written.
struct BoundedFigure<'s> {
    what: &'static str,
    told: Known<Length>,
    bounds: (Length, Length),
    spot: &'s ValueSpot,
}

pub(super) fn check_rooms(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.sound_fixings() {
        let Some(figures) = &fixing.figures else { continue };
        for (told, at) in figures.accesses.iter().zip(&spot.key("access").items) {
            b416_outside(subject, fixing, told, at);
        }
    }
}

fn b416_outside(subject: &RuleSubject<'_>, fixing: &Fixing, told: &AccessFigures, spot: &ValueSpot) {
    let Some(class) = told.room else { return };
    let figures = bounded_figures(told, spot);
    let outside = figures.iter().find(|figure| {
        let (least, most) = figure.bounds;
        figure.told.ends().is_some_and(|(low, high)| {
            high.as_mm() + ROUNDING_MM < least.as_mm() || low.as_mm() - ROUNDING_MM > most.as_mm()
        })
    });
    if let Some(figure) = outside {
        let (least, most) = figure.bounds;
        let (low, high) = figure.told.ends().unwrap_or_default();
        let measured = if low == high { low.to_string() } else { format!("{low} to {high}") };
        let word = class.spoken_word();
        let message = format!(
            "{} of `{}` is {measured}, and a room that is {word} has {least} to {most}",
            figure.what, fixing.key
        );
        subject.bag.push(super::rule_error(&B416, message, figure.spot.span, "outside the class"));
    } else if told.bends.as_ref().is_some_and(|bends| !bends.is_empty()) {
        let message = format!("the way to `{}` bends, and every room class is straight", fixing.key);
        subject.bag.push(super::rule_error(&B416, message, spot.key("bends").span, "outside the class"));
    }
}

/// The measured figures of a room that its class bounds.
fn bounded_figures<'s>(told: &AccessFigures, spot: &'s ValueSpot) -> Vec<BoundedFigure<'s>> {
    let Some(bounds) = told.room.map(model::RoomClass::bounds) else { return Vec::new() };
    let mut figures = Vec::new();
    let segments = told.corridor.as_deref().unwrap_or_default();
    let closed = segments.iter().take(segments.len().max(2) - 1);
    let places = &spot.key("corridor").items;
    for (segment, at) in closed.zip(places) {
        let clear = at.key("clear");
        figures.push(BoundedFigure {
            what: "the clear width",
            told: segment.clear,
            bounds: bounds.clear,
            spot: clear,
        });
    }
    let depth =
        segments.iter().filter_map(|s| s.length?.exact()).fold(Length::ZERO, |sum, length| sum + length);
    if told.corridor.is_some() {
        let spot = spot.key("corridor");
        figures.push(BoundedFigure {
            what: "the depth",
            told: Known::Exact(depth),
            bounds: bounds.depth,
            spot,
        });
    }
    let beyond = (depth + bounds.beyond.0, depth.max(bounds.depth.1) + bounds.beyond.1);
    let headroom = spot.key("headroom");
    figures.push(BoundedFigure { what: "the headroom", told: told.headroom, bounds: beyond, spot: headroom });
    if let SideFigures::Present(room) = &told.side {
        let at = |key: &str| spot.key("side").key(key);
        let side = bounds.side;
        figures.extend([
            BoundedFigure {
                what: "the side room's radius",
                told: room.radial,
                bounds: side.radial,
                spot: at("radial"),
            },
            BoundedFigure {
                what: "the side room's height",
                told: room.height,
                bounds: side.height,
                spot: at("height"),
            },
            BoundedFigure {
                what: "the side room's reach",
                told: room.reach,
                bounds: side.reach,
                spot: at("reach"),
            },
        ]);
    }
    figures
}
