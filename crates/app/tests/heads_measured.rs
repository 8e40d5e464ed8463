//! Heads tapped in a picture with a scale card: measured once, whichever of picture and taps comes first; their places in the book, the picture on
//! the way back.

#[path = "common/seen_bench.rs"]
mod seen_bench;

use std::io::Cursor;

use app::bench::{DrawingRoom, next_off, step_sheet};
use app::model::{Book, FastenerState, Fixing};
use app::record::{
    EventPlace, HeadsOutcome, MarkedHole, SeenPoint, ToldSubject, ToldWhat, VisitBody, steps_of,
};
use app::workshop::{KeptPicture, SolverBudget, leisure_budget};
use scale_card::layout::{CARD_HEIGHT_MM, CARD_WIDTH_MM, list_card_rectangles};
use seen_bench::Bench;

/// A picture from straight above: px per mm, its sides, and where the card's corner lies in it, mm.
const PX_PER_MM: f64 = 5.0;
const SIDES_PX: (u32, u32) = (1_600, 1_200);
const CARD_AT_MM: (f64, f64) = (55.0, 8.0);

/// Heads of the invented cover, mm in the card's frame.
const HEADS_MM: [(f64, f64); 4] = [(30.0, 165.0), (105.0, 158.0), (180.0, 165.0), (105.0, 190.0)];

/// A head's place in the picture, mm from its corner.
fn in_picture_mm((x, y): (f64, f64)) -> (f64, f64) {
    (x + CARD_AT_MM.0, y + CARD_AT_MM.1)
}

/// Draws metal, heads, and the card where one is wanted, as a PNG.
fn draw_scene(has_card: bool) -> Vec<u8> {
    let card = list_card_rectangles();
    let shade = |x: f64, y: f64| -> u8 {
        let (u, v) = (x - CARD_AT_MM.0, y - CARD_AT_MM.1);
        if has_card && (0.0..CARD_WIDTH_MM).contains(&u) && (0.0..CARD_HEIGHT_MM).contains(&v) {
            let is_dark = card.iter().any(|rect| {
                (rect.left_mm..rect.left_mm + rect.width_mm).contains(&u)
                    && (rect.top_mm..rect.top_mm + rect.height_mm).contains(&v)
            });
            return if is_dark { 35 } else { 215 };
        }
        let is_head = HEADS_MM.iter().any(|head| {
            let (x0, y0) = in_picture_mm(*head);
            units::math::hypot(x - x0, y - y0) < 7.0
        });
        if is_head { 60 } else { 120 + ((x / 7.0) as u8 ^ (y / 5.0) as u8) % 24 }
    };
    let scene = image::GrayImage::from_fn(SIDES_PX.0, SIDES_PX.1, |column, row| {
        let mean = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)].map(|(right, down)| {
            u16::from(shade((f64::from(column) + right) / PX_PER_MM, (f64::from(row) + down) / PX_PER_MM))
        });
        image::Luma([u8::try_from(mean.iter().sum::<u16>() / 4).expect("a mean of shades")])
    });
    let mut png = Cursor::new(Vec::new());
    scene.write_to(&mut png, image::ImageFormat::Png).expect("memory");
    png.into_inner()
}

fn tapped((x, y): (f64, f64), is_fine: bool) -> SeenPoint {
    let (x, y) = in_picture_mm((x, y));
    let share =
        |at_mm: f64, side_px: u32| units::math::round(at_mm * PX_PER_MM / f64::from(side_px) * 1000.0) as u16;
    SeenPoint { across: share(x, SIDES_PX.0), down: share(y, SIDES_PX.1), is_fine }
}

impl Bench {
    fn see_part(&mut self) {
        self.say(VisitBody::PartSeen { part: "seen-p".into(), title: "cover".into(), part_kind: None });
    }

    /// Fasteners of the cover with labels from `first` on, of which the first so many lie in the picture.
    fn see_fixing(&mut self, key: &str, first: u16, count: u16, heads: Vec<SeenPoint>) {
        self.say(VisitBody::FixingSeen {
            fixing: key.into(),
            part: "seen-p".into(),
            drive: Some("hexagon 10 mm".into()),
            count,
            first,
            heads,
            length: None,
        });
    }

    fn tell_height(&mut self, key: &str, height: &str) {
        let of = ToldSubject::Fixing(key.into());
        self.say(VisitBody::Told {
            of,
            what: ToldWhat::HeadHeight,
            value: height.into(),
            source: String::new(),
        });
    }

