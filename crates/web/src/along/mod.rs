//! What is taken along from the open book: the book and its editions to be printed, scores,
//! recordings, a practice set, pages for students. All of it is made beside the bench, which
//! is free for other things meanwhile.
//!
//! [`Order`] is what may be asked for, [`Commission`] the same with all that is needed for it;
//! `work` makes it, step by step; the [`Counter`] keeps what is being made and what is made.

mod bundle;
mod counter;
mod order;
mod routes;
#[cfg(test)]
mod tests;
mod work;

use std::sync::Arc;

use apoyando_book::Book;
use apoyando_workshop::{Built, Workshop};

pub use counter::Counter;
use order::{Commission, Order};
pub use routes::routes;

/// The book as it is shown at a moment, with what is known of it. Nobody else waits while
/// something is made of it.
#[derive(Clone)]
pub struct AtHand {
    /// The book.
    pub book: Arc<Book>,
    /// What came of it, as its plan describes it.
    pub built: Arc<Built>,
    /// Tells it from the book at other moments.
    pub turn: u64,
    /// What is known of its fingerings and drawings.
    pub workshop: Workshop,
}
