//! The case of a fixing's tightening: what the one verdict of [`bolting::verdict`] is asked about, from book and fixing alone.
//!
//! **Question.** Book check, plan, card, sheet and *why* all speak about one figure. What do they all ask, so that none of them calls plausible
//! what another one warns of?
//!
//! **Method.** The greatest pass by torque is judged, with the deviation that the book allows. Siblings are the other solid fasteners of the same class,
//! hole and lubrication that are tightened by torque alone. The form of the head is inferred from its drive, an angle's reach from the springs of
//! the joint: the clamped length threaded throughout, the parts of what the hole is tapped into. Where the thread is not known, the
//! band of the threads that the hexagon may carry is what is left.
//!
//! **Assumptions and range.** Plugs, unions, clamps and sensors are hollow or seal on thin seats and have no case. A head much wider than
//! its hexagon is a flange; one whose diameter is not told is none. Parts round a hole are twice as wide as the head.
//!
//! **Sources.** As in [`bolting::verdict`]; the widths are assumptions.

use bolting::angle::{
    AnglePreload, AngleTightening, JointSprings, MakersReuseRule, preload_after_turn, range_in_order,
};
use bolting::guard::TorqueContext;
use bolting::siblings::SiblingTorque;
use bolting::stiffness::{BoltCounterpart, ClampedLayer, ClampedParts, ClampingBolt, JointMaterial};
use bolting::verdict::{
    ThreadlessCase, TighteningCase, TighteningVerdict, TurnAfterTorque, judge_tightening,
    judge_without_thread,
};
use bolting::{BearingHead, Edition, TappedIn, Thread};
use units::{Angle, Length, Range, Torque, Unit};

use crate::{Book, DriveForm, FastenerKind, Fixing};

/// A hexagon's own corners reach 1.155 of its flats; beyond this there is a flange (assumption).
const FLANGE_OVER_FLATS_RATIO: f64 = 1.25;
/// Width of the clamped parts round a hole over the bearing face (assumption).
const PARTS_OVER_FACE_RATIO: f64 = 2.0;
/// Error of an angle by gauge or degree wheel (assumption: half a mark of a wheel in 10° steps).
const ANGLE_ERROR_DEG: f64 = 5.0;
/// Greatest deviation that is reckoned with.
const MAX_DEVIATION_FRACTION: f64 = 0.9;

/// Whether the rules of a solid bolt hold: plugs, sensors and unions are hollow or seal on thin seats.
#[must_use]
pub const fn is_solid_fastener(fixing: &Fixing) -> bool {
    matches!(fixing.kind, FastenerKind::Bolt | FastenerKind::Nut | FastenerKind::Stud | FastenerKind::Screw)
}

/// The form of the head, inferred from its drive; a head that is told to be much wider than its hexagon is a flange.
#[must_use]
pub fn bearing_head(fixing: &Fixing) -> BearingHead {
    match fixing.drive.form() {
        DriveForm::HexSocket | DriveForm::Hexalobular => BearingHead::Cylinder,
        DriveForm::Hexagon if told_diameter_mm(fixing) > FLANGE_OVER_FLATS_RATIO * fixing.drive.size() => {
            BearingHead::Flange
        }
        DriveForm::Hexagon
        | DriveForm::BiHexagon
        | DriveForm::ExternalHexalobular
        | DriveForm::CrossRecess
        | DriveForm::CrossRecessZ
        | DriveForm::Slot
        | DriveForm::Square
        | DriveForm::SquareSocket
        | DriveForm::SpringClamp
        | DriveForm::PushClip
        | DriveForm::Latch
        | DriveForm::NotKnown
        | DriveForm::Hand => BearingHead::Hexagon,
    }
}

/// The least diameter that a head is told to have; 0 where nothing is told.
fn told_diameter_mm(fixing: &Fixing) -> f64 {
    let told = match fixing.figures.as_deref() {
        Some(figures) => figures.diameter.ends().map(|(least, _)| least),
        None => Some(fixing.head.diameter),
    };
    told.map_or(0.0, Length::as_mm)
}

