//! Whole documents.

use std::path::Path;

use apoyando_press::{Block, Music, NewsBox, Opening, Paper, Piece, pdf, set};

use crate::picture::Picture;
use crate::sample;

#[test]
fn the_same_book_gives_the_same_bytes() {
    let first = pdf(&sample::book()).unwrap();
    let second = pdf(&sample::book()).unwrap();
    assert!(first.starts_with(b"%PDF-1.7"));
    assert!(first == second, "two PDFs of one document differ");
    let dated = [&b"/CreationDate"[..], b"/ModDate"];
    assert!(dated.iter().all(|date| !first.windows(date.len()).any(|part| &part == date)));
}

/// Writes the sample book where `PRESS_PROOFS` says, to be looked at.
#[test]
#[ignore = "writes pictures to look at; checks nothing"]
fn proofs() {
    let folder = std::env::var("PRESS_PROOFS").expect("PRESS_PROOFS names a folder");
    let folder = Path::new(&folder);
    let pages = set(&sample::book()).unwrap();
    std::fs::write(folder.join("book.pdf"), pages.pdf().unwrap()).unwrap();
    for page in 1..=pages.count() {
        let png = pages.png(page, 80.0).unwrap();
        std::fs::write(folder.join(format!("page-{page:02}.png")), png).unwrap();
    }
    let thick = set(&sample::thick_book(120)).unwrap();
    for page in 1..=thick.count() {
        let png = thick.png(page, 50.0).unwrap();
        std::fs::write(folder.join(format!("thick-{page:02}.png")), png).unwrap();
    }
    let png = pages.png(7, 240.0).unwrap();
    std::fs::write(folder.join("large.png"), png).unwrap();
}

#[test]
fn sections_open_on_the_right_and_white_pages_are_white() {
    let pages = set(&sample::book()).unwrap();
    assert_eq!(pages.faults(), []);
    assert_eq!(pages.count(), 12);
    let white: Vec<usize> = (1..=12)
        .filter(|&page| Picture::of(&pages, page, 3.0).ink(0, usize::MAX).is_none())
        .collect();
    assert_eq!(white, [2, 4, 6]);
}

/// A book of many short sections: what stands before one changes no page after it, so
/// that all of them settle.
#[test]
fn white_before_a_section_has_staves_where_notes_may_be_taken() {
    let mut document = sample::sheet(sample::music(1));
    document.sections[0].opening = Opening::Recto;
    document.sections = vec![document.sections[0].clone(); 14];
    let white = set(&document).unwrap();
    document.notes = Some("For notes".to_owned());
    let noted = set(&document).unwrap();
    assert_eq!((white.count(), noted.count()), (27, 27));
    for page in 1..=27 {
        let lines = |pages| Picture::of(pages, page, 10.0).long_lines().len();
        let (plain, with) = (lines(&white), lines(&noted));
        if page % 2 == 0 {
            assert_eq!((plain, with % 5), (0, 0), "page {page}");
            assert!(with >= 40, "page {page}: {with}");
        } else {
            assert_eq!(plain, with, "page {page}");
        }
    }
    noted.pdf().unwrap();
}

/// What is left white below the music of a lesson, at its end or before a piece, has blank
/// staves if it is more than three tenths of the page; an opener tells that it is one.
#[test]
fn a_hole_below_the_music_of_a_lesson_has_blank_staves() {
    let lesson = |notes: Option<&str>, systems: usize| {
        let mut document = sample::sheet(sample::music(systems));
        document.notes = notes.map(str::to_owned);
        document.sections[0].news = Some(NewsBox {
            title: "New".to_owned(),
            lines: vec![("A".to_owned(), "b".to_owned())],
        });
        document.sections[0].opening = Opening::NextPage;
        let lines = |page| Picture::of(&set(&document).unwrap(), page, 10.0).long_lines().len();
        lines(1)
    };
    let staves = |systems| lesson(Some("For notes"), systems) - lesson(None, systems);
    assert_eq!(lesson(None, 3), 15);
    assert!(staves(2) > 15 && staves(2).is_multiple_of(5), "{}", staves(2));
    assert!(staves(4) > 5 && staves(4) < staves(2), "{}", staves(4));
    assert_eq!(staves(7), 0, "what is left is no hole");
}

