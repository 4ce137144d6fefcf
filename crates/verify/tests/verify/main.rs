//! Faults planted by hand in small fingerings are found, and the fingerings
//! without them are clean.

mod author;
mod away;
mod barre;
mod garbage;
mod harmonics;
mod house;
mod joins;
mod kit;
mod moves;
mod notation;
mod ornaments;
mod physics;
mod playing;
mod price;
mod record;
mod right;
mod second;
mod sounds;
mod staying;
