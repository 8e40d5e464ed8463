//! The tables of words: each word means one thing, is read back as it is written, and JSON holds the word of files.

use model::plan::JobPhase;
use model::progress::HappeningKind;
use model::{
    ConditionKind, FastenerKind, FastenerState, HistoryCause, HoldsBack, KeepPlace, Lubrication, MixUpKind,
    OutcomeUnit, PieceAbsence, PieceKind, Sight, SignalWord, SlotAddress, TappedIn, TaskKind,
};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// What must hold of every table.
macro_rules! check_table {
    ($($kind:ident),+) => { $(
        let files: BTreeSet<&str> = $kind::ALL.iter().map(|one| one.file_word()).collect();
        let spoken: BTreeSet<&str> = $kind::ALL.iter().map(|one| one.spoken_word()).collect();
        assert_eq!((files.len(), spoken.len()), ($kind::ALL.len(), $kind::ALL.len()), "{}", stringify!($kind));
        assert!($kind::ALL.windows(2).all(|pair| pair[0] < pair[1]), "the order of {}", stringify!($kind));
        for one in $kind::ALL {
            let word = one.file_word();
            assert_eq!($kind::from_file_word(word), Some(*one));
            assert_eq!(serde_json::to_string(one).unwrap(), format!("\"{word}\""));
            assert_eq!(serde_json::from_str::<$kind>(&format!("\"{word}\"")).unwrap(), *one);
            assert!(!one.spoken_word().is_empty() && !one.spoken_word().contains('_'));
        }
        assert_eq!($kind::from_file_word("no such word"), None);
        assert!(serde_json::from_str::<$kind>("\"no such word\"").is_err());
    )+ };
}

#[test]
fn every_word_means_one_thing_and_is_read_back() {
    check_table!(
        ConditionKind,
        FastenerKind,
        FastenerState,
        HappeningKind,
        HistoryCause,
        HoldsBack,
        JobPhase,
        KeepPlace,
        Lubrication,
        MixUpKind,
        PieceAbsence,
        PieceKind,
        Sight,
        SignalWord,
        TappedIn,
        TaskKind
    );
}

/// ANSI Z535.4 and ISO 3864-2 (from memory): danger is the gravest, then warning and caution; notice is about property only.
#[test]
fn signal_words_rise_as_the_standards_have_them() {
    let words: Vec<&str> = SignalWord::ALL.iter().rev().map(|word| word.file_word()).collect();
    assert_eq!(words, ["DANGER", "WARNING", "CAUTION", "NOTICE"]);
    assert_eq!(SignalWord::Danger.to_string(), "DANGER");
}

#[test]
fn units_of_an_outcome_are_the_words_of_the_plan_format() {
    for (unit, word) in [
        (OutcomeUnit::Seconds, "seconds"),
        (OutcomeUnit::Cents, "cents"),
        (OutcomeUnit::Pieces, "pieces"),
        (OutcomeUnit::Switches, "switches"),
        (OutcomeUnit::Time, "time"),
    ] {
        assert_eq!(serde_json::to_string(&unit).unwrap(), format!("\"{word}\""));
    }
}

/// A fastener that broke, came out with its thread or is gone no longer holds its part; whatever else happens, it still does.
#[test]
fn what_happened_leaves_a_state_that_fits_it() {
    let left: Vec<(&str, FastenerState)> =
        HappeningKind::ALL.iter().filter_map(|kind| Some((kind.file_word(), kind.state_left()?))).collect();
    let expected = [
        ("broken", FastenerState::Broken),
        ("thread-came-out", FastenerState::Off),
        ("lost", FastenerState::Missing),
        ("missing-when-found", FastenerState::Missing),
    ];
    assert_eq!(left, expected);
    assert!(left.iter().all(|(_, state)| !state.is_closed()));
}

#[test]
fn slots_are_read_as_they_are_written() {
    let check = |text: &str, expected: SlotAddress| {
        assert_eq!(SlotAddress::parse(text), Ok(expected.clone()), "{text}");
        assert_eq!(expected.to_string(), text);
    };
    check("A-T1-03", SlotAddress::in_tray("A", "T1", 3));
    check("A-B04-12", SlotAddress::in_tray("A", "B04", 12));
    check("A-T1-104", SlotAddress::in_tray("A", "T1", 104));
    check("A-B04", SlotAddress::Bag { vehicle: "A".into(), number: 4 });
    check("van 2-H02", SlotAddress::HoleCard { vehicle: "van 2".into(), number: 2 });
    check("on part", SlotAddress::OnPart);
    check("in hole", SlotAddress::InHole);
    check("scrap", SlotAddress::Scrap);
    for wrong in [
        "",
        "A",
        "A-",
        "A-T1",
        "A-T1-3",
        "A-B4",
        "A-B",
        "A-H-1",
        "A-T1-+3",
        "On part",
        " scrap",
        "A-B99999999999",
    ] {
        let error = SlotAddress::parse(wrong).expect_err(wrong).to_string();
        assert!(error.contains(&format!("`{wrong}`")) && error.contains("A-T1-03"), "{error}");
    }
}

#[test]
fn a_compartment_knows_its_tray_and_vehicle() {
    let slot = SlotAddress::in_tray("A", "T1", 3);
    assert_eq!(slot.compartment_of("A", "T1"), Some(3));
    assert_eq!((slot.compartment_of("A", "T"), slot.compartment_of("B", "T1")), (None, None));
    assert_eq!(SlotAddress::Bag { vehicle: "A".into(), number: 3 }.compartment_of("A", "B"), None);
    let stays: Vec<bool> = ["A-T1-03", "A-B04", "A-H02", "on part", "in hole", "scrap"]
        .map(|t| SlotAddress::parse(t).unwrap().stays_in_place())
        .to_vec();
    assert_eq!(stays, [false, false, false, true, true, false]);
}

proptest! {
    #[test]
    fn any_address_that_is_written_is_read_back(vehicle in "[A-Za-z0-9 .-]{0,6}", tray in "[A-Za-z0-9 .-]{0,6}", number: u32) {
        let all = [
            SlotAddress::in_tray(&vehicle, &tray, number),
            SlotAddress::Bag { vehicle: vehicle.clone(), number },
            SlotAddress::HoleCard { vehicle: vehicle.clone(), number },
        ];
        for slot in all {
            let text = slot.to_string();
            prop_assert_eq!(SlotAddress::parse(&text), Ok(slot.clone()));
            prop_assert_eq!(serde_json::from_str::<SlotAddress>(&serde_json::to_string(&slot).unwrap()).unwrap(), slot);
        }
    }

    #[test]
    fn no_text_makes_the_reader_of_addresses_panic(text in "\\PC{0,20}") {
        if let Ok(slot) = SlotAddress::parse(&text) {
            prop_assert_eq!(slot.to_string(), text);
        }
    }
}
