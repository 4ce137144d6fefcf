//! How a section opens, and the lines below the head of an exercise.

use apoyando_engrave::{Drawing, Kind, StaffSpaces};
use apoyando_press::{
    Block, CaptionedMap, Document, Exercise, Millimetres, NewsBox, Paper, Practice, Section,
    TEXT_SIZE, set,
};

use crate::picture::Picture;
use crate::sample;

pub fn map() -> CaptionedMap {
    let stains = (0..6)
        .map(|n| {
            sample::stain(
                Kind::Diagram,
                sample::line((0.0, -2.0 * n as f64), (40.0, -2.0 * n as f64), 0.1),
            )
        })
        .collect();
    CaptionedMap {
        drawing: Drawing {
            stains,
            width: StaffSpaces(40.0),
            above: StaffSpaces(0.5),
            below: StaffSpaces(10.5),
            description: "Fingerboard".to_owned(),
        },
        caption: "The notes of G major in position II.".to_owned(),
        staff_space: Millimetres(1.8),
    }
}

fn section(news: bool, with_map: bool) -> Section {
    let lines = vec![
        ("Key signature".to_owned(), "one sharp".to_owned()),
        ("Left hand".to_owned(), "finger 4, shifts of position".to_owned()),
    ];
    Section {
        heading: Some("G major".to_owned()),
        advice: "The hand stays where it is.".to_owned(),
        news: news.then(|| NewsBox { title: "New here".to_owned(), lines }),
        map: with_map.then(map),
        blocks: vec![Block::Exercise(Exercise {
            number: "1".to_owned(),
            title: "Scale".to_owned(),
            practice: Practice {
                aim: Some("Even notes.".to_owned()),
                tempos: Some((
                    "Metronome:".to_owned(),
                    ["48", "60", "80"].map(str::to_owned).to_vec(),
                )),
                also_with: Some(("Also with".to_owned(), vec!["m i".to_owned()])),
            },
            music: sample::music(1),
            ..Exercise::default()
        })],
        ..Section::default()
    }
}

/// A map that the margin beside the words has room for stands there, level with their
/// first line: the music begins where it would without it. In large print no margin has.
#[test]
fn a_narrow_map_stands_beside_the_words() {
    let foot = |map: Option<f64>, text_size| {
        let mut section = section(true, map.is_some());
        section.advice = "The hand stays where it is. ".repeat(12);
        if let (Some(width), Some(map)) = (map, &mut section.map) {
            let narrow = StaffSpaces(width / map.staff_space.0);
            map.drawing.width = narrow;
            map.drawing.stains.clear();
        }
        let document =
            Document { sections: vec![section], text_size, ..Document::new("T", Paper::A4) };
        lowest_ink_of_music(&document)
    };
    // The words are 110 mm of 175 wide.
    let without = foot(None, TEXT_SIZE);
    assert!(foot(Some(48.0), TEXT_SIZE).abs_diff(without) <= 8, "{without}");
    assert!(foot(Some(64.0), TEXT_SIZE) > without + 20);
    assert!(foot(Some(48.0), 1.5 * TEXT_SIZE) > foot(None, 1.5 * TEXT_SIZE) + 20);
}

/// What is new and the map stand side by side: together they are no higher than the
/// map with its caption. In large print one stands below the other.
#[test]
fn news_and_map_share_the_room_beside_one_another() {
    let foot = |news, map, text_size| {
        let document = Document {
            sections: vec![section(news, map)],
            text_size,
            ..Document::new("T", Paper::A4)
        };
        // Without the page number.
        lowest_ink_of_music(&document)
    };
    let bare = foot(false, false, TEXT_SIZE);
    let with_map = foot(false, true, TEXT_SIZE);
    let both = foot(true, true, TEXT_SIZE);
    assert!(with_map > bare + 60, "{bare} {with_map}");
    assert_eq!(with_map, both);
    let large = foot(false, true, 1.5 * TEXT_SIZE);
    let both_large = foot(true, true, 1.5 * TEXT_SIZE);
    assert!(both_large > large + 30, "{large} {both_large}");
}

/// The foot of the music: the lowest ink above the page number.
fn lowest_ink_of_music(document: &Document) -> usize {
    let pages = set(document).expect("pages");
    assert_eq!((pages.count(), pages.faults()), (1, &[][..]));
    let picture = Picture::of(&pages, 1, 4.0);
    let number = (297.0 - 18.0) * 4.0;
    picture.ink(0, number as usize).expect("ink").3
}

/// A quotation that is marked as a tip is a box with a title and a rule at its left; one
/// that is not stands between margins. GitHub's way of marking alerts in Markdown.
#[test]
fn a_tip_is_set_off_by_a_rule() {
    let left = |mark: &str| {
        let text = format!("> {mark}\n> Short and often.\n> Every day a little.");
        let blocks = vec![Block::Prose(text)];
        let sections = vec![Section { blocks, ..Section::default() }];
        let document = Document { sections, ..Document::new("T", Paper::A4) };
        let pages = set(&document).expect("pages");
        let (left, top, _, low) = Picture::of(&pages, 1, 8.0).ink(0, 270 * 8).expect("ink");
        (left as f64 / 8.0, (low - top) as f64 / 8.0)
    };
    let (tip, tip_high) = left("[!TIP]");
    let (plain, plain_high) = left("It is said:");
    // The rule stands at the inner margin of 20 mm, the quotation 6 mm inside.
    assert!((tip - 20.0).abs() < 0.5 && (plain - 26.0).abs() < 1.0, "{tip} {plain}");
    assert!(tip_high > plain_high, "{tip_high} {plain_high}");
}

/// Every tempo has a box to tick of its own, as high as a small capital.
#[test]
fn lines_of_practice_take_room_below_the_head() {
    let with = Document { sections: vec![section(false, false)], ..Document::new("T", Paper::A4) };
    let mut without = with.clone();
    if let Block::Exercise(exercise) = &mut without.sections[0].blocks[0] {
        exercise.practice = Practice::default();
    }
    let (with, without) = (lowest_ink_of_music(&with), lowest_ink_of_music(&without));
    // Two lines of text, in quarters of a millimetre.
    assert!((25..60).contains(&(with - without)), "{with} {without}");
}
