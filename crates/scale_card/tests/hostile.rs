//! What strangers hand in: noise, no picture at all, taps that are no numbers, points on a line. Nothing panics, and each gets its reason.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use rand::RngExt;
use scale_card::answers::{
    CameraTold, CardFault, HeadHeight, HeadTap, MAX_TAPS, TapAnswer, TapFault, TapPositions,
};
use scale_card::homography::{PlaneHomography, PointPair};
use scale_card::layout::{CARD_CENTRE_MM, CardCode};
use scale_card::picture::GreyPicture;
use scale_card::pose::CardPose;
use scale_card::taps::{find_card_pose, locate_taps};

mod common;
use common::{SIZE, TestCamera, TestCard, TestPicture, TestSpoil, dice, draw_picture, uniform};

const SMALL: (usize, usize) = (1000, 750);

fn tap_at(x: f64, y: f64) -> HeadTap {
    HeadTap { at_px: (x, y), error_px: 1.0, height: HeadHeight::exactly(5.0) }
}

/// A small clean picture, from 330 mm away with a tilt.
fn draw_small(card: &TestCard, tilt_deg: f64) -> (TestCamera, TestPicture) {
    draw_sized(card, tilt_deg, SMALL)
}

fn draw_sized(card: &TestCard, tilt_deg: f64, size: (usize, usize)) -> (TestCamera, TestPicture) {
    let camera = TestCamera::looking_at(CARD_CENTRE_MM, 330.0, (tilt_deg, 30.0, 10.0), size, 0.59);
    let spoil = TestSpoil { blur_px: 0.7, noise_shades: 2.0, shadow: 0.1 };
    let drawn = draw_picture(&camera, size, card, &[], spoil, &mut dice(3));
    (camera, drawn)
}

fn view(drawn: &TestPicture) -> GreyPicture<'_> {
    GreyPicture::from_shades(&drawn.shades, drawn.width, drawn.height).unwrap()
}

#[test]
fn sides_and_shades_that_make_no_picture_are_refused() {
    let shades = vec![0_u8; 40_000];
    for (width, height) in [(0, 0), (0, 200), (200, 0), (200, 199), (1, 40_000), (usize::MAX, 2)] {
        let told = GreyPicture::from_shades(&shades, width, height).unwrap_err();
        assert!(matches!(told, CardFault::PictureUnusable { .. }), "{told}");
        assert!(told.to_string().contains("take it again"));
    }
    assert!(GreyPicture::from_shades(&shades, 200, 200).is_ok());
}

#[test]
fn random_shades_hold_no_card() {
    let mut random = dice(11);
    for at in 0..30 {
        let (width, height) = (120 + 17 * at, 400 - 9 * at);
        let shades: Vec<u8> = (0..width * height)
            .map(|k| match at % 3 {
                0 => random.random::<u8>(),
                1 => {
                    if random.random::<bool>() {
                        255
                    } else {
                        0
                    }
                }
                // Stripes of the widths that a finder pattern has, with a few pixels turned over.
                _ => {
                    let stripe = [0_u8, 255, 0, 0, 0, 255, 0, 255, 255][(k % width / 3 + k / width / 5) % 9];
                    if random.random::<f64>() < 0.01 { 255 - stripe } else { stripe }
                }
            })
            .collect();
        let picture = GreyPicture::from_shades(&shades, width, height).unwrap();
        let told = locate_taps(&picture, &[tap_at(10.0, 10.0)], CameraTold::Nothing);
        assert_eq!(told, TapPositions::NotMeasured(CardFault::NoCard));
    }
}

#[test]
fn one_code_alone_and_a_folded_sheet_are_told_apart() {
    let (_, drawn) = draw_small(&TestCard::with_codes(&[CardCode::Right]), 8.0);
    assert_eq!(
        find_card_pose(&view(&drawn), CameraTold::Nothing).unwrap_err(),
        CardFault::OneCodeOnly(CardCode::Right)
    );
    let (_, drawn) = draw_small(&TestCard::folded((-30.0, 0.0)), 8.0);
    let told = find_card_pose(&view(&drawn), CameraTold::Nothing).unwrap_err();
    assert!(matches!(told, CardFault::CodesDisagree { off_mm } if (24.0..36.0).contains(&off_mm)), "{told}");
}

#[test]
fn a_steep_picture_is_refused_with_its_tilt() {
    let (_, drawn) = draw_sized(&TestCard::whole(), 42.0, SIZE);
    let told = find_card_pose(&view(&drawn), CameraTold::Nothing).unwrap_err();
    assert!(matches!(told, CardFault::TooSteep { tilt_deg } if (40.0..44.0).contains(&tilt_deg)), "{told}");
}

