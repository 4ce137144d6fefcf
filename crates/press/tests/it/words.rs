//! Pages that are read and not played: the column of words with its hanging heads, what
//! shares a page, the tables of signs and credits.

use apoyando_press::{
    Block, Credit, Document, Notice, NoticeKind, Opening, Pages, Paper, Section, Sign, TEXT_SIZE,
    TitlePage, set,
};

use crate::picture::Picture;

/// Pixels to the millimetre.
const PIXELS: f64 = 6.0;
/// The left edge of the type area on a right-hand page of A4, and that of the column of words,
/// in millimetres; and where the type area ends on the right.
const EDGE: f64 = 20.0;
const COLUMN: f64 = 20.0 + 175.0 - 102.0;
const END: f64 = 195.0;
/// Above the page number.
const FOOT: f64 = 279.0;
/// Large print, in points.
const LARGE: f64 = 16.0;

/// A sentence as long as sentences are.
const SENTENCE: &str = "Take the hardest change out of its bar, play it slowly as a loop, and put \
it back only when the hand no longer has to be told where it goes. ";

fn hung(heading: &str, blocks: Vec<Block>) -> Section {
    Section { heading: Some(heading.to_owned()), hung: true, blocks, ..Section::default() }
}

fn prose(sentences: usize) -> Block {
    Block::Prose(SENTENCE.repeat(sentences))
}

fn pages_of(sections: Vec<Section>, text_size: f64) -> Pages {
    let pages =
        set(&Document { sections, text_size, ..Document::new("T", Paper::A4) }).expect("pages");
    assert_eq!(pages.faults(), []);
    pages
}

/// Left, top, right and bottom of the ink between two distances from the left edge of the
/// paper and two from its top, all in millimetres.
fn ink(pages: &Pages, page: usize, (from, to): (f64, f64), (top, low): (f64, f64)) -> [f64; 4] {
    let picture = Picture::of(pages, page, PIXELS);
    let pixels = |mm: f64| (mm * PIXELS) as usize;
    let mut found = [f64::MAX, f64::MAX, 0.0, 0.0];
    for y in pixels(top)..pixels(low) {
        for x in pixels(from)..pixels(to) {
            if picture.black(x, y) {
                let (x, y) = (x as f64 / PIXELS, y as f64 / PIXELS);
                found = [found[0].min(x), found[1].min(y), found[2].max(x), found[3].max(y)];
            }
        }
    }
    found
}

/// Tops and bottoms of the lines of words between two distances from the left.
fn lines(pages: &Pages, page: usize, (from, to): (f64, f64)) -> Vec<(f64, f64)> {
    let picture = Picture::of(pages, page, PIXELS);
    let columns = (from * PIXELS) as usize..(to * PIXELS) as usize;
    let mut lines: Vec<(usize, usize)> = Vec::new();
    for y in 0..(FOOT * PIXELS) as usize {
        if columns.clone().any(|x| picture.black(x, y)) {
            match lines.last_mut() {
                Some((_, end)) if *end == y => *end = y + 1,
                _ => lines.push((y, y + 1)),
            }
        }
    }
    lines.iter().map(|(top, low)| (*top as f64 / PIXELS, *low as f64 / PIXELS)).collect()
}

#[test]
fn words_have_a_column_at_the_right_edge_and_their_head_at_its_left() {
    let pages = pages_of(vec![hung("To the student", vec![prose(6)])], TEXT_SIZE);
    let [left, top, right, _] = ink(&pages, 1, (COLUMN - 7.0, 210.0), (0.0, FOOT));
    assert!((left - COLUMN).abs() < 0.6 && (right - END).abs() < 1.2, "{left} {right}");
    let [head_left, head_top, head_right, head_low] =
        ink(&pages, 1, (0.0, COLUMN - 7.0), (0.0, FOOT));
    assert!((head_left - EDGE).abs() < 0.6 && head_right < COLUMN - 7.5, "{head_left}");
    assert!(head_top < top && top < head_low, "{head_top} {top} {head_low}");
    // Of the head and of the first line beside it the baselines are level: neither has a
    // descender here.
    let level = pages_of(vec![hung("Item", vec![Block::Prose("Item".to_owned())])], TEXT_SIZE);
    let bottom = |from, to| lines(&level, 1, (from, to))[0].1;
    assert!((bottom(0.0, COLUMN - 7.0) - bottom(COLUMN - 7.0, 210.0)).abs() < 0.4);
}