#[test]
fn every_paper_keeps_its_margins() {
    for paper in [Paper::A4, Paper::LETTER, Paper::NINE_BY_TWELVE] {
        let mut book = sample::book();
        book.paper = paper;
        let pages = set(&book).unwrap();
        for page in 7..=8 {
            let picture = Picture::of(&pages, page, 5.0);
            assert!((picture.width as f64 - paper.width.0 * 5.0).abs() <= 1.0);
            assert!((picture.height as f64 - paper.height.0 * 5.0).abs() <= 1.0);
            let (left, _, right, _) = picture.ink(0, usize::MAX).unwrap();
            let (inner, outer) = (paper.inner.0 * 5.0, paper.outer.0 * 5.0);
            let (before, after) = if page % 2 == 1 { (inner, outer) } else { (outer, inner) };
            assert!(left as f64 >= before - 1.0, "page {page}: {left}");
            assert!(right as f64 <= picture.width as f64 - after + 1.0, "page {page}: {right}");
        }
    }
}

#[test]
fn gaps_between_systems_are_even_and_grow_no_more_than_told() {
    let mut system = sample::system(97.2, 0);
    // Little ink outside the staff, so that the gap is what was asked for.
    system.above.0 = 4.0;
    system.below.0 = 4.0;
    system.stains.retain(|stain| match &stain.ink {
        apoyando_engrave::Ink::Line { from, .. } => from.y.0.abs() <= 2.1,
        _ => false,
    });
    let music = Music::of(vec![system; 20]);
    let document = sample::sheet(music);
    let pages = set(&document).unwrap();
    let space = 7.2 / 4.0 * 10.0;
    let mut systems = 0;
    for page in 1..=pages.count() {
        let lines = Picture::of(&pages, page, 10.0).long_lines();
        assert_eq!(lines.len() % 5, 0, "a system is split");
        systems += lines.len() / 5;
        let gaps: Vec<f64> = lines
            .chunks(5)
            .zip(lines.chunks(5).skip(1))
            .map(|(a, b)| (b[0].0 as f64 - a[4].0 as f64) / space)
            .collect();
        for gap in &gaps {
            assert!((8.9..=12.7).contains(gap), "page {page}: {gaps:?}");
            assert!((gap - gaps[0]).abs() < 0.1, "page {page}: {gaps:?}");
        }
        if page == 1 {
            // The page is full: its last line is close to the type area's end,
            // 2 staff spaces of clear paper below it belong to the system.
            let foot = lines.last().unwrap().1 as f64 + 2.0 * space;
            assert!((2790.0 - foot).abs() < 10.0, "{foot}");
        }
    }
    assert_eq!(systems, 20);
}

#[test]
fn a_heading_stays_with_its_music() {
    // Whatever stands before it, the page of a head has ink of music too.
    for before in 5..9 {
        let mut document = sample::sheet(sample::music(before));
        let block = document.sections[0].blocks[0].clone();
        document.sections[0].blocks.push(block);
        let pages = set(&document).unwrap();
        for page in 1..=pages.count() {
            let lines = Picture::of(&pages, page, 10.0).long_lines();
            assert!(lines.len() >= 10, "{before} systems, page {page}: {} lines", lines.len());
        }
    }
}

#[test]
fn no_page_of_a_section_but_the_last_has_a_hole_at_its_foot() {
    let pages = set(&sample::book()).unwrap();
    for page in 7..=9 {
        // Down to 279 mm goes the type area; below stands the page number.
        let (.., low) = Picture::of(&pages, page, 5.0).ink(0, 1400).unwrap();
        assert!(low as f64 / 5.0 > 279.0 - 30.0, "page {page} ends at {} mm", low / 5);
    }
}

