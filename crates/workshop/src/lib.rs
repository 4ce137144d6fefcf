//! The conductor: from a book to scores, fingerings, drawings and the order
//! of the pages. Pure: what is read and written is the caller's.

pub mod piece;
pub mod pins;
