//! Facts of the trade that the search must find by itself.

mod barres;
mod chords;
mod damping;
mod faults;
mod findings;
mod like_bars;
mod network;
mod on_paper;
mod practice;
mod reasons;
mod right;
mod right_rules;
mod scales;
mod second;
mod staff;
mod voices;
mod ways_out;