#[test]
fn the_first_section_opens_the_first_page_whatever_its_opening() {
    for opening in [Opening::Recto, Opening::NextPage, Opening::RunOn] {
        for heading in [None, Some("Pieces".to_owned())] {
            let mut document = sample::sheet(sample::music(2));
            document.sections[0].opening = opening;
            document.sections[0].heading = heading;
            let pages = set(&document).unwrap();
            assert_eq!(pages.count(), 1, "{opening:?}");
            // No running head over it: the upper margin is white.
            assert_eq!(Picture::of(&pages, 1, 5.0).ink(0, 75), None, "{opening:?}");
        }
    }
}

/// An exercise of a page on the right, another on the left, then a piece of
/// two pages, which would have to be turned over.
fn turned(notes: Option<&str>) -> apoyando_press::Document {
    let mut document = sample::sheet(sample::music(8));
    document.notes = notes.map(str::to_owned);
    let blocks = &mut document.sections[0].blocks;
    blocks.push(blocks[0].clone());
    blocks.push(Block::Piece(Piece {
        title: "A piece of two pages".to_owned(),
        music: sample::music(15),
        ..Piece::default()
    }));
    document
}

#[test]
fn a_page_of_blank_staves_saves_turning_over() {
    let without = set(&turned(None)).unwrap();
    let with = set(&turned(Some("For notes"))).unwrap();
    assert_eq!((without.count(), with.count()), (4, 5));
    // Blank staves over the whole width, and a heading above them.
    let lines = Picture::of(&with, 3, 10.0).long_lines();
    assert_eq!(lines.len() % 5, 0);
    assert!(lines.len() >= 40, "{}", lines.len());
    // The piece on the pages after it is that of the pages without.
    for (page, other) in [(4, 3), (5, 4)] {
        let lines = |pages, page| Picture::of(pages, page, 10.0).long_lines().len();
        assert_eq!(lines(&with, page), lines(&without, other), "page {page}");
    }
    with.pdf().unwrap();
}

#[test]
fn a_system_begins_a_page_where_the_author_wants_it() {
    let mut document = sample::sheet(sample::music(6));
    assert_eq!(set(&document).unwrap().count(), 1);
    let Block::Exercise(exercise) = &mut document.sections[0].blocks[0] else { panic!() };
    exercise.music.castings[0].systems[2].new_page = true;
    let pages = set(&document).unwrap();
    let lines = |page| Picture::of(&pages, page, 10.0).long_lines().len() / 5;
    assert_eq!((pages.count(), lines(1), lines(2)), (2, 2, 4));
}

#[test]
fn fewer_lines_are_taken_where_they_save_a_page() {
    let mut document = sample::sheet(sample::music(10));
    let alone = set(&document).unwrap();
    assert_eq!(alone.count(), 2);
    let Block::Exercise(exercise) = &mut document.sections[0].blocks[0] else { panic!() };
    let mut fewer = exercise.music.castings[0].clone();
    fewer.systems.truncate(9);
    fewer.cost = 0.1;
    exercise.music.castings.push(fewer);
    let pages = set(&document).unwrap();
    assert_eq!(pages.count(), 1);
    assert_eq!(Picture::of(&pages, 1, 10.0).long_lines().len(), 45);
}

/// Common practice, no source: credits and rights stand at the foot of the back of the title
/// page, which has no number.
#[test]
fn credits_stand_on_the_back_of_the_title_page() {
    let mut book = sample::book();
    let before = set(&book).unwrap().count();
    if let Some(page) = &mut book.title_page {
        page.verso = vec![Block::Heading("Credits".to_owned()), Block::Prose("Mine.".to_owned())];
    }
    let pages = set(&book).unwrap();
    assert_eq!((pages.count(), pages.faults()), (before, &[][..]));
    let (_, top, _, low) = Picture::of(&pages, 2, 4.0).ink(0, usize::MAX).expect("credits");
    assert!(top > 240 * 4 && low < 280 * 4, "{top} {low}");
}

