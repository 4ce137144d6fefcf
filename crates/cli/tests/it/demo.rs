//! The demo book and the documents of its editions.

use std::path::Path;

use apoyando_book::{Book, Edition};
use apoyando_fretboard::Millimetres;
use apoyando_press::Document;
use apoyando_workshop::{Printing, Workshop};

pub fn demo() -> Book {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    Book::open(&folder).expect("the demo book")
}

pub fn printed(workshop: &Workshop, book: &Book, edition: &Edition) -> Document {
    let line = Millimetres(apoyando_makeup::paper_of(edition).type_width().0);
    apoyando_makeup::document(&workshop.build(&Printing { book, edition, line }, &|_| {}).plan)
}
