//! Chord diagrams.
