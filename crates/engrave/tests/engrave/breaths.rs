//! Breath marks and caesuras.

use apoyando_engrave::geometry::{Rect, bounds};
use apoyando_engrave::meter::collisions;
use apoyando_engrave::{Drawing, Kind, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::Metre;

use crate::faults;
use crate::ink::{areas, of};
use crate::scores::Sketch;

fn drawn(voices: &[&str]) -> Drawing {
    let style = Style { line_width: StaffSpaces(80.0), ..Style::default() };
    let score = Sketch::new(0, Metre::new(2, 4), voices).score();
    engrave(&Sheet::bare(&score), &style).systems.remove(0).drawing
}

/// Common practice, no source: after the note, a comma over the staff and two strokes
/// across its top line.
#[test]
fn they_stand_before_what_comes_next() {
    for (sign, high) in [(',', true), ('‖', false)] {
        for (first, second) in [("C4", "D4"), ("B3", "F#4"), ("E2", "E5")] {
            let drawing = drawn(&[&format!("{first}:q{sign} {second}:q")]);
            let [area] = areas(&drawing.stains, Kind::Breath)[..] else { panic!("one sign") };
            let heads = areas(&drawing.stains, Kind::Head);
            let accidental = areas(&drawing.stains, Kind::Accidental);
            let next = accidental.first().map_or(heads[1].left, |sign| sign.left);
            assert!(area.left >= heads[0].right + 0.35, "{area:?} {heads:?}");
            // Ledger lines reach a little farther than their head.
            let gap = next - area.right;
            assert!((0.39..0.85).contains(&gap), "{first} {second} {gap}");
            assert_eq!(area.low > 2.2, high, "{area:?}");
            assert!(area.low < 2.4 && area.high > 3.0, "{area:?}");
            assert_eq!(faults::all(&drawing, 80.0), []);
        }
    }
}

#[test]
fn at_the_end_of_a_bar_they_stand_before_the_barline() {
    for sign in [',', '‖'] {
        let drawing = drawn(&[&format!("C4:q D4:q{sign} | C4:h")]);
        let area = areas(&drawing.stains, Kind::Breath)[0];
        let barline = areas(&drawing.stains, Kind::BarLine)[0];
        assert!((barline.left - area.right - 0.4).abs() < 0.05, "{area:?} {barline:?}");
        // The rest is as long as its sign says.
        let drawing = drawn(&[&format!("C4:q r:q{sign} | C4:h")]);
        assert_eq!(areas(&drawing.stains, Kind::Breath).len(), 1);
    }
}

/// A second voice halts with the first; it does not get a sign of its own.
#[test]
fn one_sign_serves_all_voices() {
    let drawing = drawn(&["C4:q, D4:q‖ | E4:h,", "E3:q, F3:q, | A2:q C3:q,"]);
    let all = areas(&drawing.stains, Kind::Breath);
    assert_eq!(all.len(), 3, "{all:?}");
    let widths: Vec<bool> = all.iter().map(|area| area.right - area.left > 1.0).collect();
    assert_eq!(widths, [false, true, false]);
}

#[test]
fn under_a_slur_a_sign_stands_over_it() {
    let drawing = drawn(&["C4:8( D4:8, E4:8 F4:8)"]);
    let area = areas(&drawing.stains, Kind::Breath)[0];
    assert_eq!(collisions(&drawing), []);
    assert!(area.low > 3.0, "{area:?}");
}

#[test]
fn a_sign_that_is_moved_onto_a_note_is_found() {
    let mut drawing = drawn(&["C4:q, D4:q"]);
    assert_eq!(collisions(&drawing), []);
    let head: Rect = areas(&drawing.stains, Kind::Head)[1];
    let area = bounds(&of(&drawing.stains, Kind::Breath)[0].ink);
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == Kind::Breath).unwrap();
    *stain = stain.clone().moved(head.left - area.left, head.low - area.low);
    assert!(!collisions(&drawing).is_empty());
}
