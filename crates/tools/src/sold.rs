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

    /// The kinds of sold pieces that take hold of a drive, each once.
    fn kinds_sold_for(drive: &str) -> Vec<PieceKind> {
        let drive = Drive::parse(drive).expect("a drive");
        let takes = |piece: &&Piece| {
            let mut fits = piece.grip.iter().flat_map(|grip| &grip.fits);
            fits.any(|fit| fit.form == drive.form() && fit.low <= drive.size() && drive.size() <= fit.high)
        };
        let mut kinds: Vec<PieceKind> = sold_pieces().iter().filter(takes).map(|piece| piece.kind).collect();
        kinds.sort();
        kinds.dedup();
        kinds
    }

    #[test]
    fn inch_sizes_and_squares_are_sold() {
        use PieceKind::{
            BitSocket, CrowFoot, FlareSpanner, OpenSpanner, RatchetingRing, RingSpanner, Socket,
        };
        let around = [Socket, RingSpanner, OpenSpanner, FlareSpanner, RatchetingRing, CrowFoot];
        assert_eq!(kinds_sold_for("hexagon 9/16 in"), around);
        // Rings and slotted rings have no corners for a square; jaws and eight points have.
        assert_eq!(kinds_sold_for("square 7/16 in"), [Socket, OpenSpanner, CrowFoot]);
        assert_eq!(kinds_sold_for("square socket 3/8 in"), [BitSocket]);
        assert_eq!(kinds_sold_for("hex socket 3/16 in"), [BitSocket]);
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
