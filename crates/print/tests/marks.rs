//! The pages draw the marks of fasteners as paper does: `marks.js` holds the same shapes as `print::mark`.

use print::mark_svg;
use print::view::HoleMark;

/// The shapes of a mark as the script writes them.
fn as_script(svg: &str) -> String {
    let part = |element: &str| {
        let (name, rest) = element.split_once(' ').expect("an element has attributes");
        let attributes = rest.split("\" ").map(|a| a.replace(['"', '/', '>'], ""));
        let pairs = attributes.map(|a| {
            let (key, value) = a.split_once('=').expect("key and value");
            format!("{key}: \"{value}\"")
        });
        format!("[\"{name}\", {{ {} }}]", pairs.collect::<Vec<_>>().join(", "))
    };
    let parts: Vec<String> = svg.split('<').filter(|e| !e.is_empty()).map(part).collect();
    format!("[{}]", parts.join(", "))
}

#[test]
fn the_script_holds_the_same_shapes() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../web/assets/marks.js");
    let script = std::fs::read_to_string(path).expect("the pages have marks.js");
    for (state, key) in [
        (HoleMark::InPlace, "\"in-place\""),
        (HoleMark::Freed, "freed"),
        (HoleMark::Off, "off"),
        (HoleMark::FingerTight, "\"finger-tight\""),
        (HoleMark::Tight, "tight"),
        (HoleMark::Checked, "checked"),
        (HoleMark::Broken, "broken"),
        (HoleMark::Missing, "missing"),
    ] {
        let line = format!("\n  {key}: {},", as_script(&mark_svg(state)));
        assert!(script.contains(&line), "marks.js lacks{line}");
    }
}