    fn keep_scene(&mut self, has_card: bool) -> KeptPicture {
        self.shop.put_picture(&self.visit, &draw_scene(has_card)).expect("a picture")
    }

    fn name_picture(&mut self, key: &str, kept: &KeptPicture) {
        let at =
            EventPlace { part: Some("seen-p".into()), fixing: Some(key.into()), ..EventPlace::default() };
        let (picture, original) = (kept.picture.clone(), kept.original.clone());
        self.say(VisitBody::Pictured { picture, original, at });
    }

    /// Measures what is to be measured; how much that was.
    fn measure(&mut self) -> usize {
        match self.shop.prepare_measuring(&self.visit).expect("a visit") {
            Some(pictures) => self.shop.keep_measured(pictures.measure_heads()).expect("a disk"),
            None => 0,
        }
    }

    fn outcome(&mut self, key: &str) -> HeadsOutcome {
        let live = self.shop.visit(&self.visit).expect("there");
        live.state().seen.measured_heads(key).expect("it was looked at").outcome.clone()
    }

    fn why_not(&mut self, key: &str) -> String {
        match self.outcome(key) {
            HeadsOutcome::NotMeasured { why } => why,
            measured @ HeadsOutcome::Measured { .. } => panic!("it was measured: {measured:?}"),
        }
    }

    fn take_off(&mut self, key: &str, labels: std::ops::RangeInclusive<u16>) {
        let holes =
            labels.map(|hole| MarkedHole { hole: hole.to_string(), from: FastenerState::InPlace }).collect();
        let slot = Some(format!("A-B0{}", key.len() % 9));
        self.say(VisitBody::Marked { fixing: key.into(), holes, to: FastenerState::Off, slot, stage: None });
    }

    fn plan(&mut self) {
        let input = self.shop.prepare_seen_plan(&self.visit).expect("something was seen");
        let made = input.plan_rest(SolverBudget { ..leisure_budget() }).expect("a plan");
        assert!(self.shop.adopt_seen_plan(&made).expect("a disk"));
    }

    fn book(&mut self) -> Book {
        self.shop.visit(&self.visit).expect("there").book().expect("a book").clone()
    }

    /// What the page of what comes off next says of the first fixing.
    fn page_words(&mut self) -> String {
        let live = self.shop.visit(&self.visit).expect("there");
        next_off(live.state(), live.book()).parts[0].fixings[0].measured.clone()
    }

    /// The drawing of holes of the step that first runs a fixing in.
    fn drawing_of(&mut self, key: &str) -> String {
        let live = self.shop.visit(&self.visit).expect("there");
        let (book, store, plan) = live.require_planned_texts().expect("a plan");
        let step = steps_of(plan).find(|step| step.fixings.iter().any(|own| own == key)).expect("a step");
        let room = DrawingRoom { width_px: 348.0, height_px: 280.0 };
        let sheet = step_sheet(book, store, plan, live.state(), step.number, room).expect("a sheet");
        sheet.pattern.unwrap_or_default()
    }
}

fn fixing<'b>(book: &'b Book, key: &str) -> &'b Fixing {
    book.fixing(book.fixing_by_key(key).expect("it was seen"))
}

fn all_heads(is_fine: bool) -> Vec<SeenPoint> {
    HEADS_MM.iter().map(|head| tapped(*head, is_fine)).collect()
}

#[test]
fn picture_and_taps_are_measured_whichever_comes_first_and_only_once() {
    let mut outcomes = Vec::new();
    for picture_first in [true, false] {
        let mut bench = Bench::begin();
        let kept = bench.keep_scene(true);
        bench.see_part();
        if picture_first {
            bench.name_picture("seen-f", &kept);
            assert_eq!(bench.measure(), 0, "there are no taps yet");
        }
        bench.see_fixing("seen-f", 1, 4, all_heads(true));
        bench.tell_height("seen-f", "0 to 4 mm");
        if !picture_first {
            assert_eq!(bench.measure(), 0, "there is no picture yet");
            assert_eq!(bench.page_words(), "");
            bench.name_picture("seen-f", &kept);
            assert_eq!(bench.page_words(), "not measured yet");
        }
        assert_eq!(bench.measure(), 1);
        assert_eq!(bench.measure(), 0, "once is enough");
        let words = bench.page_words();
        assert!(
            words == "measured, good to about 1 mm" || words == "measured, good to about 2 mm",
            "{words}"
        );
        outcomes.push(bench.outcome("seen-f"));
    }
    assert_eq!(outcomes[0], outcomes[1], "the same picture and taps measure the same");
    let places = outcomes[0].places();
    assert_eq!(places.len(), HEADS_MM.len());
    for (place, (x_mm, y_mm)) in places.iter().zip(HEADS_MM) {
        let off_mm =
            units::math::hypot(f64::from(place.x_um) / 1000.0 - x_mm, f64::from(place.y_um) / 1000.0 - y_mm);
        assert!(off_mm < 1.0 && off_mm * 1000.0 <= f64::from(place.error_um), "{off_mm} mm off: {place:?}");
    }
}

