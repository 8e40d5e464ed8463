//! An example for the help of every command; `crates/cli/tests/examples.rs` runs each on a copy of the demo.

use clap::Command;

/// The examples of the commands, by the words of the command; the journal is the one that `traywright demo` leaves.
const EXAMPLES: &[(&str, &[&str])] = &[
    ("book check", &["book check demo/books/tern-24"]),
    ("book new", &["book new --out grey-van.toml --title \"the grey van, petrol\""]),
    ("book rows", &["book rows demo/books/tern-24 > tern.csv"]),
    ("book tasks", &["book tasks demo/books/tern-24", "book tasks demo/books/tern-24 --word pump"]),
    ("book parts", &["book parts demo/books/tern-24 --word hose"]),
    ("book fixings", &["book fixings demo/books/tern-24 --word sump"]),
    ("book take", &["book take my-books/bus.toml --from bus.json"]),
    ("book schema", &["book schema > book.schema.json"]),
    ("store show", &["store show demo/store"]),
    ("store check", &["store check demo/store"]),
    ("store schema", &["store schema > store.schema.json"]),
    ("reach", &["reach --book demo/books/tern-24 --store demo/store --gaps"]),
    ("kit", &["kit --book demo/books/tern-24 --store demo/store --task reseal-sump"]),
    ("next-best", &["next-best --book demo/books/tern-24 --store demo/store --most 3"]),
    ("cart", &["cart --book demo/books/tern-24 --store demo/store --places 25"]),
    (
        "plan",
        &[
            "plan --book demo/books/tern-24 --store demo/store --task reseal-sump",
            "plan --book demo/books/tern-24 --store demo/store --json > plan.json",
        ],
    ),
    ("worth", &["worth --book demo/books/tern-24 --task reseal-sump --rate \"60 EUR/h\""]),
    ("finish", &["finish --book demo/books/tern-24 --store demo/store --task reseal-sump"]),
    (
        "calendar",
        &[
            "calendar --now 2027-03-01T10:30 --helper --journal out/demo.journal",
            "calendar --today --now 2027-03-01T08:00 --journal out/demo.journal",
        ],
    ),
    (
        "workshop hours",
        &[
            "workshop hours --hours \"Mon-Fri 08:00-16:30\" --hours \"Sat 09:00-12:00\" --journal out/demo.journal",
        ],
    ),
    ("workshop helper", &["workshop helper --hours \"Tue,Thu 14:00-16:00\" --journal out/demo.journal"]),
    (
        "workshop holiday",
        &["workshop holiday --date 2027-03-05 --why \"day lost\" --journal out/demo.journal"],
    ),
    ("workshop times", &["workshop times --allowance 20 --first-time 1.3 --journal out/demo.journal"]),
    (
        "visit promise",
        &["visit promise A --date 2027-03-03T17:00 --now 2027-03-01T08:00 --journal out/demo.journal"],
    ),
    (
        "visit part",
        &[
            "visit part A --part water-pump --date 2027-03-03 --now 2027-03-01T08:00 --journal out/demo.journal",
        ],
    ),
    ("visit first", &["visit first A --journal out/demo.journal"]),
    (
        "vehicle export",
        &["vehicle export \"co-operative's bus 7 (invented)\" --out bus-7 --journal out/demo.journal"],
    ),
    ("scale-card", &["scale-card > scale-card.svg"]),
    ("learn", &["learn --book demo/books/tern-24 --journal out/demo.journal"]),
    ("judge", &["judge --book demo/books/tern-24 --store demo/store --plan plan.json"]),
    ("torque", &["torque --thread M8 --class 8.8 --proof \"75 %\" --lubrication oiled"]),
    ("preload", &["preload --thread M10x1.25 --class 10.9 --friction 0.12"]),
    ("wrench", &["wrench --torque \"20 N·m\" --length \"300 mm\" --offset \"40 mm\""]),
    ("pattern", &["pattern --holes \"0,0 60,0 60,40 0,40\" --torque \"24 N·m\""]),
    ("strip-margin", &["strip-margin --thread M8 --class 8.8 --engagement \"12 mm\" --material steel"]),
    (
        "mixup",
        &[
            "mixup --book demo/books/tern-24 --fixing sump-short",
            "mixup --fastener \"M6x30, 8.8\" --instead-of \"M6x20, 8.8\" --clamped \"9 mm\"",
        ],
    ),
    ("driver add", &["driver add --driver big --joint \"M6, dry\" --step 5 --torque \"4.1 N·m\""]),
    ("driver import", &["driver import --readings demo/readings.csv"]),
    ("driver show", &["driver show --readings demo/readings.csv"]),
    ("driver step", &["driver step --readings demo/readings.csv --torque \"5.5 N·m\""]),
    ("trend reading", &["trend reading --kind compression --value 9.2 --max-error 0.3 --at-least 9"]),
    ("trend line", &["trend line --readings validation/trend/pads.csv --where-y 3"]),
    ("trend wear", &["trend wear --readings validation/trend/pads.csv --limit 3"]),
    ("trend odometer", &["trend odometer --readings validation/trend/odometer.csv --due-at \"100000 km\""]),
    ("why", &["why --book demo/books/tern-24 --plan plan.json --step 368"]),
    (
        "visit new",
        &[
            "visit new --letter B --name \"a stranger\" --odometer \"98500 mi\"",
            "visit new --book demo/dunlin-16-thin --letter D --name \"the parcel van\"",
        ],
    ),
    ("visit show", &["visit show A --journal out/demo.journal"]),
    ("visit book", &["visit book A --title \"bus 7\" --out bus.json --journal out/demo.journal"]),
    ("visit export", &["visit export A --out a.visit --journal out/demo.journal"]),
    ("visit import", &["visit import --from a.visit"]),
    (
        "visit figure",
        &["visit figure D --fixing idler-bolt --figure \"45 N·m\" --source \"p. 2-14\" --by Kim"],
    ),
    ("visit setting", &["visit setting A --setting lift=up --journal out/demo.journal"]),
    ("visit go-on", &["visit go-on A --by Kim --journal out/demo.journal"]),
    ("visit drop-task", &["visit drop-task A --task renew-mount --journal out/demo.journal"]),
    ("visit add-task", &["visit add-task A --task renew-mount --journal out/demo.journal"]),
    ("visit plan-to", &["visit plan-to A --goal whole --journal out/demo.journal"]),
    ("vehicle list", &["vehicle list --journal out/demo.journal"]),
    ("vehicle show", &["vehicle show \"co-operative's bus 7 (invented)\" --journal out/demo.journal"]),
    ("serve", &["serve --book demo/books --store demo/store", "serve --network --journal out/demo.journal"]),
    ("ledger", &["ledger --visit A --journal out/demo.journal"]),
    (
        "print",
        &[
            "print kit --book demo/books/tern-24 --store demo/store --out kit.pdf",
            "print pack --visit A --journal out/demo.journal --out pack.pdf",
        ],
    ),
    ("backup", &["backup --out copy.journal --journal out/demo.journal"]),
    ("restore", &["restore --from copy.journal --journal restored.journal"]),
    ("check-journal", &["check-journal --journal out/demo.journal"]),
    ("demo", &["demo --no-serve", "demo"]),
    ("generate", &["generate --out large --parts 100 --fasteners 400 --pieces 100"]),
    ("licences", &["licences"]),
    ("shell completions", &["shell completions bash > traywright.bash"]),
    ("shell man", &["shell man plan > traywright-plan.1"]),
];

