//! What can be measured on a finished drawing: a listing of its ink for tests,
//! and faults that a reader would dislike.

mod listing;

pub use listing::listing;
