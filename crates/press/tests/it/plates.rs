//! Drawings on the page, measured in pixels: ten to the millimetre, twenty to
//! the staff space. The left edge of the first page's type area is at 20 mm.

use apoyando_engrave::{Face, Ink, Point, StaffSpaces};
use apoyando_press::{Fault, set};

use crate::picture::Picture;
use crate::sample;

/// Bounds of the ink of a drawing of these inks, and the picture.
fn print(inks: Vec<Ink>) -> (Picture, (usize, usize, usize, usize)) {
    let pages = set(&sample::bare(vec![sample::drawing(inks)])).unwrap();
    let picture = Picture::of(&pages, 1, 10.0);
    // Without the page number.
    let ink = picture.ink(0, 2790).expect("there is ink");
    (picture, ink)
}

/// Whether two counts of pixels differ by no more than one.
fn near(a: usize, b: f64) -> bool {
    (a as f64 - b).abs() <= 1.0
}

#[test]
fn a_head_has_the_size_the_font_says() {
    // Bravura 1.392, metadata.json, glyphBBoxes: noteheadBlack 1.18 × 1.0.
    let (_, (left, top, right, bottom)) = print(vec![sample::glyph('\u{E0A4}', 1.0, 2.0, 0.0)]);
    assert!(near(left, 200.0 + 40.0), "{left}");
    assert!(near(right - left, 23.6), "{}", right - left);
    assert!(near(bottom - top, 20.0), "{}", bottom - top);
    let (_, (left, _, right, _)) = print(vec![sample::glyph('\u{E0A4}', 0.6, 2.0, 0.0)]);
    assert!(near(right - left, 0.6 * 23.6), "{}", right - left);
}

#[test]
fn glyphs_of_one_size_stand_each_at_its_place() {
    let heads = [(1.0, 2.0), (4.0, -1.5), (2.5, 0.5), (7.0, 0.0)];
    let inks = heads.iter().map(|(x, y)| sample::glyph('\u{E0A4}', 1.0, *x, *y)).collect();
    let (picture, (_, top, ..)) = print(inks);
    // The highest head reaches 2.5 above the origin.
    let origin = top as f64 + 50.0;
    for (x, y) in heads {
        let (x, y) = (200.0 + 20.0 * (x + 0.59), origin - 20.0 * y);
        assert!(picture.black(x as usize, y as usize), "no head at {x}, {y}");
        assert!(!picture.black(x as usize + 18, y as usize), "too much ink at {x}, {y}");
    }
}

#[test]
fn a_halo_takes_away_what_came_before_it_and_nothing_else() {
    let under = sample::line((0.0, 0.0), (10.0, 0.0), 0.2);
    let halo = Ink::Halo { low: Point::new(4.0, -1.0), high: Point::new(6.0, 1.0) };
    let over = sample::line((0.0, 0.5), (10.0, 0.5), 0.2);
    let (picture, (left, top, right, bottom)) =
        print(vec![under, halo, over, sample::glyph('\u{E0A4}', 1.0, 4.4, -3.0)]);
    assert!(near(left, 200.0) && near(right, 400.0));
    let (high, low) = (top + 2, top + 12);
    assert!(bottom > low);
    assert!(picture.black(210, low) && picture.black(390, low), "the line under the halo");
    assert!(!picture.black(300, low), "the halo took nothing away");
    assert!(picture.black(300, high), "the halo took away what came after it");
    let covered = (200..400).filter(|&x| !picture.black(x, low)).count();
    assert!(near(covered, 40.0), "{covered}");
}

#[test]
fn dashes_and_rings_are_as_long_and_as_thick_as_told() {
    let dashed = Ink::Line {
        from: Point::new(0.0, 0.0),
        to: Point::new(10.0, 0.0),
        thickness: StaffSpaces(0.2),
        dash: Some((StaffSpaces(0.5), StaffSpaces(0.35))),
    };
    let (picture, (left, top, right, _)) = print(vec![dashed]);
    let row: Vec<bool> = (left..right).map(|x| picture.black(x, top + 1)).collect();
    let dashes = 1 + row.windows(2).filter(|pair| !pair[0] && pair[1]).count();
    // Ten staff spaces hold eleven times .85, and a piece of a twelfth.
    assert_eq!(dashes, 12);

    let ring = |ring| Ink::Circle { centre: Point::new(5.0, 0.0), radius: StaffSpaces(1.0), ring };
    let (picture, (left, top, right, bottom)) = print(vec![ring(Some(StaffSpaces(0.2)))]);
    assert!(near(right - left, 44.0) && near(bottom - top, 44.0), "{left} {right}");
    assert!(!picture.black(300, (top + bottom) / 2), "a ring is open");
    let (picture, (left, top, right, bottom)) = print(vec![ring(None)]);
    assert!(near(right - left, 40.0) && near(bottom - top, 40.0), "{left} {right}");
    assert!(picture.black(300, (top + bottom) / 2), "a dot is filled");
}

#[test]
fn words_take_the_width_they_were_given() {
    let words = |width| Ink::Text {
        text: "Andante con moto".to_owned(),
        face: Face::Italic,
        size: StaffSpaces(1.0),
        at: Point::new(0.0, 0.0),
        width: StaffSpaces(width),
    };
    let wide = |width| {
        let (_, (left, _, right, _)) = print(vec![words(width)]);
        right - left
    };
    // Zero is no width: the words keep their own.
    let natural = wide(0.0) as f64;
    let given = natural * 1.05;
    assert!((wide(given / 20.0) as f64 - given).abs() <= 3.0);
    assert!(near(wide(100.0), natural), "words are not torn apart");
}

#[test]
fn what_the_faces_do_not_have_is_reported() {
    let inks = vec![
        sample::text("F♯m, 曲", Face::Bold, 2.0, 0.0, 0.0),
        sample::glyph('A', 1.0, 0.0, 0.0),
        sample::glyph('\u{E0A4}', 1.0, 0.0, 0.0),
    ];
    let pages = set(&sample::bare(vec![sample::drawing(inks)])).unwrap();
    let [Fault::MissingCharacters { characters, .. }] = pages.faults() else {
        panic!("{:?}", pages.faults())
    };
    assert_eq!(characters, &['曲', 'A']);
    pages.pdf().unwrap();
}
