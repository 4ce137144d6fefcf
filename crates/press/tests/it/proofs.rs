//! The pages of a document that is being changed against those of the same
//! document set at once.

use apoyando_press::{Block, Document, Music, Opening, PressError, Proofs, Section, set};

use crate::picture::greatest_difference;
use crate::sample;

/// Every page of the proofs is the page of that number in the book.
fn same(proofs: &Proofs, document: &Document, when: &str) {
    let pages = set(document).unwrap();
    assert_eq!(proofs.count(), pages.count(), "{when}");
    for page in 1..=pages.count() {
        let (proof, of_book) = (proofs.png(page, 40.0).unwrap(), pages.png(page, 40.0).unwrap());
        // Lines of the contents are no links in proofs, so that their places are
        // sums in another order: a grey may be rounded the other way.
        let apart = greatest_difference(&proof, &of_book);
        assert!(apart <= Some(1) && apart.is_some(), "{when}: page {page} differs by {apart:?}");
    }
    assert_eq!(proofs.faults(), pages.faults(), "{when}");
}

fn section(heading: Option<&str>, opening: Opening, systems: usize) -> Section {
    let Document { sections, .. } = sample::sheet(sample::music(systems));
    let blocks = sections.into_iter().flat_map(|section| section.blocks).collect();
    Section { heading: heading.map(str::to_owned), opening, blocks, ..Section::default() }
}

/// A book with openings of every kind: on the right, on the next page, below;
/// sections with and without a heading.
fn mixed() -> Document {
    let mut book = sample::book();
    book.sections.extend([
        section(None, Opening::NextPage, 3),
        section(Some("A third"), Opening::NextPage, 13),
        section(Some("Below it"), Opening::RunOn, 2),
        section(None, Opening::Recto, 2),
        section(None, Opening::NextPage, 9),
        section(Some("The last"), Opening::Recto, 1),
    ]);
    book
}

fn last_music(book: &mut Document) -> &mut Music {
    match book.sections.last_mut().unwrap().blocks.last_mut() {
        Some(Block::Exercise(exercise)) => &mut exercise.music,
        other => panic!("the sample ends with an exercise, not {other:?}"),
    }
}

#[test]
fn proofs_are_the_pages_of_the_book() {
    let mut first_runs_on = mixed();
    first_runs_on.sections[0].opening = Opening::RunOn;
    let mut bare = mixed();
    (bare.title_page, bare.contents) = (None, None);
    let thick = sample::thick_book(120);
    for (document, when) in [
        (mixed(), "mixed"),
        (first_runs_on, "the first section runs on"),
        (bare, "without front matter"),
        (thick, "a thick book"),
    ] {
        let mut proofs = Proofs::default();
        let new = proofs.set(document.clone()).unwrap();
        assert_eq!(new, (1..=proofs.count()).collect::<Vec<_>>(), "{when}");
        same(&proofs, &document, when);
    }
}

#[test]
fn only_what_changed_is_told() {
    let mut book = mixed();
    let mut proofs = Proofs::default();
    proofs.set(book.clone()).unwrap();
    assert_eq!(proofs.set(book.clone()).unwrap(), [0; 0], "nothing changed");

    // Another line of music in the last section, which has one page.
    *last_music(&mut book) = sample::music(2);
    let last = proofs.count();
    assert_eq!(proofs.set(book.clone()).unwrap(), [last]);
    same(&proofs, &book, "a line more");

    // A section less: what follows moves, and the contents say so.
    book.sections.remove(3);
    let new = proofs.set(book.clone()).unwrap();
    assert!(new.contains(&3), "the contents: {new:?}");
    same(&proofs, &book, "a section less");

    // Other paper: everything is new.
    book.paper = apoyando_press::Paper::LETTER;
    let new = proofs.set(book.clone()).unwrap();
    assert_eq!(new.len(), proofs.count());
    same(&proofs, &book, "other paper");
}

/// What is expected is as if it had been set then, and what was before is at hand, too; something
/// else than expected is set for itself.
#[test]
fn what_is_expected_comes_as_it_would_be_set() {
    let (book, mut longer, mut other) = (mixed(), mixed(), mixed());
    *last_music(&mut longer) = sample::music(2);
    other.sections.remove(3);
    let mut proofs = Proofs::default();
    proofs.set(book.clone()).unwrap();
    let last = proofs.count();
    for expected in [&longer, &other] {
        let mut ahead = proofs.clone();
        ahead.set(expected.clone()).unwrap();
        proofs.expect(ahead);
        same(&proofs, &book, "nothing has changed yet");
    }
    for (come, pages) in [(&longer, Some([last])), (&book, Some([last])), (&other, None)] {
        let told = proofs.set(come.clone()).unwrap();
        assert!(pages.is_none_or(|pages| told == pages), "{told:?}");
        same(&proofs, come, "it came");
    }
}

#[test]
fn a_document_that_cannot_be_set_leaves_no_pages() {
    let mut proofs = Proofs::default();
    proofs.set(mixed()).unwrap();
    let mut book = mixed();
    last_music(&mut book).staff.0 = 100.0;
    assert!(matches!(proofs.set(book), Err(PressError::Staff { .. })));
    assert_eq!(proofs.count(), 0);
    proofs.set(mixed()).unwrap();
    same(&proofs, &mixed(), "put right");
}
