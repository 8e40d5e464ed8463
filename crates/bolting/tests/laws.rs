//! Laws that hold for every thread, class, friction, adapter, joint and hole pattern.

use bolting::angle::JointSprings;
use bolting::clamp::{self, TorqueTightening};
use bolting::guard::{self, TorqueContext, TorqueVerdict};
use bolting::joint_piece::{torque_ratio, worst_error_fraction};
use bolting::pattern::{HolePattern, HolePosition, release_order, tightening_order};
use bolting::torque::{
    assembly_preload, bearing_diameter, preload_for_torque, short_preload, short_torque, torque_for_preload,
};
use bolting::wrench::WrenchOffset;
use bolting::{
    Edition, Friction, FrictionRange, Lubrication, PropertyClass, ShownFigure, TappedIn, Thread, scatter,
    thread_strip,
};
use proptest::prelude::*;
use units::{Angle, Length, Range, Torque};

fn threads() -> impl Strategy<Value = Thread> {
    let names = [
        "M3", "M4", "M5", "M6", "M8", "M8x1", "M10x1.25", "M12", "M14x1.5", "M20", "M24", "1/4-20", "1/2-20",
    ];
    prop::sample::select(names.to_vec()).prop_map(|name| Thread::parse(name).expect("a thread"))
}

fn classes() -> impl Strategy<Value = PropertyClass> {
    prop::sample::select(PropertyClass::all().collect::<Vec<_>>())
}

fn states() -> impl Strategy<Value = Lubrication> {
    use Lubrication::{Dry, Oiled, Paste, Sealant, ThreadLocker, Unstated};
    prop::sample::select(vec![Dry, Oiled, Paste, Sealant, ThreadLocker, Unstated])
}

fn materials() -> impl Strategy<Value = TappedIn> {
    use TappedIn::{CastAluminium, GreyIron, Plastic, Steel};
    prop::sample::select(vec![CastAluminium, GreyIron, Plastic, Steel])
}

fn steps() -> impl Strategy<Value = u32> {
    prop_oneof![8 => 0..4_u32, 1 => any::<u32>()]
}

fn torques() -> impl Strategy<Value = f64> {
    prop_oneof![8 => 0.5..9.0_f64, 3 => (1..20_u32).prop_map(f64::from), 1 => any::<f64>()]
}

fn places() -> impl Strategy<Value = Vec<HolePosition>> {
    let place = (-200.0..200.0_f64, -200.0..200.0_f64).prop_map(|(x_mm, y_mm)| HolePosition { x_mm, y_mm });
    let on_grid = (-4..5_i8, -4..5_i8)
        .prop_map(|(x, y)| HolePosition { x_mm: f64::from(x) * 20.0, y_mm: f64::from(y) * 20.0 });
    prop_oneof![prop::collection::vec(place, 0..40), prop::collection::vec(on_grid, 0..40)]
}

