//! Guards and mix-ups: absurd torques, unit slips, wrong bolts in right holes.

use bolting::guard::{self, TorqueContext, TorqueVerdict, UnitSlip, WindowCeiling};
use bolting::mixup::{self, MixUpBolt, MixUpConsequence, MixUpSeat, MixUpSeverity};
use bolting::{Lubrication, PropertyClass, TappedIn, Thread};
use units::{Length, Torque};

fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap_or_else(|e| panic!("{e}"))
}

fn case(name: &str, class: Option<PropertyClass>, tapped_in: TappedIn) -> TorqueContext {
    TorqueContext { thread: thread(name), class, lubrication: Lubrication::Oiled, tapped_in }
}

fn n_m(value: f64) -> Torque {
    Torque::from_n_m(value)
}

/// Figures of machine manuals (class 8.8 steel on steel: M6 10 to 11, M8 25 to 28, M10 49 to 55 N·m; into cast aluminium M6 9,
/// M8 20, M10 40, M12 70; intake manifolds from 7 to 28 N·m) must all pass; ten times as much must not.
#[test]
fn printed_torques_are_plausible_and_tenfold_ones_absurd() {
    let steel = [("M6", 10.0), ("M6", 11.0), ("M8", 25.0), ("M8", 28.0), ("M10", 49.0), ("M10", 55.0)];
    let cast = [("M6", 9.0), ("M8", 20.0), ("M10", 40.0), ("M12", 70.0), ("M6", 7.0), ("M8", 28.0)];
    let steel = steel.map(|(name, torque)| (name, torque, TappedIn::Steel));
    let cast = cast.map(|(name, torque)| (name, torque, TappedIn::CastAluminium));
    for (name, torque, tapped_in) in steel.into_iter().chain(cast) {
        let window = guard::torque_window(&case(name, Some(PropertyClass::C8_8), tapped_in));
        assert_eq!(
            guard::judge_torque(n_m(torque), &window),
            TorqueVerdict::Plausible,
            "{name} {torque} {tapped_in:?}"
        );
        assert_eq!(
            guard::judge_torque(n_m(torque * 10.0), &window),
            TorqueVerdict::Absurd,
            "{name} {torque} tenfold"
        );
        assert_eq!(
            guard::judge_torque(n_m(torque / 20.0), &window),
            TorqueVerdict::Absurd,
            "{name} {torque} a twentieth"
        );
    }
}

#[test]
fn a_casting_lowers_the_ceiling() {
    let window = |tapped_in| guard::torque_window(&case("M8", Some(PropertyClass::C12_9), tapped_in));
    assert_eq!(window(TappedIn::Steel).ceiling, WindowCeiling::BoltYield);
    assert_eq!(window(TappedIn::CastAluminium).ceiling, WindowCeiling::CastAluminium);
    assert_eq!(window(TappedIn::CastAluminium).range.high(), n_m(28.0 * 1.5));
    let between = (window(TappedIn::Steel).range.high() + n_m(1.0)).min(n_m(1000.0));
    assert_eq!(guard::judge_torque(between, &window(TappedIn::Steel)), TorqueVerdict::Unusual);
}

#[test]
fn a_slip_of_the_unit_is_recognised() {
    let m8 = guard::torque_window(&case("M8", Some(PropertyClass::C8_8), TappedIn::Steel));
    let meant_in =
        |torque: Torque| guard::likely_unit_slip(torque, &m8.range).map(|slip: UnitSlip| slip.meant_in);
    assert_eq!(meant_in(n_m(80.0)), Some("lbf·in"));
    assert_eq!(meant_in(n_m(1500.0)), Some("N·cm"));
    assert_eq!(meant_in(n_m(2.0)), Some("kgf·m"));
    assert_eq!(meant_in(n_m(20.0)), None, "a plausible figure is left alone");
    assert_eq!(meant_in(n_m(1.0e6)), None, "nothing helps");
    let m6 = guard::torque_window(&case("M6", Some(PropertyClass::C8_8), TappedIn::Steel));
    let lbf_ft = &Torque::UNITS[1];
    let slip = guard::likely_unit_slip_from(Torque::from_lbf_ft(62.0), lbf_ft, &m6.range).expect("a slip");
    assert_eq!((slip.written_as, slip.meant_in), ("lbf·ft", "lbf·in"));
    assert!((slip.meant.as_n_m() - 7.0).abs() < 0.01, "62 lbf·in are 7.0 N·m");
}