/// In large print no head has room beside the column: it stands above, and hangs by as much
/// as the column is narrower than the music.
#[test]
fn heads_of_large_print_hang_above_their_words() {
    let pages = pages_of(vec![hung("To the student", vec![prose(6)])], LARGE);
    let column = END - 102.0 * LARGE / TEXT_SIZE;
    let head = lines(&pages, 1, (0.0, column - 1.0));
    let [left, top, right, _] = ink(&pages, 1, (0.0, 210.0), (55.0, FOOT));
    assert!((left - column).abs() < 0.6 && (right - END).abs() < 1.5, "{left} {right}");
    // The letters and the rule below them.
    assert!(head.last().expect("a head").1 < top, "{head:?} {top}");
    assert!((ink(&pages, 1, (0.0, 210.0), (0.0, 45.0))[0] - EDGE).abs() < 0.6);
}

/// Common practice: 60 to 70 characters to a line of what is read, and nowhere more than 75.
#[test]
fn lines_are_neither_long_nor_short() {
    let letters = SENTENCE.chars().count() as f64 * 12.0;
    for size in [TEXT_SIZE, LARGE] {
        let pages = pages_of(vec![hung("To the student", vec![prose(12)])], size);
        let column = if size > TEXT_SIZE { 21.0 } else { COLUMN - 7.0 };
        let count = lines(&pages, 1, (column + 5.0, 210.0)).len() - usize::from(size > TEXT_SIZE);
        let each = letters / count as f64;
        assert!((60.0..=71.0).contains(&each), "{size}: {each}");
    }
    let advice = SENTENCE.repeat(12);
    let lesson = Section { advice, ..Section::default() };
    let count = lines(&pages_of(vec![lesson], TEXT_SIZE), 1, (0.0, 210.0)).len();
    let each = letters / count as f64;
    assert!((66.0..=75.0).contains(&each), "{each}");
}

#[test]
fn lines_of_a_head_are_even() {
    let pages = pages_of(vec![hung("How to read the signs", vec![prose(3)])], TEXT_SIZE);
    let head = lines(&pages, 1, (0.0, COLUMN - 7.0));
    let width = |line: usize| {
        let [left, _, right, _] = ink(&pages, 1, (0.0, COLUMN - 7.0), head[line]);
        right - left
    };
    // Two lines and the rule.
    assert_eq!(head.len(), 3);
    assert!(width(1) > 0.65 * width(0), "{} {}", width(0), width(1));
}

#[test]
fn numbers_and_markers_of_lists_hang_in_the_gutter() {
    let list = |list: &str| {
        let pages = pages_of(vec![hung("H", vec![Block::Prose(list.to_owned())])], TEXT_SIZE);
        let marker = ink(&pages, 1, (COLUMN - 8.0, COLUMN - 0.4), (0.0, FOOT));
        let words = ink(&pages, 1, (COLUMN - 0.4, 210.0), (0.0, FOOT));
        (marker[2], words[0])
    };
    for source in ["1. Listen.\n2. Look.", "- Listen.\n- Look.", "9. Listen.\n10. Look."] {
        let (marker, words) = list(source);
        assert!((COLUMN - 4.0..COLUMN - 1.0).contains(&marker), "{source}: {marker}");
        assert!((words - COLUMN).abs() < 0.6, "{source}: {words}");
    }
    // A list in a list stands in it.
    let pages = pages_of(
        vec![hung("H", vec![Block::Prose("- Listen.\n  - Low.\n  - High.".to_owned())])],
        TEXT_SIZE,
    );
    let inner = lines(&pages, 1, (COLUMN - 8.0, 210.0))[1];
    let [left, ..] = ink(&pages, 1, (COLUMN - 8.0, 210.0), inner);
    assert!(left > COLUMN, "{left}");
}

