//! What visits teach is taken into the book by a tap: the next visit's book has it, what is left comes again with more visits.

use std::path::{Path, PathBuf};

use app::ask::SilentObserver;
use app::book_lessons::BookLessons;
use app::model::{Book, FastenerState, Need};
use app::record::{
    BookBody, BookLesson, EventPlace, MarkedHole, ToldSubject, ToldWhat, VisitBody, VisitHappeningKind,
    VisitId,
};
use app::workshop::{NewVisit, Workshop};

/// Parts of the engine; only `bracket` before `pump` is needed, and the book does not say so.
const PARTS: [&str; 7] = ["bracket", "pump", "hose", "cover", "shield", "strap", "duct"];

struct Bench {
    shop: Workshop,
    folder: tempfile::TempDir,
    made: u8,
}

impl Bench {
    fn new() -> Self {
        let archive = app::workshop::carry::SqliteArchive::in_memory().expect("memory");
        let bench = Self {
            shop: Workshop::over_archive(archive).expect("a workshop"),
            folder: tempfile::tempdir().expect("a folder"),
            made: 0,
        };
        let mut text = String::from("format = \"traywright-book/2\"\ntitle = \"invented engine\"\n");
        for part in PARTS {
            text += &format!(
                "[[part]]\nkey = \"{part}\"\ntitle = \"{part}\"\n[[part.fixing]]\nkey = \"{part}-bolts\"\ntitle = \"{part} bolts\"\ncount = 2\n"
            );
        }
        std::fs::write(bench.path(), text).expect("a disk");
        bench
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("engine.toml")
    }

    fn book(&self) -> Book {
        app::load::load_book(&self.path()).expect("a good book")
    }

    fn open(&mut self, book: &Path) -> VisitId {
        let letter = char::from(b'A' + self.made).to_string();
        self.made += 1;
        let new = NewVisit { letter, name: "van".into(), book: Some(book.into()), ..NewVisit::default() };
        self.shop.begin_visit(&new, &SilentObserver).expect("a visit")
    }

    fn say(&mut self, visit: &VisitId, body: VisitBody) {
        let device = self.shop.device().clone();
        self.shop.carry_out_command(visit, &device, &body.into()).expect("it is so");
    }

    /// A visit that takes all parts off, in an order of its own but for the pump, which follows the bracket.
    fn strip(&mut self, seed: u64) -> VisitId {
        let visit = self.open(&self.path());
        let mut order = PARTS.to_vec();
        let mut dice = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
        for at in (1..order.len()).rev() {
            dice ^= dice << 13;
            dice ^= dice >> 7;
            dice ^= dice << 17;
            order.swap(at, (dice % (at as u64 + 1)) as usize);
        }
        // The pump is free once the bracket is off, and is taken at once.
        order.retain(|part| *part != "pump");
        let bracket = order.iter().position(|part| *part == "bracket").expect("it is there");
        order.insert(bracket + 1, "pump");
        for part in order {
            let hole = |hole: &str| MarkedHole { hole: hole.into(), from: FastenerState::InPlace };
            let (fixing, to) = (format!("{part}-bolts"), FastenerState::Off);
            let holes = vec![hole("1"), hole("2")];
            self.say(&visit, VisitBody::Marked { fixing, holes, to, slot: None, stage: None });
            self.say(&visit, VisitBody::PartOff { part: part.into() });
        }
        visit
    }

    fn lessons(&mut self) -> BookLessons {
        let book = self.book();
        self.shop.book_lessons(&book).expect("a journal")
    }

    fn decide(&mut self, body: BookBody) {
        let (book, device) = (self.book(), self.shop.device().clone());
        self.shop.say_of_book(&book, &device, vec![body]).expect("a disk");
    }
}

fn bracket_first() -> BookLesson {
    BookLesson::OffBefore { first: "bracket".into(), then: "pump".into() }
}

