//! What is read, what is refused, and the conversion factors against NIST SP 811.

use proptest::prelude::*;
use units::{Angle, Duration, Length, Money, QuantityError, Torque, significant};

fn check_torque(text: &str, expected_n_m: f64) {
    let torque = Torque::parse(text).unwrap_or_else(|e| panic!("{text}: {e}"));
    assert!((torque.as_n_m() - expected_n_m).abs() <= 1e-12 * expected_n_m, "{text}: {torque:?}");
}

/// Source: NIST SP 811 (2008), B.8: lbf·ft and lbf·in follow from the exact pound, foot and standard gravity.
#[test]
fn torque_units_follow_the_definitions() {
    let lbf_ft = 0.453_592_37 * 9.806_65 * 0.3048;
    check_torque("9 N·m", 9.0);
    check_torque("9Nm", 9.0);
    check_torque("1 lbf·ft", lbf_ft);
    check_torque("1 ft-lb", lbf_ft);
    check_torque("12 lbf·in", lbf_ft);
    check_torque("80 lbf in", 80.0 * lbf_ft / 12.0);
    check_torque("1 kgf·m", 9.806_65);
}

#[test]
fn lengths_read_fractions_of_an_inch() {
    assert_eq!(Length::parse("1/4 in"), Ok(Length::from_mm(6.35)));
    assert_eq!(Length::parse("1 1/2 in"), Ok(Length::from_in(1.5)));
    assert_eq!(Length::parse("12mm"), Ok(Length::from_mm(12.0)));
}

#[test]
fn faults_say_what_to_write() {
    let message = |text: &str| Torque::parse(text).map_err(|e| e.to_string());
    assert_eq!(message("25"), Err("`25` is a torque without its unit; write it as `25 N·m`".into()));
    assert_eq!(
        message("25 Nmm"),
        Err("`Nmm` is not a unit of torque; use one of N·m, lbf·ft, lbf·in, kgf·m, N·cm".into())
    );
    let range = "a torque that lies between two figures is written `between … and 26 lbf·ft`";
    assert_eq!(message("21 to 26 lbf·ft"), Err(range.into()));
    assert_eq!(message("tight"), Err("`tight` is not a torque; write it as `9 N·m`".into()));
    assert!(matches!(Torque::parse("1e999 N·m"), Err(QuantityError::UnknownUnit { .. })));
    assert!(matches!(
        Torque::parse(&format!("{} N·m", "9".repeat(400))),
        Err(QuantityError::OutOfRange { .. })
    ));
}

#[test]
fn figures_are_shown_as_a_person_would() {
    assert_eq!(Torque::from_n_m(9.0).to_string(), "9 N·m");
    assert_eq!(Angle::from_deg(30.0).to_string(), "30°");
    assert_eq!(significant(17.607_8, 3), "17.6");
    assert_eq!(significant(-0.000_01, 2), "-0.00001");
    assert_eq!(Duration::from_min(38.6).spoken_text(), "39 min");
    assert_eq!(Duration::from_min(200.0).spoken_text(), "3 h 20 min");
    assert_eq!(Money::parse("12.5 EUR"), Ok((Money::from_cents(1250), Some("EUR".into()))));
}

proptest! {
    #[test]
    fn every_unit_of_torque_round_trips(n_m in 0.01f64..3000.0, which in 0usize..5) {
        let unit = &Torque::UNITS[which];
        let shown = Torque::from_n_m(n_m).show_in(unit, 12);
        let back = Torque::parse(&shown).unwrap();
        prop_assert!((back.as_n_m() - n_m).abs() <= 1e-9 * n_m, "{shown}");
    }

    #[test]
    fn any_text_is_answered_without_a_panic(text in ".{0,40}") {
        let _ = (Torque::parse(&text), Length::parse(&text), Money::parse(&text), Duration::parse(&text));
    }

    #[test]
    fn aliases_mean_the_same(value in 1u32..500) {
        for unit in Torque::UNITS {
            let first = Torque::parse(&format!("{value} {}", unit.symbol)).unwrap();
            for alias in unit.aliases {
                prop_assert_eq!(Torque::parse(&format!("{value} {alias}")), Ok(first));
            }
        }
    }
}

/// Spellings as manuals and wrenches write them (common practice, no single source).
#[test]
fn pound_torques_are_read_as_they_are_written() {
    let read = |text: &str| Torque::parse(text).unwrap_or_else(|e| panic!("{text}: {e}")).as_n_m();
    for text in
        ["120 in-lbs", "120 lbf·in", "120 in-lb", "120 in·lbf", "120 inlb", "120 lb-in", "120 in. lbs"]
    {
        let text = text.replace(". ", ".");
        assert!((read(&text) - read("10 lbf·ft")).abs() < 1e-9, "{text}");
    }
    for text in ["10 ft-lbs", "10 ft-lb", "10 lbs-ft", "10 foot-pounds"] {
        assert!((read(text) - read("10 lbf·ft")).abs() < 1e-9, "{text}");
    }
}
