//! `traywright serve`: the pages for the bench.

use super::journal::Journal;
use crate::exit::{Failure, Verdict, print};
use app::workshop::Workshop;
use clap::Args;
use std::path::PathBuf;
use web::{Addresses, Settings};

/// Serves the bench pages, to this computer only unless --open is given; Ctrl-C ends it.
#[derive(Debug, Args)]
pub struct Serve {
    /// The port; 0 takes a free one.
    #[arg(long, default_value_t = 7420)]
    port: u16,
    /// Open the pages to the workshop's network; each device is paired by a code.
    #[arg(long)]
    open: bool,
    /// A name of this computer in the network besides its address; repeat it for more.
    #[arg(long = "name", value_name = "NAME", requires = "open")]
    names: Vec<String>,
    /// Serve HTTPS with a certificate of the workshop's own, kept beside the journal.
    #[arg(long)]
    https: bool,
    #[command(flatten)]
    journal: Journal,
}

impl Serve {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let workshop = self.journal.open()?;
        let certificates = self.https.then(|| {
            let mut name = self.journal.path().as_os_str().to_owned();
            name.push(".certificates");
            PathBuf::from(name)
        });
        serve(workshop, &Settings { port: self.port, open: self.open, names: self.names, certificates })
    }
}

/// Serves, and says where.
pub fn serve(workshop: Workshop, settings: &Settings) -> Result<Verdict, Failure> {
    let ready = |addresses: &Addresses| {
        let text = told(addresses);
        // A terminal that is gone does not stop the server.
        let _ = print(&text);
    };
    web::serve(workshop, settings, &ready).map_err(|error| Failure::Input(error.to_string()))?;
    Ok(Verdict::Clean)
}

fn told(addresses: &Addresses) -> String {
    let mut text = format!(
        "open the bench on this computer:\n  {}/enter?code={}\n",
        addresses.here(),
        addresses.first_code
    );
    if let Some(there) = addresses.there() {
        text.push_str(&format!(
            "in the workshop's network: {there}\n  (pair a phone or tablet there by the code under Devices)\n"
        ));
    }
    text.push_str("Ctrl-C ends it; nothing is lost then.\n");
    text
}
