//! What a reader would dislike in how things stand on the pages of the demo book, in
//! every edition.

use apoyando_book::{Book, Edition};
use apoyando_engrave::meter::pages::{
    PageFault, holes_at_the_foot, parted_headings, uneven_systems,
};
use apoyando_fretboard::Millimetres;
use apoyando_press::set;
use apoyando_workshop::Workshop;

use crate::demo::{demo, printed};

/// What the meter finds on the pages of an edition.
fn found(workshop: &Workshop, book: &Book, edition: &Edition) -> Vec<PageFault> {
    let pages = set(&printed(workshop, book, edition)).unwrap().placed();
    let space = Millimetres(edition.staff_height.0 / 4.0);
    let mut found = uneven_systems(&pages, space);
    found.extend(holes_at_the_foot(&pages, space));
    found.extend(parted_headings(&pages));
    found
}

#[test]
fn nothing_is_found_on_the_pages_of_any_edition() {
    let (book, workshop) = (demo(), Workshop::default());
    let main = book.main_edition();
    let mut told = Vec::new();
    for edition in std::iter::once(&main).chain(&book.editions) {
        for PageFault { rule, page, message, at } in found(&workshop, &book, edition) {
            told.push(format!(
                "{}, page {}, {:.0} mm: {rule}: {message}",
                edition.name,
                page + 1,
                at.0
            ));
        }
    }
    assert!(told.is_empty(), "{}", told.join("\n"));
}
