//! The instrument: its tuning and capo, its lengths in millimetres, and the
//! places where a pitch lies.

pub mod instrument;
pub mod length;
pub mod place;
pub mod tuning;

pub use instrument::{Instrument, Point};
pub use length::{Millimetres, TenthsOfMm};
pub use place::{Fret, Place, StringNumber};
pub use tuning::{Tuning, TuningError};
