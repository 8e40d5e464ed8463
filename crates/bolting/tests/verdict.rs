//! The one verdict in words, and what is left of it where the thread is not known.

use bolting::angle::{MakersReuseRule, YieldReach};
use bolting::guard::{TorqueContext, TorqueVerdict, torque_window_of_hexagon};
use bolting::verdict::{
    GroundWeight, ThreadlessCase, TighteningCase, TighteningGround, TurnAfterTorque, judge_tightening,
    judge_without_thread,
};
use bolting::{Lubrication, PropertyClass, TappedIn, Thread, torque};
use units::{Angle, Length, Torque};

const CLASS: Option<PropertyClass> = Some(PropertyClass::C8_8);

fn m6(n_m: f64, turn: Option<TurnAfterTorque>, reuse: MakersReuseRule) -> TighteningCase {
    let thread = Thread::parse("M6").expect("a thread");
    TighteningCase {
        context: TorqueContext {
            thread,
            class: CLASS,
            lubrication: Lubrication::Dry,
            tapped_in: TappedIn::CastAluminium,
        },
        torque: Torque::from_n_m(n_m),
        written: &Torque::UNITS[0],
        allowed_fraction: 0.04,
        bearing: torque::bearing_diameter(thread),
        engagement: Some(Length::from_mm(13.0)),
        turn,
        reuse,
        siblings: Vec::new(),
    }
}

fn kinds(grounds: &[TighteningGround]) -> Vec<&'static str> {
    grounds.iter().map(TighteningGround::name).collect()
}

/// A machine manual's 9 N·m for an M6 into cast aluminium is plausible and says nothing; 15 lies above its band of 13.5 (1.5 times 9).
#[test]
fn what_stands_against_a_figure_is_one_phrase() {
    let sound = judge_tightening(&m6(9.0, None, MakersReuseRule::Silent));
    assert_eq!((sound.standing(), sound.objection_words()), (TorqueVerdict::Plausible, None));
    let high = judge_tightening(&m6(15.0, None, MakersReuseRule::Silent));
    let words = high.objection_words().expect("it lies above its band");
    assert!(words.starts_with("unusual: above the ") && words.contains("14 N·m of its thread"), "{words}");
    assert!(words.ends_with("; ask first"), "{words}");
    let absurd = judge_tightening(&m6(80.0, None, MakersReuseRule::Silent));
    let words = absurd.objection_words().expect("it is absurd");
    assert!(words.starts_with("cannot be meant: far above"), "{words}");
    assert!(words.contains("was lbf·in meant instead of N·m?"), "{words}");
}

#[test]
fn an_angle_past_yield_asks_unless_the_bolt_is_renewed() {
    let turn =
        Some(TurnAfterTorque::Known { reach: YieldReach::MayYield, first_yield: Angle::from_deg(12.0) });
    let silent = judge_tightening(&m6(5.0, turn, MakersReuseRule::Silent));
    assert_eq!(
        (silent.standing(), kinds(&silent.grounds)),
        (TorqueVerdict::Unusual, vec!["turns-past-yield"])
    );
    let renewed = judge_tightening(&m6(5.0, turn, MakersReuseRule::OneUse));
    assert_eq!((renewed.standing(), kinds(&renewed.grounds)), (TorqueVerdict::Plausible, vec!["one-time"]));
    let untold = judge_tightening(&m6(5.0, Some(TurnAfterTorque::NotWorkedOut), MakersReuseRule::Silent));
    assert_eq!(kinds(&untold.grounds), ["turn-not-known"]);
    assert!(untold.grounds.iter().all(|ground| ground.weight() == GroundWeight::Note));
}

/// A 13 mm hexagon carries an M8: machine manuals print 25 to 28 N·m for 8.8. The thread is told as not known; inside the band it stands
/// against nothing.
#[test]
fn without_a_thread_the_band_of_the_head_is_left() {
    let width = Length::from_mm(13.0);
    let window = torque_window_of_hexagon(width, CLASS, Lubrication::Oiled, TappedIn::Steel);
    let case = |n_m: f64| ThreadlessCase {
        window: window.expect("a hexagon of the series"),
        torque: Torque::from_n_m(n_m),
        written: &Torque::UNITS[0],
        class: CLASS,
        lubrication: Lubrication::Oiled,
        tapped_in: TappedIn::Steel,
        turn: None,
        reuse: MakersReuseRule::Silent,
    };
    let sound = judge_without_thread(&case(25.0));
    assert_eq!((sound.standing(), kinds(&sound.grounds)), (TorqueVerdict::Plausible, vec!["thread-unknown"]));
    let slip = judge_without_thread(&case(220.0));
    assert_eq!(slip.standing(), TorqueVerdict::Absurd);
    assert_eq!(kinds(&slip.grounds), ["outside-band", "reads-in-other-unit", "thread-unknown"]);
}
