//! Published values of torque tools, adapters, joints, drives, patterns and scatter.

mod common;

use bolting::drive::{self, HexagonGrip, ScrewHeadForm, SpannerKind, ValueGrade};
use bolting::joint_piece::{
    angle_for_error, torque_ratio, torque_ratio_at, unevenness_ratio, worst_error_fraction,
};
use bolting::pattern::{HolePattern, HolePosition, release_order, tightening_order};
use bolting::scatter::{self, TighteningMethod};
use bolting::wrench::{self, TorqueToolClass, WrenchFit, WrenchOffset};
use bolting::{Thread, thread_strip};
use common::{check, check_ratio, rows};
use units::{Angle, Force, Length, Torque};

fn n_m(value: f64) -> Torque {
    Torque::from_n_m(value)
}

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

#[test]
fn settings_behind_an_adapter() {
    let table = rows(include_str!("data/crowfoot.csv"));
    assert_eq!(table.len(), 13);
    for row in table {
        let angle = Angle::from_deg(row.number("a"));
        let offset = WrenchOffset::new(mm(row.number("L")), mm(row.number("E")), angle).expect("a lever");
        let setting = offset.setting_for(n_m(row.number("T")));
        check(row.text("source"), setting.as_n_m(), row.number("Tw"), row.half_digit("Tw") + 1e-9);
    }
}

/// A metric bolt page: 100 N·m set, 500 + 150 mm, actual 130 N·m, exact. Drift from 90° at E/L = 0.25: recomputed
/// outside this project; half of the last digit.
#[test]
fn uncorrected_and_drifting_adapters() {
    let straight = WrenchOffset::new(mm(500.0), mm(150.0), Angle::ZERO).expect("a lever");
    check("uncorrected", straight.torque_at_fastener(n_m(100.0)).as_n_m(), 130.0, 1e-9);
    let across = WrenchOffset::new(mm(400.0), mm(100.0), Angle::from_deg(90.0)).expect("a lever");
    for (deg, percent) in [(75.0, 6.5), (80.0, 4.3), (85.0, 2.2), (90.0, 0.0), (95.0, -2.2), (100.0, -4.3)] {
        check(&format!("{deg}°"), across.drift_fraction(Angle::from_deg(deg)) * 100.0, percent, 0.05);
    }
    assert!(WrenchOffset::new(mm(100.0), mm(100.0), Angle::from_deg(180.0)).is_err());
    assert!(WrenchOffset::new(mm(0.0), mm(10.0), Angle::ZERO).is_err());
    assert!(WrenchOffset::new(mm(100.0), mm(-10.0), Angle::ZERO).is_err());
}

/// Range rules of US Army TM 1-1500-204-23-9 and ISO 6789-1 worked through for 9 N·m.
#[test]
fn which_wrench_suits_nine_newton_metres() {
    let expected = [
        (25.0, WrenchFit::Good),
        (60.0, WrenchFit::TooLow),
        (45.0, WrenchFit::Usable),
        (11.0, WrenchFit::Usable),
        (8.0, WrenchFit::CannotReach),
        (9.0, WrenchFit::Usable),
        (0.0, WrenchFit::CannotReach),
    ];
    for (full_scale, fit) in expected {
        assert_eq!(wrench::judge_wrench_fit(n_m(9.0), n_m(full_scale)), fit, "full scale {full_scale}");
    }
    let range = wrench::usable_range(n_m(100.0));
    assert!(range.contains(n_m(20.0)) && range.contains(n_m(100.0)) && !range.contains(n_m(19.9)));
}

/// ISO 6789: 4 % above 10 N·m full scale, 6 % at or below (a torque-tester maker's summary of the 2003 edition).
#[test]
fn permitted_deviation() {
    check("II A, 100 N·m", TorqueToolClass::IIA.tolerance_fraction(n_m(100.0)), 0.04, 0.0);
    check("II A, 10 N·m", TorqueToolClass::IIA.tolerance_fraction(n_m(10.0)), 0.06, 0.0);
    check("II D, 12 N·m", TorqueToolClass::IID.tolerance_fraction(n_m(12.0)), 0.06, 0.0);
}

