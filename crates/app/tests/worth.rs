//! Worth on the demo books: the judge agrees, words fit 80 columns, and bad arguments are named.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::path::Path;

use app::worth::{WorthRequest, weigh_tasks};
use app::{load, text};
use judge::worth::{WorthClaim, judge_worth};
use model::Book;
use units::Money;

fn book(key: &str) -> Book {
    load::load_book(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/books").join(key)).unwrap()
}

fn request(must: &[&str], brings: &[&str], rate: &str) -> WorthRequest {
    let owned = |list: &[&str]| list.iter().map(|s| (*s).to_owned()).collect();
    WorthRequest { must: owned(must), worth: owned(brings), rate: rate.into() }
}

#[test]
fn choices_on_the_demo_books_are_judged_and_shown() {
    for key in ["tern-24", "curlew-30"] {
        let book = book(key);
        let first = book.tasks[0].key.as_str();
        for rate in ["0", "30/h", "75 EUR/h", "400"] {
            let answer = weigh_tasks(&book, &request(&[first], &[], rate)).unwrap();
            assert_eq!(answer.violations, [], "{key} at {rate}");
            assert_eq!(answer.worth.choices.len(), book.tasks.len() - 1);
            for all_reasons in [false, true] {
                let shown =
                    text::worth::format_worth(&answer.worth, all_reasons, text::table::PageWidth::USUAL);
                let long = shown.lines().find(|l| l.chars().count() > 80);
                assert_eq!(long, None, "{shown}");
                let reasons = shown.lines().filter(|l| l.starts_with("  - ") && l.contains('(')).count();
                assert!(
                    reasons > 0 && (!all_reasons || reasons >= answer.worth.choices.len() / 2),
                    "{shown}"
                );
            }
        }
    }
}

/// The dearer the hour, the fewer tasks bring more than they take; nothing is added twice.
#[test]
fn dearer_hours_never_make_the_visit_worth_more() {
    let book = book("tern-24");
    let value =
        |rate: &str| weigh_tasks(&book, &request(&[], &[], rate)).unwrap().worth.value_cents.as_cents();
    let values = ["0", "20", "60", "120", "5000"].map(value);
    assert!(values.windows(2).all(|w| w[0] >= w[1]), "{values:?}");
    assert!(values[0] > 0);
    assert_eq!(values[4], 0);
}

#[test]
fn a_task_that_brings_much_is_added_with_its_margin() {
    let book = book("tern-24");
    let key = book.tasks[1].key.clone();
    let priced = format!("{key}=100000");
    let answer = weigh_tasks(&book, &request(&[], &[&priced], "60/h")).unwrap().worth;
    let choice = answer.choices.iter().find(|c| c.task == key).unwrap();
    assert!(choice.add && choice.margin_cents.unwrap().as_cents() > 0, "{choice:?}");
    assert!(choice.stays.starts_with("holds until its parts cost "), "{}", choice.stays);
}

#[test]
fn bad_arguments_say_what_to_give() {
    let book = book("tern-24");
    let key = book.tasks[0].key.as_str();
    let check = |asked: WorthRequest, expected: &str| {
        let said = weigh_tasks(&book, &asked).unwrap_err().to_string();
        assert!(said.contains(expected), "{said}");
    };
    check(request(&["renew-thermostad"], &[], "60"), "did you mean `renew-thermostat`?");
    check(request(&[], &["x"], "60"), "write TASK=120");
    check(request(&[], &[&format!("{key}=much")], "60"), "not an amount of money");
    check(request(&[], &[&format!("{key}=-3")], "60"), "below zero");
    check(request(&[], &[&format!("{key}=3 USD")], "60"), "not in EUR");
    check(request(&[], &[&format!("{key}=3"), &format!("{key}=4")], "60"), "two worths");
    check(request(&[key], &[&format!("{key}=3")], "60"), "already required");
    check(request(&[], &[], "per hour"), "not an amount of money");
    check(request(&[], &[&format!("{key}=900000000000.00")], "90000000000"), "too large");
}

/// Whatever is changed in a good claim, the judge names it by its code.
#[test]
fn the_judge_sees_each_way_of_being_wrong() {
    let book = book("tern-24");
    let asked = request(&[&book.tasks[0].key], &[], "60");
    let answer = weigh_tasks(&book, &asked).unwrap().worth;
    let opened = answer.way_in.iter();
    let good = WorthClaim {
        must: answer.must.iter().map(String::as_str).collect(),
        added: answer.choices.iter().filter(|c| c.add).map(|c| c.task.as_str()).collect(),
        parts: opened.clone().filter(|o| o.is_part).map(|o| (o.key.as_str(), o.way.as_deref())).collect(),
        conditions: opened.filter(|o| !o.is_part).map(|o| o.key.as_str()).collect(),
        worth: Vec::new(),
        rate_per_h: Money::from_cents(6_000),
        value: answer.value_cents,
    };
    assert!(!good.added.is_empty() && !good.parts.is_empty() && !good.conditions.is_empty());
    let check = |change: &dyn Fn(&mut WorthClaim), code: &str| {
        let mut claim = good.clone();
        change(&mut claim);
        let codes: Vec<&str> = judge_worth(&book, &claim).into_iter().map(|v| v.code).collect();
        assert!(codes.contains(&code), "{code} is not among {codes:?}");
    };
    assert_eq!(judge_worth(&book, &good), []);
    check(&|c| c.added.push("no-such-task"), "W101");
    check(&|c| c.parts.push(("no-such-part", None)), "W101");
    check(&|c| c.conditions.push("no-such-condition"), "W101");
    check(&|c| c.parts[0].1 = Some("no-such-way"), "W101");
    check(&|c| c.parts.clear(), "W202");
    check(&|c| c.conditions.clear(), "W201");
    check(&|c| c.value = c.value + Money::from_cents(2), "W301");
    check(&|c| c.rate_per_h = Money::from_cents(6_100), "W301");
    check(&|c| _ = c.added.pop(), "W301");
    check(&|c| c.worth.push((c.added[0], Money::from_cents(500))), "W301");
}
