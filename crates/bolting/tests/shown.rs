//! Figures as they are shown.

use bolting::ShownFigure;
use units::Torque;

fn n_m(torque_n_m: f64) -> Torque {
    Torque::from_n_m(torque_n_m)
}

#[test]
fn figures_are_shown_with_the_digits_they_deserve() {
    let shown =
        |value, low, high| ShownFigure::new("preload", value, (low, high), "kN", "VDI 2230").to_string();
    let expected = [
        (29.6138, 22.1, 40.3, "30 kN (22 to 40)"),
        (29.6138, 29.4, 29.8, "29.61 kN (29.40 to 29.80)"),
        (29.6138, 29.1, 30.1, "29.6 kN (29.1 to 30.1)"),
        (1234.5, 900.0, 1600.0, "1200 kN (900 to 1600)"),
        (0.012348, 0.0121, 0.0126, "0.01235 kN (0.01210 to 0.01260)"),
        (5.0, 5.0, 5.0, "5 kN"),
        (17.61234, 17.61234, 17.61234, "17.61 kN"),
    ];
    for (value, low, high, text) in expected {
        assert_eq!(shown(value, low, high), text);
    }
    let swapped = ShownFigure::new("x", f64::NAN, (3.0, -1.0), "", "");
    assert_eq!((swapped.low_figure, swapped.value_figure, swapped.high_figure), (-1.0, 0.0, 3.0));
    let torque =
        ShownFigure::from_torque("setting", [n_m(9.0), n_m(10.0), n_m(11.0)], &Torque::UNITS[2], "ISO 6789");
    assert_eq!(torque.to_string(), "89 lbf·in (80 to 97)");
    assert_eq!(ShownFigure::without_range("share", 0.5, "", "").with_unit(), "0.5");
}