#[test]
fn without_a_card_or_with_quick_taps_nothing_is_measured_and_nothing_is_drawn_that_is_not_known() {
    let cases = [
        (false, all_heads(true), "no card in the picture"),
        (true, all_heads(false), "4 of 4 rings were set by a quick tap"),
    ];
    for (has_card, heads, why) in cases {
        let mut bench = Bench::begin();
        bench.see_part();
        bench.see_fixing("seen-f", 1, 4, heads);
        bench.tell_height("seen-f", "0 to 4 mm");
        let kept = bench.keep_scene(has_card);
        bench.name_picture("seen-f", &kept);
        assert_eq!(bench.measure(), 1);
        assert!(bench.why_not("seen-f").starts_with(why), "{}", bench.why_not("seen-f"));
        assert!(bench.page_words().starts_with("not measured: "), "{}", bench.page_words());
        assert!(!fixing(&bench.book(), "seen-f").are_places_known);
    }
}

#[test]
fn a_height_that_is_told_later_measures_anew() {
    let mut bench = Bench::begin();
    bench.see_part();
    bench.see_fixing("seen-f", 1, 4, all_heads(true));
    let kept = bench.keep_scene(true);
    bench.name_picture("seen-f", &kept);
    assert_eq!(bench.measure(), 1);
    assert!(bench.why_not("seen-f").contains("say how high it lies"), "{}", bench.why_not("seen-f"));
    bench.tell_height("seen-f", "0 to 4 mm");
    assert_eq!(bench.measure(), 1);
    assert_eq!(bench.outcome("seen-f").places().len(), 4);
}

#[test]
fn two_rings_on_one_head_give_no_places() {
    let mut bench = Bench::begin();
    bench.see_part();
    let mut heads = all_heads(true);
    heads[3] = tapped((HEADS_MM[0].0 + 1.0, HEADS_MM[0].1), true);
    bench.see_fixing("seen-f", 1, 4, heads);
    bench.tell_height("seen-f", "0 to 4 mm");
    let kept = bench.keep_scene(true);
    bench.name_picture("seen-f", &kept);
    bench.measure();
    assert_eq!(bench.why_not("seen-f"), "rings 1 and 4 lie on one head");
}

#[test]
fn measured_places_go_into_the_book_upward_and_from_one_picture_alone() {
    let mut bench = Bench::begin();
    bench.see_part();
    bench.see_fixing("seen-f", 1, 3, all_heads(true)[..3].to_vec());
    bench.see_fixing("seen-g", 4, 1, all_heads(true)[3..].to_vec());
    bench.see_fixing("seen-h", 5, 2, all_heads(true)[..1].to_vec());
    let kept = bench.keep_scene(true);
    for key in ["seen-f", "seen-g", "seen-h"] {
        bench.tell_height(key, "0 to 4 mm");
        bench.name_picture(key, &kept);
    }
    assert_eq!(bench.measure(), 3);
    let book = bench.book();
    let (whole, half) = (fixing(&book, "seen-f"), fixing(&book, "seen-h"));
    assert!(whole.are_places_known && fixing(&book, "seen-g").are_places_known);
    assert!(!half.are_places_known, "one of two heads lies outside of the picture");
    for (hole, (x_mm, y_mm)) in whole.holes.iter().zip(HEADS_MM) {
        let off_mm = units::math::hypot(hole.x.as_mm() - x_mm, hole.y.as_mm() + y_mm);
        assert!(off_mm < 1.0, "{}: {off_mm} mm off", hole.label);
    }
    assert_eq!(whole.origins.space.map(|origin| origin.file_word()), Some("seen"));
    // The card was moved: what another picture shows stands in another frame.
    let mut other = Bench::begin();
    other.see_part();
    other.see_fixing("seen-f", 1, 3, all_heads(true)[..3].to_vec());
    other.see_fixing("seen-g", 4, 1, all_heads(true)[3..].to_vec());
    let mut again = draw_scene(true);
    again.extend(*b"another file of the same scene");
    let (first, second) =
        (other.keep_scene(true), other.shop.put_picture(&other.visit.clone(), &turned(&again)));
    let second = second.expect("a picture");
    assert_ne!(first.picture, second.picture);
    for (key, kept) in [("seen-f", &first), ("seen-g", &second)] {
        other.tell_height(key, "0 to 4 mm");
        other.name_picture(key, kept);
    }
    assert_eq!(other.measure(), 2);
    let book = other.book();
    assert!(fixing(&book, "seen-f").are_places_known && !fixing(&book, "seen-g").are_places_known);
}