/// Where the words of an opener leave no room for music, pages are chosen all the same: a
/// piece of two pages after an exercise of one begins on a left one.
#[test]
fn pages_are_chosen_after_an_opener_without_music() {
    let mut book = turned(Some("For notes"));
    let section = &mut book.sections[0];
    section.opening = apoyando_press::Opening::Recto;
    let mut map = crate::opener::map();
    map.drawing.stains.clear();
    map.drawing.width = apoyando_engrave::StaffSpaces(48.0 / map.staff_space.0);
    section.map = Some(map);
    section.blocks.remove(0);
    // As many words as leave no room for a system.
    let opened = (100..200).step_by(5).find_map(|words| {
        book.sections[0].advice = "The hand stays where it is. ".repeat(words);
        let pages = set(&book).unwrap();
        Picture::of(&pages, 1, 10.0).long_lines().is_empty().then_some(pages)
    });
    let pages = opened.expect("an opener that fills its page");
    let lines = |page| Picture::of(&pages, page, 10.0).long_lines().len();
    let all: Vec<usize> = (1..=pages.count()).map(lines).collect();
    assert_eq!(all[..2], [0, 40], "{all:?}");
    assert_eq!(all.len(), 5, "the third is for notes: {all:?}");
}

/// Sections of the contents that would be divided begin the next page; one that is longer
/// than a third of a page is divided.
#[test]
fn a_section_of_the_contents_stays_together() {
    let lowest = |lists: [usize; 3]| {
        let mut book = sample::sheet(sample::music(1));
        book.contents = Some("Contents".to_owned());
        let section = book.sections[0].clone();
        book.sections = lists
            .iter()
            .map(|exercises| apoyando_press::Section {
                heading: Some("A key".to_owned()),
                blocks: vec![section.blocks[0].clone(); *exercises],
                ..section.clone()
            })
            .collect();
        let pages = set(&book).unwrap();
        assert_eq!(pages.faults(), []);
        // Of the contents, above the number of the page, in millimetres.
        let number = (297.0 - 18.0) * 4.0;
        Picture::of(&pages, 1, 4.0).ink(0, number as usize).expect("contents").3 / 4
    };
    // Two sections of eighteen, and a third that does not fit whole.
    let (whole, divided) = (lowest([18, 18, 19]), lowest([18, 18, 30]));
    assert!(whole < 240 && divided > 255, "{whole} {divided}");
}

/// A flat stands at its letter, and what comes after it not far off, in every face.
#[test]
fn a_flat_has_no_gap_around_it() {
    for emphasis in ["", "*", "**"] {
        let mut document = sample::sheet(sample::music(1));
        let prose = format!("{emphasis}B\u{266d}3{emphasis}");
        document.sections[0].blocks = vec![Block::Prose(prose)];
        let pages = set(&document).unwrap();
        let picture = Picture::of(&pages, 1, 40.0);
        let (left, top, right, bottom) = picture.ink(0, 100 * 40).expect("words");
        let white = |x: usize| (top..bottom).all(|y| !picture.black(x, y));
        let columns: Vec<bool> = (left..right).map(white).collect();
        // In ems of 10.5 points.
        let em = 40.0 * 10.5 * 25.4 / 72.0;
        let gaps = columns.chunk_by(|a, b| a == b).filter(|run| run[0]);
        let gaps: Vec<f64> = gaps.map(|run| run.len() as f64 / em).collect();
        assert_eq!(gaps.len(), 2, "{emphasis} {gaps:?}");
        assert!(gaps.iter().all(|gap| (0.01..0.11).contains(gap)), "{emphasis} {gaps:?}");
    }
}
