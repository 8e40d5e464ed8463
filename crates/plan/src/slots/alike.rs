//! Look-alikes: fixings whose fasteners could be taken for each other in the tray.

use model::Fixing;

/// Same kind, thread and drive, but another length or class.
#[must_use]
pub fn are_look_alikes(a: &Fixing, b: &Fixing) -> bool {
    let same = a.kind == b.kind && a.drive == b.drive && a.thread == b.thread && a.thread.is_some();
    same && (a.length != b.length || a.class != b.class)
}
