//! One description, several equal parts: keys, titles, references, grades and places.

use book::{read_book, write_book};
use model::{Book, FigureGrade, FigureOrigin, Need, PartStanding, WorldThing};

const ENGINE: &str = r#"
format = "traywright-book/2"
title  = "Sample"
origins = { space = "measured" }

[[setting]]
title  = "rail"
kind   = "other"
values = ["on", "off"]

  [[setting.way]]
  to    = "off"
  text  = "Take the rail aside."
  needs = [{ part = "injector", is = ["held"] }]

  [[setting.way]]
  to   = "on"
  text = "Set the rail on."

[[part]]
title = "cover"

[[part]]
key       = "injector"
title     = "injector"
off_first = ["cover"]
repeat    = ["cylinder 1", "cylinder 2", "cylinder 3"]
origins   = { tightening = "measured" }
taking_off = { needs = [{ part = "injector", is = ["held", "loose"] }] }

  [[part.fixing]]
  key     = "clamp-bolt"
  title   = "clamp bolt"
  drive   = "T30"
  joint   = "clamp"
  tighten = "10 N·m"
  source  = "workshop manual p. 2-14"
  origins = { tightening = "service-data" }

  [[part.fixing]]
  drive         = "hexagon 10 mm"
  tighten       = "8 N·m"
  tighten_after = ["clamp-bolt"]

[[part]]
title     = "head"
off_first = ["injector"]

  [[part.fixing]]
  title         = "head bolts"
  count         = 8
  drive         = "T55"
  tighten       = "60 N·m"
  tighten_after = ["clamp-bolt"]

[[task]]
title     = "look at one seat"
off_first = ["injector-cylinder-2"]

[[task]]
title     = "look at all seats"
off_first = ["injector"]
"#;

fn read(text: &str) -> Book {
    let reading = read_book(&[("sample.toml".into(), text.into())]);
    let shown = faults::render_faults(&reading.faults, &reading.sources, faults::FaultLook::Plain);
    reading.book.unwrap_or_else(|| panic!("{shown}"))
}

fn keys_off(book: &Book, needs: &[Need]) -> Vec<String> {
    let off = needs.iter().filter_map(|need| match need {
        Need::Off(part) => Some(book.part(*part).key.clone()),
        Need::Condition(_) => None,
    });
    off.collect()
}

const COPIES: [&str; 3] = ["injector-cylinder-1", "injector-cylinder-2", "injector-cylinder-3"];

#[test]
fn each_label_is_a_part_and_a_reference_means_all() {
    let book = read(ENGINE);
    let keys: Vec<&str> = book.parts.iter().map(|part| part.key.as_str()).collect();
    assert_eq!(keys, ["cover", COPIES[0], COPIES[1], COPIES[2], "head"]);
    assert_eq!(book.parts[2].title_in_sentence(), "the cylinder 2 injector");
    for copy in &book.parts[1..4] {
        assert_eq!(keys_off(&book, &copy.needs), ["cover"]);
    }
    assert_eq!(keys_off(&book, &book.parts[4].needs), COPIES);
    assert_eq!(keys_off(&book, &book.tasks[0].needs), [COPIES[1]]);
    assert_eq!(keys_off(&book, &book.tasks[1].needs), COPIES);
    let fixings: Vec<&str> = book.fixings.iter().map(|fixing| fixing.key.as_str()).collect();
    assert_eq!(fixings.iter().filter(|key| key.starts_with("clamp-bolt-cylinder-")).count(), 3);
    assert_eq!(fixings.len(), 7);
    let needs = &book.settings[0].ways[0].needs;
    assert!(needs.len() == 3 && needs.iter().all(|need| need.values == PartStanding::Held.bit()));
    // What a copy says of the described part it says of itself.
    for id in book.part_ids().skip(1).take(3) {
        let own: Vec<WorldThing> =
            book.part(id).world.taking_off.needs.iter().map(|need| need.thing).collect();
        assert_eq!(own, [WorldThing::Part(id)]);
    }
}

#[test]
fn an_order_of_tightening_is_each_copys_own_and_for_others_that_of_all() {
    let book = read(ENGINE);
    let after = |key: &str| -> Vec<String> {
        let fixing = book.fixing(book.fixing_by_key(key).unwrap_or_else(|| panic!("{key}")));
        fixing.world.tighten_after.iter().map(|id| book.fixing(*id).key.clone()).collect()
    };
    assert_eq!(after("head-bolts").len(), 3);
    let second: Vec<_> = book.fixings_of(model::PartId::new(2)).collect();
    assert_eq!(book.fixing(second[1]).world.tighten_after, [second[0]]);
}

/// One that was measured is not three: the others' figures are inferred, and a cited torque holds for all.
#[test]
fn what_was_measured_at_the_first_is_inferred_for_the_others() {
    let book = read(ENGINE);
    for (at, grade) in [(1, FigureGrade::Firm), (2, FigureGrade::Assumed), (3, FigureGrade::Assumed)] {
        for id in book.fixings_of(model::PartId::new(at)) {
            let fixing = book.fixing(id);
            let origins = fixing.origins.or_else(book.part(fixing.part).origins).or_else(book.origins);
            assert_eq!(origins.space.map_or(FigureGrade::Firm, FigureOrigin::grade), grade, "{}", fixing.key);
            let is_cited = !fixing.tightening.source.is_empty();
            let wanted = if is_cited { FigureGrade::Firm } else { FigureGrade::Assumed };
            assert_eq!(book.tightening_grade(fixing), wanted, "{}", fixing.key);
            let expected = if at == 1 { FigureOrigin::Measured } else { FigureOrigin::Inferred };
            let told = if is_cited { FigureOrigin::ServiceData } else { expected };
            assert_eq!(origins.tightening, Some(told), "{}", fixing.key);
        }
    }
}

#[test]
fn what_is_read_is_written_part_by_part_and_comes_back() {
    let book = read(ENGINE);
    let text = write_book(&book);
    assert!(!text.contains("repeat"), "{text}");
    assert_eq!(read(&text), book);
}

/// Keys are not written into a description: each copy has its own, made from it.
#[test]
fn made_keys_go_to_the_parts_behind_the_copies() {
    let book = read(ENGINE);
    let written = book::write_made_keys(&[("sample.toml".into(), ENGINE.into())], &book);
    let text = written.into_iter().next().flatten().expect("keys are written");
    assert!(
        text.contains("title     = \"head\"\nkey = \"head\"") || text.contains("key = \"head\""),
        "{text}"
    );
    assert_eq!(read(&text), book);
}

#[test]
fn labels_that_make_the_same_key_and_references_to_nothing_are_told() {
    let codes = |old: &str, new: &str| {
        assert!(ENGINE.contains(old));
        let reading = read_book(&[("sample.toml".into(), ENGINE.replacen(old, new, 1).into())]);
        reading.faults.into_iter().map(|fault| fault.code).collect::<Vec<_>>()
    };
    assert!(codes("\"cylinder 3\"]", "\"Cylinder 2\"]").contains(&"B103"));
    assert!(codes("injector-cylinder-2", "injector-cylinder-7").contains(&"B107"));
    assert!(codes("\"cylinder 3\"]", "3]").iter().any(|code| code.starts_with('T') || code.starts_with('B')));
    let many: Vec<String> = (0..25).map(|at| format!("\"{at}\"")).collect();
    let many = codes("[\"cylinder 1\", \"cylinder 2\", \"cylinder 3\"]", &format!("[{}]", many.join(", ")));
    assert!(many.contains(&"B110"), "{many:?}");
}
