//! Slips of the pen against one verdict: 96 of each kind on sound figures of made-up books, and 288 sound figures without an alarm.
//!
//! The books are built from the thread tables: M6 to M12, 8.8 and 10.9, steel and cast aluminium, three lubrications; each book keeps one
//! level of tightening within ±9 %, its figures rounded to two digits as service data are. Steel follows the torque table of VDI 2230 (held to
//! published rows in `known.rs`), aluminium the rows of a farm machine manual (M6 9, M8 20, M10 40, M12 70 N·m for 8.8). Conversion factors: NIST SP 811.

use bolting::angle::MakersReuseRule;
use bolting::guard::{TorqueContext, TorqueVerdict};
use bolting::siblings::{LikelySlip, SiblingTorque, usual_torque};
use bolting::verdict::{TighteningCase, TighteningGround, TighteningVerdict, judge_tightening};
use bolting::{Lubrication, PropertyClass, TappedIn, Thread, torque};
use units::{Length, Torque, Unit};

const LBF_FT: f64 = 1.355_817_948_331_400_4;
const LBF_IN: f64 = 0.112_984_829_027_616_7;
const KGF_M: f64 = 9.806_65;

/// A fixing of a made-up book.
#[derive(Clone, Copy)]
struct Fixing {
    context: TorqueContext,
    n_m: f64,
}

fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap_or_else(|e| panic!("{e}"))
}

fn two_digits(n_m: f64) -> f64 {
    units::significant(n_m, 2).parse().unwrap_or(n_m)
}

/// Twelve books of 24 fixings: 288 sound figures.
fn books() -> Vec<Vec<Fixing>> {
    let mut books = Vec::new();
    for (at, class) in [PropertyClass::C8_8, PropertyClass::C10_9].into_iter().enumerate() {
        for tapped_in in [TappedIn::Steel, TappedIn::CastAluminium] {
            for (state, lubrication) in
                [Lubrication::Oiled, Lubrication::Dry, Lubrication::Unstated].into_iter().enumerate()
            {
                let level = [0.70, 0.80, 0.92][(at + state) % 3];
                let fixing = |k: usize| {
                    let name = ["M6", "M8", "M10", "M12"][k % 4];
                    let context =
                        TorqueContext { thread: thread(name), class: Some(class), lubrication, tapped_in };
                    let vary = 1.0 + 0.03 * ((k * 5 + state) % 7) as f64 - 0.09;
                    Fixing {
                        context,
                        n_m: two_digits(usual_torque(&context, context.thread).as_n_m() * level * vary),
                    }
                };
                books.push((0..24).map(fixing).collect());
            }
        }
    }
    books
}

/// 2.5 diameters into aluminium, 1.5 into steel: above the published lengths of engagement for these classes.
fn engagement(context: &TorqueContext) -> Length {
    let ratio = if context.tapped_in == TappedIn::CastAluminium { 2.5 } else { 1.5 };
    Length::from_mm(context.thread.d_mm() * ratio)
}

fn judge(fixing: &Fixing, n_m: f64, written: &'static Unit, siblings: &[SiblingTorque]) -> TighteningVerdict {
    judge_tightening(&TighteningCase {
        context: fixing.context,
        torque: Torque::from_n_m(n_m),
        written,
        allowed_fraction: 0.04,
        bearing: torque::bearing_diameter(fixing.context.thread),
        engagement: Some(engagement(&fixing.context)),
        turn: None,
        reuse: MakersReuseRule::Silent,
        siblings: siblings.to_vec(),
    })
}

fn siblings_of(book: &[Fixing], at: usize) -> Vec<SiblingTorque> {
    let others = book.iter().enumerate().filter(|(k, _)| *k != at);
    others.map(|(_, f)| SiblingTorque { thread: f.context.thread, torque: Torque::from_n_m(f.n_m) }).collect()
}

fn unit(symbol: &str) -> &'static Unit {
    Torque::UNITS.iter().find(|u| u.symbol == symbol).unwrap_or_else(|| panic!("no unit {symbol}"))
}

/// The figure that the book of the next row of the table has for its thread.
fn row(book: &[Fixing], fixing: &Fixing, up: bool) -> f64 {
    let names = ["M5", "M6", "M8", "M10", "M12", "M14"];
    let at = names.iter().position(|n| thread(n) == fixing.context.thread).expect("a row");
    let beside = thread(names[if up { at + 1 } else { at - 1 }]);
    let same = book.iter().find(|f| f.context.thread == beside).map(|f| f.n_m);
    let level = fixing.n_m / usual_torque(&fixing.context, fixing.context.thread).as_n_m();
    same.unwrap_or_else(|| two_digits(usual_torque(&fixing.context, beside).as_n_m() * level))
}

