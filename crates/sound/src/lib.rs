//! How a fingered score sounds.
//!
//! ```text
//! Score + Fingering ─► performance ─► Performance ─► studio ─► files: WAV, FLAC
//!                                         │             ▲
//!                                         │          strings: one plucked string, from its physics
//!                                         └─► files: MIDI
//! ```
//!
//! - [`performance`]: what is struck when, on which string and fret, how strongly and until
//!   when; repeats, tempo, dynamics and ornaments are played out.
//! - [`strings`]: the sound of one string that is plucked, by its length, tension, mass and
//!   losses, through the body of the guitar.
//! - [`studio`]: all strings together, at one loudness.
//! - [`files`]: MIDI, WAV and FLAC.
//!
//! All is a pure function of its inputs: the same performance gives the same bytes.

pub mod files;
pub mod performance;
pub mod strings;
pub mod studio;
mod units;

pub use performance::{Performance, Strike, perform};
pub use units::{Decibels, Hertz, Seconds};
