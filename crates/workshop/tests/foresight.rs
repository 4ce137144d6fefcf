//! Items that are made before they are asked for.

use std::path::Path;
use std::sync::Arc;

use apoyando_book::Book;
use apoyando_book::edit::{
    Command, Edit, ItemPlace, NotePlace, PinKey, PinValue, Revision, apply, text_of,
};
use apoyando_fretboard::Millimetres;
use apoyando_workshop::{Built, Printing, Workshop};

const LINE: Millimetres = Millimetres(175.0);

/// The demo book with a finger decided, seen ahead, then asked for: what comes is what was made
/// ahead, and it is as a program makes it that never saw the book before.
#[test]
fn what_was_foreseen_is_what_would_be_made() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    let now = Book::open(&folder).unwrap();
    let workshop = Workshop::default();
    let build = |workshop: &Workshop, book: &Book| -> Built {
        let edition = book.main_edition();
        workshop.build(&Printing { book, edition: &edition, line: LINE }, &|_| ())
    };
    let before = build(&workshop, &now);
    let index = before.items.iter().position(|item| item.parts.len() == 2).unwrap();
    let item = &before.items[index];
    let at = ItemPlace { section: item.section.clone(), item: item.index };
    let base = text_of(&folder, &at.file()).unwrap().as_deref().map(Revision::of);
    let note = NotePlace { part: 1, bar: 1, beat: "1".parse().unwrap(), voice: 1, pitch: None };
    let what = vec![(PinKey::Finger, PinValue::Number(4))];
    let edit = Edit { base, command: Command::Pin { at: at.clone(), note, what } };
    let change = apply(&folder, &edit).unwrap();
    let after = Book::open_after(&folder, &change).unwrap();
    assert_eq!(Book::open(&folder).unwrap(), now, "nothing was written");

    let edition = after.main_edition();
    let printing = Printing { book: &after, edition: &edition, line: LINE };
    let foreseen = workshop.foresee(&printing, &at).unwrap();
    let made = Arc::clone(foreseen.item());
    workshop.expect(foreseen);
    let built = build(&workshop, &after);
    assert!(Arc::ptr_eq(&made, &built.items[index]));
    let fresh = build(&Workshop::default(), &after);
    assert_eq!(built.plan, fresh.plan);
    let fingers = |built: &Built| built.items[index].parts[0].fingering.clone();
    assert_eq!(fingers(&built), fingers(&fresh));
    assert_ne!(fingers(&built), fingers(&before));
}