/// The greatest pass by torque with its position; `None` where no pass aims at a torque.
#[must_use]
pub fn greatest_pass(fixing: &Fixing) -> Option<(usize, Torque)> {
    let stages = fixing.tightening.stages.iter().enumerate();
    let torques = stages.filter_map(|(index, stage)| Some((index, stage.target.torque()?)));
    torques.max_by(|a, b| a.1.as_n_m().total_cmp(&b.1.as_n_m()))
}

/// The deviation that the book allows to each side: its tolerance, or half of a specification where that is wider.
#[must_use]
pub fn allowed_deviation_fraction(fixing: &Fixing) -> f64 {
    let tolerance_fraction = fixing.tightening.tolerance_fraction;
    let spec = greatest_pass(fixing).and_then(|(index, _)| fixing.tightening.stages[index].torque_spec());
    let half = spec.filter(|spec| spec.low > Torque::ZERO).map(|spec| {
        let (low_n_m, high_n_m) = (spec.low.as_n_m(), spec.high.as_n_m());
        (high_n_m - low_n_m) / (high_n_m + low_n_m)
    });
    half.map_or(tolerance_fraction, |half| half.max(tolerance_fraction))
}

/// The torques that a pass may have: the figure with the deviation that the book allows.
#[must_use]
pub fn allowed_torques(fixing: &Fixing, torque: Torque) -> Range<Torque> {
    let fraction = allowed_deviation_fraction(fixing).clamp(0.0, MAX_DEVIATION_FRACTION);
    range_in_order(torque * (1.0 - fraction), torque * (1.0 + fraction))
}

/// The unit of a figure as the book writes it, of a specification too; N·m where none can be read.
fn written_unit(as_written: &str) -> &'static Unit {
    let unit = as_written.rsplit(|c: char| c.is_ascii_digit()).next().unwrap_or_default();
    Torque::parse_with_unit(&format!("1 {}", unit.trim())).map_or(&Torque::UNITS[0], |(_, unit)| unit)
}

/// Sum of the angles after the torque; `None` where no pass is by angle.
#[must_use]
pub fn turned_angle(fixing: &Fixing) -> Option<Angle> {
    fixing.tightening.stages.iter().filter_map(|stage| stage.target.angle()).reduce(|sum, next| sum + next)
}

/// What the angles after a torque leave behind; `None` without an angle, a class or a clamped length.
#[must_use]
pub fn turned_preload(fixing: &Fixing, thread: Thread, snug: Torque) -> Option<AnglePreload> {
    let (sum, error) = (turned_angle(fixing)?, Angle::from_deg(ANGLE_ERROR_DEG));
    Some(preload_after_turn(&AngleTightening {
        thread,
        class: fixing.class?,
        bearing: bearing_head(fixing).bearing_face(thread).friction_diameter(),
        friction: fixing.lubrication.friction_range(),
        snug: allowed_torques(fixing, snug),
        turned: range_in_order((sum - error).max(Angle::ZERO), sum + error),
        springs: joint_springs(fixing, thread)?,
        edition: Edition::default(),
    }))
}

/// The joint's springs: the clamped length threaded throughout, the parts of what the hole is tapped into (assumptions).
fn joint_springs(fixing: &Fixing, thread: Thread) -> Option<JointSprings> {
    let material = match fixing.tapped_in {
        TappedIn::Steel => JointMaterial::Steel,
        TappedIn::GreyIron => JointMaterial::GreyIron,
        TappedIn::CastAluminium => JointMaterial::Aluminium,
        TappedIn::Plastic => JointMaterial::Plastic,
    };
    let clamped = fixing.clamped?;
    let into = BoltCounterpart::Tapped(material);
    let face = bearing_head(fixing).bearing_face(thread);
    let bolt = ClampingBolt { thread, shank: Length::ZERO, shank_diameter: None, free_thread: clamped, into };
    let parts = ClampedParts {
        layers: vec![ClampedLayer { thickness: clamped, modulus_mpa: material.modulus_mpa() }],
        face: face.outer_diameter(),
        hole: face.hole_diameter(),
        outer: face.outer_diameter() * PARTS_OVER_FACE_RATIO,
    };
    Some(JointSprings {
        pitch: Length::from_mm(thread.pitch_mm()),
        bolt_mm_per_n: bolt.compliance_mm_per_n(),
        parts_mm_per_n: parts.compliance_mm_per_n(into).ok()?,
    })
}