fn bolt(name: &str, length_mm: f64, class: PropertyClass) -> MixUpBolt {
    MixUpBolt { thread: thread(name), length: Length::from_mm(length_mm), class: Some(class) }
}

/// A seat for an M6 × 20 of class 8.8: 10 mm clamped, 14 mm of thread in cast aluminium, 9 N·m.
fn seat(tapped_mm: Option<f64>) -> MixUpSeat {
    MixUpSeat {
        intended: bolt("M6", 20.0, PropertyClass::C8_8),
        clamped: Length::from_mm(10.0),
        tapped_depth: tapped_mm.map(Length::from_mm),
        torque: Some(n_m(9.0)),
        tapped_in: TappedIn::CastAluminium,
        lubrication: Lubrication::Oiled,
    }
}

#[test]
fn the_right_bolt_does_no_harm() {
    for tapped_mm in [Some(14.0), Some(10.0), None] {
        let seat = seat(tapped_mm);
        assert_eq!(mixup::mix_up_consequences(&seat.intended, &seat), [MixUpConsequence::Harmless]);
    }
    // Even where the maker engages little thread, his own bolt is no mix-up.
    let mut shallow = seat(Some(3.0));
    shallow.intended.length = Length::from_mm(13.0);
    assert_eq!(mixup::worst_consequence(&shallow.intended, &shallow), MixUpConsequence::Harmless);
}

#[test]
fn a_longer_bolt_bottoms_or_stands_out() {
    let long = bolt("M6", 30.0, PropertyClass::C8_8);
    let found = mixup::worst_consequence(&long, &seat(Some(14.0)));
    assert_eq!(found, MixUpConsequence::BottomsBeforeClamping { short_by: Length::from_mm(6.0) });
    assert_eq!(
        found.to_string(),
        "bottoms out with the head still 6 mm off the part: the torque is reached but nothing is clamped"
    );
    let through = mixup::worst_consequence(&long, &seat(None));
    assert_eq!(through, MixUpConsequence::ReachesDeeper { by: Length::from_mm(10.0) });
    assert_eq!((found.severity(), through.severity()), (MixUpSeverity::Harmful, MixUpSeverity::Unknown));
    assert!(through.to_string().contains("not known"), "{through}");
    assert_eq!(
        mixup::worst_consequence(&bolt("M6", 24.0, PropertyClass::C8_8), &seat(Some(14.0))),
        MixUpConsequence::Harmless
    );
}

#[test]
fn a_shorter_bolt_strips_the_casting() {
    let short = mixup::worst_consequence(&bolt("M6", 12.0, PropertyClass::C8_8), &seat(Some(14.0)));
    let MixUpConsequence::TooLittleEngagement { engaged, needed, strips_at, torque } = short else {
        panic!("{short:?}");
    };
    assert_eq!((engaged, torque), (Length::from_mm(2.0), n_m(9.0)));
    assert!(needed > engaged && strips_at < torque, "{short}");
    // Load and torque are proportional, and so are load and length: both give the same reserve.
    assert!(((needed / 1.25) / engaged - torque / strips_at).abs() < 1e-9);
    assert_eq!(short.severity(), MixUpSeverity::Harmful);
    let none = mixup::worst_consequence(&bolt("M6", 8.0, PropertyClass::C8_8), &seat(Some(14.0)));
    assert!(matches!(none, MixUpConsequence::TooLittleEngagement { engaged: Length::ZERO, .. }), "{none:?}");
}

#[test]
fn a_weaker_bolt_yields() {
    let mut seat = seat(Some(14.0));
    let soft = bolt("M6", 20.0, PropertyClass::C4_6);
    let found = mixup::mix_up_consequences(&soft, &seat);
    let weaker =
        found.iter().find(|c| matches!(c, MixUpConsequence::WeakerClass { .. })).expect("it is weaker");
    assert_eq!(weaker.severity(), MixUpSeverity::Harmful, "{weaker}");
    seat.torque = Some(n_m(2.0));
    let mild = mixup::worst_consequence(&soft, &seat);
    assert_eq!(mild.severity(), MixUpSeverity::Weakened, "{mild}");
    let harder = mixup::worst_consequence(&bolt("M6", 20.0, PropertyClass::C10_9), &seat);
    assert_eq!(harder, MixUpConsequence::Harmless);
}

