//! A large book from its folder to its PDF: twelve keys, 150 exercises, 24 pieces.
//!
//! Memory is measured on the command itself, over the folder that the example
//! `twelve-keys` writes.

#[path = "../examples/twelve_keys/write.rs"]
mod write;

use std::path::PathBuf;
use std::sync::Arc;

use apoyando_book::Book;
use apoyando_fretboard::Millimetres;
use apoyando_press::{Block, Document, Music, Proofs};
use apoyando_workshop::{Built, Printing, Workshop};

/// As in the program itself.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    divan::main();
}

fn folder() -> PathBuf {
    let folder = std::env::temp_dir().join(format!("apoyando-twelve-{}", std::process::id()));
    write::write(&folder).expect("a folder for the book");
    folder
}

fn open() -> Book {
    let folder = folder();
    let book = Book::open(&folder).expect("a book");
    std::fs::remove_dir_all(&folder).expect("the folder to go");
    book
}

fn build(workshop: &Workshop, book: &Book) -> Built {
    let edition = &book.main_edition();
    let line = Millimetres(apoyando_makeup::paper_of(edition).type_width().0);
    workshop.build(&Printing { book, edition, line }, &|_| {})
}

fn pdf(built: &Built) -> Vec<u8> {
    apoyando_press::pdf(&apoyando_makeup::document(&built.plan)).expect("a PDF")
}

/// Everything from the plan on.
#[divan::bench(sample_count = 10)]
fn cold(bencher: divan::Bencher<'_, '_>) {
    let book = open();
    bencher.bench_local(|| pdf(&build(&Workshop::default(), &book)));
}

/// The same up to the order of the pages: fingering and engraving.
#[divan::bench(sample_count = 10)]
fn cold_without_pages(bencher: divan::Bencher<'_, '_>) {
    let book = open();
    bencher.bench_local(|| build(&Workshop::default(), &book));
}

/// The pages of a book that is fingered and engraved.
#[divan::bench(sample_count = 10)]
fn pages(bencher: divan::Bencher<'_, '_>) {
    let built = build(&Workshop::default(), &open());
    bencher.bench_local(|| pdf(&built));
}

/// The same pages with nothing in the place of every system and diagram: what the
/// typesetting itself takes.
#[divan::bench(sample_count = 10)]
fn pages_without_music(bencher: divan::Bencher<'_, '_>) {
    let built = build(&Workshop::default(), &open());
    let mut document = apoyando_makeup::document(&built.plan);
    blank(&mut document);
    bencher.bench_local(|| apoyando_press::pdf(&document).expect("a PDF"));
}

/// One note of a piece is another, in a program that goes on running: the piece is read,
/// fingered and engraved again, and the pages of its section are set. What did not
/// change is remembered.
#[divan::bench(sample_count = 20)]
fn one_note_changed(bencher: divan::Bencher<'_, '_>) {
    change(bencher, |_, _| {});
}

/// The same with a picture of the first page that changed, at the size of a screen.
#[divan::bench(sample_count = 20)]
fn one_note_changed_and_drawn(bencher: divan::Bencher<'_, '_>) {
    change(bencher, |proofs, pages| {
        proofs.png(pages[0], 96.0).expect("a picture");
    });
}

fn change(bencher: divan::Bencher<'_, '_>, look: impl Fn(&Proofs, &[usize])) {
    let original = open();
    let (workshop, mut proofs) = (Workshop::default(), Proofs::default());
    let mut show = |book: &Book| {
        let pages =
            proofs.set(apoyando_makeup::document(&build(&workshop, book).plan)).expect("pages");
        look(&proofs, &pages);
    };
    show(&original);
    let mut nth = 0;
    let next = || {
        nth += 1;
        changed(&original, nth)
    };
    bencher.with_inputs(next).bench_local_values(|book| show(&book));
}

/// The book with the nth note of its first solo a step off: never the same twice.
fn changed(book: &Book, nth: usize) -> Book {
    let mut book = book.clone();
    let piece = book.pieces.get_mut("c-major-solo.abc").expect("the solo");
    let mut bytes = piece.bytes.to_vec();
    let tune = bytes.windows(6).position(|it| it == b"[V:1] ").expect("a voice") + 6;
    let is_note = |byte: &u8| b"CDEFGABcdefgab".contains(byte);
    let notes = bytes[tune..].iter().enumerate().filter(|(_, byte)| is_note(byte));
    let at = tune + notes.map(|(at, _)| at).nth(nth).expect("a note");
    bytes[at] = if bytes[at] == b'G' { b'A' } else { b'G' };
    piece.bytes = bytes.into();
    book
}

fn blank(document: &mut Document) {
    let empty = |music: &mut Music| {
        for system in music.castings.iter_mut().flat_map(|casting| &mut casting.systems) {
            Arc::make_mut(&mut system.line).drawing.stains.clear();
        }
    };
    for block in document.sections.iter_mut().flat_map(|section| &mut section.blocks) {
        match block {
            Block::Exercise(exercise) => {
                empty(&mut exercise.music);
                for diagram in exercise.diagrams.iter_mut().flat_map(|row| &mut row.diagrams) {
                    diagram.drawing.stains.clear();
                }
            }
            Block::Piece(piece) => empty(&mut piece.music),
            Block::Music(music) => empty(music),
            _ => {}
        }
    }
}
