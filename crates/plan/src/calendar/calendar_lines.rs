//! From a run of the policy to lines, critical path, slack, and what is done meanwhile.

use super::dispatch::{DispatchRun, HeldBackRun};
use super::net::CalendarNet;
use super::{Calendar, CalendarLine, CalendarRequest, FinishSpread, LineStartReason, Meanwhile, ShopHours};

/// Rounding of the clock.
const CLOCK_ROUNDING_S: f64 = 1.0e-3;

pub(super) fn write_calendar(
    net: &CalendarNet,
    asked: &CalendarRequest,
    held: HeldBackRun,
    spread: FinishSpread,
    plan_order: bool,
) -> Calendar {
    let shop = asked.shop.clamp_to_range();
    let run = &held.run;
    let slack_s = slack_s(net, &shop, run);
    let line = |node: &usize| CalendarLine {
        steps: net.steps[*node].clone(),
        text: net.texts[*node].clone(),
        start_s: run.start_s[*node],
        end_s: run.end_s[*node],
        work_s: run.bench_s[*node],
        slack_s: slack_s[*node],
        helper: net.helper[*node],
    };
    Calendar {
        lines: run.order.iter().map(line).collect(),
        critical: critical_path(net, &shop, &held),
        waits: meanwhile_waits(net, &shop, run),
        too_long: held.too_long.clone(),
        finish_s: run.finish_s,
        spread,
        without_helper: net.without_helper(asked.helper),
        plan_order,
        assumptions: assumption_words(asked, &shop),
    }
}

fn assumption_words(asked: &CalendarRequest, shop: &ShopHours) -> Vec<String> {
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    vec![
        format!("needs and interruptions take {} of shop hours", percent(shop.interruption_fraction)),
        format!(
            "the time of one piece of work varies by about {}, that of the whole job by about {} (one standard deviation)",
            percent(times::PIECE_SPREAD_RATIO),
            percent(asked.shared.spread_ratio)
        ),
        String::from(
            "a fastener that will not come out adds about half an hour; how likely that is depends on its history",
        ),
        String::from("waits continue while the shop is closed; work does not"),
    ]
}

/// The positions in the order of the work of each node.
fn order_positions(run: &DispatchRun) -> Vec<usize> {
    let mut position = vec![0; run.order.len()];
    run.order.iter().enumerate().for_each(|(at, node)| position[*node] = at);
    position
}

fn critical_path(net: &CalendarNet, shop: &ShopHours, held: &HeldBackRun) -> Vec<(usize, LineStartReason)> {
    let run = &held.run;
    let position = order_positions(run);
    let mut chain = Vec::new();
    let mut at = run.order.len().checked_sub(1);
    while let Some(here) = at {
        let why = line_start_reason(net, shop, held, &position, here);
        at = match &why {
            LineStartReason::Hands(before) | LineStartReason::Wait(before, _) => Some(*before),
            LineStartReason::Start | LineStartReason::Arrival(_) | LineStartReason::HeldBack => None,
        };
        chain.push((here, why));
    }
    chain.reverse();
    chain
}

/// Why the line at a position starts when it does: the mechanic was busy until then, or else the last thing it waited for.
fn line_start_reason(
    net: &CalendarNet,
    shop: &ShopHours,
    held: &HeldBackRun,
    position: &[usize],
    here: usize,
) -> LineStartReason {
    let run = &held.run;
    let node = run.order[here];
    let free_s = match here.checked_sub(1) {
        Some(before) => run.end_s[run.order[before]],
        None => shop.start_s,
    };
    if shop.open_from_s(free_s) + CLOCK_ROUNDING_S >= run.start_s[node] {
        return here.checked_sub(1).map_or(LineStartReason::Start, LineStartReason::Hands);
    }
    let mut best = (held.releases_s[node], LineStartReason::HeldBack);
    for lag in &net.before[node] {
        let over_s = run.end_s[lag.from] + lag.wait_s;
        if over_s >= best.0 {
            best = (over_s, LineStartReason::Wait(position[lag.from], net.titles[lag.title].clone()));
        }
    }
    if let Some((at_s, what)) = net.arrival[node].as_ref().filter(|(at_s, _)| *at_s > best.0) {
        best = (*at_s, LineStartReason::Arrival(what.clone()));
    }
    best.1
}

/// How much working time later each node may start without a later finish, every node in its turn and every wait kept.
fn slack_s(net: &CalendarNet, shop: &ShopHours, run: &DispatchRun) -> Vec<f64> {
    // Latest ends, as open time left until the finish; waits count from the actual ends, by the wall clock.
    let mut slack_s = vec![f64::INFINITY; net.len()];
    for (at, node) in run.order.iter().enumerate().rev() {
        let mut own_s = shop.open_between_s(run.end_s[*node], run.finish_s);
        if let Some(next) = run.order.get(at + 1) {
            let idle_s = shop.open_between_s(run.end_s[*node], run.start_s[*next]);
            own_s = own_s.min(slack_s[*next] + idle_s);
        }
        for next in &net.after[*node] {
            for lag in net.before[*next].iter().filter(|l| l.from == *node) {
                let over_s = run.end_s[*node] + lag.wait_s;
                own_s = own_s.min(slack_s[*next] + shop.open_between_s(over_s, run.start_s[*next]));
            }
        }
        slack_s[*node] = own_s;
    }
    slack_s
}

/// Waits in the order in which they begin, each with the lines that start within it.
fn meanwhile_waits(net: &CalendarNet, shop: &ShopHours, run: &DispatchRun) -> Vec<Meanwhile> {
    let mut found: Vec<Meanwhile> = Vec::new();
    for title in 1..net.titles.len() {
        let lags = net.before.iter().flatten().filter(|l| l.title == title && l.wait_s > 0.0);
        let ends = lags.map(|l| (run.end_s[l.from], l.wait_s));
        let Some((from_s, wait_s)) = ends.max_by(|a, b| a.0.total_cmp(&b.0)) else { continue };
        let until_s = from_s + wait_s;
        let inside = |at: &usize| {
            let start_s = run.start_s[run.order[*at]];
            start_s + CLOCK_ROUNDING_S >= from_s && start_s + CLOCK_ROUNDING_S < until_s
        };
        let lines: Vec<usize> = (0..run.order.len()).filter(inside).collect();
        let busy_s: f64 = lines
            .iter()
            .map(|at| run.order[*at])
            .map(|n| shop.open_between_s(run.start_s[n], run.end_s[n].min(until_s)))
            .sum();
        let last_s = until_s.min(run.finish_s);
        let idle_s = (shop.open_between_s(from_s, last_s) - busy_s).max(0.0);
        found.push(Meanwhile { title: net.titles[title].clone(), from_s, until_s, lines, idle_s });
    }
    found.sort_by(|a, b| a.from_s.total_cmp(&b.from_s).then_with(|| a.title.cmp(&b.title)));
    found.dedup();
    found
}
