//! What a key section of a method holds: advice on the position, the writers
//! of its exercises, and what to prepare before a piece is played.
//!
//! A writer makes a [`Score`](apoyando_music::Score) with pins on what the
//! exercise is about; the fingers are then found by the search like those of
//! any other music. Trade facts behind the writers are common practice, no
//! source, unless one is named.

pub mod advice;
pub mod arpeggio;
mod bars;
mod broken;
pub mod error;
mod grip;
mod ground;
mod ladder;
pub mod map;
pub mod position_scale;
pub mod preparation;
pub mod progression;
mod reasons;
pub mod scale;
pub mod setting;
pub mod subjects;
pub mod triads;
#[cfg(test)]
mod trial;
mod verdict;
mod voicing;
mod words;
pub mod written;

pub use advice::{PositionAdvice, PositionReport, advise};
pub use error::MethodError;
pub use map::{PositionMap, Spot, Standing, map};
pub use preparation::{Preparation, prepare};
pub use setting::Setting;
pub use written::{ListedShape, Verdict, Written, shapes_of_degrees};
