//! How often the clutch's bound holds, and how often a session's warnings come, over simulated calibrations.
//!
//! The truth of each case is chosen, so its 99 % point is known exactly; nothing here is taken from the crate's own answer. Runs a case:
//! 600, in a long run 5,000. The limits of the warnings are widened by three standard errors of the count in the short run only.

use std::sync::OnceLock;

use bolting::driver::{self, ClutchCaution, ClutchReading};
use bolting::tolerance;
use rand::RngExt;
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;
use units::Torque;

#[path = "../../../tests/long.rs"]
mod long;

fn runs() -> u32 {
    static RUNS: OnceLock<u32> = OnceLock::new();
    *RUNS.get_or_init(|| long::choose_count("calibrations a case", 600, 5_000))
}

/// Three standard errors of a share of the runs; none in the long run, which meets the limits as they are.
fn slack(share: f64) -> f64 {
    if runs() < 5_000 { 3.0 * standard_error(share) } else { 0.0 }
}

/// Standard error of a share of the runs.
fn standard_error(share: f64) -> f64 {
    f64::sqrt(share * (1.0 - share) / f64::from(runs()))
}

/// A clutch made up for the test: its mean and scatter by step, and how the torque changes along the session.
struct Clutch {
    mean_n_m: fn(u32) -> f64,
    scatter_n_m: fn(u32) -> f64,
    fall_fraction: f64,
}

const STEPS: u32 = 5;

fn line_n_m(step: u32) -> f64 {
    1.0 + f64::from(step)
}

const EVEN: Clutch = Clutch { mean_n_m: line_n_m, scatter_n_m: |_| 0.06, fall_fraction: 0.0 };
const GROWING: Clutch =
    Clutch { mean_n_m: line_n_m, scatter_n_m: |step| 0.03 * line_n_m(step), fall_fraction: 0.0 };
const BENT: Clutch = Clutch {
    mean_n_m: |step| 1.0 + 0.15 * f64::from(step * step),
    scatter_n_m: |_| 0.05,
    fall_fraction: 0.0,
};
/// Steps that lie near each other, where even and growing scatter are one.
const NEAR: Clutch =
    Clutch { mean_n_m: |step| 4.0 + 0.1 * f64::from(step), scatter_n_m: |_| 0.06, fall_fraction: 0.0 };
const STEEP: Clutch = Clutch {
    mean_n_m: |step| 0.5 * f64::from(1_u32 << step),
    scatter_n_m: |step| 0.015 * f64::from(1_u32 << step),
    fall_fraction: 0.0,
};
const NOISY_LOW: Clutch = Clutch {
    mean_n_m: line_n_m,
    scatter_n_m: |step| if step == 1 { 0.20 } else { 0.05 },
    fall_fraction: 0.0,
};
const NOISY_MIDDLE: Clutch = Clutch {
    mean_n_m: line_n_m,
    scatter_n_m: |step| if step == 3 { 0.25 } else { 0.05 },
    fall_fraction: 0.0,
};
const DOUBLING: Clutch =
    Clutch { mean_n_m: line_n_m, scatter_n_m: |step| 0.01 * f64::from(1_u32 << step), fall_fraction: 0.0 };
const FALLING: Clutch = Clutch { fall_fraction: 0.08, ..EVEN };

impl Clutch {
    /// Readings of a session that takes the steps in turn.
    fn in_turn(&self, each: u32, random: &mut Pcg64Mcg) -> Vec<ClutchReading> {
        let steps =
            (0..each).flat_map(|round| (1..=STEPS).map(move |step| (round, step))).collect::<Vec<_>>();
        self.session(&steps, random)
    }

    /// Readings of a session that goes step by step.
    fn in_blocks(&self, each: u32, random: &mut Pcg64Mcg) -> Vec<ClutchReading> {
        let steps =
            (1..=STEPS).flat_map(|step| (0..each).map(move |round| (round, step))).collect::<Vec<_>>();
        self.session(&steps, random)
    }

