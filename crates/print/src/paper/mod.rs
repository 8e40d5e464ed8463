//! Paper: sheets made of blocks, labels and cards in true size; PDF and a page that prints come from the same blocks.
//!
//! A [`Pack`] is what one run prints. Its flowing sheets are laid out by [`flow`](self) from top to bottom over as many
//! pages as they need; labels and hole cards have places of their own, in millimetres. Nothing leaves the page, nothing is
//! cut off: a word too long for its column is broken, a row too high for a page goes on behind it.

mod block;

pub use block::{
    Align, Block, Body, Cell, Column, Foot, HoleCard, HoleSpot, Label, LabelGrid, LabelSheet, Pack,
    PaperError, PaperSize, Row, Sheet, Signal, StepLine,
};
