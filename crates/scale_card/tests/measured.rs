//! Places from invented pictures: how many pictures and taps are measured, and how many of those lie within 2 mm of the truth over 300 mm.
//!
//! Tilt to 15° in any direction, roll at will, heads 0 to 20 mm high, told for half of them. `--nocapture` prints the shares; a run with
//! `TRAYWRIGHT_LONG` set has 600 pictures.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::io::Write as _;

use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use scale_card::answers::{CameraTold, HeadHeight, HeadTap, TapAnswer, TapPositions};
use scale_card::layout::{CARD_CENTRE_MM, CODE_SIDE_MM, CardCode, QUIET_MM};
use scale_card::picture::GreyPicture;
use scale_card::taps::locate_taps;
use units::math;

mod common;
#[path = "../../../tests/long.rs"]
mod long;

use common::{SIZE, TestCamera, TestCard, TestHead, TestSpoil, dice, draw_picture, hand_held, uniform};

const HEADS: usize = 8;
const WITHIN_MM: f64 = 2.0;

/// What a number of pictures came to.
#[derive(Default)]
struct Shares {
    pictures: usize,
    measured_pictures: usize,
    told: usize,
    told_measured: usize,
    not_told: usize,
    not_told_measured: usize,
    within: usize,
    within_own_error: usize,
    errors_mm: Vec<f64>,
}

/// Whether a head would lie on a code or its free space.
fn hides_code(head: &TestHead) -> bool {
    CardCode::BOTH.into_iter().any(|code| {
        let (left, top) = code.origin_mm();
        let reach = QUIET_MM + head.radius + 8.0;
        (left - reach..left + CODE_SIDE_MM + reach).contains(&head.at.0)
            && (top - reach..top + CODE_SIDE_MM + reach).contains(&head.at.1)
    })
}

/// Heads over 300 mm round the middle of the card, within the picture.
fn strew_heads(camera: &TestCamera, random: &mut Pcg64Mcg) -> Vec<TestHead> {
    let mut heads = Vec::new();
    while heads.len() < HEADS {
        let head = TestHead {
            at: (
                CARD_CENTRE_MM.0 + uniform(random, -150.0, 150.0),
                CARD_CENTRE_MM.1 + uniform(random, -150.0, 150.0),
            ),
            radius: uniform(random, 5.0, 9.0),
            height: uniform(random, 0.0, 20.0),
            shade: uniform(random, 60.0, 180.0),
        };
        let seen = camera.picture_px([head.at.0, head.at.1, head.height]);
        let is_seen =
            (10.0..SIZE.0 as f64 - 10.0).contains(&seen.0) && (10.0..SIZE.1 as f64 - 10.0).contains(&seen.1);
        let is_near = math::hypot(head.at.0 - CARD_CENTRE_MM.0, head.at.1 - CARD_CENTRE_MM.1) <= 150.0;
        if is_seen && is_near && !hides_code(&head) {
            heads.push(head);
        }
    }
    heads
}

/// How hard a picture is to read.
#[derive(Clone, Copy, PartialEq)]
enum Hardness {
    Usual,
    /// Bent lens to 1 %, sheet curled to 4 mm, blur to 2.5 px, noise to 15 shades.
    Hard,
}

