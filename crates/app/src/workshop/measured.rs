//! Heads that were tapped in a picture, measured by the scale card that lies in it: once, as soon as picture and taps are both here.
//!
//! A picture may come hours after the taps, or before them; whichever is last finds the other in the visit. What was measured stands in
//! an event of its own and is never measured again, unless a newer picture comes or the height of the heads is told.

use archive::EventArchive as _;
use record::{
    ContentDigest, HeadsOutcome, MeasuredPlace, PictureSides, SeenPoint, ToldSubject, ToldWhat, Visit,
    VisitBody, VisitId,
};
use scale_card::answers::{
    CameraTold, CardFault, HeadHeight, HeadTap, TapAnswer, TapFault, TapPlace, TapPositions,
};
use scale_card::picture::GreyPicture;
use scale_card::taps::locate_taps;

use super::pictures::decode_upright;
use super::{Workshop, WorkshopError};
use crate::head_heights::read_head_height;

/// How far a ring that was set under the magnifier may lie off its head's middle, of the picture's longer side (one standard deviation). The
/// glass enlarges four times and moves as a slow finger does: a point of the screen by the finger that is lifted, another by the eye, come
/// to a third of a point in the picture, which is at least 344 points long on the least page. (Assumption; measured on no person.)
const FINE_TAP_RATIO: f64 = 0.001_1;

/// Heads nearer than this are one head that was tapped twice, mm. (Assumption: the least heads are 5 mm across.)
const LEAST_APART_MM: f64 = 4.0;

/// Pictures that are measured in one go, at most.
const MAX_AT_ONCE: usize = 8;

/// One fixing with the picture that its heads were tapped in.
struct HeadsInPicture {
    fixing: String,
    picture: ContentDigest,
    height: String,
    heads: Vec<SeenPoint>,
    /// The downscaled copy, a JPEG.
    copy: Vec<u8>,
}

/// Heads that have still to be measured.
pub struct HeadsToMeasure {
    visit: VisitId,
    pictures: Vec<HeadsInPicture>,
}

/// What measuring came to, to be written down.
pub struct HeadsMeasuredNow {
    visit: VisitId,
    bodies: Vec<VisitBody>,
}

impl HeadsToMeasure {
    /// Measures them; it takes a second or so a picture, and asks nothing of the journal.
    #[must_use]
    pub fn measure_heads(self) -> HeadsMeasuredNow {
        let measured = |one: HeadsInPicture| {
            let (sides, outcome) = measure_in_picture(&one.copy, &one.heads, &one.height)?;
            let HeadsInPicture { fixing, picture, height, .. } = one;
            Some(VisitBody::HeadsMeasured { fixing, picture, sides, height, outcome })
        };
        HeadsMeasuredNow {
            visit: self.visit,
            bodies: self.pictures.into_iter().filter_map(measured).collect(),
        }
    }
}

impl Workshop {
    /// Heads of a visit whose picture is here and was not measured yet, or was measured before their height was told; `None` where there are none.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`]; [`WorkshopError::Store`] when the archive cannot be read.
    pub fn prepare_measuring(&mut self, visit: &VisitId) -> Result<Option<HeadsToMeasure>, WorkshopError> {
        let wanted = unmeasured_heads(self.visit(visit)?.state());
        let mut pictures = Vec::new();
        for (fixing, picture, height, heads) in wanted {
            if pictures.len() == MAX_AT_ONCE {
                break;
            }
            // A picture that is named and not here yet comes with a later contact.
            if let Some(document) = self.archive().find_document(&picture)? {
                pictures.push(HeadsInPicture { fixing, picture, height, heads, copy: document.bytes });
            }
        }
        Ok((!pictures.is_empty()).then(|| HeadsToMeasure { visit: visit.clone(), pictures }))
    }

    /// Writes down what was measured, but for what was measured or changed meanwhile; returns how much was written.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`]; [`WorkshopError::Refused`] where the visit was closed meanwhile; [`WorkshopError::Store`] when the disk refuses.
    pub fn keep_measured(&mut self, made: HeadsMeasuredNow) -> Result<usize, WorkshopError> {
        let device = self.device().clone();
        let mut kept = 0;
        for body in made.bodies {
            let VisitBody::HeadsMeasured { fixing, picture, height, .. } = &body else { continue };
            let open = unmeasured_heads(self.visit(&made.visit)?.state());
            if open.iter().any(|(of, named, told, _)| of == fixing && named == picture && told == height) {
                self.carry_out_command(&made.visit, &device, &body.into())?;
                kept += 1;
            }
        }
        Ok(kept)
    }
}

/// Fixing, picture, word for the height and heads of all that is still to be measured.
type UnmeasuredHeads = (String, ContentDigest, String, Vec<SeenPoint>);