/// A slip: its name, the unit that the wrong figure is written in, and the torque that it then says.
type Slip = (&'static str, &'static str, fn(&[Fixing], &Fixing) -> f64);

const SLIPS: [Slip; 16] = [
    ("lbf·in as N·m", "N·m", |_, f| f.n_m / LBF_IN),
    ("lbf·in as lbf·ft", "lbf·ft", |_, f| f.n_m / LBF_IN * LBF_FT),
    ("N·m as kgf·m", "kgf·m", |_, f| f.n_m * KGF_M),
    ("lbf·ft as lbf·in", "lbf·in", |_, f| f.n_m / LBF_FT * LBF_IN),
    ("kgf·m as N·m", "N·m", |_, f| f.n_m / KGF_M),
    ("N·m as lbf·in", "lbf·in", |_, f| f.n_m * LBF_IN),
    ("lbf·ft as N·m", "N·m", |_, f| f.n_m / LBF_FT),
    ("N·m as lbf·ft", "lbf·ft", |_, f| f.n_m * LBF_FT),
    ("× 10", "N·m", |_, f| f.n_m * 10.0),
    ("÷ 10", "N·m", |_, f| f.n_m / 10.0),
    ("× 2", "N·m", |_, f| f.n_m * 2.0),
    ("× 1.5", "N·m", |_, f| f.n_m * 1.5),
    ("÷ 1.5", "N·m", |_, f| f.n_m / 1.5),
    ("÷ 2", "N·m", |_, f| f.n_m / 2.0),
    ("next row", "N·m", |book, f| row(book, f, true)),
    ("row before", "N·m", |book, f| row(book, f, false)),
];

#[test]
fn sound_figures_raise_no_alarm() {
    let mut count = 0;
    for book in books() {
        for (at, fixing) in book.iter().enumerate() {
            let with = judge(fixing, fixing.n_m, unit("N·m"), &siblings_of(&book, at));
            let alone = judge(fixing, fixing.n_m, unit("N·m"), &[]);
            for verdict in [with, alone] {
                assert_eq!(
                    verdict.standing(),
                    TorqueVerdict::Plausible,
                    "{:?} {} N·m: {:?}",
                    fixing.context,
                    fixing.n_m,
                    verdict.objections().map(ToString::to_string).collect::<Vec<_>>()
                );
            }
            count += 1;
        }
    }
    assert_eq!(count, 288);
}

/// With siblings every kind is caught in at least 60 of 100. Alone, with no like fixing in the book, the small slips hide in the band of the
/// thread: those below 60 of 100 are named here as not catchable, exactly those.
#[test]
fn every_kind_of_slip_is_caught_with_siblings() {
    let not_catchable_alone = ["lbf·ft as N·m", "N·m as lbf·ft", "× 1.5", "÷ 1.5", "÷ 2", "row before"];
    for (name, symbol, wrong) in SLIPS {
        let (mut with, mut alone, mut named, mut count) = (0, 0, 0, 0);
        for book in books() {
            for at in (0..24).step_by(3) {
                let fixing = &book[at];
                let n_m = wrong(&book, fixing);
                let verdict = judge(fixing, n_m, unit(symbol), &siblings_of(&book, at));
                with += u32::from(verdict.standing() > TorqueVerdict::Plausible);
                named += u32::from(verdict.grounds.iter().any(|g| {
                    matches!(
                        g,
                        TighteningGround::ReadsInOtherUnit(_)
                            | TighteningGround::OutOfLine { slip: Some(_), .. }
                    )
                }));
                let lone = judge(fixing, n_m, unit(symbol), &[]);
                alone += u32::from(lone.standing() > TorqueVerdict::Plausible);
                count += 1;
            }
        }
        println!("{name}: of {count} caught {with} with siblings ({named} with a slip named), {alone} alone");
        assert_eq!(count, 96);
        assert!(with * 100 >= 60 * count, "{name}: {with} of {count}");
        let is_catchable = alone * 100 >= 60 * count;
        assert_ne!(is_catchable, not_catchable_alone.contains(&name), "{name}: {alone} of {count} alone");
    }
}