fn one_picture(seed: u64, hardness: Hardness, shares: &mut Shares) {
    let random = &mut dice(seed);
    let mut camera = hand_held(random);
    let heads = strew_heads(&camera, random);
    let mut spoil = TestSpoil {
        blur_px: uniform(random, 0.5, 1.6),
        noise_shades: uniform(random, 2.0, 8.0),
        shadow: uniform(random, 0.0, 0.5),
    };
    let mut card = TestCard::whole();
    if hardness == Hardness::Hard {
        camera.bending = uniform(random, -0.01, 0.01);
        card = TestCard::curled(uniform(random, 0.0, 4.0));
        spoil.blur_px = uniform(random, 1.0, 2.5);
        spoil.noise_shades = uniform(random, 5.0, 15.0);
    }
    let drawn = draw_picture(&camera, SIZE, &card, &heads, spoil, random);
    let picture = GreyPicture::from_shades(&drawn.shades, drawn.width, drawn.height).unwrap();
    let mut tap = |head: &TestHead| {
        let seen = camera.picture_px([head.at.0, head.at.1, head.height]);
        let at_px = (seen.0 + uniform(random, -2.0, 2.0), seen.1 + uniform(random, -2.0, 2.0));
        let is_told = random.random::<bool>();
        let height = if is_told { HeadHeight::exactly(head.height) } else { HeadHeight::NOT_KNOWN };
        (HeadTap { at_px, error_px: 1.2, height }, is_told)
    };
    let taps: Vec<(HeadTap, bool)> = heads.iter().map(&mut tap).collect();
    let asked: Vec<HeadTap> = taps.iter().map(|(tap, _)| *tap).collect();
    shares.pictures += 1;
    let TapPositions::Scaled { taps: answers, .. } = locate_taps(&picture, &asked, CameraTold::Nothing)
    else {
        return;
    };
    shares.measured_pictures += 1;
    for ((answer, (_, is_told)), head) in answers.iter().zip(&taps).zip(&heads) {
        let measured = usize::from(matches!(answer, TapAnswer::Measured(_)));
        if *is_told {
            shares.told += 1;
            shares.told_measured += measured;
        } else {
            shares.not_told += 1;
            shares.not_told_measured += measured;
        }
        if let TapAnswer::Measured(place) = answer {
            let off = math::hypot(place.at_mm.0 - head.at.0, place.at_mm.1 - head.at.1);
            shares.within += usize::from(off <= WITHIN_MM);
            shares.within_own_error += usize::from(off <= place.error_mm);
            shares.errors_mm.push(off);
        }
    }
}

fn share(part: usize, whole: usize) -> f64 {
    part as f64 / whole.max(1) as f64
}

/// Counts over pictures, printed.
fn run_pictures(pictures: u32, first_seed: u64, hardness: Hardness) -> Shares {
    let mut shares = Shares::default();
    for seed in 0..u64::from(pictures) {
        one_picture(first_seed + seed, hardness, &mut shares);
    }
    shares.errors_mm.sort_by(f64::total_cmp);
    let measured = shares.errors_mm.len();
    let at = |percent: usize| {
        shares.errors_mm.get(measured.saturating_sub(1) * percent / 100).copied().unwrap_or(0.0)
    };
    // The test holds without its lines, so a closed pipe is no reason to fail.
    let _closed = writeln!(
        std::io::stdout(),
        "pictures measured {}/{}\ntaps measured, height told {}/{}, not told {}/{}\nof {measured} measured within 2 mm {:.3}, within own error {:.3}, median {:.2} mm, 95 % {:.2} mm, largest {:.2} mm",
        shares.measured_pictures,
        shares.pictures,
        shares.told_measured,
        shares.told,
        shares.not_told_measured,
        shares.not_told,
        share(shares.within, measured),
        share(shares.within_own_error, measured),
        at(50),
        at(95),
        at(100),
    );
    shares
}

#[test]
fn taps_lie_within_two_millimetres() {
    let pictures = long::choose_count("pictures of a card", 9, 600);
    let shares = run_pictures(pictures, 1_000, Hardness::Usual);
    let measured = shares.errors_mm.len();
    assert!(share(shares.measured_pictures, shares.pictures) >= 0.7, "pictures measured");
    assert!(share(shares.told_measured, shares.told) >= 0.7, "taps with a height told");
    assert!(share(shares.within, measured) >= 0.95, "measured taps within 2 mm");
    assert!(share(shares.within_own_error, measured) >= 0.95, "errors are not told too small");
}

/// Fewer pictures and taps are measured, and what is measured still holds.
#[test]
fn hard_pictures_are_measured_less_and_no_worse() {
    let pictures = long::choose_count("hard pictures of a card", 4, 200);
    let shares = run_pictures(pictures, 50_000, Hardness::Hard);
    let measured = shares.errors_mm.len();
    assert!(measured > 0, "some are measured");
    // The taps of one picture err together: three standard errors of 95 % over the pictures of a short run.
    let slack = if pictures < 200 { 3.0 * (0.95 * 0.05 / f64::from(pictures)).sqrt() } else { 0.0 };
    assert!(share(shares.within, measured) >= 0.95 - slack, "measured taps within 2 mm");
    assert!(share(shares.within_own_error, measured) >= 0.93 - slack, "errors are not told too small");
}
