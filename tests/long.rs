//! How often a test repeats what it tries: an ordinary count, or its full one in a long run (`./test --long`).

use std::io::Write as _;

/// The count of this run: the full one where `TRAYWRIGHT_LONG` is set. A long run also prints it, with what is counted, for
/// the table that `./test --long` ends with.
pub fn choose_count(what: &str, ordinary: u32, full: u32) -> u32 {
    if std::env::var_os("TRAYWRIGHT_LONG").is_none() {
        return ordinary;
    }
    // The test holds without its line in the table, so a closed pipe is no reason to fail.
    let _closed = writeln!(std::io::stdout(), "count: {full} {what}");
    full
}