/// Sections of so many sentences, each after the first running on.
fn running_on(sentences: &[usize]) -> Pages {
    let section = |(at, sentences): (usize, &usize)| Section {
        opening: if at == 0 { Opening::NextPage } else { Opening::RunOn },
        ..hung(&format!("Part {at}"), vec![prose(*sentences)])
    };
    pages_of(sentences.iter().enumerate().map(section).collect(), TEXT_SIZE)
}

/// Where the words of a page end, as a share of the type area.
fn filled(pages: &Pages, page: usize) -> f64 {
    (lines(pages, page, (15.0, 195.0)).last().expect("words").1 - 16.0) / 263.0
}

#[test]
fn short_sections_share_a_page() {
    let pages = running_on(&[4, 4, 4, 4]);
    assert_eq!(pages.count(), 1);
    // Four heads, each with its rule.
    assert_eq!(lines(&pages, 1, (0.0, COLUMN - 7.0)).len(), 8);
}

/// A section begins a page rather than be divided where the page before it is all but full;
/// where that would leave a hole, it goes on.
#[test]
fn a_section_is_divided_only_where_a_page_would_have_a_hole() {
    let whole = running_on(&[16, 12]);
    assert_eq!(whole.count(), 2);
    let (first, second) = (filled(&whole, 1), filled(&whole, 2));
    assert!((0.6..0.9).contains(&first) && second < 0.7, "{first} {second}");
    let divided = running_on(&[7, 23]);
    assert_eq!(divided.count(), 2);
    assert!(filled(&divided, 1) > 0.93, "{}", filled(&divided, 1));
}

/// What would leave a few lines to the last page begins it.
#[test]
fn next_to_nothing_is_left_to_the_last_page() {
    for last in 9..22 {
        let pages = running_on(&[9, last]);
        if pages.count() > 1 {
            let (first, second) = (filled(&pages, 1), filled(&pages, 2));
            assert!(second > 0.2 && first > 0.3, "{last}: {first} {second}");
        }
    }
}

fn signs(count: usize) -> Block {
    let sign = |_| Sign { sign: "**0 1 2** beside".to_owned(), meaning: "A finger.".to_owned() };
    Block::Signs((0..count).map(sign).collect())
}

/// Signs stand at the left edge, below the head, between rules over the whole width.
#[test]
fn signs_are_a_table() {
    let pages = pages_of(vec![hung("Signs", vec![prose(1), signs(4)])], TEXT_SIZE);
    let rules = Picture::of(&pages, 1, PIXELS).long_lines();
    assert_eq!(rules.len(), 5, "one above each and one below the last");
    let [left, top, ..] = ink(&pages, 1, (0.0, COLUMN - 7.0), (50.0, FOOT));
    let head = lines(&pages, 1, (0.0, COLUMN - 7.0));
    assert!((left - EDGE).abs() < 0.6 && top > head[1].1, "{left} {top} {head:?}");
    let large = pages_of(vec![hung("Signs", vec![prose(1), signs(4)])], LARGE);
    assert_eq!(Picture::of(&large, 1, PIXELS).long_lines(), []);
}

/// Where a page is a little too short for all of them, signs stand closer.
#[test]
fn signs_stand_closer_where_that_saves_a_page() {
    let apart = |count| {
        let pages = pages_of(vec![hung("Signs", vec![prose(1), signs(count)])], TEXT_SIZE);
        let rules = Picture::of(&pages, 1, PIXELS).long_lines();
        (pages.count(), rules[1].0 - rules[0].0)
    };
    let (_, usual) = apart(4);
    let most = (20..60).take_while(|count| apart(*count).0 == 1).last().expect("some fit");
    assert!((apart(most).1 as f64) < 0.8 * usual as f64, "{most}: {} {usual}", apart(most).1);
}

