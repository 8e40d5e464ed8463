//! Laws: the exact chance is that of all deals counted, the fast graph is the plain one, and no history stops the program.

use learn::act_times::learn_act_times;
use learn::order_graph::OrderGraph;
use learn::pairing_test::{chance_of_always_first, count_believed};
use learn::precedence::{MIN_CONTRADICTIONS, learn_order};
use learn::visits::{EngineVisit, HistoryFault, MAX_PARTS, MAX_VISITS, PartRemoval};
use proptest::prelude::*;

/// Share of all deals of `a` to `b` in which each `a` comes first, one by one.
fn count_deals(a: &[f64], b: &[f64]) -> f64 {
    fn deal(a: &mut Vec<f64>, b: &[f64], (good, all): (&mut u32, &mut u32)) {
        let Some((place, rest)) = b.split_first() else {
            *good += 1;
            return;
        };
        for at in 0..a.len() {
            let taken = a.remove(at);
            if taken < *place {
                deal(a, rest, (&mut *good, &mut *all));
            }
            a.insert(at, taken);
        }
    }
    let (mut good, mut all) = (0, 0);
    deal(&mut a.to_vec(), b, (&mut good, &mut all));
    f64::from(good) / (1..=a.len()).map(|k| k as f64).product::<f64>()
}

fn visit(name: &str, parts: &[&str]) -> EngineVisit {
    let removal = |(at, part): (usize, &&str)| PartRemoval {
        part: (*part).to_owned(),
        begin_s: at as f64 * 60.0,
        end_s: at as f64 * 60.0 + 50.0,
        pauses: Vec::new(),
    };
    EngineVisit { name: name.to_owned(), removals: parts.iter().enumerate().map(removal).collect() }
}

proptest! {
    #[test]
    fn the_chance_is_that_of_all_deals(pairs in prop::collection::vec((0_u8..12, 0_u8..12), 1..7)) {
        let (a, b): (Vec<f64>, Vec<f64>) = pairs.iter().map(|(a, b)| (f64::from(*a), f64::from(*b))).unzip();
        prop_assert!((chance_of_always_first(&a, &b) - count_deals(&a, &b)).abs() < 1e-12);
    }

    #[test]
    fn the_graph_follows_what_follows(pairs in prop::collection::vec((0_usize..9, 0_usize..9), 0..40)) {
        let mut graph = OrderGraph::of_parts(9);
        let mut plain = [[false; 9]; 9];
        let mut kept = Vec::new();
        for (a, b) in pairs {
            let closes = a == b || plain[b][a];
            prop_assert_eq!(graph.add_pair(a, b), !closes);
            if closes {
                continue;
            }
            kept.push((a, b));
            plain[a][b] = true;
            for middle in 0..9 {
                for x in 0..9 {
                    for y in 0..9 {
                        plain[x][y] |= plain[x][middle] && plain[middle][y];
                    }
                }
            }
        }
        prop_assert!((0..81).all(|at| graph.is_before(at / 9, at % 9) == plain[at / 9][at % 9]));
        let order = graph.order_parts(&[8, 7, 6, 5, 4, 3, 2, 1, 0]);
        prop_assert_eq!(order.len(), 9);
        let place = |part: usize| order.iter().position(|each| *each == part).unwrap();
        prop_assert!(kept.iter().all(|(a, b)| place(*a) < place(*b)));
        // What the reduced pairs leave out follows from them.
        let mut again = OrderGraph::of_parts(9);
        graph.reduce_pairs().into_iter().for_each(|(a, b)| assert!(again.add_pair(a, b)));
        prop_assert!((0..81).all(|at| again.is_before(at / 9, at % 9) == graph.is_before(at / 9, at % 9)));
    }

    /// Any orders over any parts, twice the same part among them: an answer or its reason.
    #[test]
    fn no_history_stops_the_program(
        orders in prop::collection::vec(prop::collection::vec(0_u8..14, 0..14), 0..9),
        begin_s in prop::num::f64::ANY,
    ) {
        let names: Vec<Vec<String>> = orders.iter().map(|order| order.iter().map(|part| format!("p{part}")).collect()).collect();
        let visits: Vec<EngineVisit> = names
            .iter()
            .map(|order| visit("v", &order.iter().map(String::as_str).collect::<Vec<_>>()))
            .collect();
        match learn_order(&visits, &[]) {
            Ok(learned) => {
                let place = |part: &str| learned.safe_order.iter().position(|each| each == part).unwrap();
                for pair in &learned.candidates {
                    prop_assert!(pair.contradictions < MIN_CONTRADICTIONS);
                    prop_assert!(place(&pair.first) < place(&pair.then), "the safe order keeps {pair:?}");
                }
            }
            Err(fault) => {
                prop_assert!(matches!(fault, HistoryFault::PartTwice { .. }), "{}", fault);
            }
        }
        let mut odd = visits;
        if let Some(removal) = odd.first_mut().and_then(|visit| visit.removals.first_mut()) {
            removal.begin_s = begin_s;
        }
        if let Ok(times) = learn_act_times(&odd) {
            prop_assert!(times.iter().all(|time| time.typical_s.is_finite() && time.typical_s > 0.0));
        }
    }
}

/// From Benjamini and Hochberg's paper of 1995, section 3.2 (from memory): fifteen chances, of which the rule at 0.05 believes the first four.
#[test]
fn the_rule_believes_four_of_fifteen() {
    let p = [
        0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719,
        0.6528, 0.7590, 1.0,
    ];
    assert_eq!(count_believed(&p, p.len(), 0.05), 4);
    assert_eq!(count_believed(&[], 10, 0.05), 0);
}

#[test]
fn two_visits_or_a_person_end_a_candidate() {
    let there = visit("there", &["cover", "pump"]);
    let back = visit("back", &["pump", "cover"]);
    let is_candidate = |visits: &[EngineVisit], freed: &[(String, String)]| {
        let learned = learn_order(visits, freed).unwrap();
        assert_eq!(learned.candidates.len() + learned.free_pairs, 1);
        learned.candidates.first().map(|pair| (pair.first.clone(), pair.contradictions))
    };
    let five = vec![there.clone(); 5];
    assert_eq!(is_candidate(&five, &[]), Some((String::from("cover"), 0)));
    let once = [five.clone(), vec![back.clone()]].concat();
    assert_eq!(is_candidate(&once, &[]), Some((String::from("cover"), 1)));
    let twice = [once, vec![back]].concat();
    assert_eq!(is_candidate(&twice, &[]), None);
    let freed = (String::from("pump"), String::from("cover"));
    assert_eq!(is_candidate(&five, &[freed]), None);
}

#[test]
fn too_many_and_twice_are_refused_with_what_to_do() {
    let many = vec![visit("v", &["a"]); MAX_VISITS + 1];
    assert!(learn_order(&many, &[]).unwrap_err().to_string().contains("ask for fewer"));
    let names: Vec<String> = (0..=MAX_PARTS).map(|at| format!("p{at}")).collect();
    let wide = visit("v", &names.iter().map(String::as_str).collect::<Vec<_>>());
    assert!(matches!(learn_order(&[wide], &[]), Err(HistoryFault::TooMany { what: "parts", .. })));
    let twice = learn_order(&[visit("spring", &["a", "b", "a"])], &[]).unwrap_err();
    assert_eq!(twice, HistoryFault::PartTwice { visit: String::from("spring"), part: String::from("a") });
    assert!(learn_order(&[], &[]).unwrap().safe_order.is_empty());
}
