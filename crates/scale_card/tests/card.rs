//! The card as it is laid out: codes that are read back, room around them, a ruler whose classes leave no gap.

use scale_card::codes::MIN_AGREEMENT_RATIO;
use scale_card::layout::{
    CARD_HEIGHT_MM, CARD_WIDTH_MM, CODE_MODULES, CODE_SIDE_MM, CardCode, LENGTH_CLASSES, MODULE_MM, QUIET_MM,
    RULER_LENGTH_MM, class_of_length, list_card_labels, list_card_rectangles,
};
use units::math;

/// The library `rqrr` reads both codes from the card's rectangles, drawn at 5 px a millimetre.
#[test]
fn the_rectangles_of_the_card_are_read_back() {
    let (width, height) = (CARD_WIDTH_MM as usize * 5, CARD_HEIGHT_MM as usize * 5);
    let mut shades = vec![255_u8; width * height];
    for rect in list_card_rectangles() {
        let px = |at_mm: f64| (at_mm * 5.0).round() as usize;
        for row in px(rect.top_mm)..px(rect.top_mm + rect.height_mm) {
            for column in px(rect.left_mm)..px(rect.left_mm + rect.width_mm) {
                shades[row * width + column] = 0;
            }
        }
    }
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| shades[y * width + x]);
    let grids = image.detect_grids();
    let mut read: Vec<String> = grids.iter().map(|grid| grid.decode().unwrap().1).collect();
    read.sort();
    assert_eq!(read, CardCode::BOTH.map(|code| code.text().to_owned()));
}

#[test]
fn the_two_codes_cannot_be_taken_for_each_other() {
    let [left, right] = CardCode::BOTH.map(CardCode::dark_modules);
    assert_eq!((left.len(), right.len()), (CODE_MODULES * CODE_MODULES, CODE_MODULES * CODE_MODULES));
    let agree = left.iter().zip(&right).filter(|(a, b)| a == b).count() as f64 / left.len() as f64;
    assert!(agree < MIN_AGREEMENT_RATIO - 0.05, "{agree}");
}

#[test]
fn codes_stand_apart_and_have_their_free_space() {
    let [left, right] = CardCode::BOTH.map(CardCode::centre_mm);
    assert!(math::hypot(left.0 - right.0, left.1 - right.1) >= 150.0 && right.0 - left.0 >= 150.0);
    for code in CardCode::BOTH {
        let (x, y) = code.origin_mm();
        assert!(x >= QUIET_MM && y >= QUIET_MM);
        assert!(
            x + CODE_SIDE_MM + QUIET_MM <= CARD_WIDTH_MM && y + CODE_SIDE_MM + QUIET_MM <= CARD_HEIGHT_MM
        );
        let (left, top) = (x - QUIET_MM, y - QUIET_MM);
        let reach = CODE_SIDE_MM + 2.0 * QUIET_MM;
        let ticks = list_card_rectangles().into_iter().filter(|rect| rect.width_mm < MODULE_MM / 2.0);
        for tick in ticks {
            let apart = tick.left_mm > left + reach
                || tick.top_mm > top + reach
                || tick.left_mm + tick.width_mm < left;
            assert!(apart, "{tick:?} lies in the free space of the {} code", code.words());
        }
    }
    // ISO 216: A5 is 210 by 148 mm; half a letter sheet (ANSI/ASME Y14.1) is 215.9 by 139.7 mm.
    let sheets = [(210.0, 148.0), (215.9, 139.7)];
    assert!(sheets.iter().all(|sheet| CARD_WIDTH_MM <= sheet.0 && CARD_HEIGHT_MM <= sheet.1));
}

#[test]
fn everything_lies_on_the_card() {
    for rect in list_card_rectangles() {
        assert!(rect.left_mm >= 0.0 && rect.left_mm + rect.width_mm <= CARD_WIDTH_MM, "{rect:?}");
        assert!(rect.top_mm >= 0.0 && rect.top_mm + rect.height_mm <= CARD_HEIGHT_MM + 1e-9, "{rect:?}");
        assert!(rect.width_mm > 0.0 && rect.height_mm > 0.0, "{rect:?}");
    }
    for label in list_card_labels() {
        assert!(
            (0.0..CARD_WIDTH_MM).contains(&label.at_mm.0) && (0.0..CARD_HEIGHT_MM).contains(&label.at_mm.1)
        );
    }
}

#[test]
fn classes_of_length_leave_no_gap() {
    assert!(LENGTH_CLASSES.windows(2).all(|two| two[0].up_to_mm == two[1].above_mm));
    let letter = |length_mm: f64| class_of_length(length_mm).map(|class| class.letter);
    assert_eq!(letter(20.0), Some('A'));
    assert_eq!(letter(25.0), Some('A'));
    assert_eq!(letter(25.1), Some('B'));
    assert_eq!(letter(RULER_LENGTH_MM), Some('C'));
    for none in [0.0, -1.0, f64::NAN, f64::INFINITY, RULER_LENGTH_MM + 0.1] {
        assert_eq!(letter(none), None, "{none}");
    }
}
