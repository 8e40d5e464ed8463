//! Designations of threads and classes: what is read, what is refused, and that text comes back as it went in.

use bolting::{PropertyClass, Thread, ThreadError, coarse_pitch_mm};
use proptest::prelude::*;

fn canonical(text: &str) -> String {
    Thread::parse(text).map_or_else(|e| format!("error: {e}"), |t| t.to_string())
}

#[test]
fn threads_are_read_in_many_spellings() {
    let expected = [
        ("M6", "M6"),
        ("m6", "M6"),
        (" M6x1 ", "M6"),
        ("M6×1.0", "M6"),
        ("M6 x 0,75", "M6x0.75"),
        ("M10x1.25", "M10x1.25"),
        ("M10*1.5", "M10"),
        ("M3.5", "M3.5"),
        ("M14x1.25", "M14x1.25"),
        ("1/4-20 UNC", "1/4-20 UNC"),
        ("1/4-20", "1/4-20 UNC"),
        ("1/4 unf", "1/4-28 UNF"),
        ("0.25-28", "1/4-28 UNF"),
        ("#10-32", "#10-32 UNF"),
        ("1 1/8-7UNC", "1 1/8-7 UNC"),
        ("1/2-28", "1/2-28 UNS"),
    ];
    for (text, wanted) in expected {
        assert_eq!(canonical(text), wanted, "{text}");
    }
}

#[test]
fn refusals_say_what_to_write() {
    let expected = [
        (
            "",
            "error: `` is not a thread; write it as `M6`, `M10x1.25`, `1/4-20 UNC`, `#10-32 UNF`, `1/8-27 NPT` or `G 1/4`",
        ),
        (
            "six",
            "error: `six` is not a thread; write it as `M6`, `M10x1.25`, `1/4-20 UNC`, `#10-32 UNF`, `1/8-27 NPT` or `G 1/4`",
        ),
        (
            "M6x1x20",
            "error: `M6x1x20` is not a thread; write it as `M6`, `M10x1.25`, `1/4-20 UNC`, `#10-32 UNF`, `1/8-27 NPT` or `G 1/4`",
        ),
        (
            "M6x20",
            "error: `M6x20`: a pitch of 20 mm is too coarse, at most 1; the number after the `x` is the pitch; write \
             the length separately",
        ),
        ("M6x0.9", "error: `M6x0.9`: 0.9 mm is not a pitch of ISO 261; the coarse pitch is 1"),
        ("M100x0.5", "error: `M100x0.5`: a pitch of 0.5 mm is too fine for this diameter"),
        ("M15", "error: `M15` has no coarse pitch; write the pitch too, as in `M15x1.5`"),
        ("M0", "error: `M0`: the diameter is out of range; threads may be M1 to M150, or 1/16 in to 6 in"),
        ("1/4-28 UNC", "error: `1/4-28 UNC`: UNC of this size has 20 threads per inch, not 28"),
        ("1/4-4", "error: `1/4-4`: 4 threads per inch is too coarse for this diameter; use at least 20"),
        ("M8-1.25", "error: `M8-1.25`: the pitch stands behind an `x`: write `M8x1.25`"),
        ("1/4", "error: `1/4`: the threads per inch are missing; write `1/4-20 UNC` or `1/4-28 UNF`"),
        ("3/10", "error: `3/10`: the threads per inch are missing; write `3/10-20`"),
        (
            "0.3",
            "error: `0.3` is not a thread; write it as `M6`, `M10x1.25`, `1/4-20 UNC`, `#10-32 UNF`, `1/8-27 NPT` or `G 1/4`",
        ),
        (
            "1/0-20",
            "error: `1/0-20` is not a thread; write it as `M6`, `M10x1.25`, `1/4-20 UNC`, `#10-32 UNF`, `1/8-27 NPT` or `G 1/4`",
        ),
    ];
    for (text, wanted) in expected {
        assert_eq!(canonical(text), wanted, "{text}");
    }
    assert!(matches!(Thread::metric(6.0, f64::NAN), Err(ThreadError::AbsurdPitch { .. })));
    assert!(matches!(Thread::metric(f64::INFINITY, 1.0), Err(ThreadError::DiameterOutOfRange { .. })));
    assert!(Thread::inch(0.25, -20.0).is_err());
}

/// ISO 261 and ISO 898-1: coarse pitches; 8.8 steps up above 16 mm.
#[test]
fn coarse_pitches_and_the_step_of_8_8() {
    for (d_mm, pitch_mm) in [(4.0, 0.7), (6.0, 1.0), (8.0, 1.25), (12.0, 1.75), (16.0, 2.0), (24.0, 3.0)] {
        assert_eq!(coarse_pitch_mm(d_mm), Some(pitch_mm));
    }
    assert_eq!(coarse_pitch_mm(15.0), None);
    let class = PropertyClass::C8_8;
    let values = |d_mm| (class.rm_min_mpa(d_mm), class.yield_mpa(d_mm), class.proof_mpa(d_mm));
    assert_eq!(values(16.0), (800.0, 640.0, 580.0));
    assert_eq!(values(18.0), (830.0, 660.0, 600.0));
}

