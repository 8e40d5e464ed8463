//! The demo books and store: their size, a clean judgement of every plan, and the truth of every gap.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use app::ask::{self, JudgedPlan, PlanRequest, SilentObserver};
use app::load;
use app::model::plan::KitObjective;
use app::model::{Book, Store};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

fn book(name: &str) -> Book {
    load::load_book(&demo("books").join(name)).unwrap_or_else(|e| panic!("{e}"))
}

fn store() -> Store {
    load::load_store(&demo("store")).unwrap_or_else(|e| panic!("{e}"))
}

fn request(tasks: &[&str], objective: KitObjective, seconds: f64) -> PlanRequest {
    let tasks = tasks.iter().map(|t| (*t).to_owned()).collect();
    PlanRequest {
        vehicle: String::from("A"),
        tasks,
        objective,
        seconds: Some(seconds),
        stop_after_s: None,
        seed: 7,
        threads: 2,
    }
}

fn plan(book: &Book, store: &Store, request: &PlanRequest) -> JudgedPlan {
    ask::make_judged_plan(book, store, request, &SilentObserver).unwrap_or_else(|e| panic!("{e}"))
}

#[track_caller]
fn assert_clean(answer: &JudgedPlan) {
    let words: Vec<String> =
        answer.violations.iter().take(8).map(|v| format!("{} {}: {}", v.code, v.place, v.words)).collect();
    assert!(words.is_empty(), "{} violations:\n{}", answer.violations.len(), words.join("\n"));
}

/// The fixings that the readiness sheet for all tasks says cannot be worked.
fn gap_fixings(book: &Book, store: &Store) -> BTreeSet<String> {
    let sheet = ask::assess_readiness(book, store, &request(&[], KitObjective::LeastToCarry, 60.0));
    sheet.unwrap_or_else(|e| panic!("{e}")).gaps.iter().map(|g| g.fixing.clone()).collect()
}

const BOOKS: [&str; 2] = ["tern-24", "curlew-30"];

#[test]
fn the_books_are_as_large_as_a_real_job() {
    for name in BOOKS {
        let book = book(name);
        assert!(book.parts.len() >= 100 && book.fixings.len() >= 70, "{name}");
        assert!(book.fastener_count() >= 380 && book.stations.len() >= 6 && book.tasks.len() >= 14, "{name}");
        assert!(book.parts.iter().filter(|p| p.ways.len() >= 2).count() >= 2, "{name}: any-of ways in");
        assert!(book.fixings.iter().any(|f| f.one_time), "{name}: one-time fasteners");
        assert!(book.origin.contains("invented"), "{name}: says that it is invented");
    }
    let pieces: u32 = store().pieces.iter().map(|p| u32::from(p.count)).sum();
    assert!(pieces >= 240, "{pieces} pieces");
}

#[test]
fn every_plan_of_the_demo_is_judged_clean() {
    let store = store();
    for name in BOOKS {
        let book = book(name);
        for objective in [KitObjective::LeastToCarry, KitObjective::Quickest, KitObjective::LeastToBuy] {
            // A short limit also shows that a stopped search still gives a plan that holds.
            assert_clean(&plan(&book, &store, &request(&[], objective, 2.0)));
        }
        for task in &book.tasks {
            assert_clean(&plan(&book, &store, &request(&[&task.key], KitObjective::LeastToCarry, 0.2)));
        }
    }
}

#[test]
fn the_same_request_gives_the_same_plan() {
    let (book, store) = (book("tern-24"), store());
    let request = request(&["renew-thermostat", "renew-starter"], KitObjective::LeastToCarry, 600.0);
    let first = plan(&book, &store, &request).plan;
    assert_eq!(first, plan(&book, &store, &request).plan);
}

/// A reason for gaps, how it is taken away, and the fixings that it holds up, as `book/fixing`.
struct Reason {
    words: &'static str,
    pieces: &'static str,
    back: &'static [&'static str],
    fixings: &'static [&'static str],
}