proptest! {
    #[test]
    fn torque_to_preload_to_torque_returns(thread in threads(), mu_g in 0.02..0.5_f64, mu_k in 0.02..0.5_f64, n_m in 0.1..500.0_f64) {
        let (torque, bearing) = (Torque::from_n_m(n_m), bearing_diameter(thread));
        let friction = Friction::new(mu_g, mu_k).expect("friction in range");
        let preload = preload_for_torque(thread, torque, friction, bearing);
        let back = torque_for_preload(thread, preload, friction, bearing);
        prop_assert!((back / torque - 1.0).abs() < 1e-12);
        let d = Length::from_mm(thread.d_mm());
        let back = short_torque(mu_g, d, short_preload(mu_g, d, torque));
        prop_assert!((back / torque - 1.0).abs() < 1e-12);
    }

    #[test]
    fn more_friction_never_means_more_preload(thread in threads(), class in classes(), mu in 0.02..0.5_f64, more in 0.0..0.4_f64) {
        let (torque, bearing) = (Torque::from_n_m(10.0), bearing_diameter(thread));
        let preload = |mu_g, mu_k| preload_for_torque(thread, torque, Friction::new(mu_g, mu_k).expect("friction"), bearing);
        prop_assert!(preload(mu + more, mu) <= preload(mu, mu));
        prop_assert!(preload(mu, mu + more) <= preload(mu, mu));
        for edition in [Edition::E1986, Edition::E2001] {
            let at_yield = |mu| assembly_preload(thread, class, mu, 0.9, edition);
            prop_assert!(at_yield(mu + more) <= at_yield(mu));
        }
    }

    #[test]
    fn the_older_edition_never_allows_more(thread in threads(), class in classes(), mu in 0.02..0.5_f64) {
        let preload = |edition| assembly_preload(thread, class, mu, 0.9, edition);
        prop_assert!(preload(Edition::E1986) < preload(Edition::E2001));
    }

    #[test]
    fn an_adapter_across_changes_nothing(lever_mm in 50.0..1000.0_f64, adapter_mm in 0.0..200.0_f64, n_m in 0.1..500.0_f64) {
        for deg in [90.0, 270.0, -90.0] {
            let offset = WrenchOffset::new(Length::from_mm(lever_mm), Length::from_mm(adapter_mm), Angle::from_deg(deg)).expect("a lever");
            prop_assert!((offset.setting_for(Torque::from_n_m(n_m)).as_n_m() / n_m - 1.0).abs() < 1e-15);
        }
    }

    #[test]
    fn setting_and_actual_are_inverse(lever_mm in 200.0..1000.0_f64, adapter_mm in 0.0..150.0_f64, deg in -360.0..360.0_f64, n_m in 0.1..500.0_f64) {
        let offset = WrenchOffset::new(Length::from_mm(lever_mm), Length::from_mm(adapter_mm), Angle::from_deg(deg)).expect("a lever");
        let back = offset.torque_at_fastener(offset.setting_for(Torque::from_n_m(n_m))).as_n_m();
        prop_assert!((back / n_m - 1.0).abs() < 1e-12);
        let forward = units::math::cos_deg(deg) > 1e-9;
        prop_assert!(!forward || offset.setting_for(Torque::from_n_m(n_m)).as_n_m() <= n_m);
    }

    #[test]
    fn a_pattern_covers_each_hole_once(places in places()) {
        for pattern in [HolePattern::Auto, HolePattern::CrissCross, HolePattern::Spiral] {
            let order = tightening_order(&places, &pattern).expect("no sequence was given");
            let mut sorted = order.clone();
            sorted.sort_unstable();
            prop_assert_eq!(sorted, (0..places.len()).collect::<Vec<_>>());
            prop_assert_eq!(tightening_order(&places, &pattern), Ok(order.clone()), "the same every time");
            let reversed: Vec<usize> = order.iter().rev().copied().collect();
            prop_assert_eq!(release_order(&places, &pattern), Ok(reversed));
            prop_assert_eq!(tightening_order(&places, &HolePattern::Given(order.clone())), Ok(order));
        }
    }

    #[test]
    fn an_even_ring_goes_by_opposite_pairs(half in 2..24_u32, start_deg in 0.0..360.0_f64, radius_mm in 10.0..300.0_f64) {
        let deg = |k: u32| start_deg + 180.0 * f64::from(k) / f64::from(half);
        let place = |k| HolePosition { x_mm: radius_mm * units::math::sin_deg(deg(k)), y_mm: radius_mm * units::math::cos_deg(deg(k)) };
        let places: Vec<HolePosition> = (0..2 * half).map(place).collect();
        let order = tightening_order(&places, &HolePattern::Auto).expect("no sequence was given");
        for pair in order.chunks(2) {
            prop_assert_eq!(pair[0].abs_diff(pair[1]), half as usize);
        }
    }

    /// Each next pair lies as far from all pairs done as any pair left, and no hole follows its neighbour.
    #[test]
    fn neighbours_on_a_ring_wait(half in 3..20_usize) {
        let count = 2 * half;
        let deg = |k: usize| 180.0 * k as f64 / half as f64;
        let places: Vec<HolePosition> = (0..count).map(|k| HolePosition { x_mm: 80.0 * units::math::sin_deg(deg(k)), y_mm: 80.0 * units::math::cos_deg(deg(k)) }).collect();
        let order = tightening_order(&places, &HolePattern::CrissCross).expect("no sequence was given");
        let away = |a: usize, b: usize, round: usize| { let d = a.abs_diff(b) % round; d.min(round - d) };
        let pairs: Vec<usize> = order.chunks(2).map(|pair| pair[0].min(pair[1])).collect();
        for done in 1..half {
            let gap = |pair: usize| pairs[..done].iter().map(|d| away(pair, *d, half)).min().unwrap_or(half);
            let best = pairs[done..].iter().map(|pair| gap(*pair)).max().unwrap_or(0);
            prop_assert_eq!(gap(pairs[done]), best);
        }
        for next in order.windows(2) {
            prop_assert!(away(next[0], next[1], count) > 1, "{:?}", order);
        }
    }

    #[test]
    fn an_odd_ring_goes_farthest_first(half in 2..20_usize) {
        let count = 2 * half + 1;
        let deg = |k: usize| 360.0 * k as f64 / count as f64;
        let places: Vec<HolePosition> = (0..count).map(|k| HolePosition { x_mm: 80.0 * units::math::sin_deg(deg(k)), y_mm: 80.0 * units::math::cos_deg(deg(k)) }).collect();
        let order = tightening_order(&places, &HolePattern::Auto).expect("no sequence was given");
        // No hole that is left lies farther from all holes done than the one taken.
        let apart = |a: usize, b: usize| a.abs_diff(b).min(count - a.abs_diff(b));
        for done in 1..count {
            let gap = |k: usize| order[..done].iter().map(|d| apart(k, *d)).min().unwrap_or(0);
            let best = order[done..].iter().map(|k| gap(*k)).max().unwrap_or(0);
            prop_assert_eq!(gap(order[done]), best);
        }
    }

    #[test]
    fn torques_come_back_through_every_unit(figure in 0.001..10_000.0_f64, at in 0..5_usize) {
        let unit = &Torque::UNITS[at];
        let torque = Torque::from_n_m(figure * unit.factor);
        let (read, found) = Torque::parse_with_unit(&torque.show_in(unit, 15)).expect("its own text");
        prop_assert_eq!(found.symbol, unit.symbol);
        prop_assert!((read / torque - 1.0).abs() < 1e-11);
    }

    #[test]
    fn a_turn_is_undone(pitch_mm in 0.3..3.0_f64, bolt in 1e-7..1e-4_f64, parts in 0.0..1e-4_f64, deg in 1.0..720.0_f64) {
        let joint = JointSprings { pitch: Length::from_mm(pitch_mm), bolt_mm_per_n: bolt, parts_mm_per_n: parts };
        let gain = joint.preload_gain(Angle::from_deg(deg));
        prop_assert!((joint.turn_for_gain(gain).as_deg() / deg - 1.0).abs() < 1e-12);
        let moved = joint.bolt_stretch(gain).as_mm() + joint.parts_squeeze(gain).as_mm();
        prop_assert!((moved / (deg / 360.0 * pitch_mm) - 1.0).abs() < 1e-9, "stretch and squeeze share the turn");
    }

    #[test]
    fn more_friction_narrows_no_worst_case(thread in threads(), class in classes(), n_m in 1.0..200.0_f64, low in 0.02..0.2_f64, more in 0.0..0.3_f64) {
        let both = |mu| Friction::same_for_both(mu).expect("friction");
        let case = |high| TorqueTightening {
            thread,
            class: Some(class),
            bearing: bearing_diameter(thread),
            friction: FrictionRange { low: both(low), high: both(high), source: "law" },
            torque: Range::new(Torque::from_n_m(n_m), Torque::from_n_m(n_m * 1.04)).expect("ends in order"),
            prevailing: Range::new(Torque::ZERO, Torque::ZERO).expect("ends in order"),
            edition: Edition::E2001,
        };
        let (narrow, wide) = (clamp::clamp_load(&case(low)), clamp::clamp_load(&case(low + more)));
        prop_assert!(wide.low <= narrow.low && wide.high == narrow.high && wide.low <= wide.middle && wide.middle <= wide.high);
    }

    #[test]
    fn a_figure_holds_its_range(value in -1e6..1e6_f64, below in 0.0..1e4_f64, above in 0.0..1e4_f64) {
        let figure = ShownFigure::new("x", value, (value - below, value + above), "N", "law");
        let read: f64 = figure.rounded_text().parse().expect("a number");
        let slack = figure.half_width_figure().max(value.abs() * 1e-3);
        prop_assert!((read - value).abs() <= 0.5 * slack + 1e-9, "{figure}: {value}");
    }

    #[test]
    fn more_cover_and_more_confidence_raise_a_factor(n in 3..60_u32, p in 0.6..0.98_f64, g in 0.6..0.98_f64) {
        let k = |n, p, g| bolting::tolerance::one_sided_factor_of(n, p, g);
        let base = k(n, p, g);
        prop_assert!(k(n, p + 0.01, g) > base && k(n, p, g + 0.01) > base && k(n + 1, p, g) < base);
    }

    /// Whatever is typed in, a calibration is made or refused, and its advice never exceeds its own ceiling.
    #[test]
    fn any_readings_are_fitted_or_refused(rows in prop::collection::vec((steps(), torques(), 0..30_u32), 0..40), wanted_n_m in torques(), error_fraction in any::<f64>()) {
        use bolting::driver::{ClutchDemand, ClutchDrift, ClutchReading, ClutchVerdict, advise_step, calibrate_clutch, check_drift};
        let readings: Vec<ClutchReading> = rows.into_iter().map(|(step, n_m, fastener)| ClutchReading { step, torque: Torque::from_n_m(n_m), fastener }).collect();
        if let Ok(calibration) = calibrate_clutch(&readings) {
            let demand = ClutchDemand { wrench_error_fraction: error_fraction, ..ClutchDemand::new(Torque::from_n_m(wanted_n_m)) };
            let advice = advise_step(&calibration, &demand, &ClutchDrift::unchecked());
            if let ClutchVerdict::RunDown { at, .. } = advice.verdict {
                prop_assert!(at.upper <= advice.ceiling && advice.ceiling <= demand.wanted && at.lower <= at.mean);
            }
            let drift = check_drift(&calibration, &readings);
            prop_assert!((0.0..=1.0).contains(&drift.probability), "{drift:?}");
        }
    }

    #[test]
    fn odd_numbers_never_stop_a_factor(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>(), n in any::<u32>()) {
        use bolting::tolerance;
        let _ = tolerance::one_sided_factor(a, b, c, d);
        let _ = tolerance::one_sided_factor_of(n, c, d);
        let _ = tolerance::student_quantile(a, b);
        let _ = tolerance::student_above_probability(a, b);
        let _ = tolerance::f_above_probability(a, b, c);
        prop_assert!(tolerance::normal_quantile(a).is_finite());
        prop_assert!(tolerance::readings_without_distribution_count(c, d) >= 1);
        let text = ShownFigure::new("x", a, (b, c), "N", "law").to_string();
        prop_assert!(text.contains(" N") && !text.contains("NaN"), "{text}");
    }

    #[test]
    fn odd_joints_never_stop_an_angle(pitch_mm in any::<f64>(), bolt in any::<f64>(), parts in any::<f64>(), deg in any::<f64>(), face_mm in any::<f64>(), hole_mm in any::<f64>(), t_mm in any::<f64>()) {
        use bolting::stiffness::{BoltCounterpart, ClampedLayer, ClampedParts};
        let joint = JointSprings { pitch: Length::from_mm(pitch_mm), bolt_mm_per_n: bolt, parts_mm_per_n: parts };
        let gain = joint.preload_gain(Angle::from_deg(deg));
        let _ = (joint.turn_for_gain(gain), joint.bolt_stretch(gain), joint.parts_squeeze(gain));
        let mm = Length::from_mm;
        let parts = ClampedParts { layers: vec![ClampedLayer { thickness: mm(t_mm), modulus_mpa: bolt }], face: mm(face_mm), hole: mm(hole_mm), outer: mm(face_mm * 2.0) };
        if let Ok(found) = parts.compliance_mm_per_n(BoltCounterpart::Nut) {
            prop_assert!(found >= 0.0 || found.is_nan(), "{found}");
        }
        let _ = bolting::angle::structural_turn(mm(t_mm), mm(hole_mm));
    }

    #[test]
    fn odd_places_never_stop_it(x in any::<f64>(), y in any::<f64>()) {
        let places = [HolePosition { x_mm: x, y_mm: y }, HolePosition { x_mm: 1.0, y_mm: y }, HolePosition { x_mm: x, y_mm: f64::NAN }];
        for pattern in [HolePattern::Auto, HolePattern::CrissCross, HolePattern::Spiral] {
            prop_assert_eq!(tightening_order(&places, &pattern).map(|o| o.len()), Ok(3));
        }
    }

    #[test]
    fn a_steeper_joint_is_a_worse_one(deg in 0.0..79.0_f64, more in 0.1..1.0_f64) {
        let error = |deg| worst_error_fraction(&[Angle::from_deg(deg)]);
        prop_assert!(error(deg) < error(deg + more));
        let ratio = torque_ratio(Angle::from_deg(deg));
        prop_assert!(ratio.least_ratio <= ratio.mean_ratio && ratio.mean_ratio <= ratio.greatest_ratio);
        prop_assert!((ratio.least_ratio * ratio.greatest_ratio - 1.0).abs() < 1e-12);
        prop_assert!(ratio.greatest_ratio - 1.0 >= 1.0 - ratio.least_ratio, "the worst error is upwards");
    }

    #[test]
    fn needed_engagement_just_holds_the_bolt(thread in threads(), class in classes(), tapped_in in materials()) {
        let needed = thread_strip::needed_engagement(thread, class, tapped_in);
        let margin = thread_strip::engagement_margin(thread, class, needed, tapped_in);
        prop_assert!((margin - 1.0).abs() < 1e-9);
        prop_assert!(thread_strip::engagement_margin(thread, class, needed * 2.0, tapped_in) > 1.9);
        prop_assert!(needed > Length::ZERO);
    }

    #[test]
    fn a_window_holds_three_quarters_of_yield(thread in threads(), class in classes(), lubrication in states()) {
        let window = guard::torque_window(&TorqueContext { thread, class: Some(class), lubrication, tapped_in: TappedIn::Steel });
        let friction = lubrication.friction_range();
        for friction in [friction.low, friction.high] {
            let torque = bolting::torque::assembly_torque(thread, class, friction, 0.75, Edition::E2001);
            prop_assert_eq!(guard::judge_torque(torque, &window), TorqueVerdict::Plausible);
        }
        let wide = guard::torque_window(&TorqueContext { thread, class: None, lubrication, tapped_in: TappedIn::Steel });
        prop_assert!(wide.range.high() >= window.range.high());
    }

    #[test]
    fn a_slip_always_leads_inside(thread in threads(), tapped_in in materials(), n_m in 0.01..5000.0_f64) {
        let window = guard::torque_window(&TorqueContext { thread, class: None, lubrication: Lubrication::Unstated, tapped_in });
        let slip = guard::likely_unit_slip(Torque::from_n_m(n_m), &window.range);
        prop_assert!(slip.is_none_or(|slip| window.range.contains(slip.meant) && slip.meant_in != slip.written_as));
    }

    #[test]
    fn deviation_and_factor_are_inverse(alpha in 1.0..5.0_f64) {
        prop_assert!((scatter::factor_of_deviation(scatter::deviation_fraction(alpha)) - alpha).abs() < 1e-9);
    }
}
