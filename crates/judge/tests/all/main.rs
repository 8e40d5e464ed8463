//! The judge finds nothing in a right plan and names the rule that a wrong one breaks.

mod codes;
mod known;
mod read;
mod spoken;
mod things;
mod together;
mod visits;
mod world;
mod world_things;
