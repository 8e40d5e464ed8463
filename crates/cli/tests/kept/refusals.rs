//! What the commands say to an argument that they cannot use, kept in `snapshots` to be read in one go.

use crate::common::{run, words};
use crate::mask::{fresh_folder, keep_page, mask_places};

/// Arguments that are not used, by command.
const REFUSED: &[&str] = &[
    // The command line itself.
    "",
    "no-such-command",
    "plan",
    "plan {job} --no-such-option",
    "plan --book demo/books/tern-24 --store demo/store --seconds soon",
    "plan {job} --for fun",
    "shell man no-such-command",
    // Books, stores and tasks.
    "book check demo/books/no-such-book",
    "book check {tmp}/empty",
    "kit --book demo/books/tern-24 --store {tmp}/empty",
    "kit --book {tmp}/bad.toml --store demo/store",
    "plan --book demo/books/tern.toml --store demo/store",
    "plan --book demo/book/tern-24 --store demo/store",
    "plan --book demo/store --store demo/store",
    "plan --book demo/store/store.toml --store demo/store",
    "plan --book demo/books/tern-24 --store demo/books/curlew-30",
    "plan --book demo/books/tern-24 --store demo/stor",
    "plan --book demo --store demo/store",
    "plan --book README.md --store demo/store",
    "plan --book {tmp}/plan.json --store demo/store",
    "plan --book {tmp}/nothing.toml --store demo/store",
    "book tasks demo/readings.csv",
    "book tasks demo/store",
    "store show demo/books/tern-24",
    "book take {tmp}/own.toml --from {tmp}/plan.json",
    "book take {tmp}/own.toml --from {tmp}/plam.json",
    "judge --book demo/books/tern-24 --store demo/store --plan demo/books/tern-24",
    "judge --book demo/books/tern-24 --store demo/store --plan {tmp}/kit.json",
    "judge --book demo/books/tern-24 --store demo/store --plan {tmp}/plam.json",
    "cart --book demo/books/tern-24 --store demo/store --plan demo",
    "plan {job} --out plan.html",
    "plan {job} --out README.md",
    "reach --book demo/books/tern-24 --store demo/store --draw {tmp}/kit.json",
    "plan {job} --taks renew-thermostat",
    "plam {job}",
    "visit sohw",
    "plan {job} --task renew-thermosta",
    "plan {job} --task no-such-task",
    "plan {job} --letter ÄÖ",
    "plan --book demo/books/tern-24 --store demo/store --seconds=-1",
    "plan --book demo/books/tern-24 --store demo/store --seconds nan",
    "plan {job} --threads 0",
    "reach --book demo/books/tern-24 --store demo/store --fixing crank-bol",
    "reach --book demo/books/tern-24 --store demo/store --fixing no-such-fixing",
    "judge --book demo/books/tern-24 --store demo/store --plan {tmp}/bad.toml",
    "why --book demo/books/tern-24 --plan {tmp}/bad.toml --step 3",
    // Carts, worth and finish.
    "cart {job} --places 0",
    "cart {job} --places 1",
    "cart {job} --places 8 --walk green=20",
    "cart {job} --places 8 --walk blue",
    "cart {job} --places 8 --walk \"blue cabinet=-3\"",
    "worth --book demo/books/tern-24 --rate soon",
    "worth --book demo/books/tern-24 --rate \"60 USD/h\"",
    "worth --book demo/books/tern-24 --rate=-60",
    "worth --book demo/books/tern-24 --rate 60 --task renew-thermostad",
    "worth --book demo/books/tern-24 --rate 60 --worth x",
    "worth --book demo/books/tern-24 --rate 60 --worth renew-thermostat=much",
    "worth --book demo/books/tern-24 --rate 60 --worth renew-thermostat=-3",
    "worth --book demo/books/tern-24 --rate 60 --worth renew-thermostat=3 --worth renew-thermostat=4",
    "worth --book demo/books/tern-24 --rate 60 --task renew-thermostat --worth renew-thermostat=3",
    "finish {job} --start tomorrow",
    "finish {job} --hours 0",
    "finish {job} --hours 30",
    "finish {job} --days 8",
    "finish {job} --interrupted 100",
    "finish {job} --arrives cover",
    "finish {job} --arrives no-such-part=2031-03-03",
    "finish {job} --arrives oil-pam=2031-03-03",
    "finish {job} --within oil-pam=\"20 min\"",
    "finish {job} --arrives oil-pan=soon",
    "finish {job} --arrives oil-pan=2999-01-01",
    "finish {job} --within oil-pan",
    "finish {job} --within oil-pan=soon",
    "finish {job} --within no-such-part=\"20 min\"",
    // Fasteners.
    "preload --thread M9.5 --class 8.8",
    "preload --thread wood --class 8.8",
    "preload --thread M8",
    "preload --thread M8 --class 9.9",
    "preload --thread M8 --class 8.8 --friction 7",
    "preload --thread M8 --class 8.8 --friction much",
    "preload --thread M8 --class 8.8 --friction \"0.16 to 0.10\"",
    "preload --thread M8 --class 8.8 --friction 0.12 --lubrication dry",
    "preload --thread M8 --class 8.8 --lubrication honey",
    "preload --thread M8 --class 8.8 --lubrication dry --surface gold",
    "preload --thread M8 --class 8.8 --share 130%",
    "preload --thread M8 --class 8.8 --share most",
    "preload --thread M8 --class 8.8 --torque 24",
    "preload --thread M8 --class 8.8 --torque=\"-3 N·m\"",
    "preload --thread M8 --class 8.8 --head round",
    "preload --thread M8 --class 8.8 --edition 1066",
    "torque --thread M8 --preload 20",
    "torque --thread M8",
    "torque --thread M8 --proof 75%",
    "torque --thread M8 --preload \"20 kN\" --proof 75%",
    "torque --thread M8 --preload \"20 kN\" --factor 9",
    "torque --thread M8 --preload \"20 kN\" --factor 0.2 --friction 0.12",
    // Wrenches.
    "wrench --torque 20",
    "wrench --torque \"20 N·m\" --offset \"40 mm\"",
    "wrench --torque \"20 N·m\" --length \"300 mm\" --offset=\"-40 mm\"",
    "wrench --torque \"20 N·m\" --length \"30 mm\" --offset \"40 mm\" --angle 180°",
    "wrench --torque \"20 N·m\" --angle round",
    "wrench --torque \"20 N·m\" --joint 95°",
    "wrench --torque \"20 N·m\" --scale \"0 N·m\"",
    "wrench --torque \"20 N·m\" --full-scale \"0 N·m\"",
    // Patterns.
    "pattern --holes nowhere.csv",
    "pattern --holes {tmp}/bad.csv",
    "pattern --holes {tmp}/one-cell.csv",
    "pattern --holes {tmp}/twice.csv",
    "pattern --holes \"0,0 x,0\"",
    "pattern --holes \"0,0 60\"",
    "pattern --holes demo/books/tern-24:sump-shor",
    "pattern --holes \"0,0 60,0 60,40\" --order 1,2",
    "pattern --holes \"0,0 60,0 60,40\" --order inside-out",
    "pattern --holes \"0,0 60,0 60,40\" --stages 30/200",
    "pattern --holes \"0,0 60,0 60,40\" --stages \"24 N·m/10 N·m\"",
    "pattern --holes \"0,0 60,0 60,40\" --stages soft/hard",
    "pattern --holes \"0,0 60,0 60,40\" --torque \"0 N·m\"",
    // Stripping and mix-ups.
    "strip-margin --thread M8 --class 8.8 --engagement 12 --material steel",
    "strip-margin --thread M8 --class 8.8 --engagement \"12 mm\" --material cheese",
    "strip-margin --thread M8 --class 8.8 --engagement \"0 mm\" --material steel",
    "strip-margin --thread M8 --class 8.8 --engagement \"12 mm\" --material steel --insert \"0 mm\"",
    "mixup",
    "mixup --fastener \"M6 x 30, 8.8\"",
    "mixup --fastener bolt --instead-of \"M6 x 20, 8.8\" --clamped \"10 mm\"",
    "mixup --fastener \"M6 x 30, 8.8\" --instead-of \"M6 x 20, 8.8\"",
    "mixup --book demo/books/tern-24 --fixing sump-shor",
    "mixup --book demo/books/tern-24 --fastener \"M6 x 30, 8.8\"",
    // Drivers.
    "driver show --readings {tmp}/bad.csv",
    "driver show --readings {tmp}/one-cell.csv",
    "driver show --readings nowhere.csv",
    "driver step --readings demo/readings.csv --torque soft",
    "driver step --readings demo/readings.csv --torque \"5 N·m\" --driver no-such-driver",
    "driver add --journal {tmp}/d.journal --driver big --joint \"M6 dry\" --step 5 --torque soft",
    // Visits, vehicles and journals.
    "visit show x --journal {tmp}/a.journal",
    "visit show 01ARZ3NDEKTSV4RRFFQ69G5FAV --journal {tmp}/a.journal",
    "visit new --vehicle x --journal {tmp}/a.journal",
    "visit new --odometer far --journal {tmp}/a.journal",
    "visit new --odometer 412300 --journal {tmp}/a.journal",
    "visit import --from {tmp}/no-such-file --journal {tmp}/a.journal",
    "visit import --from {tmp}/bad.toml --journal {tmp}/a.journal",
    "visit export 01ARZ3NDEKTSV4RRFFQ69G5FAV --out {tmp}/out.file --journal {tmp}/a.journal",
    "visit setting x --setting lift=up --journal {tmp}/a.journal",
    "visit setting 01ARZ3NDEKTSV4RRFFQ69G5FAV --setting lift=up --journal {tmp}/a.journal",
    "vehicle show x --journal {tmp}/a.journal",
    "vehicle show 01ARZ3NDEKTSV4RRFFQ69G5FAV --journal {tmp}/a.journal",
    "ledger --visit x --journal {tmp}/a.journal",
    "ledger --visit 01ARZ3NDEKTSV4RRFFQ69G5FAV --journal {tmp}/a.journal",
    "visit show --journal demo/books/tern-24",
    "ledger --journal {tmp}/plan.json",
    "driver show --readings {tmp}/plan.json",
    "trend wear --readings demo/reading.csv --limit 3",
    "serve --book demo/store --journal {tmp}/a.journal",
    "serve --store demo/books --journal {tmp}/a.journal",
    "check-journal --journal {tmp}/bad.toml",
    "check-journal --journal {tmp}/no-such.journal",
    "backup --out {tmp}/bad.toml --journal {tmp}/a.journal",
    "restore --from {tmp}/no-such-file --journal {tmp}/a.journal",
    "restore --from {tmp}/bad.toml --journal {tmp}/a.journal",
    // Sheets and generated books.
    "print kit",
    "print resume {job}",
    "print ledger {job}",
    "print no-such-sheet {job}",
    "print labels {job} --labels letter-30",
    "print labels {job} --skip 99",
    "print hole-cards --book demo/books/tern-24 --store demo/store --task renew-thermostat",
    "demo --from {tmp}/empty --no-serve --out {tmp}/out",
];

