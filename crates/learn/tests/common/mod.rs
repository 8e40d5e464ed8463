//! Tables of `docs/learning.md`: compared with what is measured, or written anew where `TRAYWRIGHT_RENEW` is set.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::path::Path;

/// Compares a table of the page with the one that was made.
pub fn compare_table(name: &str, made: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/learning.md");
    let page = std::fs::read_to_string(&path).unwrap();
    let (begin, end) = (format!("<!-- {name} -->\n"), format!("<!-- end of {name} -->"));
    let (before, rest) = page.split_once(begin.as_str()).unwrap();
    let (told, after) = rest.split_once(end.as_str()).unwrap();
    if std::env::var_os("TRAYWRIGHT_RENEW").is_some() {
        std::fs::write(&path, format!("{before}{begin}{made}{end}{after}")).unwrap();
        return;
    }
    assert_eq!(told, made, "docs/learning.md tells other figures; run this test with TRAYWRIGHT_RENEW=1");
}