#[test]
fn rounding_to_the_scale() {
    let rounded = wrench::round_setting(n_m(17.61), n_m(0.5));
    check("17.61 to halves", rounded.setting.as_n_m(), 17.5, 1e-12);
    check("its error", rounded.error_fraction, -0.11 / 17.61, 1e-12);
    assert!(rounded.is_fine_enough);
    assert!(
        !wrench::round_setting(n_m(9.0), n_m(1.0)).is_fine_enough,
        "1 N·m is coarser than a tenth of 9 N·m"
    );
    assert!(wrench::round_setting(n_m(10.0), n_m(1.0)).is_fine_enough);
    assert_eq!(wrench::round_setting(n_m(9.3), Torque::ZERO).setting, n_m(9.3));
}

#[test]
fn universal_joints() {
    let table = rows(include_str!("data/joints.csv"));
    assert_eq!(table.len(), 9);
    for row in table {
        let angle = Angle::from_deg(row.number("angle_deg"));
        let ratio = torque_ratio(angle);
        check("least", ratio.least_ratio, row.number("min"), 0.000_005_1);
        check("greatest", ratio.greatest_ratio, row.number("max"), 0.000_005_1);
        check("unevenness", unevenness_ratio(angle), row.number("U"), 0.000_005_1);
        let turn = (0..360).map(|deg| torque_ratio_at(angle, Angle::from_deg(f64::from(deg))));
        check("mean", turn.sum::<f64>() / 360.0, ratio.mean_ratio, 1e-9);
    }
    // A drive-shaft maker's limit of smoothness, U <= 0.0027, is 3°; half of the last digit.
    check("3°", unevenness_ratio(Angle::from_deg(3.0)), 0.0027, 0.000_05);
}

/// The joint alone uses up 4 % at 15.9°, 1 % at 8.1°, 6 % at 19.4°: recomputed outside this project, half a digit.
#[test]
fn joint_angle_for_a_tolerance() {
    for (percent, deg) in [(4.0, 15.9), (1.0, 8.1), (6.0, 19.4)] {
        check(&format!("{percent} %"), angle_for_error(percent / 100.0).as_deg(), deg, 0.05);
    }
    let two = [Angle::from_deg(20.0), Angle::from_deg(-15.0)];
    check("two in series", worst_error_fraction(&two), 1.06418 * 1.03528 - 1.0, 0.000_02);
    check("none", worst_error_fraction(&[]), 0.0, 0.0);
}

/// Holes on a circle, clockwise from the top.
fn ring(count: u32, radius_mm: f64) -> Vec<HolePosition> {
    let turn = |k: u32| 360.0 * f64::from(k) / f64::from(count);
    let place = |deg: f64| HolePosition {
        x_mm: radius_mm * units::math::sin_deg(deg),
        y_mm: radius_mm * units::math::cos_deg(deg),
    };
    (0..count).map(|k| place(turn(k))).collect()
}

fn numbers(places: &[HolePosition], pattern: &HolePattern) -> Vec<usize> {
    tightening_order(places, pattern).expect("a sound pattern").into_iter().map(|i| i + 1).collect()
}

/// MIL-HDBK-60, figure 4, sixteen bolts, read from the picture; exact. Eight: flange practice 12-6, 3-9, 1:30-7:30,
/// 4:30-10:30 (gasket suppliers after PCC-1).
#[test]
fn criss_cross_of_the_handbook() {
    let sixteen = [1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 4, 12, 6, 14, 8, 16];
    assert_eq!(numbers(&ring(16, 80.0), &HolePattern::CrissCross), sixteen);
    assert_eq!(numbers(&ring(16, 80.0), &HolePattern::Auto), sixteen);
    assert_eq!(numbers(&ring(8, 50.0), &HolePattern::Auto), [1, 5, 3, 7, 2, 6, 4, 8]);
    assert_eq!(numbers(&ring(4, 50.0), &HolePattern::Auto), [1, 3, 2, 4]);
    assert_eq!(numbers(&ring(5, 50.0), &HolePattern::Auto), [1, 3, 5, 2, 4]);
    let backwards: Vec<usize> = sixteen.iter().rev().map(|n| n - 1).collect();
    assert_eq!(release_order(&ring(16, 80.0), &HolePattern::Auto), Ok(backwards));
}

