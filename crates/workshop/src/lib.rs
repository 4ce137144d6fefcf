//! The conductor: from a book to scores, fingerings, drawings and the order
//! of the pages. Pure: what is read and written is the caller's.
//!
//! [`Workshop::build`] does all of it; [`piece::finger`] is the step from one
//! score to its fingering, also for the command line.

mod advised;
mod breaks;
mod build;
mod foresight;
mod house;
mod item;
mod like;
mod matter;
mod memo;
mod nudges;
mod opener;
mod order;
pub mod piece;
pub mod pins;
pub mod plan;
pub mod practice;
mod preparation;
mod printing;
mod remember;
mod score_file;
mod signs;
mod words;
mod write;

pub use apoyando_method::subjects::News;
pub use build::{Built, Progress, Workshop};
pub use foresight::Foreseen;
pub use item::BuiltItem;
pub use matter::strain;
pub use printing::Printing;
pub use score_file::musicxml;
