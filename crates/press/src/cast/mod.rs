//! Casting off lines and pages together: in how many systems each piece of
//! music is set, which system opens a page, and how far the gaps grow.
//!
//! Each take is set once with natural gaps, the lines that are best by
//! themselves and white in the place of its plates, which tells how high all
//! words are. Between two page breaks
//! made on purpose, lines and page breaks are then chosen as one optimum. Its
//! price is the sum of
//!
//! - for music in other lines than its best, what these cost more;
//! - for every page but the last of the run, the white at its foot that
//!   growing gaps do not take up, and how far they grow;
//! - for the last page, how little is on it;
//! - for music that goes on on the next page, that it is torn, that it has few
//!   systems, that one of them is left alone, and, at the foot of a right-hand
//!   page, that it must be turned over while there is something to play;
//! - for a page of blank staves put before a piece so that it stands on an
//!   opening.
//!
//! The prices and their reasons are in `docs/casting.md`. A system that the
//! author wants to begin a page does so in all settings; that break is free.
//! The runs of a book are solved for both sides they could begin on, and put
//! together to the cheapest book.
//!
//! On a page that ends because the next system did not fit, the gaps grow by
//! one share until it is full, at most to 1.4 of their size; what is left
//! stays white. Where prose runs between the systems, lines and breaks stay as
//! they were set.

mod book;
mod galley;
mod measured;
mod plan;
mod prices;
mod run;
mod search;
#[cfg(test)]
mod tests;

pub use book::{Chosen, cast, left};
pub use galley::Galley;
pub use measured::{Measured, Place, lowest};
pub use plan::{Break, Plan};
pub use prices::HOLE;

/// Kept free at the foot against rounding, in points.
const SPARE: f64 = 0.5;
