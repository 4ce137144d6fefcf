//! From a score and its marks to ink: spacing, casting off, placement, chord
//! diagrams. The result is a [`Drawing`] for every system, in staff spaces.

pub mod drawing;

pub use drawing::{Drawing, Face, Ink, Kind, Outline, Owner, Point, StaffSpaces, Stain};