/// A small job of the demo.
const JOB: &str = "--book demo/books/tern-24 --store demo/store --task renew-thermostat";

#[test]
fn every_command_says_what_it_cannot_use() {
    let folder = fresh_folder("kept-refusals");
    std::fs::create_dir(folder.join("empty")).unwrap();
    let bad = "format = \"traywright-book/2\"\ntitel = 3\n[[part]]\n";
    for (name, text) in [
        ("bad.toml", bad),
        ("bad.csv", "1, 0, zero\n"),
        ("one-cell.csv", "1\n"),
        ("twice.csv", "1, 0, 0\n1, 5, 0\n"),
        ("plan.json", "{\"format\": \"traywright-plan/2\"}"),
        ("kit.json", "{\"format\": \"traywright-kit/1\"}"),
        ("nothing.toml", ""),
    ] {
        std::fs::write(folder.join(name), text).unwrap();
    }
    let mut page = Vec::new();
    for line in REFUSED {
        let filled = line.replace("{job}", JOB).replace("{tmp}", &folder.display().to_string());
        let words = words(&filled);
        let output = run(&words.iter().map(String::as_str).collect::<Vec<_>>());
        let code = output.status.code().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_ne!(code, 0, "{line} is granted");
        page.push(format!("$ traywright {line}\n{}\n(exit {code})", mask_places(said.trim_end(), &folder)));
    }
    keep_page("refusals", &page.join("\n\n"));
    let faults: Vec<&String> = page.iter().filter(|said| said.ends_with("(exit 3)")).collect();
    assert!(faults.is_empty(), "a bad argument is no fault of the program: {faults:#?}");
}
