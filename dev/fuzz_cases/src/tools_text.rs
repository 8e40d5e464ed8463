//! Stores of tools: text and spreadsheets that anybody may write.
//!
//! An input that begins with `format` is read as TOML; any other as a spreadsheet beside a sound head.

use tools::{ParsedStore, read_store, write_store};

use crate::{FuzzTarget, InputOutcome};

/// The target of tools.
pub const TARGET: FuzzTarget = FuzzTarget { name: "tools", try_input, sound_inputs };

const HEAD: &str = "format = \"traywright-store/1\"\ntitle = \"Workshop\"\n";

fn read_text(bytes: &[u8]) -> ParsedStore {
    if bytes.starts_with(b"format") {
        return read_store(&[(String::from("store.toml"), bytes.to_vec())]);
    }
    read_store(&[(String::from("store.toml"), HEAD.into()), (String::from("pieces.csv"), bytes.to_vec())])
}

fn show_faults(parsed: &ParsedStore) -> String {
    let _records = faults::fault_records(&parsed.faults, &parsed.sources);
    faults::render_faults(&parsed.faults, &parsed.sources, faults::FaultLook::Plain)
}

fn try_input(bytes: &[u8]) -> InputOutcome {
    let parsed = read_text(bytes);
    let shown = show_faults(&parsed);
    let Some(first) = parsed.store else {
        assert!(parsed.faults.has_errors(), "a refused store names an error: {shown}");
        return InputOutcome::Refused;
    };
    let _shown = app::text::store_text::format_store(&first, app::text::table::PageWidth::USUAL);
    let text = write_store(&first);
    let again = read_text(text.as_bytes());
    let shown = show_faults(&again);
    assert_eq!(again.store.as_ref(), Some(&first), "what was written reads otherwise:\n{shown}\n{text}");
    InputOutcome::Read
}

fn sound_inputs() -> Vec<Vec<u8>> {
    let sets = "[[set]]\nset = \"1/4 in deep sockets 8 to 10 mm\"\nplace = \"red cabinet / drawer 1\"\n\
                [[set]]\nset = \"bits PH2, PZ2, T25, hex 5, slot 5.5, 1/4 in hex\"\nplace = \"red cabinet / drawer 2\"\n";
    let page = include_str!("../../../docs/store-format.md");
    let blocks = page.split("```").skip(1).step_by(2);
    let whole: String = blocks.filter_map(|block| block.strip_prefix("toml\n")).collect();
    let sheet = include_bytes!("../../../demo/store/bits.csv").to_vec();
    vec![format!("{HEAD}{sets}").into_bytes(), sheet, whole.into_bytes()]
}
