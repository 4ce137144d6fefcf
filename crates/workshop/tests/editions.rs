//! Editions of one book.

use apoyando_book::{Book, Edition, PrintedParts};
use apoyando_engrave::{Ink, Kind, System};
use apoyando_fretboard::Millimetres;
use apoyando_workshop::plan::Block;
use apoyando_workshop::{Built, Printing, Workshop};

const BOOK: &str = "title = \"Editions\"\nsections = [\"c\"]\n";
const SECTION: &str = "title = \"C\"\nkey = \"C major\"\nposition = \"I\"\n\
    [[items]]\nkind = \"progression\"\ndegrees = \"I IV V I\"\n\
    [[items]]\nkind = \"duet\"\nfile = \"two.abc\"\ndensity = \"every-note\"\n\
    [[items]]\nkind = \"scale\"\n";
const DUET: &str = "X:1\nT:Two\nM:4/4\nL:1/4\nK:C\nV:1 name=Student clef=treble-8\nV:2 name=Teacher clef=treble-8\n\
    [V:1] c d e f | g f e d | c4 |\n[V:2] C2 G,2 | E,2 G,2 | C4 |\n";

fn open(name: &str) -> Book {
    let folder = std::env::temp_dir().join(format!("apoyando-{name}-{}", std::process::id()));
    for inside in ["sections", "pieces"] {
        std::fs::create_dir_all(folder.join(inside)).unwrap();
    }
    std::fs::write(folder.join("book.toml"), BOOK).unwrap();
    std::fs::write(folder.join("sections/c.toml"), SECTION).unwrap();
    std::fs::write(folder.join("pieces/two.abc"), DUET).unwrap();
    let book = Book::open(&folder);
    std::fs::remove_dir_all(&folder).unwrap();
    book.unwrap()
}

fn build(workshop: &Workshop, book: &Book, edition: &Edition) -> Built {
    workshop.build(&Printing { book, edition, line: Millimetres(175.0) }, &|_| ())
}

fn all(systems: &[System], kind: Kind) -> usize {
    systems.iter().flat_map(|s| &s.drawing.stains).filter(|s| s.kind == kind).count()
}

/// The digits of a line from left to right, as glyphs.
fn digits(systems: &[System]) -> Vec<u32> {
    let mut found = Vec::new();
    for system in systems {
        let stains = system.drawing.stains.iter().filter(|stain| stain.kind == Kind::LeftDigit);
        let glyphs = stains.filter_map(|stain| match stain.ink {
            Ink::Glyph { glyph, at, .. } => Some((at.x.0, glyph as u32)),
            _ => None,
        });
        let mut line: Vec<(f64, u32)> = glyphs.collect();
        line.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.extend(line.into_iter().map(|(_, glyph)| glyph));
    }
    found
}

/// The exercises' numbers and titles, in order.
fn numbers(built: &Built) -> Vec<String> {
    let blocks = built.plan.sections.iter().flat_map(|section| &section.blocks);
    blocks
        .filter_map(|block| match block {
            Block::Exercise(it) => Some(format!("{} {}", it.number, it.title)),
            Block::Piece(it) => Some(it.title.clone()),
            _ => None,
        })
        .collect()
}

/// A student's part has its own staff alone, with the notes and the digits that
/// the student has in the score, and every item has the number it has there.
#[test]
fn a_students_part_is_the_students_line_of_the_score() {
    let book = open("student");
    let workshop = Workshop::default();
    let main = book.main_edition();
    let student = Edition { parts: PrintedParts::Student, ..main.clone() };
    let teacher = Edition { parts: PrintedParts::Teacher, ..main.clone() };
    let [score, upper, lower] = [&main, &student, &teacher].map(|it| build(&workshop, &book, it));
    assert_eq!(numbers(&score), numbers(&upper));
    let systems = |built: &Built| built.items[1].engraving.systems.clone();
    let [both, one, other] = [&score, &upper, &lower].map(systems);
    assert_eq!([&both, &one, &other].map(|it| all(it, Kind::Head)), [14, 9, 5]);
    let bars = |it: &[System]| it.iter().map(|s| s.bars.clone()).collect::<Vec<_>>();
    assert_eq!(bars(&one), std::iter::once(0..3).collect::<Vec<_>>());
    let mut alone = digits(&one);
    alone.extend(digits(&other));
    alone.sort_unstable();
    let mut together = digits(&both);
    together.sort_unstable();
    assert_eq!(alone, together);
    // Pins, fingerings and what is written as MusicXML stay those of the score.
    assert_eq!(upper.items[1].score.parts().len(), 2);
}

/// Large print is broken into lines anew: fewer bars to a line on a larger staff.
#[test]
fn large_print_is_reflowed() {
    let book = open("large");
    let workshop = Workshop::default();
    let main = book.main_edition();
    // The largest that is usual.
    let staff_height = Millimetres(12.0);
    assert!(staff_height >= Edition::usual_staff(main.staff_height, true));
    let large = Edition { large_print: true, staff_height, ..main.clone() };
    let [usual, large] = [&main, &large].map(|it| build(&workshop, &book, it));
    for (a, b) in usual.items.iter().zip(&large.items) {
        let bars = |systems: &[System]| systems.iter().map(|s| s.bars.len()).sum::<usize>();
        assert_eq!(bars(&a.engraving.systems), bars(&b.engraving.systems));
        assert!(b.engraving.systems.len() >= a.engraving.systems.len());
    }
    let lines = |built: &Built| -> usize {
        built.items.iter().map(|item| item.engraving.systems.len()).sum()
    };
    assert!(lines(&large) > lines(&usual));
}

/// Diagrams over the staff are mirrored for those who stop with the right hand:
/// what stands left of the middle of a diagram stands right of it. Nothing else
/// changes. Common practice, no source.
#[test]
fn a_left_handed_edition_mirrors_diagrams_and_nothing_else() {
    let book = open("mirror");
    let workshop = Workshop::default();
    let main = book.main_edition();
    let mirrored = Edition { left_handed: true, ..main.clone() };
    let [usual, mirrored] = [&main, &mirrored].map(|it| build(&workshop, &book, it));
    assert!(usual.plan.style.stopping != mirrored.plan.style.stopping);
    for (a, b) in usual.items.iter().zip(&mirrored.items) {
        for (a, b) in a.engraving.systems.iter().zip(&b.engraving.systems) {
            let without = |system: &System| {
                let stains = system.drawing.stains.iter();
                stains.filter(|s| s.kind != Kind::Diagram).cloned().collect::<Vec<_>>()
            };
            assert_eq!(without(a), without(b));
        }
    }
    let signs = |built: &Built| format!("{:?}", built.plan.sections);
    assert!(signs(&mirrored).contains("the thickest on the right"));
    assert!(signs(&usual).contains("the thickest on the left"));
}
