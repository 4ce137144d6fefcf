//! Facts of the trade that the search must find by itself.

mod barres;
mod chords;
mod faults;
mod reasons;
mod right;
mod scales;
mod staff;
mod voices;
