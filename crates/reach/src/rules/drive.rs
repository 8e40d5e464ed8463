//! Rule 1: does a grip fit the drive, in form and size?

use model::{Drive, DriveForm, Grip};

/// Whether some fit of the grip has the drive's form and a size range that holds its size.
pub(crate) fn grip_fits_drive(grip: &Grip, drive: Drive) -> bool {
    let size = drive.size();
    // What the bare hand does needs no piece, whatever a piece claims to fit.
    drive.form() != DriveForm::Hand
        && grip.fits.iter().any(|f| f.form == drive.form() && f.low <= size && size <= f.high)
}
