//! Sets in words become the pieces that a mechanic would name, with the figures that the standards give.

use faults::{FaultLook, render_faults};
use model::{DriveForm, GripApproach, HandleStyle, Piece, PieceKind, PieceLink, Store};
use tools::read_store;

const HEAD: &str = "format = \"traywright-store/1\"\ntitle = \"Workshop\"\n";

/// The store of a text; stops with its faults drawn if it has any.
fn store(text: &str) -> Store {
    let reading = read_store(&[("store.toml".into(), format!("{HEAD}{text}").into_bytes())]);
    let drawn = render_faults(&reading.faults, &reading.sources, FaultLook::Plain);
    reading.store.unwrap_or_else(|| panic!("{drawn}"))
}

/// The pieces of one set.
fn set(words: &str, besides: &str) -> Vec<Piece> {
    store(&format!("[[set]]\nset = '{words}'\nplace = \"a / b\"\n{besides}\n")).pieces
}

/// The keys of one set.
fn keys(words: &str, besides: &str) -> String {
    set(words, besides).iter().map(|p| p.key.clone()).collect::<Vec<_>>().join(" ")
}

#[test]
fn words_name_pieces() {
    let cases = [
        ("1/4 in deep sockets 8 to 10 mm", "1-4-deep-socket-8 1-4-deep-socket-9 1-4-deep-socket-10"),
        ("sockets 5 to 6 mm on 1/4 in", "1-4-socket-5 1-4-socket-5.5 1-4-socket-6"),
        ("3/8 in Sockets 8, 10 and 13 mm", "3-8-socket-8 3-8-socket-10 3-8-socket-13"),
        ("3/8 in bi-hexagon sockets 10", "3-8-bi-hexagon-socket-10"),
        (
            "1/2 in impact deep sockets 17 to 19 mm",
            "1-2-deep-impact-socket-17 1-2-deep-impact-socket-18 1-2-deep-impact-socket-19",
        ),
        ("1/4 in sockets 8 to 9 mm step 0.5", "1-4-socket-8 1-4-socket-8.5 1-4-socket-9"),
        (
            "E sockets E5 to E8 on 1/4 in",
            "1-4-external-socket-e5 1-4-external-socket-e6 1-4-external-socket-e7 1-4-external-socket-e8",
        ),
        ("3/8 in external hexalobular sockets E10, E12", "3-8-external-socket-e10 3-8-external-socket-e12"),
        (
            "hexalobular bits T25 to T30 on 3/8 in",
            "3-8-hexalobular-bit-t25 3-8-hexalobular-bit-t27 3-8-hexalobular-bit-t30",
        ),
        ("hexalobular bits T10 to T15, 1/4 in hex", "hex-hexalobular-bit-t10 hex-hexalobular-bit-t15"),
        (
            "hex socket bits 4 to 6 mm on 3/8 in",
            "3-8-hex-socket-bit-4 3-8-hex-socket-bit-5 3-8-hex-socket-bit-6",
        ),
        ("1/4 in hex socket bits 4, 5 mm", "1-4-hex-socket-bit-4 1-4-hex-socket-bit-5"),
        ("cross bits PH1 to PH2, 1/4 in hex", "hex-cross-bit-ph1 hex-cross-bit-ph2"),
        ("1/4 in extensions 50, 100 mm", "1-4-extension-50 1-4-extension-100"),
        (
            "1/4 in tilting extensions 50, 100, 250 mm",
            "1-4-tilting-extension-50 1-4-tilting-extension-100 1-4-tilting-extension-250",
        ),
        ("1/4 in joint", "1-4-joint"),
        ("adapters 3/8 in to 1/4 in, 1/4 in to 3/8 in", "adapter-3-8-to-1-4 adapter-1-4-to-3-8"),
        ("ring spanners 8x9, 10x11", "ring-spanner-8x9 ring-spanner-10x11"),
        ("open spanners 18 to 19 mm", "open-spanner-18 open-spanner-19"),
        ("combination spanners 10 mm", "combination-spanner-10-ring combination-spanner-10-open"),
        ("ratcheting ring spanners 10, 13", "ratcheting-ring-10 ratcheting-ring-13"),
        ("flare spanners 10 to 12 mm", "flare-spanner-10 flare-spanner-11 flare-spanner-12"),
        ("crow-feet 3/8 in 10 to 11 mm", "3-8-crow-foot-10 3-8-crow-foot-11"),
        ("hex keys 3 to 5 mm", "hex-key-3 hex-key-4 hex-key-5"),
        ("hexalobular keys T30", "hexalobular-key-t30"),
        ("nut drivers 5 to 6 mm", "nut-driver-5 nut-driver-5.5 nut-driver-6"),
        ("screwdrivers PH1, PZ2, slot 4", "screwdriver-ph1 screwdriver-pz2 screwdriver-slot-4"),
        ("1/4 in ratchet", "1-4-ratchet"),
        ("1/4 in bit holder", "1-4-bit-holder"),
    ];
    for (words, expected) in cases {
        assert_eq!(keys(words, ""), expected, "{words}");
    }
}

