//! What shops sell: usual pieces of usual sizes, so that what is wanted can be asked for by its name over a counter.
//!
//! **Source.** `sold.toml` beside this file, in the format of a store, with the standards of its dimensions (ISO 2725-1, 3315,
//! 3316, 1174-1, 3318, 7738, all from memory) and what is sold on which square (common practice, no single source).

use std::sync::OnceLock;

use model::Piece;

/// The text of the table.
const TEXT: &str = include_str!("sold.toml");

/// Usual pieces that shops sell, in the order of the table; none of them is owned.
#[must_use]
pub fn sold_pieces() -> &'static [Piece] {
    static PIECES: OnceLock<Vec<Piece>> = OnceLock::new();
    PIECES.get_or_init(|| {
        let read = crate::read_store(&[("sold.toml".to_owned(), TEXT.as_bytes().to_vec())]);
        read.store.map(|store| store.pieces).unwrap_or_default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use model::{Drive, PieceKind, PieceLink};

    #[test]
    fn the_table_reads_without_a_fault() {
        let read = crate::read_store(&[("sold.toml".to_owned(), TEXT.as_bytes().to_vec())]);
        let faults: Vec<String> = read.faults.into_iter().map(|fault| format!("{fault:?}")).collect();
        assert_eq!(faults, Vec::<String>::new());
        assert!(sold_pieces().len() > 200);
    }

    #[test]
    fn an_e14_socket_is_sold_on_the_larger_squares_only() {
        let e14 = Drive::parse("E14").expect("a usual size");
        let fits = |p: &&Piece| {
            let grip = p.grip.iter().flat_map(|g| &g.fits);
            p.kind == PieceKind::Socket && grip.clone().any(|f| f.form == e14.form() && f.low == e14.size())
        };
        let links: Vec<_> = sold_pieces().iter().filter(fits).filter_map(|p| p.toward_hand).collect();
        assert_eq!(links, [PieceLink::Square10, PieceLink::Square12]);
    }
}
