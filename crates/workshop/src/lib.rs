//! The conductor: from a book to scores, fingerings, drawings and the order
//! of the pages. Pure: what is read and written is the caller's.
//!
//! [`Workshop::build`] does all of it; [`piece::finger`] is the step from one
//! score to its fingering, also for the command line.

mod breaks;
mod build;
mod house;
mod like;
mod matter;
mod memo;
pub mod piece;
pub mod pins;
pub mod plan;
mod preparation;
mod remember;
mod words;
mod write;

pub use build::{Built, BuiltItem, Progress, Workshop};