/// A caution stands in the column, with the words around it.
#[test]
fn a_box_is_as_wide_as_the_column() {
    let caution = Notice {
        kind: NoticeKind::Caution,
        title: String::new(),
        text: "Stop where it hurts.".to_owned(),
    };
    let blocks = vec![prose(2), Block::Notice(caution), prose(2)];
    let pages = pages_of(vec![hung("Care", blocks)], TEXT_SIZE);
    assert_eq!(pages.count(), 1);
    let picture = Picture::of(&pages, 1, PIXELS);
    let rule = |y: &usize| {
        let inside = ((COLUMN + 1.0) * PIXELS) as usize..((END - 1.0) * PIXELS) as usize;
        inside.into_iter().all(|x| picture.black(x, *y))
    };
    let y = (0..picture.height).find(rule).expect("a frame") as f64 / PIXELS;
    let [left, _, right, _] = ink(&pages, 1, (0.0, 210.0), (y, y + 0.4));
    assert!((left - COLUMN).abs() < 0.4 && (right - END).abs() < 0.4, "{left} {right}");
}

fn fronted(title_page: TitlePage) -> Pages {
    let pages = set(&Document {
        title_page: Some(title_page),
        sections: vec![hung("To the student", vec![prose(2)])],
        ..Document::new("Twelve Keys", Paper::A4)
    });
    pages.expect("pages")
}

/// What is owed for many things stands in its own column of the table as all else does.
#[test]
fn credits_are_a_table_of_two_columns() {
    let credit = |what: &str, who: &str| Credit { what: what.to_owned(), who: who.to_owned() };
    let credits = vec![
        credit("Text face", "Somebody, under a free licence"),
        credit(&"A long title, ".repeat(30), &"and a long name ".repeat(12)),
    ];
    let verso = vec![
        Block::Heading("Credits".to_owned()),
        Block::Prose("© No one.".to_owned()),
        Block::Credits(credits),
        prose(1),
    ];
    let pages = fronted(TitlePage { verso, ..TitlePage::default() });
    // A left-hand page begins at 15 mm.
    let column = COLUMN - 5.0;
    let gutter = ink(&pages, 2, (column - 7.5, column - 0.4), (0.0, FOOT));
    assert_eq!(gutter[2], 0.0, "{gutter:?}");
    let (what, who) = (lines(&pages, 2, (0.0, column - 7.5)), lines(&pages, 2, (column, 210.0)));
    assert!(what.len() > 8 && who.len() > 5, "{} {}", what.len(), who.len());
    // The first words are level with the head.
    assert!((what[0].1 - who[0].1).abs() < 0.4, "{:?} {:?}", what[0], who[0]);
}

/// Which edition it is stands at the foot of the title page, below all else.
#[test]
fn the_edition_stands_at_the_foot_of_the_title_page() {
    let lowest = |edition: Option<&str>| {
        let edition = edition.map(str::to_owned);
        let pages = fronted(TitlePage { edition, ..TitlePage::default() });
        ink(&pages, 1, (0.0, 210.0), (0.0, 297.0))[3]
    };
    assert!(lowest(None) < 150.0 && (270.0..280.0).contains(&lowest(Some("large print"))));
}

/// The pages that the contents go on over say so where others name their section.
#[test]
fn the_running_head_names_the_contents() {
    let section = |at: usize| Section {
        heading: Some(format!("Section {at}")),
        opening: Opening::NextPage,
        blocks: vec![prose(1)],
        ..Section::default()
    };
    let sections: Vec<Section> = (0..90).map(section).collect();
    let contents = Some("Contents".to_owned());
    let title_page = Some(TitlePage::default());
    let document = Document { sections, contents, title_page, ..Document::new("T", Paper::A4) };
    let pages = set(&document).unwrap();
    let outer = |page| ink(&pages, page, (14.0, 60.0), (7.0, 14.0));
    let [left, _, right, _] = outer(4);
    assert!(left < 16.0 && right > left, "{left} to {right}");
    // Where they begin the head stands on the page.
    assert!(ink(&pages, 3, (14.0, 200.0), (7.0, 14.0))[2] < 1.0);
}