/// The same scene a shade brighter: another picture.
fn turned(png: &[u8]) -> Vec<u8> {
    let mut scene = image::load_from_memory(png).expect("a picture").to_luma8();
    scene.pixels_mut().for_each(|pixel| pixel.0[0] = pixel.0[0].saturating_add(2));
    let mut out = Cursor::new(Vec::new());
    scene.write_to(&mut out, image::ImageFormat::Png).expect("memory");
    out.into_inner()
}

#[test]
fn what_is_measured_after_the_plan_changes_no_order_in_hand_and_is_in_the_book_that_it_leaves() {
    let mut bench = Bench::begin();
    bench.see_part();
    bench.see_fixing("seen-f", 1, 4, all_heads(true));
    bench.tell_height("seen-f", "0 to 4 mm");
    bench.take_off("seen-f", 1..=4);
    bench.say(VisitBody::PartOff { part: "seen-p".into() });
    bench.plan();
    let kept = bench.keep_scene(true);
    bench.name_picture("seen-f", &kept);
    assert_eq!(bench.measure(), 1);
    assert!(!fixing(&bench.book(), "seen-f").are_places_known, "its plan has no order of holes");
    let left = bench.shop.book_of_visit(&bench.visit, None).expect("something was seen");
    assert!(fixing(&left.book.expect("it reads"), "seen-f").are_places_known);
    bench.plan();
    assert!(fixing(&bench.book(), "seen-f").are_places_known, "a new plan takes them in");
}

#[test]
fn the_way_back_shows_the_picture_with_its_rings_and_holes_outside_of_it_below() {
    let mut bench = Bench::begin();
    bench.see_part();
    bench.see_fixing("seen-f", 1, 6, all_heads(false));
    bench.take_off("seen-f", 1..=6);
    bench.say(VisitBody::PartOff { part: "seen-p".into() });
    bench.plan();
    let before = bench.drawing_of("seen-f");
    assert!(before.contains("in rows, not as they lie") && !before.contains("<image"), "{before}");
    let kept = bench.keep_scene(false);
    bench.name_picture("seen-f", &kept);
    bench.measure();
    let drawn = bench.drawing_of("seen-f");
    assert_eq!(drawn.matches(&format!(r#"<image href="/picture/{}""#, kept.picture)).count(), 1, "{drawn}");
    assert!(drawn.contains("in the picture, 2 below it, in any order"), "{drawn}");
    assert_eq!(drawn.matches("data-hole=").count(), 6);
    // Rings stand on the heads that were tapped: as far apart in the drawing as in the picture, in the picture's own scale.
    let numbers = |text: &str| -> Vec<f64> { text.split(' ').filter_map(|word| word.parse().ok()).collect() };
    let between = |text: &str, from: &str, to: &str| -> Vec<String> {
        text.split(from).skip(1).filter_map(|rest| Some(rest.split_once(to)?.0.to_owned())).collect()
    };
    let image = between(&drawn, "<image ", "/>").remove(0);
    let side = |name: &str| numbers(&between(&image, &format!(" {name}=\""), "\"").remove(0))[0];
    let rings: Vec<Vec<f64>> = between(&drawn, "<g transform=\"translate(", ") scale")
        .iter()
        .map(|at| numbers(at))
        .filter(|at| at[0] > 2.0)
        .collect();
    for (ring, head) in rings.iter().zip(all_heads(false)) {
        let (x, y) = (
            side("x") + side("width") * f64::from(head.across) / 1000.0,
            side("y") + side("height") * f64::from(head.down) / 1000.0,
        );
        assert!(units::math::hypot(ring[0] - x, ring[1] - y) < 1.0, "{ring:?} beside {x} {y}");
    }
    assert!((side("width") / side("height") - 4.0 / 3.0).abs() < 0.01, "{image}");
}