#[test]
fn the_line_of_the_brief_gives_the_usual_series() {
    // 4 to 14 mm of the usual series, half sizes of small sockets included: 13 sizes.
    assert_eq!(set("1/4 in deep sockets 4 to 14 mm", "").len(), 13);
    assert_eq!(set("hexalobular bits T10 to T60 on 3/8 in", "").len(), 11);
}

#[test]
fn exceptions_and_additions_are_heard() {
    assert_eq!(keys("1/4 in sockets 10 to 12 mm", "except = [\"11 mm\"]"), "1-4-socket-10 1-4-socket-12");
    assert_eq!(keys("hex keys 5 to 6 mm", "also = \"7 mm\"\nexcept = \"5\""), "hex-key-6 hex-key-7");
    assert_eq!(keys("1/4 in sockets 10 mm", "key = \"best\""), "best-10");
}

#[test]
fn a_key_that_is_taken_gets_a_number() {
    let twice = "[[set]]\nset = \"1/4 in joint\"\nplace = \"a / b\"\n".repeat(3);
    let found: Vec<String> = store(&twice).pieces.into_iter().map(|p| p.key).collect();
    assert_eq!(found, ["1-4-joint", "1-4-joint-2", "1-4-joint-3"]);
}

#[test]
fn points_decide_fits_and_index() {
    // Geometry: six points 60°, twelve 30°, an open end set 15° turned over 30°, a cross 90°.
    let index =
        |words: &str, besides: &str| set(words, besides)[0].grip.as_ref().expect("a grip").index.as_deg();
    assert_eq!(index("1/4 in sockets 10 mm", ""), 60.0);
    assert_eq!(index("1/4 in sockets 10 mm", "points = 12"), 30.0);
    assert_eq!(index("ring spanners 10 mm", ""), 30.0);
    assert_eq!(index("ring spanners 10 mm", "points = 6"), 60.0);
    assert_eq!(index("open spanners 10 mm", ""), 30.0);
    assert_eq!(index("E sockets E10 on 1/4 in", ""), 60.0);
    assert_eq!(index("screwdrivers PH2", ""), 90.0);
    let fits = |words: &str, besides: &str| -> Vec<DriveForm> {
        set(words, besides)[0].grip.as_ref().expect("a grip").fits.iter().map(|f| f.form).collect()
    };
    assert_eq!(fits("1/4 in sockets 10 mm", ""), [DriveForm::Hexagon]);
    assert_eq!(fits("1/4 in sockets 10 mm", "points = 12"), [DriveForm::Hexagon, DriveForm::BiHexagon]);
    assert_eq!(fits("ring spanners 10 mm", "points = 6"), [DriveForm::Hexagon]);
}

#[test]
fn the_step_of_a_ratchet_is_a_turn_over_its_teeth() {
    // 360°/teeth: 36 teeth 10°, 72 teeth 5°, 90 teeth 4°, 120 teeth 3°; exact.
    for (teeth, expected_deg) in [(36, 10.0), (48, 7.5), (72, 5.0), (90, 4.0), (120, 3.0)] {
        let piece = &set("1/4 in ratchet", &format!("teeth = {teeth}"))[0];
        let handle = piece.handle.expect("a handle");
        assert_eq!(handle.step.expect("a step").as_deg(), expected_deg);
        assert_eq!(handle.style, HandleStyle::Ratchet);
    }
}

