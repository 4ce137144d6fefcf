//! Faults planted by hand in small fingerings are found, and the fingerings
//! without them are clean.

mod author;
mod barre;
mod garbage;
mod kit;
mod moves;
mod physics;
mod price;
mod record;
mod right;
