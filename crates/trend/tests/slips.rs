//! Slips of odometer lists: each kind is put in, caught and named with what was meant; sound lists are left alone.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use trend::slips::{KM_PER_MILE, OdometerNote, OdometerSlipKind, SiftedReadings, sift_readings};

const DAYS: [f64; 7] = [0.0, 95.0, 180.0, 400.0, 610.0, 700.0, 800.0];
const KM: [f64; 7] = [61_213.0, 65_047.0, 68_129.0, 77_641.0, 85_407.0, 89_318.0, 93_562.0];

fn notes(km: &[f64]) -> Vec<OdometerNote> {
    let note =
        |(at, km): (usize, &f64)| OdometerNote { line: at as u64 + 2, day: DAYS[at], km: *km, unit_km: 1.0 };
    km.iter().enumerate().map(note).collect()
}

fn with(at: usize, km: f64) -> Vec<f64> {
    let mut all = KM.to_vec();
    all[at] = km;
    all
}

fn sift(km: &[f64]) -> SiftedReadings {
    sift_readings(&notes(km)).unwrap()
}

#[track_caller]
fn check_slip(km: &[f64], line: u64, kind: OdometerSlipKind, meant: Option<f64>) {
    let found = sift(km);
    let [slip] = found.slips[..] else { panic!("{:?}", found.slips) };
    assert_eq!((slip.line, slip.kind), (line, kind), "{slip:?}");
    match meant {
        // Which digit is missing or too many cannot be known; the nearest to what was expected is offered.
        Some(meant) => {
            let is_open = matches!(kind, OdometerSlipKind::DigitMissing | OdometerSlipKind::DigitTooMany);
            let near = if is_open { 1_500.0 } else { 1.0 };
            assert!((slip.suggested_km.unwrap() - meant).abs() < near, "{slip:?}");
        }
        None => assert_eq!(slip.suggested_km, None),
    }
    let kept = KM.len() - usize::from(!kind.is_kept());
    assert_eq!(found.points.len(), kept, "{:?}", found.points);
}

#[test]
fn a_sound_list_is_left_alone() {
    let found = sift(&KM);
    assert!(found.slips.is_empty(), "{:?}", found.slips);
    assert_eq!(found.points.len(), KM.len());
}

#[test]
fn slips_are_named_with_what_was_meant() {
    check_slip(&with(2, 86_129.0), 4, OdometerSlipKind::DigitsSwapped, Some(68_129.0));
    check_slip(&with(3, 7_764.0), 5, OdometerSlipKind::DigitMissing, Some(77_640.0));
    check_slip(&with(3, 776_414.0), 5, OdometerSlipKind::DigitTooMany, Some(77_641.0));
    check_slip(&with(4, 35_407.0), 6, OdometerSlipKind::DigitWrong, Some(85_407.0));
    check_slip(&with(3, 77_641.0 / KM_PER_MILE), 5, OdometerSlipKind::MilesForKm, Some(77_641.0));
    check_slip(&with(3, 77_641.0 * KM_PER_MILE), 5, OdometerSlipKind::KmForMiles, Some(77_641.0));
    check_slip(&with(6, 935_620.0), 8, OdometerSlipKind::DigitTooMany, Some(93_562.0));
    check_slip(&with(0, 3.0), 2, OdometerSlipKind::UnusualStep, None);
}

#[test]
fn what_no_slip_explains_goes_back_all_the_same() {
    check_slip(&with(6, 12.0), 8, OdometerSlipKind::GoesBack, None);
    check_slip(&with(6, 4_000_000_000.0), 8, OdometerSlipKind::TooFast, None);
}

#[test]
fn a_replaced_instrument_counts_on() {
    let mut km = KM.to_vec();
    km[4..].copy_from_slice(&[1_200.0, 5_100.0, 9_300.0]);
    let found = sift(&km);
    assert_eq!(found.slips.len(), 1, "{:?}", found.slips);
    assert_eq!((found.slips[0].kind, found.slips[0].line), (OdometerSlipKind::InstrumentReplaced, 6));
    assert_eq!(found.points.len(), KM.len());
    let instruments: Vec<u32> = found.points.iter().map(|p| p.instrument).collect();
    assert_eq!(instruments, [0, 0, 0, 0, 2, 2, 2]);
}

#[test]
fn a_run_in_miles_is_named_and_set_aside() {
    let mut km = KM.to_vec();
    km[5..].iter_mut().for_each(|km| *km /= KM_PER_MILE);
    let found = sift(&km);
    let kinds: Vec<OdometerSlipKind> = found.slips.iter().map(|s| s.kind).collect();
    assert_eq!(kinds, [OdometerSlipKind::MilesForKm; 2]);
    assert_eq!(found.points.len(), 5);
}

#[test]
fn the_order_of_the_lines_does_not_matter() {
    let list = notes(&with(2, 86_129.0));
    let mut turned = list.clone();
    turned.reverse();
    turned.swap(1, 4);
    assert_eq!(sift_readings(&list), sift_readings(&turned));
}

#[test]
fn rounded_readings_are_seen() {
    let found = sift(&[61_000.0, 65_047.0, 68_100.0]);
    let steps: Vec<Option<f64>> = found.points.iter().map(|p| p.rounded_to_km).collect();
    assert_eq!(steps, [Some(1_000.0), None, Some(100.0)]);
}

/// Slips put into 1,000 random lists: of those that break the order, all are caught, and sound lists raise a question once in a hundred at most.
#[test]
fn slips_of_random_lists_are_caught() {
    let mut random = Pcg64Mcg::seed_from_u64(3);
    let (mut breaking, mut caught, mut questions, mut named) = (0, 0, 0, 0);
    for _ in 0..1_000 {
        let rate = 20.0 + 60.0 * random.random::<f64>();
        let (mut day, mut km) = (0.0, 40_000.0 + 100_000.0 * random.random::<f64>());
        let mut list = Vec::new();
        for line in 0..8_u64 {
            list.push(OdometerNote { line, day, km: km.round(), unit_km: 1.0 });
            let days = (40.0 + 200.0 * random.random::<f64>()).round();
            day += days;
            km += rate * days * (0.6 + 0.8 * random.random::<f64>());
        }
        questions += sift_readings(&list).unwrap().slips.len();
        let at = 1 + (6.0 * random.random::<f64>()) as usize;
        let mut digits = format!("{:.0}", list[at].km).into_bytes();
        let k = (random.random::<f64>() * (digits.len() - 1) as f64) as usize;
        digits.swap(k, k + 1);
        let meant = list[at].km;
        list[at].km = String::from_utf8(digits).unwrap().parse().unwrap();
        if list[at].km >= list[at - 1].km && list[at].km <= list[at + 1].km {
            continue;
        }
        breaking += 1;
        let found = sift_readings(&list).unwrap();
        caught += usize::from(found.slips.iter().any(|s| s.line == at as u64));
        named += usize::from(
            found.slips.iter().any(|s| s.suggested_km.is_some_and(|km| (km - meant).abs() < 1.0)),
        );
    }
    assert!(breaking > 200, "{breaking}");
    assert!(caught * 100 >= breaking * 97, "{caught} of {breaking}");
    assert!(named * 100 >= breaking * 85, "{named} of {breaking}");
    assert!(questions <= 10, "{questions}");
}
