//! What a mechanic reads, made wrong once: words, slots, cautions, mix-ups and the lines of the sheet.

use crate::codes::check;
use crate::things;
use model::plan::{
    LookLine, MixUpLine, NotAtHandLine, OpenKind, OpenLine, RescueLine, ShoppingLine, StepName, WayInReason,
};
use model::{
    Book, Caution, FastenerKind, Fixing, KeepPlace, MixUpKind, ObtainKind, PartId, PieceAbsence, SignalWord,
    SlotAddress, SolverStanding,
};
use units::Length;

/// All that is checked here, for the page of sentences.
pub fn say_all() {
    titles_and_reasons();
    words_and_cautions();
    left_hand_threads();
    slots();
    mix_ups();
    lines_of_the_sheet();
}

#[test]
fn titles_and_reasons() {
    check("J106", |_, _, p| p.amiss.push("step 2 begins at 0 s, not at 8 s".into()));
    check("J107", |_, _, p| p.strip.steps.iter_mut().for_each(|s| s.name = StepName("undo.bolts".into())));
    check("J108", |_, _, p| p.currency = "USD".into());
    check("J108", |_, _, p| p.asked.vehicle = "A-".into());
    check("J108", |_, _, p| p.kit.pieces[0].title = "spoon".into());
    check("J109", |_, _, p| p.stacks[0].words = "11 mm 1/4 in, ratchet".into());
    check("J109", |_, _, p| p.stacks[0].words = "ratchet".into());
    check("J109", |_, _, p| p.stacks[1].words = "bare foot".into());
    check("J205", |_, _, p| p.asked.tasks.clear());
    check("J206", |_, _, p| p.way_in.parts[0].because.clear());
    check("J206", |_, _, p| p.way_in.parts[1].because.push(WayInReason::Condition("battery".into())));
    check("J207", |_, _, p| p.way_in.also_open.push("look".into()));
    check("J208", |_, _, p| p.way_in.outcome.value += 60.0);
    check("J208", |_, _, p| p.way_in.outcome.bound += 60.0);
    check("J208", |_, _, p| {
        p.way_in.outcome.standing = SolverStanding::Proven;
        p.way_in.outcome.bound -= 60.0;
    });
    check("J507", |_, _, p| p.kit.outcome.bound = 1.0);
}

#[test]
fn words_and_cautions() {
    check("J619", |_, _, p| p.refit.steps[5].actions[0].holes.reverse());
    check("J619", |_, _, p| p.strip.steps[1].actions[0].holes.reverse());
    check("J702", |_, _, p| p.duties[3].hole_order = None);
    check("J711", |_, _, p| p.refit.steps[5].text = "Tighten 2 × cover bolts: 90 N·m.".into());
    check("J712", |_, _, p| p.refit.steps[5].text.push_str(" Or not."));
    check("J617", |_, _, p| p.refit.steps[4].fixings.push("plug".into()));
    let hot = || Caution { word: SignalWord::Warning, text: "Hot: let it cool.".into() };
    check("J641", move |b, _, _| b.conditions[0].cautions.push(hot()));
    check("J641", move |b, _, _| b.stations[0].cautions.push(hot()));
    check("J641", move |b, _, _| b.parts[0].cautions.push(hot()));
    check("J641", move |b, _, _| b.parts[0].refit_cautions.push(hot()));
    check("J641", move |b, _, _| b.tasks[0].cautions.push(hot()));
    check("J642", move |_, _, p| p.strip.steps[1].cautions.push(hot()));
    check("J643", |b, _, _| b.parts[0].helper = true);
    check("J643", |_, _, p| p.strip.steps[2].helper = true);
}

#[test]
fn left_hand_threads() {
    // The words do not tell which way the thread turns, or tell it the wrong way round.
    check("J711", |b, _, _| b.fixings[0].is_left_hand = true);
    check("J711", |b, _, p| {
        b.fixings[0].is_left_hand = true;
        let text = "Undo 2 × cover bolts (hexagon 10 mm); left-hand thread: turn anticlockwise to undo.";
        p.strip.steps[1].text = text.into();
    });
}

#[test]
fn slots() {
    check("J805", |_, _, p| p.slots[0].size = "M6 × 25".into());
    check("J806", |_, _, p| p.strip.steps[1].slot = None);
    check("J806", |_, _, p| p.strip.steps[2].slot = Some(SlotAddress::InHole));
    check("J807", |_, _, p| p.slots[0].slot = SlotAddress::in_tray("A", "T9", 1));
    check("J807", |_, _, p| p.slots[0].slot = SlotAddress::in_tray("A", "T1", 7));
    check("J807", |_, _, p| p.slots[0].slot = SlotAddress::Bag { vehicle: "B".into(), number: 1 });
    check("J808", |_, s, _| s.trays[0].height = Length::from_mm(5.0));
    let share = |slot: SlotAddress| {
        move |_: &mut Book, _: &mut model::Store, p: &mut model::plan::Plan| {
            p.slots.iter_mut().for_each(|line| line.slot = slot.clone());
        }
    };
    check("J809", share(SlotAddress::Bag { vehicle: "A".into(), number: 1 }));
    check("J809", share(SlotAddress::HoleCard { vehicle: "A".into(), number: 1 }));
    check("J810", |b, _, p| {
        two_lengths(b);
        p.slots[1].slot = SlotAddress::in_tray("A", "T1", 5);
    });
    check("J811", |b, _, _| b.fixings[0].keep = Some(KeepPlace::HoleCard));
    check("J811", |_, _, p| p.slots[0].slot = SlotAddress::Scrap);
}