    fn session(&self, places: &[(u32, u32)], random: &mut Pcg64Mcg) -> Vec<ClutchReading> {
        let last = places.len() as f64 - 1.0;
        let reading = |(place, (fastener, step)): (usize, &(u32, u32))| {
            let z = tolerance::normal_quantile(random.random_range(1e-12..1.0 - 1e-12));
            let battery = 1.0 - self.fall_fraction * place as f64 / last;
            let n_m = ((self.mean_n_m)(*step) + z * (self.scatter_n_m)(*step)) * battery;
            ClutchReading { step: *step, torque: Torque::from_n_m(n_m), fastener: *fastener }
        };
        places.iter().enumerate().map(reading).collect()
    }

    /// Torque that 99 of 100 stay below: the 99 % point of the normal distribution is 2.326348 (any table).
    fn true_n_m(&self, step: u32) -> f64 {
        (self.mean_n_m)(step) + 2.326_347_874 * (self.scatter_n_m)(step)
    }
}

/// At least 94.4 % where the assumptions hold, at most 97.5 %: over the steps of each case, for a line and a bend, an even, a growing and an
/// uneven scatter. At every single step the share is what the theory of the bound says, 95 %, within 3.5 standard errors of the count:
/// of 30 shares that are truly 95 %, one falls outside in 14 of 1,000 such tests, while one or more would fall below 94.4 % in half of them.
#[test]
fn the_bound_holds_as_often_as_promised_at_every_step() {
    let cases = [
        ("even, 5 a step", &EVEN, 5),
        ("even, 3 a step", &EVEN, 3),
        ("growing, 5 a step", &GROWING, 5),
        ("bent, 5 a step", &BENT, 5),
        ("one noisy step", &NOISY_MIDDLE, 5),
        ("doubling", &DOUBLING, 5),
    ];
    for (case, (name, clutch, each)) in (1_u64..).zip(cases) {
        let mut held = [0_u32; STEPS as usize];
        for seed in 0..runs() {
            // Each case has its own readings: the bound keeps its chance under any mean and scatter, so shared ones would count once.
            let seed = case * 1_000_000 + u64::from(seed);
            let readings = clutch.in_turn(each, &mut Pcg64Mcg::seed_from_u64(seed));
            let calibration = driver::calibrate_clutch(&readings).expect("enough readings");
            for step in 1..=STEPS {
                let bound = calibration.bound_at_step(step, 0.99, 0.95).expect("a step tried");
                held[step as usize - 1] += u32::from(bound.upper.as_n_m() >= clutch.true_n_m(step));
            }
        }
        let shares = held.map(|h| f64::from(h) / f64::from(runs()));
        println!("{name}: {shares:.4?}");
        let all = shares.iter().sum::<f64>() / f64::from(STEPS);
        assert!((0.944 - slack(0.944)..=0.975 + slack(0.975)).contains(&all), "{name}: {all:.4}");
        for share in shares {
            let off = (share - 0.95).abs();
            assert!(off <= 3.5 * standard_error(0.95), "{name}: {shares:.4?}");
        }
    }
}

/// Share of sessions in which some caution of a kind comes.
fn warned_share(clutch: &Clutch, each: u32, in_turn: bool, kind: fn(&ClutchCaution) -> bool) -> f64 {
    let warned = |seed: &u32| {
        let random = &mut Pcg64Mcg::seed_from_u64(u64::from(*seed) + 90_000);
        let readings = if in_turn { clutch.in_turn(each, random) } else { clutch.in_blocks(each, random) };
        driver::calibrate_clutch(&readings).expect("enough readings").cautions().iter().any(kind)
    };
    (0..runs()).filter(warned).count() as f64 / f64::from(runs())
}

fn is_uneven(caution: &ClutchCaution) -> bool {
    matches!(caution, ClutchCaution::UnevenScatter { .. })
}

fn is_order(caution: &ClutchCaution) -> bool {
    matches!(caution, ClutchCaution::OrderMatters { .. })
}