/// M8, 8.8: 25 in the other fixings. 34 is 25 lbf·ft written as N·m twice over; 49 is the row of the M10 (machine manuals print 49 to 55 for it).
#[test]
fn siblings_name_the_slip() {
    let context = TorqueContext {
        thread: thread("M8"),
        class: Some(PropertyClass::C8_8),
        lubrication: Lubrication::Oiled,
        tapped_in: TappedIn::Steel,
    };
    let siblings: Vec<SiblingTorque> = [24.0, 25.0, 25.0, 26.0]
        .map(|n_m| SiblingTorque { thread: context.thread, torque: Torque::from_n_m(n_m) })
        .to_vec();
    let slip = |n_m: f64| {
        bolting::siblings::find_disagreement(&context, Torque::from_n_m(n_m), unit("N·m"), &siblings)
            .and_then(|found| found.slip)
    };
    assert!(
        matches!(slip(34.0), Some(LikelySlip::ConvertedTwice { unit: "lbf·ft", .. })),
        "{:?}",
        slip(34.0)
    );
    assert!(matches!(slip(18.4), Some(LikelySlip::MeantIn { unit: "lbf·ft", .. })), "{:?}", slip(18.4));
    assert!(matches!(slip(49.0), Some(LikelySlip::RowOf { thread }) if thread == self::thread("M10")));
    assert_eq!(slip(27.0), None);
    // Siblings that spread prove nothing.
    let spread: Vec<SiblingTorque> = [12.0, 18.0, 25.0, 34.0]
        .map(|n_m| SiblingTorque { thread: context.thread, torque: Torque::from_n_m(n_m) })
        .to_vec();
    let found = bolting::siblings::find_disagreement(&context, Torque::from_n_m(34.0), unit("N·m"), &spread);
    assert_eq!(found, None);
}

/// The cases of a review by hand: plausible never beside something that strips or breaks; what is not known stands against nothing.
#[test]
fn never_plausible_while_something_gives_way() {
    let m8 = |class, tapped_in, lubrication| Fixing {
        context: TorqueContext { thread: thread("M8"), class, lubrication, tapped_in },
        n_m: 0.0,
    };
    let case = |fixing: &Fixing, n_m: f64, engaged_mm: Option<f64>| {
        judge_tightening(&TighteningCase {
            context: fixing.context,
            torque: Torque::from_n_m(n_m),
            written: unit("N·m"),
            allowed_fraction: 0.04,
            bearing: torque::bearing_diameter(fixing.context.thread),
            engagement: engaged_mm.map(Length::from_mm),
            turn: None,
            reuse: MakersReuseRule::Silent,
            siblings: Vec::new(),
        })
    };
    let hard = Some(PropertyClass::C8_8);
    let plastic = case(&m8(hard, TappedIn::Plastic, Lubrication::Oiled), 20.0, Some(17.0));
    assert!(plastic.standing() > TorqueVerdict::Plausible, "{plastic:?}");
    assert!(plastic.grounds.iter().any(|g| matches!(g, TighteningGround::Strips { .. })), "{plastic:?}");
    let short = case(&m8(hard, TappedIn::CastAluminium, Lubrication::Oiled), 20.0, Some(4.0));
    assert_eq!(short.standing(), TorqueVerdict::Absurd, "4 mm strip at every friction: {short:?}");
    let cast = case(&m8(hard, TappedIn::CastAluminium, Lubrication::Oiled), 45.0, Some(16.0));
    assert!(cast.standing() > TorqueVerdict::Plausible, "{cast:?}");
    let breaks = case(&m8(hard, TappedIn::Steel, Lubrication::Oiled), 5000.0, Some(16.0));
    assert!(breaks.objections().any(|g| g.to_string().contains("the bolt breaks from")), "{breaks:?}");
    let paste = case(&m8(hard, TappedIn::Steel, Lubrication::Paste), 26.0, Some(16.0));
    assert!(paste.standing() > TorqueVerdict::Plausible, "{paste:?}");
    // What is not known is told, and stands against nothing while the figure lies in the band.
    let unknown = case(&m8(None, TappedIn::Steel, Lubrication::Unstated), 25.0, None);
    assert_eq!(unknown.standing(), TorqueVerdict::Plausible, "{unknown:?}");
    let names: Vec<&str> = unknown.grounds.iter().map(TighteningGround::name).collect();
    assert_eq!(names, ["class-unknown", "lubrication-unknown", "engagement-unknown"]);
}
