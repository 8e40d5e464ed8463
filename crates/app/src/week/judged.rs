//! A calendar over visits in the judge's own words: the one place where they are written. The tests of `calendar` read it too.

use calendar::hours::WeekHours;
use calendar::{BenchCalendar, BenchLine, BenchQuestion, ItemHands, ItemPace};
use judge::visits::{JudgedHold, JudgedItemLink, JudgedVisitItem, JudgedVisits, JudgedWeek};

/// The calendar as the judge reads it; an item that is not on it begins at no time, which the judge rejects.
pub fn judged_visits(question: &BenchQuestion, laid_out: &BenchCalendar) -> JudgedVisits {
    let mut firsts = Vec::new();
    let mut count = 0;
    for visit in &question.visits {
        firsts.push(count);
        count += visit.items.len();
    }
    let visits = || question.visits.iter().zip(&firsts);
    let links = visits().flat_map(|(visit, first)| {
        visit.links.iter().map(move |link| JudgedItemLink {
            from: first + link.from,
            to: first + link.to,
            wait_s: link.wait_s,
            most_s: link.most_s,
        })
    });
    let holds = visits().flat_map(|(visit, first)| {
        visit.stretches.iter().map(move |stretch| JudgedHold {
            holder: stretch.holder,
            amount: stretch.amount,
            from: stretch.from.map(|from| first + from),
            to: first + stretch.to,
        })
    });
    JudgedVisits {
        shop: judged_week(&question.hours),
        helper: question.helper_hours.as_ref().map(judged_week),
        now_s: question.now_s,
        switch_s: question.switch_s,
        at_visit: question.at_visit,
        holder_counts: question.holders.iter().map(|holder| holder.count).collect(),
        letters: question.visits.iter().map(|visit| visit.letter).collect(),
        compartments: Vec::new(),
        items: judged_items(question, laid_out),
        links: links.collect(),
        holds: holds.collect(),
    }
}

fn judged_items(question: &BenchQuestion, laid_out: &BenchCalendar) -> Vec<JudgedVisitItem> {
    let mut items = Vec::new();
    for (at, visit) in question.visits.iter().enumerate() {
        for (place, item) in visit.items.iter().enumerate() {
            let of_item = |line: &&BenchLine| (line.visit, line.item) == (at, place);
            let (work_s, start_s, end_s) = laid_out
                .lines
                .iter()
                .find(of_item)
                .map_or((item.expected_s, 0, 0), |line| (line.work_s, line.start_s, line.end_s));
            items.push(JudgedVisitItem {
                visit: at,
                name: item.name.clone(),
                work_s,
                hands: match item.hands {
                    ItemHands::None => 0,
                    ItemHands::One => 1,
                    ItemHands::Two => 2,
                },
                in_one_piece: item.pace == ItemPace::OnePiece,
                part_at_s: item.part.as_ref().map_or(0, |part| part.at_s),
                start_by_s: item.start_by_s,
                start_s,
                end_s,
            });
        }
    }
    items
}

fn judged_week(hours: &WeekHours) -> JudgedWeek {
    JudgedWeek {
        spans: hours.spans.clone().map(|day| day.iter().map(|span| (span.from_s, span.to_s)).collect()),
        first_weekday: hours.first_weekday,
        closed_days: hours.closed_days.clone(),
    }
}
