//! A workshop that is kept from one build to the next.

use apoyando_book::{Book, Tablature};
use apoyando_engrave::Kind;
use apoyando_fingering::{LeftFinger, Placement};
use apoyando_fretboard::Millimetres;
use apoyando_workshop::{Built, Printing, Workshop};

const BOOK: &str = "title = \"Style\"\nsections = [\"c\"]\n[level]\nhighest-fret = 3\n";
const SECTION: &str = "title = \"C\"\nkey = \"C major\"\nposition = \"I\"\n[[items]]\nkind = \"scale\"\n\
                       [[items]]\nkind = \"position-scale\"\n";

/// The digits of the left hand in the whole book.
fn digits(built: &Built) -> String {
    let parts = built.items.iter().flat_map(|item| &item.parts);
    let tones = parts.flat_map(|part| &part.fingering.as_ref().expect("a fingering").tones);
    let finger = |left: Placement| left.finger.map_or(0, LeftFinger::digit);
    tones.map(|tone| tone.left.map_or('x', |left| char::from(b'0' + finger(left)))).collect()
}

fn open(name: &str) -> Book {
    let folder = std::env::temp_dir().join(format!("apoyando-{name}-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("sections")).unwrap();
    std::fs::write(folder.join("book.toml"), BOOK).unwrap();
    std::fs::write(folder.join("sections/c.toml"), SECTION).unwrap();
    let book = Book::open(&folder);
    std::fs::remove_dir_all(&folder).unwrap();
    book.unwrap()
}

/// The book as its plan has it, on lines of 180 mm.
fn main_edition(workshop: &Workshop, book: &Book) -> Built {
    let edition = &book.main_edition();
    workshop.build(&Printing { book, edition, line: Millimetres(180.0) }, &|_| ())
}

/// Every tone of every item has its figure where the book has tablature, and nothing
/// else is engraved anew.
#[test]
fn a_book_with_tablature_has_a_figure_for_every_tone() {
    let mut book = open("tablature");
    let workshop = Workshop::default();
    let figures = |book: &Book| -> Vec<usize> {
        let built = main_edition(&workshop, book);
        let lines = built.items.iter().map(|item| &item.engraving.systems);
        let stains = lines.map(|systems| systems.iter().flat_map(|line| &line.drawing.stains));
        stains.map(|stains| stains.filter(|s| s.kind == Kind::TabFigure).count()).collect()
    };
    let tones = |book: &Book| -> Vec<usize> {
        let built = main_edition(&workshop, book);
        let parts = built.items.iter().map(|item| &item.parts[0]);
        parts.map(|part| part.fingering.as_ref().expect("a fingering").tones.len()).collect()
    };
    assert_eq!(figures(&book), [0, 0]);
    for tablature in [Tablature::Under, Tablature::Alone] {
        book.house.tablature = tablature;
        assert_eq!(figures(&book), tones(&book));
    }
    book.house.tablature = Tablature::None;
    assert_eq!(figures(&book), [0, 0]);
}

/// What was fingered in one style is fingered anew in another, or when the style
/// is worth something else.
#[test]
fn a_changed_style_is_fingered_anew() {
    let mut book = open("style");
    let workshop = Workshop::default();
    let build = |book: &Book| digits(&main_edition(&workshop, book));

    let plain = build(&book);
    assert!(plain.contains('3') && !plain.contains('4'), "{plain}");
    book.house.style.third_fret = Some(LeftFinger::Four);
    let four = build(&book);
    assert!(four.contains('4') && !four.contains('3'), "{four}");
    book.effort.house = 0;
    assert_eq!(build(&book), plain);
    book.effort.house = 60;
    assert_eq!(build(&book), four);
    book.house.style.third_fret = None;
    assert_eq!(build(&book), plain);
}
