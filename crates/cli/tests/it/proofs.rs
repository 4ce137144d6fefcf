//! The pages of the demo book while it is being changed against those of the book set
//! at once.

use apoyando_press::{Document, Pages, Proofs, set};
use apoyando_workshop::Workshop;

use crate::demo::{demo, printed};

fn pictures(count: usize, draw: impl Fn(usize) -> Vec<u8>) -> Vec<Vec<u8>> {
    (1..=count).map(draw).collect()
}

fn of_proofs(proofs: &Proofs) -> Vec<Vec<u8>> {
    pictures(proofs.count(), |page| proofs.png(page, 30.0).unwrap())
}

fn of_book(pages: &Pages) -> Vec<Vec<u8>> {
    pictures(pages.count(), |page| pages.png(page, 30.0).unwrap())
}

/// The pages of the contents may differ by the rounding of a grey, as the press's own
/// tests say; all others are the same to the byte.
const CONTENTS: usize = 3;

#[track_caller]
fn same(proofs: &Proofs, document: &Document) {
    let (proofs, book) = (of_proofs(proofs), of_book(&set(document).unwrap()));
    assert_eq!(proofs.len(), book.len());
    let differ = (1..=book.len()).filter(|page| proofs[page - 1] != book[page - 1]);
    let differ: Vec<usize> = differ.filter(|page| *page != CONTENTS).collect();
    assert_eq!(differ, [0; 0]);
}

#[test]
fn every_edition_is_the_same_in_proofs() {
    let (book, workshop) = (demo(), Workshop::default());
    let main = book.main_edition();
    for edition in std::iter::once(&main).chain(&book.editions) {
        let document = printed(&workshop, &book, edition);
        let mut proofs = Proofs::default();
        proofs.set(document.clone()).unwrap();
        same(&proofs, &document);
    }
}

#[test]
fn a_changed_note_changes_the_page_it_is_on() {
    let (mut book, workshop) = (demo(), Workshop::default());
    let main = book.main_edition();
    let mut proofs = Proofs::default();
    proofs.set(printed(&workshop, &book, &main)).unwrap();
    let before = of_proofs(&proofs);

    // The piece ends on another note.
    let piece = book.pieces.get_mut("evening-bell.abc").expect("a piece of the demo book");
    let text = String::from_utf8(piece.bytes.to_vec()).unwrap();
    let changed = text.replace("zAce- e2 |]", "zAcc- c2 |]");
    assert_ne!(text, changed, "the note is there");
    piece.bytes = changed.into_bytes().into();
    let document = printed(&workshop, &book, &main);
    let told = proofs.set(document.clone()).unwrap();
    let after = of_proofs(&proofs);
    let seen: Vec<usize> =
        (1..=after.len()).filter(|page| before.get(page - 1) != after.get(page - 1)).collect();
    assert_eq!(told, seen, "the pages told are those that look otherwise");
    assert!((1..=2).contains(&told.len()), "{told:?}");
    same(&proofs, &document);

    // Put back, all is as it was.
    let piece = book.pieces.get_mut("evening-bell.abc").unwrap();
    piece.bytes = text.into_bytes().into();
    assert_eq!(proofs.set(printed(&workshop, &book, &main)).unwrap(), told);
    assert!(of_proofs(&proofs) == before);
}
