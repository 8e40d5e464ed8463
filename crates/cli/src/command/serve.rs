//! `traywright serve`: the pages for the bench.

use super::journal::{JournalArguments, require_kind_if_there, tell_notices};
use crate::exit::{CommandFailure, CommandVerdict, print_answer};
use app::load::{self, FileKind};
use app::workshop::{BookShelf, Workshop};
use clap::Args;
use std::path::PathBuf;
use web::{ServeSettings, ServerAddresses};

/// Serves the bench pages, to this computer only unless --network is given; Ctrl-C ends it.
#[derive(Debug, Args)]
pub struct ServeCommand {
    /// Port of the bench pages; 0 takes a free one.
    #[arg(long, value_name = "PORT", default_value_t = 7420)]
    port: u16,
    /// Serve the workshop's network too, not this computer alone; each device is paired by a code.
    #[arg(long)]
    network: bool,
    /// A further name of this computer in the network, such as workshop.local; may be given several times.
    #[arg(long = "host", value_name = "NAME", requires = "network")]
    names: Vec<String>,
    /// Serve HTTPS with a certificate of the workshop's own, kept beside the journal.
    #[arg(long)]
    https: bool,
    /// A book, or a folder of books, that new visits may begin from; may be given several times. Without it: the folder `books`
    /// here, where there is one.
    #[arg(long = "book", value_name = "PATH")]
    books: Vec<PathBuf>,
    /// The tool store to plan with. Without it: the folder `store` here, where there is one.
    #[arg(long, value_name = "PATH")]
    store: Option<PathBuf>,
    #[command(flatten)]
    journal: JournalArguments,
}

/// The folder of a name here, where there is one.
fn folder_here(name: &str) -> Option<PathBuf> {
    Some(PathBuf::from(name)).filter(|folder| folder.is_dir())
}

/// What new visits may begin from; a name that is not there is told at once.
fn book_shelf(books: Vec<PathBuf>, store: Option<PathBuf>) -> Result<BookShelf, CommandFailure> {
    for path in &books {
        // A folder of no kind is a shelf with books in it.
        if FileKind::of_path(path) != Some(FileKind::Folder) {
            load::book_files(path)?;
        }
    }
    if let Some(path) = &store {
        load::store_files(path)?;
    }
    let folders = if books.is_empty() { folder_here("books").into_iter().collect() } else { books };
    Ok(BookShelf { folders, store: store.or_else(|| folder_here("store")) })
}

impl ServeCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let shelf = book_shelf(self.books, self.store)?;
        require_kind_if_there(self.journal.journal_path())?;
        let workshop = tell_notices(Workshop::open_to_serve(self.journal.journal_path())?)?;
        let certificates = self.https.then(|| {
            let mut name = self.journal.journal_path().as_os_str().to_owned();
            name.push(".certificates");
            PathBuf::from(name)
        });
        serve_workshop(
            workshop,
            &ServeSettings { port: self.port, open: self.network, names: self.names, certificates, shelf },
        )
    }
}

/// Serves, and says where.
pub fn serve_workshop(
    workshop: Workshop,
    settings: &ServeSettings,
) -> Result<CommandVerdict, CommandFailure> {
    let ready = |addresses: &ServerAddresses| {
        let text = address_words(addresses);
        // A terminal that is gone does not stop the server.
        let _ = print_answer(&text);
    };
    web::serve_bench_pages(workshop, settings, &ready)?;
    Ok(CommandVerdict::Clean)
}

fn address_words(addresses: &ServerAddresses) -> String {
    let mut text = format!(
        "open the bench on this computer:\n  {}/enter?code={}\n",
        addresses.local_address(),
        addresses.first_code
    );
    if let Some(there) = addresses.network_address() {
        text.push_str(&format!(
            "in the workshop's network: {there}\n  (pair a phone or tablet with the code under Devices)\n"
        ));
    }
    text.push_str("Ctrl-C stops the server; nothing is lost.\n");
    text
}