#[test]
fn another_thread_will_not_do() {
    let put = |name| mixup::worst_consequence(&bolt(name, 20.0, PropertyClass::C8_8), &seat(Some(14.0)));
    assert_eq!(put("M8"), MixUpConsequence::WillNotEnter);
    assert_eq!(put("M4"), MixUpConsequence::DoesNotGrip);
    assert!(matches!(put("M6x0.75"), MixUpConsequence::CrossThreads { .. }));
    let mut m8 = seat(Some(14.0));
    m8.intended.thread = thread("M8");
    let inch = mixup::worst_consequence(&bolt("5/16-18 UNC", 20.0, PropertyClass::C8_8), &m8);
    assert!(matches!(inch, MixUpConsequence::CrossThreads { .. }), "7.94 mm starts in 8 mm: {inch:?}");
}

/// MIL-HDBK-60, table II, each ±20 %, and the ends of VDI 2230's friction classes: a state's range must hold them all.
#[test]
fn friction_ranges_hold_the_published_coefficients() {
    let published: [(Lubrication, &[f64]); 3] = [
        (Lubrication::Paste, &[0.8 * 0.07, 1.2 * 0.11, 0.04, 0.10]),
        (Lubrication::Oiled, &[0.8 * 0.15, 1.2 * 0.15, 0.08, 0.16]),
        (Lubrication::Dry, &[0.17, 1.2 * 0.17, 0.14, 0.24, 0.35]),
    ];
    for (state, coefficients) in published {
        let range = state.friction_range();
        for mu in coefficients {
            assert!(range.low.mu_g() <= *mu && *mu <= range.high.mu_k(), "{state:?} {mu}");
        }
    }
    let sliding = [Lubrication::Paste, Lubrication::Oiled, Lubrication::Dry].map(|s| s.friction_range());
    assert!(
        sliding.is_sorted_by_key(|range| range.low.mu_g()) && sliding.is_sorted_by_key(|r| r.high.mu_g())
    );
    assert!(bolting::Friction::new(0.1, 1.5).is_err() && bolting::Friction::same_for_both(f64::NAN).is_err());
}

/// MIL-HDBK-60, table II, each ±20 % (zinc 0.17, cadmium 0.12), and VDI 2230's classes C (bare zinc 0.14 to 0.24), D and E (bare zinc-nickel,
/// austenitic steel and light alloy from 0.30): a surface's range must hold them.
#[test]
fn surfaces_hold_the_published_coefficients() {
    use Lubrication::{Dry, Oiled, Paste};
    use bolting::FastenerSurface::{Cadmium, LightAlloy, Stainless, Steel, Zinc, ZincNickel};
    let published: [(bolting::FastenerSurface, &[f64]); 5] = [
        (Zinc, &[0.8 * 0.17, 1.2 * 0.17, 0.14, 0.24]),
        (Cadmium, &[0.8 * 0.12, 1.2 * 0.12]),
        (ZincNickel, &[0.30, 0.35]),
        (Stainless, &[0.30, 0.35]),
        (LightAlloy, &[0.30, 0.35]),
    ];
    for (surface, coefficients) in published {
        let range = surface.friction_range(Dry);
        for mu in coefficients {
            assert!(range.low.mu_g() <= *mu && *mu <= range.high.mu_g(), "{surface:?} {mu}");
        }
    }
    assert_eq!(Steel.friction_range(Dry), Dry.friction_range());
    for surface in [Steel, Zinc, ZincNickel, Stainless, LightAlloy] {
        let ranges = [Paste, Oiled, Dry].map(|state| surface.friction_range(state));
        assert!(
            ranges.is_sorted_by_key(|r| r.high.mu_g()) && ranges.is_sorted_by_key(|r| r.low.mu_g()),
            "{surface:?}"
        );
    }
}
