//! Maps, poses and places against OpenCV and numpy (`validation/scale_card`, with its script).
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use scale_card::answers::CameraTold;
use scale_card::homography::{PlaneHomography, PointPair};
use scale_card::pose::CardPose;
use serde_json::Value;
use units::math;

fn list_points(value: &Value) -> Vec<(f64, f64)> {
    let point = |each: &Value| (each[0].as_f64().unwrap(), each[1].as_f64().unwrap());
    value.as_array().unwrap().iter().map(point).collect()
}

fn list_numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|each| each.as_f64().unwrap()).collect()
}

struct ReferenceCase {
    case: Value,
    pairs: Vec<PointPair>,
    map: PlaneHomography,
    pose: CardPose,
}

fn list_cases() -> Vec<ReferenceCase> {
    let all: Value =
        serde_json::from_str(include_str!("../../../validation/scale_card/expected.json")).unwrap();
    let (width, height) = (all["width"].as_f64().unwrap(), all["height"].as_f64().unwrap());
    let frame = ((width / 2.0, height / 2.0), math::hypot(width, height));
    let read = |case: &Value| {
        let seen = list_points(&case["picture_px"]);
        let pairs: Vec<PointPair> = list_points(&case["card_mm"])
            .into_iter()
            .zip(seen)
            .map(|(card_mm, picture_px)| PointPair { card_mm, picture_px })
            .collect();
        let map = PlaneHomography::fit_pairs(&pairs).unwrap();
        let pose = CardPose::fit_in_frame(&pairs, &map, frame, CameraTold::Nothing).unwrap();
        ReferenceCase { case: case.clone(), pairs, map, pose }
    };
    let cases: Vec<ReferenceCase> = all["cases"].as_array().unwrap().iter().map(read).collect();
    assert_eq!(cases.len(), 4);
    cases
}

/// Both minimise the same distances, so that the maps agree where they are used: within 0.001 px over the card and 100 mm around. OpenCV ends
/// its search when steps fall below a share of 1e-7 or so.
#[test]
fn maps_agree_over_the_card_and_around() {
    for each in list_cases() {
        let theirs: [f64; 9] = list_numbers(&each.case["map"]).try_into().unwrap();
        let theirs = PlaneHomography::from_entries(theirs).unwrap();
        for x in [-100.0, 0.0, 105.0, 210.0, 310.0] {
            for y in [-100.0, 0.0, 70.0, 139.0, 239.0] {
                let (a, b) = (each.map.picture_px((x, y)).unwrap(), theirs.picture_px((x, y)).unwrap());
                let off = math::hypot(a.0 - b.0, a.1 - b.1);
                assert!(off < 1e-3, "{} at {x} {y}: {off} px", each.case["name"]);
            }
        }
    }
}

/// Without noise the prior's middle is the truth, so that both find the same camera: to 1e-3 degrees (near upright, the angle hangs on the root
/// of what is left of rounding), 1e-3 mm and places to 1e-4 mm.
#[test]
fn poses_and_places_agree_without_noise() {
    for each in list_cases().into_iter().filter(|each| each.case["noise_px"] == 0.0) {
        let name = &each.case["name"];
        let number = |key: &str| each.case[key].as_f64().unwrap();
        assert!((each.pose.tilt_deg() - number("tilt_deg")).abs() < 1e-3, "{name}: {}", each.pose.tilt_deg());
        assert!((each.pose.distance_mm() - number("distance_mm")).abs() < 1e-3, "{name}");
        let taps = list_points(&each.case["taps_px"]);
        let heights = list_numbers(&each.case["heights_mm"]);
        for ((tap, height), place) in taps.iter().zip(heights).zip(list_points(&each.case["places_mm"])) {
            let ours = each.pose.card_mm(*tap, height).unwrap();
            let off = math::hypot(ours.0 - place.0, ours.1 - place.1);
            assert!(off < 1e-4, "{name}: {off} mm");
            let again = each.pose.picture_px(ours, height).unwrap();
            assert!(math::hypot(again.0 - tap.0, again.1 - tap.1) < 1e-6, "{name}: there and back");
        }
    }
}

/// With noise, OpenCV is told a focal length that the crate has to find: places differ by less than the error that the crate itself tells.
#[test]
fn places_agree_within_the_told_error_with_noise() {
    for each in list_cases().into_iter().filter(|each| each.case["noise_px"] != 0.0) {
        // 0.2 px at 4.2 px/mm is 0.05 mm a direction, 0.07 mm in both.
        let residual = each.map.residual_mm(&each.pairs);
        assert!((0.04..0.1).contains(&residual), "{residual}");
        assert!((0.15..0.25).contains(&each.pose.corner_error_px), "{}", each.pose.corner_error_px);
        let taps = list_points(&each.case["taps_px"]);
        let heights = list_numbers(&each.case["heights_mm"]);
        for ((tap, height), place) in taps.iter().zip(heights).zip(list_points(&each.case["places_mm"])) {
            let ours = each.pose.card_mm(*tap, height).unwrap();
            let error = each.pose.error_mm(*tap, height, 0.0).unwrap();
            let off = math::hypot(ours.0 - place.0, ours.1 - place.1);
            assert!(off < 1.96 * error && error < 1.5, "{off} mm, told {error} mm");
        }
    }
}