fn unmeasured_heads(state: &Visit) -> Vec<UnmeasuredHeads> {
    if state.opened.is_none() || state.closed.is_some() {
        return Vec::new();
    }
    let seen = &state.seen;
    let tapped = seen.fixings.iter().filter(|(_, fixing)| !fixing.heads.is_empty());
    let open = tapped.filter_map(|(key, fixing)| {
        let taken = state.latest_picture_of(key)?;
        let of = ToldSubject::Fixing(key.clone());
        let height = seen.last_word(&of, ToldWhat::HeadHeight).unwrap_or_default();
        let is_known = seen
            .measured
            .get(key)
            .is_some_and(|known| known.picture == taken.picture && known.height == height);
        (!is_known).then(|| (key.clone(), taken.picture.clone(), height.to_owned(), fixing.heads.clone()))
    });
    open.collect()
}

/// The sides of a picture and what its card says of heads in it; `None` where it is no picture.
fn measure_in_picture(
    copy: &[u8],
    heads: &[SeenPoint],
    height: &str,
) -> Option<(PictureSides, HeadsOutcome)> {
    let shades = decode_upright(copy).ok()?.0.to_luma8();
    let (width_px, height_px) = shades.dimensions();
    let sides = PictureSides { width_px, height_px };
    let outcome = match measure_places(&shades, heads, height) {
        Ok(outcome) => outcome,
        Err(why) => HeadsOutcome::NotMeasured { why },
    };
    Some((sides, outcome))
}

fn measure_places(
    shades: &image::GrayImage,
    heads: &[SeenPoint],
    height: &str,
) -> Result<HeadsOutcome, String> {
    let (width_px, height_px) = (f64::from(shades.width()), f64::from(shades.height()));
    let picture =
        GreyPicture::from_shades(shades.as_raw(), shades.width() as usize, shades.height() as usize)
            .map_err(|fault| fault.to_string())?;
    let height = read_head_height(height).unwrap_or(HeadHeight::NOT_KNOWN);
    let tap = |head: &SeenPoint| HeadTap {
        at_px: (f64::from(head.across) / 1000.0 * width_px, f64::from(head.down) / 1000.0 * height_px),
        error_px: FINE_TAP_RATIO * width_px.max(height_px),
        height,
    };
    let taps: Vec<HeadTap> = heads.iter().map(tap).collect();
    let (card, answers) = match locate_taps(&picture, &taps, CameraTold::Nothing) {
        TapPositions::NotMeasured(CardFault::NoCard) => return Err(String::from("no card in the picture")),
        TapPositions::NotMeasured(fault) => return Err(fault.to_string()),
        TapPositions::Scaled { card, taps } => (card, taps),
    };
    let quick = heads.iter().filter(|head| !head.is_fine).count();
    if quick > 0 {
        return Err(format!(
            "{quick} of {} rings were set by a quick tap, which is as coarse as a finger; press and slide to set a ring under the magnifier",
            heads.len()
        ));
    }
    let places = measured_places(&answers, height != HeadHeight::NOT_KNOWN)?;
    require_apart(&places)?;
    let places = places.iter().map(place_in_um).collect();
    Ok(HeadsOutcome::Measured { places, residual_um: whole_um(card.residual_mm).unsigned_abs() })
}

/// The places of all heads, or why the first of them has none.
fn measured_places(answers: &[TapAnswer], is_height_told: bool) -> Result<Vec<TapPlace>, String> {
    let place = |(at, answer): (usize, &TapAnswer)| match answer {
        TapAnswer::Measured(place) => Ok(*place),
        TapAnswer::NotMeasured { why: TapFault::HeightNotKnown { error_mm }, .. } if is_height_told => {
            Err(format!(
                "head {at} may be {error_mm:.1} mm off: take the picture from nearer and straight above, the card close to the heads"
            ))
        }
        TapAnswer::NotMeasured { why, .. } => Err(format!("head {at}: {why}")),
    };
    (1_usize..).zip(answers).map(place).collect()
}

/// Refuses two rings on one head: no book has two holes at one place.
fn require_apart(places: &[TapPlace]) -> Result<(), String> {
    for (at, one) in places.iter().enumerate() {
        let is_near = |other: &TapPlace| {
            let (x_mm, y_mm) = (one.at_mm.0 - other.at_mm.0, one.at_mm.1 - other.at_mm.1);
            units::math::hypot(x_mm, y_mm) < LEAST_APART_MM
        };
        if let Some(other) = places[..at].iter().position(is_near) {
            return Err(format!("rings {} and {} lie on one head", other + 1, at + 1));
        }
    }
    Ok(())
}

fn place_in_um(place: &TapPlace) -> MeasuredPlace {
    let (x_um, y_um) = (whole_um(place.at_mm.0), whole_um(place.at_mm.1));
    MeasuredPlace { x_um, y_um, error_um: whole_um(place.error_mm).unsigned_abs() }
}

/// Whole micrometres of a length in mm.
fn whole_um(length_mm: f64) -> i32 {
    units::math::round(length_mm * 1000.0) as i32
}
