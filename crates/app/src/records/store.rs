//! A store as a record: the pieces that its sets stand for.

use model::{DimensionsSource, Piece, PieceKind, Store, Tray};
use serde::Serialize;

/// One kind of piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceRecord {
    /// Short name, unique in the store.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// Kind.
    pub kind: PieceKind,
    /// Room or cabinet.
    pub cabinet: String,
    /// Drawer, roll or hook.
    pub drawer: String,
    /// How many are owned.
    pub count: u16,
    /// How many of them are at hand.
    pub at_hand: u16,
    /// How many are lent out.
    pub lent: u16,
    /// How many are out for calibration.
    pub in_calibration: u16,
    /// Length that it adds to a stack.
    pub length_in_stack_mm: f64,
    /// Largest diameter of its outline.
    pub largest_diameter_mm: f64,
    /// Greatest torque that it bears.
    pub strength_n_m: f64,
    /// Names in books that it answers to.
    pub answers: Vec<String>,
    /// The table that its dimensions come from; null where the owner measured them.
    pub dimensions_from: Option<String>,
}

/// A tray with like compartments.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrayRecord {
    /// Letter or short name that starts its addresses.
    pub key: String,
    /// Rows.
    pub rows: u16,
    /// Columns.
    pub columns: u16,
    /// Inner width of a compartment.
    pub width_mm: f64,
    /// Inner depth of a compartment, front to back.
    pub depth_mm: f64,
    /// Inner height of a compartment.
    pub height_mm: f64,
}

/// A store.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StoreRecord {
    /// What a person calls it.
    pub title: String,
    /// Places on the cart; null where it holds all.
    pub cart_places: Option<u16>,
    /// Trays.
    pub trays: Vec<TrayRecord>,
    /// Pieces, in the order of the store.
    pub pieces: Vec<PieceRecord>,
}

impl StoreRecord {
    /// The record of a store.
    #[must_use]
    pub fn of_store(store: &Store) -> Self {
        Self {
            title: store.title.clone(),
            cart_places: store.cart_places,
            trays: store.trays.iter().map(tray_record).collect(),
            pieces: store.pieces.iter().map(piece_record).collect(),
        }
    }
}

fn tray_record(tray: &Tray) -> TrayRecord {
    TrayRecord {
        key: tray.key.clone(),
        rows: tray.rows,
        columns: tray.columns,
        width_mm: tray.width.as_mm(),
        depth_mm: tray.depth.as_mm(),
        height_mm: tray.height.as_mm(),
    }
}

fn piece_record(piece: &Piece) -> PieceRecord {
    PieceRecord {
        key: piece.key.clone(),
        title: piece.title.clone(),
        kind: piece.kind,
        cabinet: piece.place.cabinet.clone(),
        drawer: piece.place.drawer.clone(),
        count: piece.count,
        at_hand: piece.at_hand(),
        lent: piece.lent,
        in_calibration: piece.in_calibration,
        length_in_stack_mm: piece.length_in_stack().as_mm(),
        largest_diameter_mm: piece.largest_diameter().as_mm(),
        strength_n_m: piece.strength.as_n_m(),
        answers: piece.answers.clone(),
        dimensions_from: match &piece.dimensions {
            DimensionsSource::Stated => None,
            DimensionsSource::Standard(table) => Some(table.clone()),
        },
    }
}
