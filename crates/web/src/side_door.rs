//! What runs beside the pages: other commands of this computer are let in at a side door, and how long the journal is gets to disk
//! once a second.

use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::sync::{Arc, Weak};
use std::time::Duration;

use app::workshop::door::{answer_request, new_secret};

use crate::bench_state::{BenchState, SharedBench};

/// How often the length of the journal is forced to disk.
const FORCE_EVERY: Duration = Duration::from_secs(1);

/// Opens the side door and says beside the journal where it is; both threads end with the server.
pub(crate) fn open_side_door(bench: &SharedBench) -> std::io::Result<()> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
    let secret = new_secret();
    let door = format!("{} {secret}", listener.local_addr()?);
    bench.do_with_workshop(|workshop| workshop.name_door(door)).map_err(std::io::Error::other)?;
    let asked = Arc::downgrade(bench);
    std::thread::Builder::new().name("side door".into()).spawn(move || {
        for stream in listener.incoming().flatten() {
            let Some(bench) = Weak::upgrade(&asked) else { return };
            answer_at_door(&bench, &stream, &secret);
        }
    })?;
    let rested = Arc::downgrade(bench);
    std::thread::Builder::new().name("tail".into()).spawn(move || {
        loop {
            std::thread::sleep(FORCE_EVERY);
            let Some(bench) = Weak::upgrade(&rested) else { return };
            bench.do_with_workshop(app::workshop::Workshop::force_tail);
        }
    })?;
    Ok(())
}

fn answer_at_door(bench: &BenchState, stream: &TcpStream, secret: &str) {
    let has_changed =
        answer_request(stream, secret, &mut |task| bench.do_with_workshop(|workshop| task(workshop)));
    if has_changed && let Err(error) = bench.relearn_journal() {
        bench.set_health(crate::health::unchecked_notice(&error.to_string()));
    }
}
