//! The bench pages: one server for the phones and tablets of the workshop.
//!
//! Pages are written here, by the server, and can be read without any script. The small script of the pages stores events on
//! the device first and sends them when it can. The server is bound to this machine unless it is opened to
//! the workshop's network; in both cases only a device with a key of its own is answered.

mod assets;
mod bench_state;
mod broken_work;
mod door;
mod enter;
mod guard;
mod health;
mod keys;
mod live;
mod measure;
mod page_room;
mod pages;
mod receive;
mod refusal;
mod routes;
mod server;
mod side_door;
mod tls;

pub use door::BenchDoor;
pub use routes::{AddressAccess, AddressLine, list_routes};
pub use server::{ServeError, ServeSettings, ServerAddresses, serve_bench_pages};
