//! Rule 1: does a grip fit the drive, in form and size, and does it pass the pipe that comes out of a union?

use crate::site::ReachSite;
use model::{DriveForm, Grip, GripFit};

/// Whether some fit of the grip has the drive's form and a size range that holds its size, and the grip can be put on.
pub(crate) fn can_grip_take_hold(grip: &Grip, site: &ReachSite) -> bool {
    let (form, size) = (site.drive.form(), site.drive.size());
    let fits = |f: &GripFit| f.form == form && f.low <= size && size <= f.high;
    // What the bare hand does needs no piece, whatever a piece claims to fit.
    form != DriveForm::Hand && (grip.is_open || !site.has_pipe) && grip.fits.iter().any(fits)
}
