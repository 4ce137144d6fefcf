//! Signs and words that tell where play goes on.

use apoyando_engrave::geometry::bounds;
use apoyando_engrave::meter::collisions;
use apoyando_engrave::{Drawing, Ink, Kind, Owner, Sheet, StaffSpaces, Stain, Style, engrave};
use apoyando_music::BarIndex;

use crate::gallery;
use crate::ink::{areas, of};

fn drawn(width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    let engraving = engrave(&Sheet::bare(&gallery::to_the_coda()), &style);
    engraving.systems.into_iter().map(|system| system.drawing).collect()
}

fn words(stain: &Stain) -> Option<&str> {
    match &stain.ink {
        Ink::Text { text, .. } => Some(text),
        _ => None,
    }
}

#[test]
fn everything_is_said_once_at_its_bar() {
    for width in [45.0, 97.2, 160.0] {
        let systems = drawn(width);
        let signs: Vec<&Stain> =
            systems.iter().flat_map(|drawing| of(&drawing.stains, Kind::Jump)).collect();
        let said: Vec<_> = signs.iter().filter_map(|s| Some((s.owner, words(s)?))).collect();
        let bar = |index| Owner::Bar(BarIndex(index));
        assert_eq!(
            said,
            [
                (bar(2), "3×"),
                (bar(3), "To Coda"),
                (bar(5), "Fine"),
                (bar(6), "D.S. al Coda"),
                (bar(7), "Coda"),
            ],
        );
        let landmarks = systems.iter().flat_map(|drawing| of(&drawing.stains, Kind::Landmark));
        let owners: Vec<_> = landmarks.map(|stain| stain.owner).collect();
        assert_eq!(owners, [bar(1), bar(3), bar(7)]);
    }
}

/// Common practice, no source.
#[test]
fn words_at_the_end_of_a_bar_end_with_its_barline_above_the_staff() {
    for drawing in drawn(97.2) {
        let lines = areas(&drawing.stains, Kind::BarLine);
        for stain in of(&drawing.stains, Kind::Jump) {
            let area = bounds(&stain.ink);
            assert!(area.low > 2.5, "{area:?}");
            let text = words(stain).unwrap();
            if ["3×", "Fine", "D.S. al Coda"].contains(&text) {
                let before = lines.iter().map(|line| line.left - area.right);
                let near = before.filter(|gap| *gap >= 0.0).fold(f64::MAX, f64::min);
                // The dots of a repeat stand before its line.
                let most = if text == "3×" { 1.0 } else { 0.3 };
                assert!(near < most, "{text} ends {near} before a barline");
            }
        }
    }
}

#[test]
fn a_sign_that_is_moved_onto_other_ink_is_found() {
    for kind in [Kind::Landmark, Kind::Jump] {
        let mut drawings = drawn(160.0);
        assert!(collisions(&drawings[0]).is_empty());
        let head = areas(&drawings[0].stains, Kind::Head)[0];
        let stain = drawings[0].stains.iter_mut().find(|stain| stain.kind == kind).unwrap();
        let (Ink::Glyph { at, .. } | Ink::Text { at, .. }) = &mut stain.ink else { panic!() };
        (at.x, at.y) = (StaffSpaces(head.left), StaffSpaces(head.low));
        assert!(!collisions(&drawings[0]).is_empty(), "{kind:?}");
    }
}