#[test]
fn strengths_are_the_published_ones_unless_the_square_is_weaker() {
    let strength = |words: &str| set(words, "")[0].strength.as_n_m();
    // ISO 1711-1 (maker's annex) and JIS B 4648:2008; exact.
    assert_eq!(strength("3/8 in sockets 10 mm"), 58.1);
    assert_eq!(strength("hex keys 6 mm"), 52.0);
    assert_eq!(strength("hexalobular bits T30 on 3/8 in"), 31.1);
    assert_eq!(strength("open spanners 13 mm"), 64.5);
    assert_eq!(strength("open spanners 13x14"), 51.6);
    // Squares of ISO 3315, from memory, low confidence: 62 N·m for 1/4 in.
    assert_eq!(strength("1/4 in sockets 13 mm"), 62.0);
}

#[test]
fn thin_walls_are_thinner_and_long_sockets_longer() {
    let usual = &set("1/4 in sockets 10 mm", "")[0];
    let thin = &set("1/4 in sockets 10 mm", "thin = true")[0];
    let deep = &set("1/4 in deep sockets 10 mm", "")[0];
    assert!(thin.largest_diameter() < usual.largest_diameter());
    assert!(deep.length_in_stack() > usual.length_in_stack());
    let depth = |p: &Piece| p.grip.as_ref().expect("a grip").depth;
    assert!(depth(deep) > depth(usual));
}

#[test]
fn the_owners_figures_win() {
    let piece =
        &set("1/4 in deep sockets 10 mm", "length = 70\ndiameter = 13.2\ndepth = 30\nretention = \"magnet\"")
            [0];
    assert!((piece.length_in_stack().as_mm() - 70.0).abs() < 1.0e-9);
    assert!((piece.largest_diameter().as_mm() - 13.2).abs() < 1.0e-9);
    assert_eq!(piece.grip.as_ref().expect("a grip").depth.as_mm(), 30.0);
    assert_eq!(piece.dimensions, model::DimensionsSource::Stated);
    assert!(matches!(
        set("1/4 in deep sockets 10 mm", "")[0].dimensions,
        model::DimensionsSource::Standard(_)
    ));
}

#[test]
fn links_stand_on_their_sides() {
    let adapter = &set("adapters 3/8 in to 1/4 in", "")[0];
    assert_eq!(
        (adapter.toward_hand, adapter.toward_fastener),
        (Some(PieceLink::Square10), Some(PieceLink::Square6))
    );
    let socket = &set("1/4 in sockets 10 mm", "")[0];
    assert_eq!((socket.toward_hand, socket.toward_fastener), (Some(PieceLink::Square6), None));
    let holder = &set("1/4 in bit holder", "")[0];
    assert_eq!(
        (holder.toward_hand, holder.toward_fastener),
        (Some(PieceLink::Square6), Some(PieceLink::Hex6))
    );
    let ratchet = &set("3/8 in ratchet", "")[0];
    assert_eq!((ratchet.toward_hand, ratchet.toward_fastener), (None, Some(PieceLink::Square10)));
    let bit = &set("hexalobular bits T30, 1/4 in hex", "")[0];
    assert_eq!((bit.kind, bit.toward_hand), (PieceKind::Bit, Some(PieceLink::Hex6)));
    let foot = &set("crow-feet 10 mm on 3/8 in", "")[0];
    let grip = foot.grip.as_ref().expect("a grip");
    assert_eq!((foot.toward_hand, grip.approach), (Some(PieceLink::Square10), GripApproach::Side));
    assert!(grip.offset.as_mm() > 0.0);
}

#[test]
fn a_torque_wrench_is_read_with_its_scale() {
    let text = "[[piece]]\nkind = \"torque-wrench\"\nlink = \"1/4 in\"\nrange = \"5 to 25 N·m\"\nlength = 270\n\
                teeth = 72\nplace = \"a / b\"\n[[piece]]\nkind = \"torque-wrench\"\nlink = \"1/4 in\"\n\
                range = \"20 to 80 lbf·in\"\nplace = \"a / b\"\n";
    let pieces = store(text).pieces;
    let measure = pieces[0].measure.as_ref().expect("a scale");
    assert_eq!((measure.range.low().as_n_m(), measure.range.high().as_n_m()), (5.0, 25.0));
    // ISO 6789: 4 % above 10 N·m of full scale, 6 % up to it.
    assert_eq!(measure.tolerance_fraction, 0.04);
    assert_eq!(pieces[1].measure.as_ref().expect("a scale").tolerance_fraction, 0.06);
    // ISO 6789-1: usable from 20 % of full scale: 5 of 25 N·m.
    assert_eq!(measure.usable_torques().0.as_n_m(), 5.0);
    let handle = pieces[0].handle.expect("a handle");
    assert_eq!((handle.radius.as_mm(), handle.step.expect("72 teeth").as_deg()), (270.0, 5.0));
    assert_eq!(measure.arm, handle.arm);
    assert_eq!(pieces[1].handle.expect("a handle").style, HandleStyle::Bar);
}

