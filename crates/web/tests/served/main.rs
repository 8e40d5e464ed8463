//! What the server answers, asked by request and without a socket: the door, what is received, and every page as text.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod codes;
mod cookies;
mod doors;
mod lessons;
mod page_words;
mod pages;
mod received;
mod refused_events;
mod routes;
mod settings;
mod shop;
mod states;
mod told_figure;
mod visits;
mod waits;
mod week;