#[test]
fn strange_taps_get_their_reasons() {
    let (camera, drawn) = draw_small(&TestCard::whole(), 10.0);
    let far = camera.picture_px([CARD_CENTRE_MM.0 + 140.0, CARD_CENTRE_MM.1, 5.0]);
    let height = |low_mm: f64, high_mm: f64| HeadTap {
        height: HeadHeight { low_mm, high_mm },
        ..tap_at(400.0, 300.0)
    };
    let taps = vec![
        tap_at(f64::NAN, 5.0),
        tap_at(f64::INFINITY, 5.0),
        tap_at(-3.0, 5.0),
        HeadTap { error_px: f64::NAN, ..tap_at(400.0, 300.0) },
        height(f64::NAN, 3.0),
        height(4.0, 3.0),
        height(-1.0, 3.0),
        height(0.0, 1e300),
        HeadTap { height: HeadHeight::NOT_KNOWN, ..tap_at(far.0, far.1) },
        HeadTap { error_px: 30.0, ..tap_at(far.0, far.1) },
        tap_at(far.0, far.1),
    ];
    let TapPositions::Scaled { taps: answers, card } =
        locate_taps(&view(&drawn), &taps, CameraTold::FocalRatio(0.59))
    else {
        panic!("the card is there");
    };
    assert!(card.residual_mm < 0.2 && (9.0..11.0).contains(&card.tilt_deg), "{card:?}");
    let why = |at: usize| match answers[at] {
        TapAnswer::NotMeasured { why, .. } => why,
        TapAnswer::Measured(place) => panic!("tap {at} is measured: {place:?}"),
    };
    for at in 0..4 {
        assert_eq!(why(at), TapFault::OutsidePicture, "tap {at}");
    }
    for at in 4..8 {
        assert_eq!(why(at), TapFault::HeightUnusable, "tap {at}");
    }
    assert!(matches!(why(8), TapFault::HeightNotKnown { error_mm } if error_mm > 2.0));
    assert!(matches!(why(9), TapFault::TooDoubtful { error_mm } if error_mm > 2.0));
    assert!(
        matches!(answers[10], TapAnswer::Measured(place) if (place.at_mm.0 - CARD_CENTRE_MM.0 - 140.0).abs() < 1.0)
    );
    assert!(answers.iter().take(9).all(|answer| match answer {
        TapAnswer::NotMeasured { why, .. } => !why.to_string().is_empty(),
        TapAnswer::Measured(_) => false,
    }));
}

#[test]
fn a_flood_of_taps_and_a_nonsense_camera_are_answered() {
    let (_, drawn) = draw_small(&TestCard::whole(), 5.0);
    let taps = vec![tap_at(500.0, 375.0); MAX_TAPS + 2];
    let TapPositions::Scaled { taps: answers, .. } = locate_taps(&view(&drawn), &taps, CameraTold::Nothing)
    else {
        panic!("the card is there");
    };
    assert!(matches!(answers[MAX_TAPS - 1], TapAnswer::Measured(_)));
    assert_eq!(answers[MAX_TAPS], TapAnswer::NotMeasured { why: TapFault::TooManyTaps, rough: None });
    for ratio in [f64::NAN, 0.0, -1.0, f64::INFINITY] {
        let told = locate_taps(&view(&drawn), &taps[..1], CameraTold::FocalRatio(ratio));
        assert_eq!(told, TapPositions::NotMeasured(CardFault::CameraUnusable), "{ratio}");
    }
}

#[test]
fn points_on_a_line_or_on_one_spot_have_no_map() {
    let pair = |x: f64, y: f64, u: f64, v: f64| PointPair { card_mm: (x, y), picture_px: (u, v) };
    let line: Vec<PointPair> = (0..8).map(f64::from).map(|k| pair(k, 2.0 * k, 3.0 * k, k)).collect();
    assert_eq!(PlaneHomography::fit_pairs(&line), None);
    assert_eq!(PlaneHomography::fit_pairs(&[pair(1.0, 1.0, 2.0, 2.0); 8]), None);
    assert_eq!(PlaneHomography::fit_pairs(&line[..3]), None);
    assert_eq!(PlaneHomography::fit_pairs(&[]), None);
    let mut bad = vec![
        pair(0.0, 0.0, 0.0, 0.0),
        pair(9.0, 0.0, 9.0, 0.0),
        pair(9.0, 9.0, 9.0, 9.0),
        pair(0.0, 9.0, 0.0, 9.0),
    ];
    assert!(PlaneHomography::fit_pairs(&bad).is_some());
    bad[2].picture_px.0 = f64::NAN;
    assert_eq!(PlaneHomography::fit_pairs(&bad), None);
}

/// Random pairs, from sound to absurd: an answer or none, never a stop, and what is answered is a number.
#[test]
fn random_pairs_never_stop_the_fit() {
    let mut random = dice(5);
    let mut fitted = 0;
    for at in 0..200 {
        let size = 10_f64.powi(at % 12 - 4);
        let count = 4 + at as usize % 9;
        let mut number = || uniform(&mut random, -size, size);
        let pairs: Vec<PointPair> = (0..count)
            .map(|_| PointPair { card_mm: (number(), number()), picture_px: (number(), number()) })
            .collect();
        let Some(map) = PlaneHomography::fit_pairs(&pairs) else { continue };
        assert!(map.entries().iter().all(|entry| entry.is_finite()));
        fitted += 1;
        if let Some(pose) =
            CardPose::fit_in_frame(&pairs, &map, ((500.0, 400.0), 1280.0), CameraTold::Nothing)
        {
            let error = pose.error_mm((3.0, 4.0), 5.0, 1.0);
            assert!(error.is_none_or(|error| error >= 0.0), "{error:?}");
        }
    }
    assert!(fitted > 20, "{fitted}");
}