/// Makes the plug of the unit a bolt of the cover's thread, but twice as long.
fn two_lengths(book: &mut Book) {
    let mm = Length::from_mm;
    for fixing in &mut book.fixings {
        (fixing.clamped, fixing.tapped_depth) = (Some(mm(8.0)), Some(mm(14.0)));
    }
    let (key, part) = ("plug".into(), PartId::new(1));
    let bolts = things::bolts();
    let (clamped, tapped_depth) = (Some(mm(17.0)), Some(mm(14.0)));
    let holes = bolts.holes[..1].to_vec();
    let accesses = book.fixings[1].accesses.clone();
    let length = Some(mm(40.0));
    book.fixings[1] = Fixing { key, part, length, clamped, tapped_depth, holes, accesses, ..bolts };
    assert_eq!(book.fixings[1].kind, FastenerKind::Bolt);
}

#[test]
fn mix_ups() {
    let line = |fastener_of: &str, hole_of: &str| MixUpLine {
        fastener_of: fastener_of.into(),
        hole_of: hole_of.into(),
        words: "cover bolts in a hole of cover bolts: does no harm.".into(),
        consequence: MixUpKind::Harmless,
        kept_apart: true,
    };
    check("J821", |b, _, _| two_lengths(b));
    check("J822", move |_, _, p| p.mix_ups.push(line("plug", "bolts")));
    check("J823", move |b, _, p| {
        two_lengths(b);
        p.mix_ups.push(line("plug", "bolts"));
    });
    check("J824", move |b, _, p| {
        two_lengths(b);
        p.slots[1].slot = p.slots[0].slot.clone();
        p.mix_ups.push(line("plug", "bolts"));
    });
    check("J825", move |b, _, p| {
        two_lengths(b);
        p.mix_ups.extend([line("bolts", "plug"), line("plug", "bolts")]);
    });
}

#[test]
fn lines_of_the_sheet() {
    check("J911", |_, _, p| {
        let (kind, words) = (OpenKind::NotProven, "Measure the head.".into());
        p.readiness.open.push(OpenLine { kind, words, fasteners: 1, fixings: vec!["plug".into()] });
    });
    check("J913", |_, _, p| _ = p.readiness.safety.pop());
    check("J913", |_, _, p| p.readiness.safety.push("hands washed".into()));
    check("J914", |b, _, _| b.parts[0].brittle = true);
    check("J915", |_, _, p| {
        let (key, title, wanted_by) = ("spoon".into(), "spoon".into(), vec!["plug".into()]);
        p.readiness.not_at_hand.push(NotAtHandLine { key, title, state: PieceAbsence::LentOut, wanted_by });
    });
    check("J916", |_, _, p| {
        let (how, words) = (ObtainKind::Buy, "spoon".into());
        let (closes, unlocks) = (Vec::new(), Vec::new());
        p.readiness.shopping.push(ShoppingLine { how, words, spec: None, closes, unlocks });
    });
    check("J917", |b, _, _| b.fixings[0].history.push((model::HistoryCause::Corrosion, 1.8)));
    check("J917", |_, _, p| {
        let (fixing, items) = ("plug".into(), vec!["penetrant".into()]);
        p.readiness.rescue.push(RescueLine { fixing, count: 1, break_loose_factor: 1.5, items });
    });
    check("J918", |_, _, p| p.readiness.against.push("It rains.".into()));
    check("J919", |_, _, p| p.readiness.assumed.push("times (2 parts)".into()));
    check("J919", |_, _, p| p.readiness.proven_by_class = 1);
    check("J919", |_, _, p| p.readiness.book_note = None);
    check("J920", |_, _, p| {
        let (fixing, question) = ("plug".into(), String::new());
        p.readiness.looks.push(LookLine {
            fixing,
            question,
            seconds: 0.0,
            fasteners: 2,
            answers: Vec::new(),
        });
    });
}

#[test]
fn what_the_judge_cannot_prove_is_told() {
    let plan = crate::world_things::plan();
    let told = judge::list_unjudged_claims(&crate::world_things::book(), &things::store(), &plan);
    let words: Vec<String> = told.iter().map(ToString::to_string).collect();
    assert_eq!(words.len(), 2, "{words:?}");
    assert!(words[0].starts_with("way in has the bound "), "{words:?}");
    assert!(
        words[1].starts_with("course no order is said to have fewer than 0 changes of place"),
        "{words:?}"
    );
}
