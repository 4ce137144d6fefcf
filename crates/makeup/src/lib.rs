//! Make-up: from the order of the pages, which is the workshop's, to the document that the
//! press sets. In the trade it is putting type and pictures together into pages.

mod document;

pub use document::{document, in_one, leaf, paper, paper_of, printing};