/// Two rows of five as on a long head: the middle pair first, then pairs outwards by turns.
#[test]
fn long_fields_close_from_the_centre() {
    let place = |i: u32| HolePosition { x_mm: f64::from(i % 5) * 90.0, y_mm: f64::from(i / 5) * 100.0 };
    let places: Vec<HolePosition> = (0..10).map(place).collect();
    let order = tightening_order(&places, &HolePattern::Auto).expect("a sound pattern");
    let away: Vec<f64> = order.iter().map(|&i| (places[i].x_mm - 180.0).abs()).collect();
    assert_eq!(away, [0.0, 0.0, 90.0, 90.0, 90.0, 90.0, 180.0, 180.0, 180.0, 180.0]);
    let column = |n: usize| places[order[n]].x_mm;
    assert!((column(2) - 180.0) * (column(3) - 180.0) < 0.0, "the second shell changes sides");
    assert!((column(6) - 180.0) * (column(7) - 180.0) < 0.0, "the third shell changes sides");
}

#[test]
fn a_given_sequence_names_each_hole_once() {
    use bolting::pattern::PatternError;
    let places = ring(3, 10.0);
    let given = |order: &[usize]| tightening_order(&places, &HolePattern::Given(order.to_vec()));
    assert_eq!(given(&[2, 0, 1]), Ok(vec![2, 0, 1]));
    assert_eq!(given(&[2, 0, 3]), Err(PatternError::NoSuchHole { index: 3 }));
    assert_eq!(given(&[2, 0, 2]), Err(PatternError::Repeated { index: 2 }));
    assert_eq!(given(&[2, 0]), Err(PatternError::Missing { index: 1 }));
}

/// DIN ISO 1711-1 as a hand-tool maker prints it: columns 3 and 4 are 0.8 and 0.4 times column 2 (0.5 %: rounding), and
/// column 1 follows 0.2655·s^2.340 (0.5 %: a fit). These relations catch a slip in any figure typed in.
#[test]
fn spanner_test_torques_agree_among_themselves() {
    let sizes = [7, 8, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 21, 22, 24, 27, 30, 32, 36];
    for size in sizes.map(f64::from) {
        let torque = |kind| {
            let rated = drive::spanner_torque(mm(size), kind).expect("a tabled size");
            assert_eq!(rated.confidence, ValueGrade::Published, "{size}");
            rated.torque.as_n_m()
        };
        let open = torque(SpannerKind::Open);
        check_ratio("double open", torque(SpannerKind::DoubleOpen), 0.8 * open, 0.005);
        check_ratio("light", torque(SpannerKind::Light), 0.4 * open, 0.005);
        let fit = 0.2655 * units::math::pow(size, 2.34);
        check_ratio("ring", torque(SpannerKind::RingOrSocket), fit, 0.005);
    }
    let nine = drive::spanner_torque(mm(9.0), SpannerKind::RingOrSocket).expect("between rows");
    assert_eq!(nine.confidence, ValueGrade::Interpolated);
    check_ratio("9 mm", nine.torque.as_n_m(), 0.2655 * units::math::pow(9.0, 2.34), 0.005);
    assert!(drive::spanner_torque(mm(200.0), SpannerKind::Open).is_none());
}

/// Key strength rule 0.2·Rm·s³, published example 320 ksi and 1/4 in: 1000 lbf·in, exact. A real key stands at least
/// two fifths and at most the whole of that rule at 320 ksi from 3 mm up.
#[test]
fn hexagon_keys() {
    let rm_mpa = 320.0 * 6.894_757;
    check_ratio("1/4 in", drive::hex_key_rule_of_thumb(mm(6.35), rm_mpa).as_lbf_in(), 1000.0, 1e-4);
    for width in [3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 17.0, 19.0, 22.0, 24.0] {
        let share = drive::hex_key_torque(mm(width)).expect("a tabled key").torque
            / drive::hex_key_rule_of_thumb(mm(width), rm_mpa);
        assert!((0.4..=1.0).contains(&share), "{width} mm: {share}");
    }
    let m8 = Thread::parse("M8").expect("a thread");
    assert_eq!(drive::hex_key_width(m8, ScrewHeadForm::Cylinder), Some(mm(6.0)));
    assert_eq!(drive::hex_key_width(m8, ScrewHeadForm::Set), Some(mm(4.0)));
}