/// How far the angles after the torque take the bolt; `None` where no angle follows.
fn turn_after_torque(fixing: &Fixing, snug: Torque) -> Option<TurnAfterTorque> {
    turned_angle(fixing)?;
    let turned = fixing.screw_thread().and_then(|thread| turned_preload(fixing, thread, snug));
    Some(turned.map_or(TurnAfterTorque::NotWorkedOut, |found| TurnAfterTorque::Known {
        reach: found.reach,
        first_yield: found.first_yield,
    }))
}

const fn reuse_rule(fixing: &Fixing) -> MakersReuseRule {
    if fixing.one_time { MakersReuseRule::OneUse } else { MakersReuseRule::Silent }
}

/// The figures of like fixings of the book: solid, of the same class, hole and lubrication, by torque alone. Fasteners of a class that is
/// not known need not be alike and have none.
fn sibling_torques(book: &Book, fixing: &Fixing) -> Vec<SiblingTorque> {
    let is_like = |other: &&Fixing| {
        fixing.class.is_some()
            && other.class == fixing.class
            && other.lubrication == fixing.lubrication
            && other.tapped_in == fixing.tapped_in
            && other.key != fixing.key
            && is_solid_fastener(other)
            && turned_angle(other).is_none()
    };
    let sibling = |other: &Fixing| {
        Some(SiblingTorque { thread: other.screw_thread()?, torque: greatest_pass(other)?.1 })
    };
    book.fixings.iter().filter(is_like).filter_map(sibling).collect()
}

/// The case of a fixing; `None` without a thread, without a torque, and for fasteners that obey other rules.
#[must_use]
pub fn tightening_case(book: &Book, fixing: &Fixing) -> Option<TighteningCase> {
    let (index, torque) = greatest_pass(fixing)?;
    let thread = fixing.screw_thread().filter(|_| is_solid_fastener(fixing))?;
    Some(TighteningCase {
        context: TorqueContext {
            thread,
            class: fixing.class,
            lubrication: fixing.lubrication,
            tapped_in: fixing.tapped_in,
        },
        torque,
        written: written_unit(&fixing.tightening.stages[index].as_written),
        allowed_fraction: allowed_deviation_fraction(fixing),
        bearing: bearing_head(fixing).bearing_face(thread).friction_diameter(),
        engagement: fixing
            .engagement
            .ends()
            .map(|(least, _)| least)
            .filter(|engaged| *engaged > Length::ZERO),
        turn: turn_after_torque(fixing, torque),
        reuse: reuse_rule(fixing),
        siblings: sibling_torques(book, fixing),
    })
}

/// The case of a fixing whose thread is not known; `None` where its head says nothing of it.
fn threadless_case(fixing: &Fixing) -> Option<ThreadlessCase> {
    let (index, torque) = greatest_pass(fixing)?;
    Some(ThreadlessCase {
        window: fixing.plausible_torques()?,
        torque,
        written: written_unit(&fixing.tightening.stages[index].as_written),
        class: fixing.class,
        lubrication: fixing.lubrication,
        tapped_in: fixing.tapped_in,
        turn: turn_after_torque(fixing, torque),
        reuse: reuse_rule(fixing),
    })
}

