//! What a reader would dislike on the lines of the demo book, in every edition.

use std::path::Path;

use apoyando_book::{Book, Edition, Tablature};
use apoyando_engrave::meter::{bettered_breaks, fingering_faults, notation_faults, small_text};
use apoyando_engrave::{Ink, Kind};
use apoyando_fingering::LeftFinger;
use apoyando_fretboard::Millimetres;
use apoyando_workshop::plan::SectionKind;
use apoyando_workshop::{News, Printing, Workshop};

/// The line of A4 with the margins of a book.
const LINE: Millimetres = Millimetres(175.0);

/// The line of an edition: large print takes some of the margins.
const fn line_of(edition: &Edition) -> Millimetres {
    if edition.large_print { Millimetres(181.0) } else { LINE }
}

/// What is told of an edition, line by line.
fn faults(workshop: &Workshop, book: &Book, edition: &Edition) -> Vec<String> {
    let printing = Printing { book, edition, line: line_of(edition) };
    let built = workshop.build(&printing, &|_| ());
    let mut told = Vec::new();
    for item in &built.items {
        let score = match item.alone {
            Some(part) => item.score.part_alone(part),
            None => item.score.clone(),
        };
        let systems = &item.engraving.systems;
        let mut tell = |bar: u32, fault: &apoyando_engrave::meter::Fault| {
            told.push(format!("{}, bar {bar}: {}: {}", item.name, fault.rule, fault.message));
        };
        for system in systems {
            let drawing = &system.drawing;
            let width = printing.style().line_width;
            let mut found = fingering_faults(drawing, &score);
            found.extend(notation_faults(drawing, &score, width));
            found.extend(small_text(drawing, edition.staff_height));
            found.iter().for_each(|fault| tell(system.bars.start + 1, fault));
        }
        for (line, fault) in bettered_breaks(systems, &score, || printing.every_line(item)) {
            tell(systems[line].bars.start + 1, &fault);
        }
    }
    told
}

#[test]
fn nothing_else_is_wrong_on_the_lines_of_any_edition() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    let book = Book::open(&folder).expect("the demo book");
    let workshop = Workshop::default();
    let main = book.main_edition();
    let mut told = Vec::new();
    let alone =
        Edition { name: "tablature-alone".to_owned(), tablature: Tablature::Alone, ..main.clone() };
    for edition in [&main, &alone].into_iter().chain(&book.editions) {
        let found = faults(&workshop, &book, edition);
        told.extend(found.into_iter().map(|it| format!("{}: {it}", edition.file_stem())));
    }
    assert!(told.is_empty(), "{} faults\n{}", told.len(), told.join("\n"));
}

/// A last line that just misses the margin looks like an oversight: it ends clearly before it,
/// or at it. House.
#[test]
fn no_last_line_just_misses_the_margin() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    let book = Book::open(&folder).expect("the demo book");
    let main = book.main_edition();
    let workshop = Workshop::default();
    let mut ragged = 0;
    for edition in [&main].into_iter().chain(&book.editions) {
        let printing = Printing { book: &book, edition, line: line_of(edition) };
        let width = printing.style().line_width.0;
        let built = workshop.build(&printing, &|_| ());
        for item in &built.items {
            let Some(last) = item.engraving.systems.last() else { continue };
            let ends = last.drawing.stains.iter().filter_map(|stain| match &stain.ink {
                Ink::Line { to, .. } if stain.kind == Kind::StaffLine => Some(to.x.0),
                _ => None,
            });
            let share = ends.fold(0.0, f64::max) / width;
            assert!(!(0.91..0.99).contains(&share), "{}: {share}", item.name);
            ragged += usize::from(share < 0.91);
        }
    }
    assert!(ragged > 10, "{ragged}");
}

/// A numeral names the fret of finger 1, so none above I stands where finger 1 stops another.
#[test]
fn numerals_agree_with_finger_1() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    let book = Book::open(&folder).expect("the demo book");
    let main = book.main_edition();
    let printing = Printing { book: &book, edition: &main, line: LINE };
    let built = Workshop::default().build(&printing, &|_| ());
    let mut looked_at = 0;
    for item in &built.items {
        for (part, marks) in item.parts.iter().zip(&item.marks) {
            let Some(fingering) = &part.fingering else { continue };
            let tones = item.score.tones(fingering.part);
            for mark in marks.positions.iter().filter(|mark| mark.position.get() > 1) {
                looked_at += 1;
                let struck = tones.as_slice().iter().filter(|tone| tone.onset == mark.from);
                let placed = struck.filter_map(|tone| fingering.tone(tone.id).left);
                for placement in placed.filter(|it| it.finger == Some(LeftFinger::One)) {
                    let fret = placement.place.fret.0;
                    assert_eq!(fret, mark.position.get(), "{}, at {:?}", item.name, mark.from);
                }
            }
        }
    }
    assert!(looked_at > 0);
}

/// The box of a section names what is printed in it for the first time: circles come with
/// position II, and of strokes no page tells.
#[test]
fn what_is_new_is_what_is_printed() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    let book = Book::open(&folder).expect("the demo book");
    let main = book.main_edition();
    let build = |edition: &Edition| {
        let printing = Printing { book: &book, edition, line: line_of(edition) };
        Workshop::default().build(&printing, &|_| ())
    };
    let told = |built: &apoyando_workshop::Built| -> Vec<String> {
        let lessons = built.plan.sections.iter();
        let lessons = lessons.filter(|it| it.kind == SectionKind::Lessons);
        let said = |it: &News| format!("{}: {}", it.theme.title(), it.said);
        lessons.map(|it| it.news.iter().map(said).collect::<Vec<_>>().join("\n")).collect()
    };
    let built = build(&main);
    let new = told(&built);
    let (mut items, mut circled, mut guided) = (built.items.iter(), Vec::new(), Vec::new());
    for section in &book.sections {
        let marks = items.by_ref().take(section.items.len()).map(|item| &item.marks[0]);
        let marks: Vec<_> = marks.collect();
        circled.push(marks.iter().any(|marks| !marks.strings.is_empty()));
        guided.push(marks.iter().any(|marks| marks.left.iter().flatten().any(|it| it.guide)));
    }
    let first = |printed: &[bool]| printed.iter().position(|printed| *printed);
    let named = |word: &str| -> Vec<usize> {
        (0..new.len()).filter(|section| new[*section].contains(word)).collect()
    };
    assert_eq!(named("circled string numbers"), first(&circled).into_iter().collect::<Vec<_>>());
    assert_eq!(named("dashes of fingers"), first(&guided).into_iter().collect::<Vec<_>>());
    assert!(first(&circled).is_some());
    assert!(named("stroke").is_empty(), "{new:?}");
    let alone = build(&Edition { tablature: Tablature::Alone, ..main.clone() });
    assert!(!told(&alone).concat().contains("circled"));
    // The letters that are left out are told of where signs are explained.
    let signs = format!("{:?}", built.plan.sections);
    assert!(signs.contains("Where none stands, go on as before"));
    assert!(signs.contains("Where none stands, the finger is the one"));
}
