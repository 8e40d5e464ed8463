//! Heads of unknown height in two pictures: places, heights and reasons against the truth of invented cameras.
//!
//! No picture is drawn: the corners of the codes are seen with 0.1 px of noise, which is what `tests/measured.rs` finds them to.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use scale_card::answers::{CameraTold, HeadHeight, HeadTap, TapFault};
use scale_card::homography::{PlaneHomography, PointPair};
use scale_card::layout::{CARD_CENTRE_MM, CardCode, MODULE_MM};
use scale_card::pose::CardPose;
use scale_card::two_pictures::locate_in_two;
use units::math;

mod common;
use common::{SIZE, TestCamera, dice, hand_held, uniform};

fn noise(random: &mut Pcg64Mcg) -> f64 {
    (0..12).map(|_| random.random::<f64>()).sum::<f64>() - 6.0
}

fn see_card(camera: &TestCamera, random: &mut Pcg64Mcg) -> CardPose {
    let mut pairs = Vec::new();
    for code in CardCode::BOTH {
        let (left, top) = code.origin_mm();
        for (across, down) in [(0.0, 0.0), (14.0, 0.0), (0.0, 14.0)] {
            for (inset, side) in [(0.0, 7.0), (1.0, 5.0), (2.0, 3.0)] {
                for (right, below) in [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)] {
                    let card_mm = (
                        left + (across + inset + right) * MODULE_MM,
                        top + (down + inset + below) * MODULE_MM,
                    );
                    let seen = camera.picture_px([card_mm.0, card_mm.1, 0.0]);
                    let picture_px = (seen.0 + 0.1 * noise(random), seen.1 + 0.1 * noise(random));
                    pairs.push(PointPair { card_mm, picture_px });
                }
            }
        }
    }
    let map = PlaneHomography::fit_pairs(&pairs).unwrap();
    let (width, height) = (SIZE.0 as f64, SIZE.1 as f64);
    let frame = ((width / 2.0, height / 2.0), math::hypot(width, height));
    CardPose::fit_in_frame(&pairs, &map, frame, CameraTold::Nothing).unwrap()
}

fn tap_head(camera: &TestCamera, head: [f64; 3], random: &mut Pcg64Mcg) -> HeadTap {
    let seen = camera.picture_px(head);
    let at_px = (seen.0 + uniform(random, -2.0, 2.0), seen.1 + uniform(random, -2.0, 2.0));
    HeadTap { at_px, error_px: 1.2, height: HeadHeight::NOT_KNOWN }
}

/// Cameras that stand about 200 mm apart, one leaning each way.
fn stand_twice(random: &mut Pcg64Mcg) -> [TestCamera; 2] {
    let toward = uniform(random, 0.0, 360.0);
    [0.0, 180.0].map(|turn| {
        let lean = (uniform(random, 12.0, 20.0), toward + turn, uniform(random, 0.0, 360.0));
        TestCamera::looking_at(
            CARD_CENTRE_MM,
            uniform(random, 330.0, 380.0),
            lean,
            SIZE,
            uniform(random, 0.55, 0.63),
        )
    })
}

#[test]
fn two_pictures_give_place_and_height() {
    let random = &mut dice(77);
    let (mut asked, mut measured, mut within, mut height_held) = (0, 0, 0, 0);
    for _ in 0..60 {
        let cameras = stand_twice(random);
        let poses = [see_card(&cameras[0], random), see_card(&cameras[1], random)];
        for _ in 0..8 {
            let (angle, reach) = (uniform(random, 0.0, std::f64::consts::TAU), uniform(random, 20.0, 150.0));
            let head = [
                CARD_CENTRE_MM.0 + reach * math::cos(angle),
                CARD_CENTRE_MM.1 + reach * math::sin(angle),
                uniform(random, 0.0, 20.0),
            ];
            let taps = [tap_head(&cameras[0], head, random), tap_head(&cameras[1], head, random)];
            asked += 1;
            if let Ok(found) = locate_in_two((&poses[0], &taps[0]), (&poses[1], &taps[1])) {
                measured += 1;
                let off = math::hypot(found.place.at_mm.0 - head[0], found.place.at_mm.1 - head[1]);
                within += usize::from(off <= 2.0 && off <= found.place.error_mm * 1.2);
                height_held += usize::from((found.height_mm - head[2]).abs() <= found.height_error_mm);
            }
        }
    }
    println!(
        "two pictures: {measured} of {asked} measured, {within} within 2 mm, {height_held} heights within their error"
    );
    assert!(measured * 10 >= asked * 7, "{measured} of {asked}");
    assert!(within * 100 >= measured * 95, "{within} of {measured}");
    assert!(height_held * 100 >= measured * 93, "{height_held} of {measured}");
}

#[test]
fn the_same_place_twice_and_two_heads_have_their_reasons() {
    let random = &mut dice(78);
    let camera = hand_held(random);
    let pose = see_card(&camera, random);
    let head = [CARD_CENTRE_MM.0 + 100.0, CARD_CENTRE_MM.1, 12.0];
    let tap = tap_head(&camera, head, random);
    let told = locate_in_two((&pose, &tap), (&pose, &tap)).unwrap_err();
    assert!(matches!(told, TapFault::HeightNotKnown { .. }), "{told}");
    assert!(told.to_string().contains("from another side"), "{told}");
    let cameras = stand_twice(random);
    let poses = [see_card(&cameras[0], random), see_card(&cameras[1], random)];
    let other = tap_head(&cameras[1], [head[0], head[1] + 40.0, 12.0], random);
    let far = tap_head(&cameras[1], [head[0] - 60.0, head[1] - 40.0, 12.0], random);
    let tap = tap_head(&cameras[0], head, random);
    let refused = [other, far].map(|two| locate_in_two((&poses[0], &tap), (&poses[1], &two)));
    assert!(refused.iter().any(|each| matches!(each, Err(TapFault::NotOneHead { .. }))), "{refused:?}");
    for bad in [f64::NAN, f64::INFINITY] {
        let strange = HeadTap { at_px: (bad, 3.0), ..tap };
        assert_eq!(locate_in_two((&poses[0], &strange), (&poses[1], &tap)), Err(TapFault::OutsidePicture));
    }
}