/// The reasons that `demo/README.md` states.
const REASONS: &[Reason] = &[
    Reason {
        words: "no torque tool goes that low",
        pieces: "[[piece]]\nkey = 'n1'\nkind = 'torque-screwdriver'\nlink = '1/4 in'\nrange = '1 to 5 N·m'\nplace = 'x / new'\n",
        back: &[],
        fixings: &["tern-24/throttle-sensor-screws", "curlew-30/cam-sensor-right-screws"],
    },
    Reason {
        words: "headroom",
        pieces: "[[piece]]\nkey = 'n2'\nkind = 'socket'\nlink = '3/8 in'\nsize = '16 mm'\nlength = 20\ndepth = 9\ndiameter = 22.2\nplace = 'x / new'\n\
                 [[piece]]\nkey = 'n3'\nkind = 'socket'\nlink = '3/8 in'\nsize = '13 mm'\nlength = 22\ndepth = 9\nplace = 'x / new'\n",
        back: &[],
        fixings: &["tern-24/aux-idler-bolt", "curlew-30/heater-pipe-bolts"],
    },
    Reason {
        words: "E14 is missing",
        pieces: "[[set]]\nset = '1/2 in external hexalobular sockets E14'\nstrength = '400 N·m'\nplace = 'x / new'\n",
        back: &[],
        fixings: &["tern-24/mount-bolts-arm", "curlew-30/bell-upper"],
    },
    Reason {
        words: "deep 11 mm is missing",
        pieces: "[[set]]\nset = '1/4 in deep sockets 11 mm'\nretention = 'magnet'\nplace = 'x / new'\n",
        back: &[],
        fixings: &["curlew-30/shield-right-nuts"],
    },
    Reason {
        words: "only a made tool fits",
        pieces: "[[piece]]\nkey = 'n5'\nkind = 'open-spanner'\nsize = '13 mm'\nthickness = 4\nplace = 'x / new'\n\
                 [[piece]]\nkey = 'n6'\nkind = 'joint'\nlink = '1/4 in'\nmax_angle = '55°'\nplace = 'x / new'\n",
        back: &[],
        fixings: &["tern-24/heater-pipe-nut", "curlew-30/heater-pipe-nuts"],
    },
    Reason {
        words: "out for calibration",
        pieces: "",
        back: &["torque-60-340"],
        fixings: &["tern-24/crank-bolt", "curlew-30/damper-bolt"],
    },
    Reason {
        words: "lent out",
        pieces: "",
        back: &["clamp-pliers-cable"],
        fixings: &["tern-24/heater-clamps-deep", "curlew-30/heater-clamps-deep"],
    },
];

/// The demo's store with the reasons of some gaps taken away.
fn mended(reasons: &[&Reason]) -> Store {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(demo("store")).unwrap() {
        let path = entry.unwrap().path();
        files.push((path.display().to_string(), std::fs::read(&path).unwrap()));
    }
    files.sort();
    let extra: String = reasons.iter().map(|r| r.pieces).collect();
    files.push((String::from("extra.toml"), extra.into_bytes()));
    let mut store = tools::read_store(&files).store.expect("the mended store has no faults");
    for piece in &mut store.pieces {
        if reasons.iter().any(|r| r.back.contains(&piece.key.as_str())) {
            (piece.lent, piece.in_calibration) = (0, 0);
        }
    }
    store
}

#[test]
fn every_gap_is_true_and_closes_with_its_reason() {
    for name in BOOKS {
        let book = book(name);
        let here = |fixings: &[&str]| -> BTreeSet<String> {
            let keys = fixings.iter().filter_map(|f| f.strip_prefix(name)?.strip_prefix('/'));
            keys.map(str::to_owned).collect()
        };
        let all: BTreeSet<String> = REASONS.iter().flat_map(|r| here(r.fixings)).collect();
        let gaps = gap_fixings(&book, &store());
        assert_eq!(gaps, all, "{name}: the gaps that the demo states");
        for reason in REASONS {
            let closed = here(reason.fixings);
            let left = gap_fixings(&book, &mended(&[reason]));
            let expected: BTreeSet<String> = all.difference(&closed).cloned().collect();
            assert_eq!(left, expected, "{name}: without the reason `{}`", reason.words);
        }
        let everything: Vec<&Reason> = REASONS.iter().collect();
        assert_eq!(
            gap_fixings(&book, &mended(&everything)),
            BTreeSet::new(),
            "{name}: with every reason gone"
        );
        let answer = plan(&book, &mended(&everything), &request(&[], KitObjective::LeastToCarry, 2.0));
        assert!(answer.plan.readiness.go, "{name}: nothing stands against starting");
        assert_clean(&answer);
    }
}