/// ISO 10664: B over A is 0.70 to 0.74; the tool is a little smaller than the recess; E10 (9.3 mm) is no T40 (6.75 mm).
#[test]
fn hexalobular_drives() {
    for number in [6, 8, 10, 15, 20, 25, 27, 30, 40, 45, 50, 55, 60, 70] {
        let size = drive::find_hexalobular(number).expect("a tabled number");
        let tool_mm = size.tool_mm.expect("a tool");
        assert!((0.96..1.0).contains(&(tool_mm / size.across_points_mm)), "T{number}");
        if let Some(valleys_mm) = size.across_valleys_mm {
            assert!((0.70..=0.74).contains(&(valleys_mm / size.across_points_mm)), "T{number}");
        }
    }
    let across_mm = |number| drive::external_hexalobular(number).map(Length::as_mm);
    assert_eq!((across_mm(10), across_mm(8), across_mm(9)), (Some(9.3), Some(7.4), None));
    let m6 = Thread::parse("M6").expect("a thread");
    assert_eq!(drive::hexalobular_number_for(m6, ScrewHeadForm::Button), Some(30));
    assert_eq!(drive::hexagon_widths_mm(Thread::parse("M10x1.25").expect("a thread")), [16.0, 17.0, 15.0]);
}

/// Ratchet arc 360°/teeth and chord of the handle's end: trade figures, rounded to whole millimetres.
#[test]
fn ratchets_and_swing() {
    for (teeth, deg) in [(36, 10.0), (48, 7.5), (72, 5.0), (90, 4.0), (120, 3.0)] {
        assert_eq!(drive::ratchet_step_deg(teeth), Some(deg));
    }
    assert_eq!(drive::ratchet_step_deg(0), None);
    for (deg, travel_mm) in
        [(3.0, 10.0), (5.0, 17.0), (10.0, 35.0), (15.0, 52.0), (30.0, 104.0), (60.0, 200.0)]
    {
        check(&format!("{deg}°"), drive::swing_travel(mm(200.0), deg).as_mm(), travel_mm, 0.5);
    }
    let grips = [HexagonGrip::SixPoint, HexagonGrip::TwelvePoint, HexagonGrip::TwelvePointTurnedOver];
    assert_eq!(grips.map(drive::hexagon_index_deg), [60.0, 30.0, 15.0]);
    assert_eq!(drive::square_drive(mm(9.53)).map(|s| s.inch_name), Some("3/8"));
}

/// A fastener maker after VDI 2230:2015: M12 8.8, 41.9 kN, αA 1.8 gives 23.3 kN (half a digit). Its table after the 1986
/// edition: 5 to 12 % with yield control, 17 to 23 % with tested torque, 23 to 28 % with estimated friction (half a percent).
#[test]
fn scatter_of_preload() {
    check("least", scatter::least_preload(Force::from_kn(41.9), 1.8).as_kn(), 23.3, 0.05);
    for (alpha, percent) in [(1.1, 5.0), (1.27, 12.0), (1.4, 17.0), (1.6, 23.0), (1.8, 28.0)] {
        check("deviation", 100.0 * scatter::deviation_fraction(alpha), percent, 0.6);
    }
    check(
        "by feel, ±35 %",
        TighteningMethod::Feel.tightening_factor().low_ratio,
        scatter::factor_of_deviation(0.35),
        0.005,
    );
    check("mean of nine", scatter::mean_deviation_fraction(0.3, 9), 0.1, 1e-12);
}

/// A drive-technology maker's trial values: M8 8.8 coarse needs 0.9 d in steel above 500 MPa; bare stripping needs less,
/// for the table carries a margin.
#[test]
fn recommended_engagement_holds_more_than_the_bare_formula() {
    use bolting::engage::{TappedGrade, recommended_engagement};
    use bolting::{PropertyClass, TappedIn};
    for name in ["M6", "M8", "M10", "M12", "M16"] {
        let thread = Thread::parse(name).expect("a thread");
        let class = PropertyClass::C8_8;
        let advised = recommended_engagement(thread, class, TappedGrade::Steel500).expect("a tabled pair");
        check(name, advised.as_mm(), 0.9 * thread.d_mm(), 1e-9);
        let bare = thread_strip::needed_engagement(thread, class, TappedIn::Steel);
        assert!(bare < advised, "{name}: {bare} of {advised}");
        assert!(thread_strip::engagement_margin(thread, class, advised, TappedIn::Steel) > 1.0);
    }
    let m8 = Thread::parse("M8").expect("a thread");
    assert_eq!(recommended_engagement(m8, PropertyClass::C12_9, TappedGrade::Aluminium180), None);
}
