//! Sums of log-normals against played sums, and the quantiles used against published tables.

use bolting::tolerance::{normal_quantile, student_quantile};
use times::BREAK_OUT_S;
use times::draws::{TimeDraws, sample_at};
use times::sum::BREAK_OUT_SPREAD_RATIO;
use times::{
    FactorPrior, FinishedItem, PIECE_SPREAD_RATIO, SharedFactor, TimeSettings, WorkSum, follow_times,
    learn_factor,
};
use units::math;

/// Tables of Student's t (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, upper critical values; the column for 80 % from common
/// tables of the distribution), and of the normal distribution: from memory, to three decimals, tolerance half of the last.
#[test]
fn quantiles_are_those_of_the_tables() {
    let table = [
        (0.90, 1.0, 3.078),
        (0.95, 1.0, 6.314),
        (0.90, 4.0, 1.533),
        (0.95, 4.0, 2.132),
        (0.975, 10.0, 2.228),
        (0.95, 30.0, 1.697),
        (0.80, 1.0, 1.376),
        (0.80, 4.0, 0.941),
        (0.80, 10.0, 0.879),
        (0.80, 30.0, 0.854),
    ];
    for (share, freedom, expected) in table {
        let found = student_quantile(share, freedom);
        assert!(
            (found - expected).abs() <= 5.0e-4,
            "{share} with {freedom}: {found}, the table says {expected}"
        );
    }
    assert!((normal_quantile(0.8) - 0.8416).abs() <= 5.0e-5);
}

fn shared(mean_log_ratio: f64, spread_ratio: f64) -> SharedFactor {
    SharedFactor { mean_log_ratio, spread_ratio, freedom_count: 1.0e6 }
}

/// The same job played: by its definition, without any approximation.
fn play(work: &WorkSum, shared: &SharedFactor, samples: u32) -> (f64, f64) {
    let mut sums: Vec<f64> = (0..samples)
        .map(|sample| {
            let mut draws = TimeDraws::of_sample(7, sample);
            let factor = math::exp(shared.mean_log_ratio + shared.spread_ratio * draws.draw_normal());
            let piece =
                |t: &f64, draws: &mut TimeDraws| t * math::exp(PIECE_SPREAD_RATIO * draws.draw_normal());
            let alone: f64 = work.pieces_s.iter().map(|t| piece(t, &mut draws)).sum();
            let mut out = 0.0;
            for p in &work.break_outs {
                if draws.draw_uniform() < *p {
                    out += BREAK_OUT_S * math::exp(BREAK_OUT_SPREAD_RATIO * draws.draw_normal());
                }
            }
            factor * alone + out
        })
        .collect();
    sums.sort_by(f64::total_cmp);
    (sample_at(&sums, 50), sample_at(&sums, 80))
}

/// Fenton and Wilkinson's sum against the played one. With 40,000 samples the played figures themselves are good to about 0.5 %; the rest of the
/// tolerance is the approximation's.
#[test]
fn ranges_are_those_of_played_sums() {
    let prior = FactorPrior::assumed();
    let usual = learn_factor(&prior, &[]).of_next_visit();
    let cases = [
        ("a hundred pieces", vec![600.0; 100], vec![0.001; 300], usual, 0.01),
        ("three pieces, one of them large", vec![7_200.0, 600.0, 300.0], vec![], usual, 0.02),
        ("one piece", vec![1_800.0], vec![], usual, 0.01),
        ("a job without a shared factor", vec![600.0; 20], vec![], shared(0.0, 1.0e-9), 0.01),
        ("many fasteners that may not come", vec![600.0; 60], vec![0.05; 60], usual, 0.02),
    ];
    for (name, pieces_s, break_outs, factor, tolerance) in cases {
        let work = WorkSum { pieces_s, break_outs };
        let told = work.likely_range(&factor);
        let (half, likely) = play(&work, &SharedFactor { freedom_count: 1.0e6, ..factor }, 40_000);
        for (told, played) in [(told.p50_s, half), (told.p80_s, likely)] {
            assert!((told / played - 1.0).abs() < tolerance, "{name}: {told} where {played} was played");
        }
    }
}

/// Pieces in one visit share a factor, so that more of them do not make a job sure.
#[test]
fn what_a_visit_shares_does_not_even_out() {
    let factor = learn_factor(&FactorPrior::assumed(), &[]).of_next_visit();
    let width = |pieces: usize| {
        let range = WorkSum { pieces_s: vec![600.0; pieces], break_outs: Vec::new() }.likely_range(&factor);
        range.p80_s / range.p50_s
    };
    assert!(width(10) > width(1_000));
    assert!(width(1_000) > 1.25, "{}", width(1_000));
}

/// The allowance is where the mechanic's factor begins, and finished visits overrule it.
#[test]
fn the_allowance_is_where_learning_begins() {
    let settings = TimeSettings::of_percent(40, 100).expect("in range");
    let prior = FactorPrior::of_settings(&settings);
    assert!((learn_factor(&prior, &[]).mean_log_ratio - math::ln(1.4)).abs() < 1.0e-12);
    let item = FinishedItem { estimated_s: 600.0, actual_s: 660.0, spread_ratio: PIECE_SPREAD_RATIO };
    let visits = vec![vec![item; 60]; 12];
    let learned = learn_factor(&prior, &visits).mean_log_ratio;
    assert!((math::exp(learned) - 1.1).abs() < 0.01, "{learned}");
    assert_eq!(TimeSettings::of_percent(201, 100), None);
    assert_eq!(TimeSettings::of_percent(15, 99), None);
}

/// With few visits behind the spread of visits, the 80 % point is Student's: a visit between it and the normal one counts as held.
#[test]
fn few_visits_are_told_by_student() {
    let prior = FactorPrior {
        mean_log_ratio: 0.0,
        mechanic_spread_ratio: 1.0e-6,
        visit_spread_ratio: 0.2,
        visit_weight_count: 1,
        own_weight_count: 20,
    };
    // One degree of freedom: 1.376 spreads where the normal distribution has 0.842.
    let visit = |spreads: f64| {
        let item = FinishedItem {
            estimated_s: 600.0,
            actual_s: 600.0 * math::exp(0.2 * spreads),
            spread_ratio: 0.0,
        };
        vec![vec![item; 400]]
    };
    let held = |spreads: f64| follow_times(&prior, &visit(spreads)).held;
    assert_eq!([held(0.8), held(1.3), held(1.45)], [1, 1, 0]);
}
