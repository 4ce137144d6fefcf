//! The meters of placed pages.

use apoyando_engrave::meter::pages::{
    Content, Page, PageFault, Placed, holes_at_the_foot, parted_headings, uneven_systems,
};
use apoyando_fretboard::Millimetres;

const SPACE: Millimetres = Millimetres(1.8);

fn placed(content: Content, top: f64, bottom: f64) -> Placed {
    Placed { content, top: Millimetres(top), bottom: Millimetres(bottom) }
}

/// A staff of 7.2 mm with 4 mm of ink above it and so much below.
fn system(top: f64, below: f64) -> Placed {
    let content = Content::System { first: Millimetres(top + 4.0), last: Millimetres(top + 11.2) };
    placed(content, top, top + 11.2 + below)
}

/// Systems with 4 mm of ink below their staves, so far apart.
fn page(tops: &[f64]) -> Page {
    let boxes = tops.iter().map(|top| system(*top, 4.0)).collect();
    Page { height: Millimetres(100.0), boxes, asked_for: false }
}

fn rules(faults: &[PageFault]) -> Vec<(&'static str, usize)> {
    faults.iter().map(|fault| (fault.rule, fault.page)).collect()
}

#[test]
fn even_systems_have_no_faults() {
    let pages = [page(&[0.0, 20.0, 40.0, 60.0, 80.0]), page(&[0.0, 20.0])];
    assert_eq!(uneven_systems(&pages, SPACE), []);
    assert_eq!(holes_at_the_foot(&pages, SPACE), []);
    assert_eq!(parted_headings(&pages), []);
}

#[test]
fn a_system_far_from_the_one_before_and_one_too_near_are_found() {
    let uneven = [page(&[0.0, 20.0, 40.0, 68.0])];
    assert_eq!(rules(&uneven_systems(&uneven, SPACE)), [("systems-uneven", 0)]);
    let near = |by: f64| [page(&[0.0, 20.0]), page(&[0.0, 15.2 + by])];
    assert_eq!(uneven_systems(&near(2.7), SPACE), []);
    assert_eq!(rules(&uneven_systems(&near(2.6), SPACE)), [("systems-tight", 1)]);
}

/// A system with deep basses stands farther from the next.
#[test]
fn distances_that_ink_asks_for_are_even() {
    let mut deep = page(&[0.0, 20.0, 52.0]);
    deep.boxes[1] = system(20.0, 18.0);
    assert_eq!(uneven_systems(&[deep.clone()], SPACE), []);
    deep.boxes[1] = system(20.0, 4.0);
    assert_eq!(rules(&uneven_systems(&[deep], SPACE)), [("systems-uneven", 0)]);
}

#[test]
fn a_hole_at_the_foot_is_found() {
    let short = [page(&[0.0, 20.0, 40.0]), page(&[0.0, 20.0, 40.0])];
    assert_eq!(rules(&holes_at_the_foot(&short, SPACE)), [("page-hole", 0)]);
    // Of two that go on together none is left alone; one that is alone could have come up.
    assert_eq!(holes_at_the_foot(&[short[0].clone(), page(&[0.0, 20.0])], SPACE), []);
    let alone = [short[0].clone(), page(&[0.0])];
    assert_eq!(rules(&holes_at_the_foot(&alone, SPACE)), [("page-hole", 0)]);
    let mut asked = short.clone();
    asked[1].asked_for = true;
    assert_eq!(holes_at_the_foot(&asked, SPACE), []);
    // A heading has no room there without its music.
    let mut headed = [page(&[0.0, 20.0, 40.0, 60.0]), page(&[20.0])];
    headed[1].boxes.insert(0, placed(Content::Heading, 0.0, 8.0));
    assert_eq!(holes_at_the_foot(&headed, SPACE), []);
    headed[0].boxes.pop();
    assert_eq!(rules(&holes_at_the_foot(&headed, SPACE)), [("page-hole", 0)]);
    // Two systems are kept together under their heading; what another heading begins
    // is another matter.
    headed[1].boxes.push(system(40.0, 4.0));
    assert_eq!(holes_at_the_foot(&headed, SPACE), []);
    headed[1].boxes.insert(2, placed(Content::Heading, 32.0, 38.0));
    assert_eq!(rules(&holes_at_the_foot(&headed, SPACE)), [("page-hole", 0)]);
}

/// Of 48, 40, 24 and 80 mm: were the second on the first page, the second page would hold 24
/// alone.
#[test]
fn a_hole_that_spares_a_larger_one_is_none() {
    let headed = |tops: &[f64]| {
        let mut boxes = Vec::new();
        for (at, tall) in tops.chunks(2).map(|pair| (pair[0], pair[1])) {
            boxes.push(placed(Content::Heading, at, at + 4.0));
            boxes.push(placed(Content::Text, at + 4.0, at + tall));
        }
        Page { height: Millimetres(100.0), boxes, asked_for: false }
    };
    let pages = [headed(&[0.0, 48.0]), headed(&[0.0, 40.0]), headed(&[0.0, 28.0, 40.0, 30.0])];
    assert_eq!(rules(&holes_at_the_foot(&pages, SPACE)), [("page-hole", 0), ("page-hole", 1)]);
    let spared = [headed(&[0.0, 48.0]), headed(&[0.0, 40.0, 50.0, 24.0]), headed(&[0.0, 80.0])];
    assert_eq!(holes_at_the_foot(&spared, SPACE), []);
    // A page that was asked for ends what could come up.
    let mut parted = spared.clone();
    parted[2].asked_for = true;
    assert_eq!(rules(&holes_at_the_foot(&parted, SPACE)), [("page-hole", 0)]);
}

#[test]
fn a_heading_parted_from_its_music_is_found() {
    let mut pages = [page(&[0.0, 20.0]), page(&[0.0, 20.0])];
    pages[0].boxes.push(placed(Content::Heading, 44.0, 52.0));
    assert_eq!(rules(&parted_headings(&pages)), [("heading-parted", 0)]);
    pages[0].boxes.push(system(56.0, 4.0));
    assert_eq!(parted_headings(&pages), []);
}
