//! Torque and preload: what a tightening torque does in the bolt, and the torque that a preload asks for.
//!
//! **Question.** How hard does a joint clamp at a torque, and how far may it be tightened before the bolt yields?
//!
//! **Symbols.** `F` preload (N), `T` torque (N·mm inside, N·m outside), `P` pitch, `d`, `d2`, `ds`, `As` of the thread,
//! `mu_g` friction in the thread, `mu_k` under the head, `DKm = (dw + dh)/2` mean bearing diameter, `dw` of the head,
//! `dh` of the hole, `ν` share of yield used up by tension and torsion together, `K` factor of the short form.
//!
//! ```text
//! T  = F·( P/2π + d2·mu_g/(2·cos 30°) + DKm/2·mu_k )                                    long form
//! FM = As·ν·Rp0.2 / √( 1 + 3·[ t·(d2/ds)·( P/(π·d2) + 1.155·mu_g ) ]² )                 assembly preload
//! T  = K·d·F                                                                             short form
//! ```
//!
//! `t` is 1.5 since the 2001 edition (the section is plastic in torsion) and 2.0 in that of 1986 (elastic). At the same
//! words, "90 % of yield", the newer preload is 4.6 to 8.1 % higher, so **every answer must show its edition**.
//!
//! **Range.** Up to yield; stiffness is in `stiffness`, settling in `clamp`, prevailing torque in `prevailing`, waisted and hollow bolts in
//! `shank`.
//!
//! **Worked example.** M12, 8.8, µ 0.14, ν 0.9: the bracket is 1.5·(10.863/10.358)·(0.0513 + 0.1617) = 0.335, so
//! FM = 84.3·0.9·640/√1.337 = 42.0 kN; T = 42.0·(0.279 + 0.878 + 1.055) = 92.8 N·m.
//!
//! **Sources.** VDI 2230 (1986; 2001 and later; equations from memory, checked against two published tables);
//! MIL-HDBK-60, appendix B, 100.5.
//!
//! symbol: mu_g, mu_k, nu, k = friction in the thread, under the head, share of yield, factor of the short form

use core::f64::consts::PI;

use units::{Force, Length, Torque};

pub use crate::edition::Edition;
use crate::shank::FLANK;
use crate::{BearingHead, BoltSection, Friction, PropertyClass, Thread};

/// Mean bearing diameter `DKm` of a hexagon head on a medium hole; other heads are in [`crate::head`].
#[must_use]
pub fn bearing_diameter(thread: Thread) -> Length {
    BearingHead::Hexagon.bearing_face(thread).friction_diameter()
}

/// How much torsion raises the stress of tension alone: the root in the assembly preload.
#[must_use]
pub fn torsion_growth_ratio(thread: Thread, mu_g: f64, edition: Edition) -> f64 {
    BoltSection::of_thread(thread).torsion_growth_ratio(mu_g, edition)
}

/// Preload at a share `nu` of yield under tension and torsion together.
#[must_use]
pub fn assembly_preload(thread: Thread, class: PropertyClass, mu_g: f64, nu: f64, edition: Edition) -> Force {
    BoltSection::of_thread(thread).assembly_preload(class, mu_g, nu, edition)
}

/// Preload at which a bolt of the least strength of its class breaks under tension and torsion together.
#[must_use]
pub fn breaking_preload(thread: Thread, class: PropertyClass, friction: Friction, edition: Edition) -> Force {
    BoltSection::of_thread(thread).breaking_preload(class, friction.mu_g(), edition)
}

/// The lever of the long form: torque over preload.
#[must_use]
pub fn torque_lever(thread: Thread, friction: Friction, bearing: Length) -> Length {
    let pitch = thread.pitch_mm() / (2.0 * PI);
    let flank = thread.d2_mm() / 2.0 * FLANK * friction.mu_g();
    let head = bearing.as_mm().max(0.0) / 2.0 * friction.mu_k();
    Length::from_mm(pitch + flank + head)
}

/// Torque that makes a preload, by the long form.
#[must_use]
pub fn torque_for_preload(thread: Thread, preload: Force, friction: Friction, bearing: Length) -> Torque {
    preload * torque_lever(thread, friction, bearing)
}

/// Preload that a torque makes, by the long form; the inverse of [`torque_for_preload`].
#[must_use]
pub fn preload_for_torque(thread: Thread, torque: Torque, friction: Friction, bearing: Length) -> Force {
    torque / torque_lever(thread, friction, bearing)
}

/// Tightening torque of a hexagon head at a share `nu` of yield.
#[must_use]
pub fn assembly_torque(
    thread: Thread,
    class: PropertyClass,
    friction: Friction,
    nu: f64,
    edition: Edition,
) -> Torque {
    let preload = assembly_preload(thread, class, friction.mu_g(), nu, edition);
    torque_for_preload(thread, preload, friction, bearing_diameter(thread))
}

/// Torque at which a bolt with a hexagon head starts to yield (ν = 1, edition 2001).
#[must_use]
pub fn yield_torque(thread: Thread, class: PropertyClass, friction: Friction) -> Torque {
    assembly_torque(thread, class, friction, 1.0, Edition::E2001)
}

/// Factor `K` of the short form that says the same as the long form.
#[must_use]
pub fn short_factor(thread: Thread, friction: Friction, bearing: Length) -> f64 {
    torque_lever(thread, friction, bearing).as_mm() / thread.d_mm()
}

/// Short form: torque for a preload, `T = K·d·F`.
#[must_use]
pub fn short_torque(k: f64, d: Length, preload: Force) -> Torque {
    preload * d * k
}

/// Short form: preload of a torque, `F = T/(K·d)`; no preload where `K` or `d` is not above zero.
#[must_use]
pub fn short_preload(k: f64, d: Length, torque: Torque) -> Force {
    let lever = d * k;
    if lever > Length::ZERO { torque / lever } else { Force::ZERO }
}
