//! The open book: its pages in the browser of this computer, to be read and changed.
//!
//! [`open`] serves a book folder on the loopback interface until it is stopped. What is shown
//! are the pages that [`Proofs`](apoyando_press::Proofs) sets; what is changed are the same plain
//! files that the command line reads, by [edits](apoyando_book::edit) that can be undone.

mod along;
mod bench;
mod dropped;
mod edits;
mod error;
mod foresight;
mod guard;
mod hear;
mod listen;
mod note;
mod order;
mod remarks;
mod remedy;
mod server;
mod sheet;
mod stretch;
mod typed;
mod watch;
mod ways;

pub use error::OpenError;
pub use server::{Served, open};
