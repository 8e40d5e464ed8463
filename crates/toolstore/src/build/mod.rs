//! From what is known of a piece to the piece: standard dimensions first, the owner's figures over them.

mod apply;
mod flat;
mod handles;
mod stacked;

use model::{Approach, Bend, DriveForm, Fit, Grip, Handle, Measure, PieceKind, Power, Retention, Section};
use units::{Angle, Length, Torque};

use crate::figures::Figures;
use crate::make::Make;
use crate::standard::strength::{self, Hold};

pub(crate) use apply::{exact, finish};

/// What a piece offers, while it is being worked out.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    pub(crate) grip: Option<Grip>,
    pub(crate) outline: Vec<Section>,
    pub(crate) bend: Option<Bend>,
    pub(crate) handle: Option<Handle>,
    pub(crate) strength: Torque,
    pub(crate) measure: Option<Measure>,
    pub(crate) power: Option<Power>,
    /// What its dimensions rest on.
    pub(crate) source: &'static str,
}

impl Shape {
    /// A body without anything on it.
    fn body(sections_mm: &[(f64, f64)], strength_n_m: f64, source: &'static str) -> Self {
        let mm = Length::from_mm;
        let outline = sections_mm.iter().map(|(l, d)| Section { length: mm(*l), diameter: mm(*d) }).collect();
        let (grip, bend, handle, measure, power) = (None, None, None, None, None);
        Self { grip, outline, bend, handle, strength: Torque::from_n_m(strength_n_m), measure, power, source }
    }
}

/// A piece of usual dimensions; the owner's figures that decide what it is (points, teeth, range) are counted in.
pub(crate) fn standard(make: &Make, figures: &Figures) -> Shape {
    use PieceKind as K;
    match make.kind.kind {
        K::Socket => stacked::socket(make, figures),
        K::BitSocket => stacked::bit_socket(make),
        K::Bit => stacked::bit(make),
        K::BitHolder => stacked::bit_holder(make),
        K::Extension | K::TiltingExtension => stacked::extension(make, figures),
        K::Joint => stacked::joint(make),
        K::Adapter => stacked::adapter(make),
        K::Ratchet | K::BreakerBar | K::TorqueWrench => handles::swung(make, figures),
        K::SpinnerHandle | K::TorqueScrewdriver => handles::in_line(make, figures),
        K::NutDriver => handles::nut_driver(make, figures),
        K::Screwdriver if make.kind.bent => handles::key(make),
        K::Screwdriver => handles::screwdriver(make),
        K::PowerDriver => handles::power(make, figures),
        K::Pliers | K::Hook => handles::squeezed(make),
        K::RingSpanner | K::OpenSpanner | K::FlareSpanner | K::RatchetingRing => flat::spanner(make, figures),
        K::CrowFoot => flat::crow_foot(make, figures),
        K::Special => handles::special(make),
    }
}

/// An axial grip.
fn axial(make: &Make, depth_mm: f64) -> Grip {
    Grip {
        fits: make.fits.clone(),
        approach: Approach::Axial,
        depth: Length::from_mm(depth_mm),
        head_width: Length::ZERO,
        offset: Length::ZERO,
        index: index(&make.fits),
        retention: Retention::None,
    }
}

/// Angle after which a tool can be put on again: 60° for six points, 30° where it has twelve, 90° for a cross, 180° for a
/// blade (geometry).
fn index(fits: &[Fit]) -> Angle {
    let forms = |form: DriveForm| fits.iter().any(|f| f.form == form);
    let twelve = forms(DriveForm::BiHexagon);
    let deg = match fits.first().map(|f| f.form) {
        Some(DriveForm::CrossRecess | DriveForm::CrossRecessZ) => 90.0,
        Some(DriveForm::Slot) => 180.0,
        _ if twelve => 30.0,
        _ => 60.0,
    };
    Angle::from_deg(deg)
}

/// Torque that the working end stands.
fn tool_n_m(make: &Make, hold: Hold) -> f64 {
    const UNTURNED_N_M: f64 = 20.0; // Assumption: pliers and hooks are never asked for a torque.
    let fits = make.fits.iter().filter_map(|f| strength::tool_n_m(f.form, f.low, hold));
    fits.reduce(f64::min).unwrap_or(UNTURNED_N_M)
}

/// Width across flats of the nominal size, or that of a hexagon with the same corners.
fn flats_mm(make: &Make) -> f64 {
    use crate::standard::{CORNERS_RATIO, bit};
    make.nominal().map_or(10.0, |fit| match fit.form {
        DriveForm::Hexagon | DriveForm::BiHexagon => fit.high,
        form => bit::across_mm(form, fit.high) / CORNERS_RATIO,
    })
}

/// Diameter over points, corners or shaft of the nominal size.
fn across_mm(make: &Make) -> f64 {
    make.nominal().map_or(8.0, |fit| crate::standard::bit::across_mm(fit.form, fit.high))
}
