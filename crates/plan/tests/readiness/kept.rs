//! The sentences of the planner, kept in `snapshots`: why there is no plan, what is in the way, and what to have at hand.

use super::{bolts, made, miss, spec, store, with_pair};
use model::plan::Readiness;
use model::{
    Drive, DriveForm, FastenerKind, HistoryCause, MissKind, PieceKind, SpecialTool, SpecialToolId, TappedIn,
};
use plan::cart_layout::CartError;
use plan::way_in::WayInError;
use plan::worth::WorthError;
use plan::{PlanError, mix_up, readiness};

/// Compares a page with the one that is kept.
fn keep(name: &str, page: &[String]) {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, page.join("\n"));
    });
}

/// The name of a reason why there is no plan; a new one does not compile here until it is listed below.
const fn plan_error_name(error: &PlanError) -> &'static str {
    match error {
        PlanError::NoTask => "NoTask",
        PlanError::UnknownTask { .. } => "UnknownTask",
        PlanError::UnknownGoal { .. } => "UnknownGoal",
        PlanError::WayIn(WayInError::Circle) => "WayIn",
        PlanError::NoAccess { .. } => "NoAccess",
        PlanError::Misfit { .. } => "Misfit",
        PlanError::NoOrder { .. } => "NoOrder",
        PlanError::Circle { .. } => "Circle",
    }
}

const fn worth_error_name(error: WorthError) -> &'static str {
    match error {
        WorthError::NoWayIn => "NoWayIn",
        WorthError::TooLarge => "TooLarge",
        WorthError::NotFound => "NotFound",
    }
}

const fn cart_error_name(error: &CartError) -> &'static str {
    match error {
        CartError::TooFewPlaces { .. } => "TooFewPlaces",
        CartError::NoSuchPiece(_) => "NoSuchPiece",
        CartError::NoSuchStack(_) => "NoSuchStack",
        CartError::NoSuchCabinet(_) => "NoSuchCabinet",
        CartError::Seconds(_) => "Seconds",
    }
}

#[test]
fn every_reason_why_there_is_no_answer() {
    let plans = [
        PlanError::NoTask,
        PlanError::UnknownTask { key: "renew-thermostad".into() },
        PlanError::UnknownGoal { key: "fly".into() },
        PlanError::WayIn(WayInError::Circle),
        PlanError::NoAccess { fixing: "cover-bolts".into(), hole: "4".into() },
        PlanError::Misfit { words: "the plan is for book `tern-24`, not for `curlew-30`".into() },
        PlanError::NoOrder {
            rules: vec!["something carries the right end of the engine".into()],
            steps: vec!["Take off the right mounting (asks for lift: ground or low)".into()],
            is_proven: true,
        },
        PlanError::Circle { steps: vec!["Take off the cover.".into(), "Take off the plate.".into()] },
    ];
    let worths = [WorthError::NoWayIn, WorthError::TooLarge, WorthError::NotFound];
    let carts = [
        CartError::TooFewPlaces { step: 12, needs: 5 },
        CartError::NoSuchPiece("spoon".into()),
        CartError::NoSuchStack("S99".into()),
        CartError::NoSuchCabinet("green".into()),
        CartError::Seconds("blue".into()),
    ];
    let mut page: Vec<String> = plans.iter().map(|e| format!("plan, {}: {e}", plan_error_name(e))).collect();
    page.extend(worths.iter().map(|e| format!("worth, {}: {e}", worth_error_name(*e))));
    page.extend(carts.iter().map(|e| format!("cart, {}: {e}", cart_error_name(e))));
    keep("no_answer", &page);
}

/// All sentences of a sheet, one a line.
fn sentences(sheet: &Readiness) -> Vec<String> {
    let mut page: Vec<String> = sheet.against.iter().map(|words| format!("against: {words}")).collect();
    page.extend(sheet.gaps.iter().map(|gap| format!("gap: {}", gap.words)));
    page.extend(sheet.shopping.iter().map(|line| format!("{:?}: {}", line.how, line.words)));
    page.extend(sheet.not_at_hand.iter().map(|n| format!("{}: {}", n.state.spoken_word(), n.title)));
    page.extend(sheet.supplies.iter().map(|s| format!("supply: {} {}", s.supply.count, s.supply.name)));
    page.extend(sheet.safety.iter().map(|words| format!("safety: {words}")));
    page
}