#[test]
fn an_order_that_visits_teach_is_in_the_book_of_the_next_visit_once_it_is_taken() {
    let mut bench = Bench::new();
    (1..=18).for_each(|seed| _ = bench.strip(seed));
    let lessons = bench.lessons();
    assert_eq!(lessons.visits, 18);
    let [only] = &lessons.open[..] else { panic!("{:?}", lessons.open) };
    assert_eq!(only.lesson, bracket_first());
    assert!(only.words.starts_with("bracket came off before pump in 18 of 18 visits"), "{}", only.words);
    bench.decide(only.decide(true));
    let lessons = bench.lessons();
    assert!(lessons.open.is_empty() && lessons.decided[0].is_taken);

    let next = bench.open(&bench.path());
    let book = bench.shop.visit(&next).expect("it is there").book().expect("a book").clone();
    let [bracket, pump] = ["bracket", "pump"].map(|key| book.part_by_key(key).expect("a part"));
    assert!(book.part(pump).needs.contains(&Need::Off(bracket)), "{:?}", book.part(pump).needs);
    let tip = book.part(pump).tip.as_deref().expect("a tip");
    assert!(tip.contains("in 18 of 18 visits"), "{tip}");
    let on_disk = bench.book();
    assert!(on_disk.part(pump).needs.is_empty(), "the file stays as it is");

    let event = lessons.decided[0].event.clone();
    bench.decide(BookBody::Undone { event });
    let lessons = bench.lessons();
    assert_eq!((lessons.open.len(), lessons.decided.len()), (1, 0));
    let last = bench.open(&bench.path());
    let book = bench.shop.visit(&last).expect("it is there").book().expect("a book");
    assert!(book.part(pump).needs.is_empty(), "what is taken back is not in the next one");
}

#[test]
fn what_is_left_does_not_come_again_before_another_visit_says_it() {
    let mut bench = Bench::new();
    let stack = |bench: &mut Bench| {
        let visit = bench.strip(1);
        let of = ToldSubject::Fixing("pump-bolts".into());
        let value = String::from("13 mm socket, 150 mm extension");
        bench.say(&visit, VisitBody::Told { of, what: ToldWhat::Worked, value, source: String::new() });
    };
    stack(&mut bench);
    let lessons = bench.lessons();
    let [only] = &lessons.open[..] else { panic!("{:?}", lessons.open) };
    assert_eq!(only.words, "pump bolts: done with 13 mm socket, 150 mm extension in 1 visit");
    bench.decide(only.decide(false));
    let lessons = bench.lessons();
    assert!(lessons.open.is_empty() && !lessons.decided[0].is_taken);
    stack(&mut bench);
    let lessons = bench.lessons();
    assert!(lessons.open[0].words.ends_with("in 2 visits"), "{:?}", lessons.open);
}

#[test]
fn what_went_wrong_is_counted_and_stands_as_a_tip_where_it_is_taken() {
    let mut bench = Bench::new();
    let visit = bench.strip(1);
    let at =
        EventPlace { fixing: Some("pump-bolts".into()), hole: Some("1".into()), ..EventPlace::default() };
    for _ in 0..2 {
        let (at, words) = (at.clone(), String::new());
        bench.say(&visit, VisitBody::Happened { what: VisitHappeningKind::Seized, at, words });
    }
    let lessons = bench.lessons();
    let [only] = &lessons.open[..] else { panic!("{:?}", lessons.open) };
    assert_eq!(only.words, "pump bolts: one seized in 1 of 1 visit; few visits, they say little");
    bench.decide(only.decide(true));
    let next = bench.open(&bench.path());
    let book = bench.shop.visit(&next).expect("it is there").book().expect("a book");
    let tip = book.part(book.part_by_key("pump").expect("a part")).tip.as_deref();
    assert_eq!(tip, Some("Visits: pump bolts: one seized in 1 of 1 visit; few visits, they say little."));
}

#[test]
fn visits_of_another_engine_teach_nothing() {
    let mut bench = Bench::new();
    bench.strip(1);
    let text = std::fs::read_to_string(bench.path()).expect("it is there");
    let other = bench.folder.path().join("other.toml");
    std::fs::write(&other, text.replace("invented engine", "another engine")).expect("a disk");
    let other = app::load::load_book(&other).expect("a good book");
    assert_eq!(bench.shop.book_lessons(&other).expect("a journal"), BookLessons::default());
}