/// The one verdict on the figure of a fixing, which every surface shows; `None` where no pass aims at a torque, and for fasteners
/// that obey other rules.
///
/// A guard, never an instruction: the maker's figure wins.
#[must_use]
pub fn tightening_verdict(book: &Book, fixing: &Fixing) -> Option<TighteningVerdict> {
    match tightening_case(book, fixing) {
        Some(case) => Some(judge_tightening(&case)),
        None => threadless_case(fixing).map(|case| judge_without_thread(&case)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        Drive, FigureOrigins, HeadDimensions, Known, Lubrication, PartId, PatternRule, Stage, StageTarget,
        Tightening,
    };
    use bolting::PropertyClass;
    use bolting::guard::TorqueVerdict;

    fn stage(text: &str) -> Stage {
        let target = StageTarget::parse(text).unwrap_or_else(|| panic!("{text} is no pass"));
        Stage { target, as_written: text.into() }
    }

    /// An M6 of 8.8, 13 mm engaged in cast aluminium, dry, under a hexagon of 10 mm.
    fn bolt(key: &str, passes: &[&str]) -> Fixing {
        let mm = Length::from_mm;
        Fixing {
            key: key.into(),
            title: key.into(),
            part: PartId::new(0),
            kind: FastenerKind::Bolt,
            thread: "M6".parse().ok(),
            is_left_hand: false,
            length: Some(mm(25.0)),
            class: Some(PropertyClass::C8_8),
            drive: Drive::new(DriveForm::Hexagon, 10.0),
            head: HeadDimensions { grip_height: mm(6.0), diameter: mm(11.5), protrusion: Length::ZERO },
            holes: Vec::new(),
            are_places_known: false,
            engagement: Known::Exact(mm(13.0)),
            clamped: Some(mm(12.0)),
            tapped_depth: None,
            tapped_in: TappedIn::CastAluminium,
            tightening: Tightening {
                stages: passes.iter().map(|text| stage(text)).collect(),
                pattern: PatternRule::Auto,
                end_torque: None,
                tolerance_fraction: 0.04,
                closing_pass: false,
                source: String::new(),
            },
            joint: None,
            lubrication: Lubrication::Dry,
            one_time: false,
            price: None,
            captive: false,
            slackened: false,
            critical: false,
            history: Vec::new(),
            keep: None,
            accesses: Vec::new(),
            origins: FigureOrigins::default(),
            figures: None,
            reckoned_torque: None,
            world: crate::FixingWorld::default(),
        }
    }

    fn book(fixings: Vec<Fixing>) -> Book {
        Book {
            key: String::from("sample"),
            title: String::from("Sample"),
            origin: String::from("invented"),
            is_invented: true,
            origins: FigureOrigins::default(),
            currency: String::from("EUR"),
            stations: Vec::new(),
            conditions: Vec::new(),
            openings: Vec::new(),
            parts: Vec::new(),
            fixings,
            tasks: Vec::new(),
            special_tools: Vec::new(),
            measures: Vec::new(),
            rules: Vec::new(),
            goals: Vec::new(),
            settings: Vec::new(),
        }
    }

    #[track_caller]
    fn kinds_of(fixing: &Fixing) -> (TorqueVerdict, Vec<&'static str>) {
        let book = book(vec![fixing.clone()]);
        let verdict = tightening_verdict(&book, fixing).expect("a torque");
        (verdict.standing(), verdict.grounds.iter().map(bolting::verdict::TighteningGround::name).collect())
    }

    #[test]
    fn the_greatest_pass_is_judged_with_what_the_book_tells() {
        let sound = bolt("a", &["5 N·m", "9 N·m"]);
        assert_eq!(greatest_pass(&sound), Some((1, Torque::from_n_m(9.0))));
        assert_eq!(kinds_of(&sound), (TorqueVerdict::Plausible, Vec::new()));
        let unknown = Fixing { class: None, engagement: Known::Nothing, ..sound.clone() };
        let told = Fixing { lubrication: Lubrication::Unstated, ..unknown };
        let notes = vec!["class-unknown", "lubrication-unknown", "engagement-unknown"];
        assert_eq!(kinds_of(&told), (TorqueVerdict::Plausible, notes));
        let short = Fixing { tapped_in: TappedIn::Plastic, ..sound };
        assert_eq!(kinds_of(&short).1, ["strips"]);
    }

    #[test]
    fn an_angle_past_yield_asks_unless_the_bolt_is_renewed() {
        let turned = bolt("a", &["5 N·m", "90°"]);
        assert_eq!(kinds_of(&turned), (TorqueVerdict::Unusual, vec!["turns-past-yield"]));
        let renewed = Fixing { one_time: true, ..turned.clone() };
        assert_eq!(kinds_of(&renewed), (TorqueVerdict::Plausible, vec!["one-time"]));
        let unclamped = Fixing { clamped: None, ..turned };
        assert_eq!(kinds_of(&unclamped).1, ["turn-not-known"]);
    }

    /// Three like bolts at 9 N·m: 12 lies within the band of the thread and a third above its like.
    #[test]
    fn like_fixings_are_witnesses_and_others_are_not() {
        let odd = bolt("odd", &["12 N·m"]);
        let like = ["a", "b", "c"].map(|key| bolt(key, &["9 N·m"]));
        let among = |others: Vec<Fixing>| {
            let book = book(others.into_iter().chain([odd.clone()]).collect());
            tightening_verdict(&book, &odd).expect("a torque").standing()
        };
        assert_eq!(among(like.to_vec()), TorqueVerdict::Unusual);
        let oiled = like.clone().map(|one| Fixing { lubrication: Lubrication::Oiled, ..one });
        assert_eq!(among(oiled.to_vec()), TorqueVerdict::Plausible);
        let turned = like.map(|one| Fixing { tightening: bolt("x", &["9 N·m", "30°"]).tightening, ..one });
        assert_eq!(among(turned.to_vec()), TorqueVerdict::Plausible);
    }

    #[test]
    fn a_specification_allows_what_it_says_in_the_unit_it_is_written_in() {
        let spec = bolt("a", &["7 to 11 N·m"]);
        assert!((allowed_deviation_fraction(&spec) - 2.0 / 9.0).abs() < 1e-12);
        let range = allowed_torques(&spec, Torque::from_n_m(9.0));
        assert!((range.low().as_n_m() - 7.0).abs() < 1e-9 && (range.high().as_n_m() - 11.0).abs() < 1e-9);
        assert_eq!(allowed_deviation_fraction(&bolt("a", &["9 N·m"])), 0.04);
        for (text, symbol) in [
            ("9 N·m", "N·m"),
            ("80 lbf·in", "lbf·in"),
            ("21 to 26 lbf·ft", "lbf·ft"),
            ("10 +5 -3 N·m", "N·m"),
            ("a word", "N·m"),
        ] {
            assert_eq!(written_unit(text).symbol, symbol, "{text}");
        }
    }

    /// A plug or a hollow bolt in a pipe thread: nothing is called plausible, and nothing strips.
    #[test]
    fn a_pipe_thread_has_no_verdict_and_a_wide_band_to_choose_a_tool_by() {
        let taper = Fixing { thread: "1/8-27 NPT".parse().ok(), ..bolt("a", &["300 N·m"]) };
        assert_eq!(tightening_verdict(&book(vec![taper.clone()]), &taper), None);
        assert_eq!((taper.plausible_torques(), taper.screw_thread()), (None, None));
        assert_eq!(crate::reckoned_torques(&taper), None, "a figure is told");
        let untold = Fixing { tightening: bolt("a", &[]).tightening, engagement: Known::Nothing, ..taper };
        let (low, high) = crate::reckoned_torques(&untold).expect("a band");
        assert!((low.as_n_m() - 4.0).abs() < 1e-9 && (high.as_n_m() - 32.0).abs() < 1e-9, "{low} {high}");
        assert!((untold.turns_to_free() - 7.5).abs() < 1e-9, "{}", untold.turns_to_free());
        assert_eq!(untold.size_words().as_deref(), Some("1/8-27 NPT × 25, 8.8"));
        assert!(untold.wants_tightening() && untold.is_figure_missing());
        // A like bolt in a screw thread does not take it for a witness.
        let odd = bolt("odd", &["9 N·m"]);
        let among = [odd.clone(), Fixing { key: "b".into(), ..untold }];
        assert!(sibling_torques(&book(among.to_vec()), &odd).is_empty());
    }

    #[test]
    fn heads_and_kinds_are_told_apart() {
        let plain = bolt("a", &["9 N·m"]);
        assert_eq!(bearing_head(&plain), BearingHead::Hexagon);
        let wide = HeadDimensions { diameter: Length::from_mm(13.5), ..plain.head };
        assert_eq!(bearing_head(&Fixing { head: wide, ..plain.clone() }), BearingHead::Flange);
        let socket = Drive::new(DriveForm::HexSocket, 5.0);
        assert_eq!(bearing_head(&Fixing { drive: socket, ..plain.clone() }), BearingHead::Cylinder);
        let drain = Fixing { kind: FastenerKind::ThreadedPlug, ..plain.clone() };
        assert_eq!(tightening_verdict(&book(vec![drain.clone()]), &drain), None);
        let threadless = Fixing { thread: None, ..plain };
        assert_eq!(kinds_of(&threadless).1, ["thread-unknown"]);
    }
}
