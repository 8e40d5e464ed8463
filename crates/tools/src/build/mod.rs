//! From what is known of a piece to the piece: standard dimensions first, the owner's figures over them.

mod apply;
mod flat;
mod handles;
mod stacked;

use model::{
    DriveForm, Grip, GripApproach, GripFit, Handle, OutlineSection, PieceBend, PieceKind, PowerSource,
    Retention, TorqueMeasure,
};
use units::{Angle, Length, Torque};

use crate::draft::OwnerFigures;
use crate::recipe::PieceRecipe;
use crate::standard::strength::{self, HexagonContact};

pub(crate) use apply::{apply_owner_figures, build_exact_shape};

/// What a piece offers, while it is being worked out.
#[derive(Debug, Clone)]
pub(crate) struct PieceShape {
    pub(crate) grip: Option<Grip>,
    pub(crate) outline: Vec<OutlineSection>,
    pub(crate) bend: Option<PieceBend>,
    pub(crate) handle: Option<Handle>,
    pub(crate) strength: Torque,
    pub(crate) measure: Option<TorqueMeasure>,
    pub(crate) power: Option<PowerSource>,
    /// What its dimensions rest on.
    pub(crate) source: &'static str,
}

impl PieceShape {
    /// A body without anything on it.
    fn of_body(sections_mm: &[(f64, f64)], strength_n_m: f64, source: &'static str) -> Self {
        let mm = Length::from_mm;
        let outline =
            sections_mm.iter().map(|(l, d)| OutlineSection { length: mm(*l), diameter: mm(*d) }).collect();
        let (grip, bend, handle, measure, power) = (None, None, None, None, None);
        Self { grip, outline, bend, handle, strength: Torque::from_n_m(strength_n_m), measure, power, source }
    }
}

/// A piece of usual dimensions; the owner's figures that decide what it is (points, teeth, range) are counted in.
pub(crate) fn build_standard_shape(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    use PieceKind as K;
    match make.kind.kind {
        K::Socket => stacked::build_socket(make, figures),
        K::BitSocket => stacked::build_bit_socket(make),
        K::Bit => stacked::build_bit(make),
        K::BitHolder => stacked::build_bit_holder(make),
        K::Extension | K::TiltingExtension => stacked::build_extension(make, figures),
        K::Joint => stacked::build_joint(make),
        K::Adapter => stacked::build_adapter(make),
        K::Ratchet | K::BreakerBar | K::TorqueWrench => handles::build_swung_tool(make, figures),
        K::SpinnerHandle | K::TorqueScrewdriver => handles::build_in_line_tool(make, figures),
        K::NutDriver => handles::build_nut_driver(make, figures),
        K::Screwdriver if make.kind.bent => handles::build_bent_key(make),
        K::Screwdriver => handles::build_screwdriver(make),
        K::PowerDriver => handles::build_power_driver(make, figures),
        K::Pliers | K::Hook => handles::build_squeezed_tool(make),
        K::RingSpanner | K::OpenSpanner | K::FlareSpanner | K::RatchetingRing => {
            flat::build_spanner(make, figures)
        }
        K::CrowFoot => flat::build_crow_foot(make, figures),
        K::Special => handles::build_special_tool(make),
    }
}

/// An axial grip.
fn axial_grip(make: &PieceRecipe, depth_mm: f64) -> Grip {
    Grip {
        fits: make.fits.clone(),
        approach: GripApproach::Axial,
        depth: Length::from_mm(depth_mm),
        head_width: Length::ZERO,
        offset: Length::ZERO,
        index: index_angle(&make.fits),
        retention: Retention::None,
        is_open: false,
    }
}

/// Angle after which a tool can be put on again: 60° for six points, 30° where it has twelve, 90° for a cross
/// or a square, 180° for a
/// blade (geometry).
fn index_angle(fits: &[GripFit]) -> Angle {
    let forms = |form: DriveForm| fits.iter().any(|f| f.form == form);
    let twelve = forms(DriveForm::BiHexagon);
    let deg = match fits.first().map(|f| f.form) {
        Some(
            DriveForm::CrossRecess | DriveForm::CrossRecessZ | DriveForm::SquareSocket | DriveForm::Square,
        ) => 90.0,
        Some(DriveForm::Slot) => 180.0,
        _ if twelve => 30.0,
        _ => 60.0,
    };
    Angle::from_deg(deg)
}

/// Torque that the working end withstands.
fn working_end_n_m(make: &PieceRecipe, hold: HexagonContact) -> f64 {
    const UNTURNED_N_M: f64 = 20.0; // Assumption: pliers and hooks are never asked for a torque.
    let fits = make.fits.iter().filter_map(|f| strength::rated_tool_n_m(f.form, f.low, hold));
    fits.reduce(f64::min).unwrap_or(UNTURNED_N_M)
}

/// Width across flats of the nominal size, or that of a hexagon with the same corners.
fn nominal_flats_mm(make: &PieceRecipe) -> f64 {
    use crate::standard::{CORNERS_RATIO, bit};
    make.nominal_fit().map_or(10.0, |fit| match fit.form {
        DriveForm::Hexagon | DriveForm::BiHexagon => fit.high,
        form => bit::tip_across_mm(form, fit.high) / CORNERS_RATIO,
    })
}

/// Diameter over points, corners or shaft of the nominal size.
fn nominal_across_mm(make: &PieceRecipe) -> f64 {
    make.nominal_fit().map_or(8.0, |fit| crate::standard::bit::tip_across_mm(fit.form, fit.high))
}