#[test]
fn every_reason_against_starting() {
    let (mut book, scope, a, _) = with_pair();
    let tool = |key: &str, can_be_made| SpecialTool {
        key: key.into(),
        title: format!("locking {key}"),
        specification: "pin 8 mm, 60 mm long".into(),
        can_be_made,
    };
    book.special_tools = vec![tool("pin", true), tool("bar", false)];
    let part = book.fixing(a).part;
    book.parts[part.index()].special_tools = vec![SpecialToolId::new(0), SpecialToolId::new(1)];
    book.fixings[a.index()].one_time = true;
    let mut page = Vec::new();
    for kinds in [[MissKind::NoGrip, MissKind::TorqueRange], [MissKind::TooShort, MissKind::TooShort]] {
        let mut scope = scope.clone();
        for (at, duty) in scope.duties.iter_mut().enumerate().take(4) {
            let wanted = spec(PieceKind::Extension, Some((10.0, 60.0)), Some(9.0), "as reach says it");
            duty.workings.clear();
            duty.miss = Some(miss(kinds[at % 2], wanted));
        }
        // One duty of which nothing is known but that it cannot be done.
        if let Some(duty) = scope.duties.get_mut(5) {
            duty.workings.clear();
            duty.miss = None;
        }
        page.extend(sentences(&readiness::readiness_sheet(&book, &store(), &scope)));
        page.push(String::new());
    }
    keep("reasons_against_starting", &page);
}

#[test]
fn every_way_of_getting_a_stuck_fastener_out() {
    let (mut book, scope, a, _) = with_pair();
    let forms = [
        (DriveForm::Hexagon, 10.0),
        (DriveForm::BiHexagon, 10.0),
        (DriveForm::HexSocket, 6.0),
        (DriveForm::Hexalobular, 30.0),
        (DriveForm::ExternalHexalobular, 10.0),
        (DriveForm::CrossRecess, 2.0),
        (DriveForm::CrossRecessZ, 2.0),
        (DriveForm::Slot, 6.0),
        (DriveForm::SpringClamp, 36.0),
        (DriveForm::PushClip, 8.0),
        (DriveForm::Latch, 0.0),
        (DriveForm::Hand, 0.0),
    ];
    let mut page = Vec::new();
    for (at, (form, size)) in forms.into_iter().enumerate() {
        let fixing = &mut book.fixings[a.index()];
        fixing.drive = Drive::new(form, size);
        fixing.history = vec![(HistoryCause::Corrosion, 3.0)];
        fixing.kind = if at == 1 { FastenerKind::Nut } else { FastenerKind::Bolt };
        fixing.tapped_in = if at == 2 { TappedIn::Plastic } else { TappedIn::CastAluminium };
        fixing.thread = "M6".parse().ok();
        let sheet = readiness::readiness_sheet(&book, &store(), &scope);
        page.push(format!("{form:?}"));
        page.extend(sheet.rescue.iter().flat_map(|line| &line.items).map(|item| format!("  {item}")));
    }
    keep("stuck_fasteners", &page);
}

#[test]
fn every_part_of_a_specification() {
    let (book, mut scope) = made(7);
    scope.duties.truncate(2);
    let mut page = Vec::new();
    for (kind, torque, is_bare) in [
        (PieceKind::Extension, None, true),
        (PieceKind::Extension, Some(9.0), false),
        (PieceKind::Joint, Some(24.0), false),
        (PieceKind::TorqueWrench, Some(9.0), true),
    ] {
        // Windows that overlap make one piece, and its words are written anew.
        for (duty, window) in scope.duties.iter_mut().zip([(30.0, 60.0), (50.0, 80.0)]) {
            let mut wanted = spec(kind, Some(window), torque, "as reach says it");
            wanted.retention = !is_bare;
            wanted.max_diameter_mm = (!is_bare).then_some(14.0);
            wanted.max_step_deg = (!is_bare).then_some(5.0);
            wanted.bend_deg = (!is_bare).then_some(25.0);
            duty.workings.clear();
            duty.miss = Some(miss(MissKind::TooShort, wanted));
        }
        let sheet = readiness::readiness_sheet(&book, &store(), &scope);
        page.extend(sheet.shopping.iter().map(|line| line.words.clone()));
    }
    keep("specifications", &page);
}

#[test]
fn every_mix_up() {
    let mut page = Vec::new();
    for shallow_mm in [14.0, 22.0, 6.0] {
        let (book, scope, ..) = bolts(shallow_mm);
        let lines = mix_up::find_mix_ups(&book, &store(), &scope, &[]);
        page.extend(lines.iter().map(|line| format!("{}: {}", line.consequence.file_word(), line.words)));
    }
    page.sort();
    page.dedup();
    keep("mix_ups", &page);
}
