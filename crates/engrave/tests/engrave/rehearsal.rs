//! Rehearsal letters.

use apoyando_engrave::geometry::{Rect, bounds};
use apoyando_engrave::meter::words_on_ink;
use apoyando_engrave::{Drawing, Face, Ink, Kind, Owner, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::BarIndex;

use crate::gallery;
use crate::ink::{areas, of};

fn drawn(width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    let engraving = engrave(&Sheet::bare(&gallery::rehearsals()), &style);
    engraving.systems.into_iter().map(|system| system.drawing).collect()
}

/// The letters of a line with their bars and the outer sides of their boxes.
fn letters(drawing: &Drawing) -> Vec<(String, Owner, Rect, Rect)> {
    let boxes = of(&drawing.stains, Kind::RehearsalBox);
    of(&drawing.stains, Kind::Rehearsal)
        .into_iter()
        .map(|stain| {
            let Ink::Text { text, face, .. } = &stain.ink else { panic!("letters are text") };
            assert_eq!(*face, Face::Bold);
            let own = boxes.iter().filter(|other| other.owner == stain.owner);
            let own: Vec<Rect> = own.map(|stain| bounds(&stain.ink)).collect();
            assert_eq!(own.len(), 4);
            let around = own.into_iter().fold(Rect::EMPTY, Rect::join);
            (text.clone(), stain.owner, bounds(&stain.ink), around)
        })
        .collect()
}

#[test]
fn every_letter_stands_in_a_box_at_its_bar() {
    for width in [45.0, 97.2, 140.0] {
        let systems = drawn(width);
        let all: Vec<_> = systems.iter().flat_map(letters).collect();
        let said: Vec<_> = all.iter().map(|(text, owner, ..)| (text.as_str(), *owner)).collect();
        let bar = |index| Owner::Bar(BarIndex(index));
        let wanted = [("A", 0), ("B", 2), ("12", 3), ("C", 4), ("Coda", 6), ("Q", 7)];
        assert_eq!(said, wanted.map(|(text, at)| (text, bar(at))));
        for (text, _, ink, around) in &all {
            // .45 of white and half a stroke, house values; letters stand in the middle.
            let sides = [ink.left - around.left, around.right - ink.right, ink.low - around.low]
                .map(|gap| gap - 0.53);
            let most = if text == "Q" { 0.1 } else { 0.06 };
            assert!(sides.iter().all(|off| off.abs() < most), "{text} {sides:?}");
        }
    }
}

/// Common practice, no source: over the barline, or over the beginning of the line.
#[test]
fn letters_stand_over_their_barlines() {
    let mut over = 0;
    for drawing in drawn(97.2) {
        let staff = areas(&drawing.stains, Kind::StaffLine)[0];
        let lines = areas(&drawing.stains, Kind::BarLine);
        for (text, _, _, around) in letters(&drawing) {
            assert!(around.low > 2.5, "{text}");
            let middle = f64::midpoint(around.left, around.right);
            let near =
                lines.iter().map(|line| (middle - f64::midpoint(line.left, line.right)).abs());
            let near = near.fold(f64::MAX, f64::min);
            let at_start = (around.left - staff.left).abs() < 0.1;
            // Repeats have several strokes.
            assert!(near < 1.0 || at_start, "{text}: {near}");
            over += usize::from(near < 0.2);
        }
    }
    assert!(over > 0);
}

/// From the staff outwards: words, the letter, the tempo.
#[test]
fn letters_stand_under_the_tempo_and_over_words() {
    let systems = drawn(140.0);
    let first = &systems[0];
    let all = letters(first);
    let tempo = areas(&first.stains, Kind::Tempo);
    let words = areas(&first.stains, Kind::Expression)[0];
    let over = |a: Rect, b: Rect| a.left < b.right && b.left < a.right && a.low >= b.high;
    let dolce = all.iter().find(|(text, ..)| text == "B").unwrap().3;
    assert!(dolce.low > words.low, "{dolce:?} {words:?}");
    let pairs = || tempo.iter().flat_map(|t| all.iter().map(move |(.., letter)| (*t, *letter)));
    assert!(pairs().any(|(tempo, letter)| over(tempo, letter)));
    assert!(!pairs().any(|(tempo, letter)| over(letter, tempo)));
}

#[test]
fn a_letter_that_is_moved_onto_other_ink_is_found() {
    for kind in [Kind::Rehearsal, Kind::RehearsalBox] {
        let mut drawing = drawn(97.2).remove(0);
        assert_eq!(words_on_ink(&drawing), []);
        let head = areas(&drawing.stains, Kind::Head)[0];
        let stain = drawing.stains.iter_mut().find(|stain| stain.kind == kind).unwrap();
        let area = bounds(&stain.ink);
        *stain = stain.clone().moved(head.left - area.left, head.low - area.low);
        assert!(!words_on_ink(&drawing).is_empty(), "{kind:?}");
    }
}