#[test]
fn classes_are_read_and_refused() {
    for class in PropertyClass::all() {
        assert_eq!(PropertyClass::parse(class.name()), Ok(class));
        let (rm, yielding, proof) = (class.rm_min_mpa(10.0), class.yield_mpa(10.0), class.proof_mpa(10.0));
        assert!(proof < yielding && yielding < rm, "{class}");
    }
    assert_eq!(PropertyClass::all().count(), 21);
    assert_eq!(PropertyClass::parse("a2 70"), Ok(PropertyClass::A2_70));
    let message = PropertyClass::parse("12.8").map_err(|e| e.to_string());
    assert!(
        message.is_err_and(|m| m.starts_with("`12.8` is not a property class; the classes are 4.6, 4.8"))
    );
}

/// SAE J429 and ASTM, minimum proof, yield and tensile strength in ksi, as Shigley and Mischke, Mechanical Engineering Design, 5th
/// edition, print them (read on a university's page); all digits. 1 ksi = 6.894 757 MPa.
#[test]
fn inch_grades_step_down_with_their_size() {
    const MPA_PER_KSI: f64 = 6.894_757_293_168_361;
    for (name, thread, proof, yielding, tensile) in [
        ("SAE 2", "1/4-20", 55.0, 57.0, 74.0),
        ("SAE 2", "3/4-10", 55.0, 57.0, 74.0),
        ("SAE 2", "7/8-9", 33.0, 36.0, 60.0),
        ("SAE 5", "1-8", 85.0, 92.0, 120.0),
        ("SAE 5", "1 1/8-7", 74.0, 81.0, 105.0),
        ("SAE 8", "1 1/2-6", 120.0, 130.0, 150.0),
        ("A307", "1/2-13", 33.0, 36.0, 60.0),
        ("A325", "1-8", 85.0, 92.0, 120.0),
        ("A325", "1 1/4-7", 74.0, 81.0, 105.0),
        ("A449", "1 1/2-6", 74.0, 81.0, 105.0),
        ("A449", "2-4.5", 55.0, 58.0, 90.0),
        ("A490", "1/2-13", 120.0, 130.0, 150.0),
    ] {
        let class = PropertyClass::parse(name).unwrap_or_else(|e| panic!("{e}"));
        // Half threads an inch are no thread of ours; the diameter alone decides.
        let d_mm = Thread::parse(thread).map_or(2.0 * 25.4, Thread::d_mm);
        let found = [class.proof_mpa(d_mm), class.yield_mpa(d_mm), class.rm_min_mpa(d_mm)];
        for (value, ksi) in found.into_iter().zip([proof, yielding, tensile]) {
            assert!((value / MPA_PER_KSI - ksi).abs() < 1e-9, "{name} {thread}: {value} MPa, {ksi} ksi");
        }
        assert!(class.is_inch_grade() && !class.is_stainless());
    }
}

#[test]
fn inch_grades_are_read_by_their_names_and_by_the_lines_on_their_heads() {
    for (text, class) in [
        ("SAE 5", PropertyClass::Sae5),
        ("sae grade 5", PropertyClass::Sae5),
        ("SAE J429 grade 8", PropertyClass::Sae8),
        ("grade 2", PropertyClass::Sae2),
        ("3 lines", PropertyClass::Sae5),
        ("six lines", PropertyClass::Sae8),
        ("a325", PropertyClass::A325),
        ("ASTM A449", PropertyClass::A449),
    ] {
        assert_eq!(PropertyClass::parse(text), Ok(class), "{text}");
    }
    // A bare figure, or a head without a mark, may be of any class.
    for text in ["5", "8", "no mark", "4 lines", "grade 8.8", "SAE"] {
        assert!(PropertyClass::parse(text).is_err(), "{text}");
    }
    assert_eq!(PropertyClass::Sae5.head_mark(), "three lines");
    assert_eq!(PropertyClass::C10_9.head_mark(), "10.9");
    for class in PropertyClass::all() {
        let is_of_memory = class.source().contains("from memory");
        assert_eq!(is_of_memory, class.is_stainless(), "{class}: {}", class.source());
    }
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in ".{0,24}") {
        let _ = Thread::parse(&text).map(Thread::stress_area_mm2);
        let _ = PropertyClass::parse(&text);
    }

    #[test]
    fn near_designations_are_read_or_refused(text in "[mM#]?[0-9./ ]{1,6}[x×-][0-9.,]{0,6}( ?UN[CFS])?") {
        if let Ok(thread) = Thread::parse(&text) {
            prop_assert_eq!(Thread::parse(&thread.to_string()), Ok(thread));
            prop_assert!(thread.d3_mm() < thread.minor_internal_mm());
            prop_assert!(0.0 < thread.d3_mm() && thread.d2_mm() < thread.d_mm());
        }
    }
}

/// As stored text they come back, and bad text is refused with its message.
#[test]
fn stored_text_is_read_back() {
    use serde::de::value::{Error, StrDeserializer};
    use serde::{Deserialize, de::IntoDeserializer};
    let text = |text: &'static str| -> StrDeserializer<'static, Error> { text.into_deserializer() };
    assert_eq!(Thread::deserialize(text("M10x1.25")).map(|t| t.to_string()), Ok("M10x1.25".into()));
    assert_eq!(PropertyClass::deserialize(text("10.9")), Ok(PropertyClass::C10_9));
    assert!(Thread::deserialize(text("M6x20")).is_err_and(|e| e.to_string().contains("too coarse")));
}