/// The examples below a command: its own, or the first of each command in its group.
fn examples_of(path: &str) -> Vec<&'static str> {
    let own =
        EXAMPLES.iter().filter(|(words, _)| *words == path).flat_map(|(_, lines)| lines.iter().copied());
    let own: Vec<&str> = own.collect();
    if !own.is_empty() {
        return own;
    }
    let group = format!("{path} ");
    let below = EXAMPLES.iter().filter(|(words, _)| words.starts_with(&group));
    below.filter_map(|(_, lines)| lines.first().copied()).collect()
}

/// The commands at the top that a newcomer tries first.
const FIRST: &[&str] =
    &["demo", "book tasks demo/books/tern-24", "plan --book demo/books/tern-24 --store demo/store"];

/// The block below the options of a help.
fn example_block(lines: &[&str]) -> String {
    let heading = if lines.len() == 1 { "Example:" } else { "Examples:" };
    let lines: String = lines.iter().map(|line| format!("\n  traywright {line}")).collect();
    format!("{heading}{lines}")
}

/// The command line with an example at the end of each help.
pub fn add_examples(root: Command) -> Command {
    let names: Vec<String> = root.get_subcommands().map(|c| c.get_name().to_owned()).collect();
    let root = root.after_help(example_block(FIRST));
    names.iter().fold(root, |root, name| root.mut_subcommand(name, |command| add_below(command, name)))
}

fn add_below(command: Command, path: &str) -> Command {
    let names: Vec<String> = command.get_subcommands().map(|c| c.get_name().to_owned()).collect();
    let command = command.after_help(example_block(&examples_of(path)));
    names.iter().fold(command, |command, name| {
        command.mut_subcommand(name, |c| add_below(c, &format!("{path} {name}")))
    })
}

#[cfg(test)]
mod tests {
    use super::{EXAMPLES, add_examples};
    use crate::CliArguments;
    use clap::{Command, CommandFactory as _};

    fn check_block(command: &Command, path: &str) {
        let shown = command.get_after_help().map(ToString::to_string).unwrap_or_default();
        assert!(shown.starts_with("Example") && shown.contains("\n  traywright "), "{path}: {shown}");
        for below in command.get_subcommands().filter(|c| c.get_name() != "help") {
            check_block(below, &format!("{path} {}", below.get_name()));
        }
    }

    #[test]
    fn every_help_ends_with_an_example() {
        check_block(&add_examples(CliArguments::command()), "traywright");
    }

    #[test]
    fn every_example_is_of_its_command() {
        for (path, lines) in EXAMPLES {
            assert!(lines.iter().all(|line| format!("{line} ").starts_with(&format!("{path} "))), "{path}");
        }
    }
}