/// One noisy step is warned of in 9 of 10 from six run-downs a step on. **With five, a scatter four times as great is found in 87 of 100
/// only**: even where it were known that the others scatter alike, the best test that treats all steps alike, at 5 %, finds it in 87.5
/// (`P(16·F(4, 16) > 4.77)`, any table of F). Five times as great is found in 93.
#[test]
fn a_noisy_step_is_warned_of() {
    for (name, clutch) in [("low step 4 ×", &NOISY_LOW), ("middle step 5 ×", &NOISY_MIDDLE)] {
        let (five, six) =
            (warned_share(clutch, 5, true, is_uneven), warned_share(clutch, 6, true, is_uneven));
        println!("{name}: 5 a step {five:.3}, 6 a step {six:.3}");
        assert!(six >= 0.90 - slack(0.90), "{name}: {six:.3} with six a step");
        assert!(five >= 0.86 - slack(0.86), "{name}: {five:.3} with five a step");
    }
    for (name, clutch) in
        [("even", &EVEN), ("growing", &GROWING), ("bent", &BENT), ("near", &NEAR), ("steep", &STEEP)]
    {
        for each in [3, 5, 8] {
            let alarms = warned_share(clutch, each, true, is_uneven);
            println!("{name}, {each} a step: false alarms {alarms:.3}");
            assert!(alarms <= 0.05 + slack(0.05), "{name}, {each}: {alarms:.3} false alarms");
        }
    }
}

/// A battery that falls by 8 % is warned of in 9 of 10 where the steps were taken in turn; where they were not, the session says that it
/// could not have been seen. Sound sessions raise the alarm in at most 5 of 100.
#[test]
fn a_falling_battery_is_warned_of() {
    let found = warned_share(&FALLING, 5, true, is_order);
    println!("falling battery, in turn: {found:.3}");
    assert!(found >= 0.90, "{found:.3}");
    for (name, clutch) in [("even", &EVEN), ("growing", &GROWING), ("bent", &BENT)] {
        let alarms = warned_share(clutch, 5, true, is_order);
        println!("{name}: false alarms of order {alarms:.3}");
        assert!(alarms <= 0.05 + slack(0.05), "{name}: {alarms:.3}");
    }
    let told = warned_share(&FALLING, 5, false, |caution| {
        matches!(caution, ClutchCaution::OrderHidden { .. } | ClutchCaution::OrderMatters { .. })
    });
    println!("falling battery, step by step: told {told:.3}");
    assert!(told >= 0.90, "{told:.3}");
    let hidden = warned_share(&EVEN, 5, true, |c| matches!(c, ClutchCaution::OrderHidden { .. }));
    assert!(hidden <= 0.05, "{hidden:.3} of sessions in turn are said to hide what they show");
}

/// Two sessions with 5 % between them are no one calibration; two that agree are.
#[test]
fn sessions_that_disagree_are_told() {
    let (mut found, mut alarms) = (0, 0);
    for seed in 0..runs() {
        let mut random = Pcg64Mcg::seed_from_u64(u64::from(seed) + 3_000);
        let (first, second) = (EVEN.in_turn(4, &mut random), EVEN.in_turn(4, &mut random));
        let sessions: Vec<u32> = [vec![1; first.len()], vec![2; second.len()]].concat();
        let same = [first.clone(), second.clone()].concat();
        alarms += u32::from(driver::find_session_shift(&same, &sessions).is_some());
        let off = second.iter().map(|r| ClutchReading { torque: r.torque * 1.05, ..*r });
        let mixed: Vec<ClutchReading> = first.into_iter().chain(off).collect();
        found += u32::from(matches!(
            driver::find_session_shift(&mixed, &sessions),
            Some(ClutchCaution::SessionsDiffer { session: 2, shift_fraction }) if shift_fraction > 0.0
        ));
    }
    let share = |count: u32| f64::from(count) / f64::from(runs());
    println!("sessions 5 % apart: found {:.3}, false alarms {:.3}", share(found), share(alarms));
    assert!(share(found) >= 0.9 && share(alarms) <= 0.05 + slack(0.05), "{found} {alarms}");
}
