//! The traywright command.
fn main() {}
