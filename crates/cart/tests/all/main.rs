//! The tests of the cart.

mod agree;
mod known;
mod loading;