#[test]
fn spreadsheets_with_commas_semicolons_and_quotes_are_the_same() {
    let comma = "kind,size,link,place,count\nsocket,10 mm,1/4 in,a / b,3\n# a note\n\"socket\",\"13 mm\",1/4 in,a / b,\n";
    let semicolon = comma.replace(',', ";");
    let read_csv = |text: &str| {
        let files = [("head.toml".into(), HEAD.into()), ("rows.csv".into(), text.as_bytes().to_vec())];
        read_store(&files).store.expect("no faults")
    };
    let store = read_csv(comma);
    assert_eq!(store, read_csv(&semicolon));
    assert_eq!(store, read_csv(&comma.replace('\n', "\r\n")));
    assert_eq!(store.pieces.iter().map(|p| p.count).collect::<Vec<_>>(), [3, 1]);
}

#[test]
fn misspelt_words_are_answered() {
    let said = |words: &str| {
        let text = format!("{HEAD}[[set]]\nset = '{words}'\nplace = \"a / b\"\n");
        let reading = read_store(&[("store.toml".into(), text.into_bytes())]);
        render_faults(&reading.faults, &reading.sources, FaultLook::Plain)
    };
    for (words, expected) in [
        ("1/4 in depe sockets 4 to 14 mm", "did you mean `deep`?"),
        ("1/4 in sokets 4 to 14 mm", "did you mean `socket`?"),
        ("hexalobular bits T11 to T60 on 3/8 in", "the nearest are T10 and T15"),
        ("deep sockets 4 to 14 mm", "sockets need a square drive or shank"),
        ("1/4 in sockets 14 to 4 mm", "the range runs downwards, from 14 to 4"),
        ("", "`set` is empty"),
    ] {
        assert!(said(words).contains(expected), "{words}: {}", said(words));
    }
}

/// Sizes as sets of them are sold (common practice, no single source); an inch is 25.4 mm (NIST SP 811).
#[test]
fn sets_take_inch_sizes_and_each_fits_its_bolt() {
    let cases = [
        ("3/8 in sockets 7/16 1/2 9/16", "3-8-socket-7-16in 3-8-socket-1-2in 3-8-socket-9-16in"),
        (
            "1/2 in deep sockets 15/16, 1, 1-1/8 in",
            "1-2-deep-socket-15-16in 1-2-deep-socket-1in 1-2-deep-socket-1-1-8in",
        ),
        ("sockets 1/2 to 5/8 in on 3/8 in", "3-8-socket-1-2in 3-8-socket-9-16in 3-8-socket-5-8in"),
        ("1/4 in hex socket bits 5/32 in", "1-4-hex-socket-bit-5-32in"),
    ];
    for (words, expected) in cases {
        assert_eq!(keys(words, ""), expected, "{words}");
    }
    for (words, drive, title) in [
        ("3/8 in sockets 9/16", "hexagon 9/16 in", "9/16 in socket, 3/8 in"),
        ("3/8 in sockets 1/2", "hexagon 1/2 in", "1/2 in socket, 3/8 in"),
    ] {
        let piece = set(words, "").remove(0);
        let size = model::Drive::parse(drive).unwrap().size();
        let fits = &piece.grip.as_ref().unwrap().fits;
        assert!(
            fits.iter().any(|f| f.form == DriveForm::Hexagon && f.low <= size && size <= f.high),
            "{fits:?}"
        );
        assert_eq!(piece.title, title);
    }
}

#[test]
fn a_single_piece_takes_an_inch_size() {
    for (own, size_mm) in [("size = \"9/16 in\"", 14.2875), ("fits = [\"hexagon 9/16 in\"]", 14.2875)] {
        let text = format!(
            "[[piece]]\nkey = \"s\"\nkind = \"socket\"\n{own}\nlink = \"3/8 in\"\nplace = \"a / b\"\n"
        );
        let piece = store(&text).pieces.remove(0);
        let fit = piece.grip.expect("a socket has a grip").fits[0];
        assert_eq!((fit.low, fit.high), (size_mm, size_mm), "{own}");
    }
}
