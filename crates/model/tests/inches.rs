//! Inch drives: exact, equal however they are written, shown as they are written.

use model::{Drive, DriveForm, inch_words};

/// 25.4 mm to the inch is exact (NIST SP 811).
#[test]
fn inch_sizes_are_exact_and_shown_as_written() {
    for (text, width_mm) in [
        ("hexagon 9/16 in", 14.2875),
        ("hexagon 1/2 in", 12.7),
        ("hexagon 5/16 in", 7.9375),
        ("hexagon 15/16 in", 23.8125),
        ("hexagon 1-1/8 in", 28.575),
        ("hexagon 1 in", 25.4),
        ("hex socket 5/32 in", 3.96875),
        ("bi-hexagon 5/64 in", 1.984_375),
        ("hexagon 10 mm", 10.0),
        ("hexagon 5.5 mm", 5.5),
    ] {
        let drive = Drive::parse(text).unwrap_or_else(|e| panic!("{e}"));
        assert!((drive.size() - width_mm).abs() < 1e-12, "{text}: {}", drive.size());
        assert_eq!(drive.to_string(), text);
        assert_eq!(Drive::parse(&drive.to_string()), Ok(drive));
        assert_eq!(Drive::new(drive.form(), width_mm), drive);
        assert_eq!(Drive::new(drive.form(), width_mm).to_string(), text);
    }
}

#[test]
fn one_width_is_one_drive_however_it_is_written() {
    let inches = Drive::parse("hexagon 1/2 in").unwrap();
    let metric = Drive::parse("hexagon 12.7 mm").unwrap();
    assert_eq!(inches, metric);
    assert_eq!(inches.cmp(&metric), core::cmp::Ordering::Equal);
    assert_eq!(metric.to_string(), "hexagon 12.7 mm");
}

#[test]
fn metric_widths_have_no_inch_words() {
    for width_mm in [1.5, 4.0, 5.5, 8.0, 10.0, 13.0, 14.3, 17.0, 19.0, 24.0, 36.0] {
        assert_eq!(inch_words(width_mm), None, "{width_mm}");
    }
    assert_eq!(inch_words(19.05).as_deref(), Some("3/4"));
    assert_eq!(Drive::new(DriveForm::Hexalobular, 25.4).to_string(), "T25.4");
}
