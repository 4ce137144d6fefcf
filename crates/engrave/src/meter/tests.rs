//! Each meter finds a fault planted for it, and none before.

use super::*;
use crate::drawing::{Face, Ink, Kind, Owner, Point, StaffSpaces, Stain};
use crate::fingers::fixture::fixture;
use crate::font::table::{
    FINGERING_1, FINGERING_M_LOWER, FINGERING_SUBSTITUTION_DASH, NOTEHEAD_BLACK,
};
use apoyando_music::{NoteId, Score};

fn glyph(kind: Kind, note: u32, code: char, x: f64, y: f64) -> Stain {
    let ink = Ink::Glyph { glyph: code, scale: 1.0, at: Point::new(x, y) };
    Stain { ink, kind, owner: Owner::Note(NoteId(note)) }
}

fn line(kind: Kind, note: Option<u32>, from: (f64, f64), to: (f64, f64)) -> Stain {
    let ink = Ink::Line {
        from: Point::new(from.0, from.1),
        to: Point::new(to.0, to.1),
        thickness: StaffSpaces(0.12),
        dash: None,
    };
    let owner = note.map_or(Owner::System, |note| Owner::Note(NoteId(note)));
    Stain { ink, kind, owner }
}

/// Four quarters in each of two voices: notes 0 to 3 and 4 to 7.
fn score() -> Score {
    fixture(5.0, &["4 C4 C4 C4 C4", "4 G4 G4 G4 G4"]).score
}

/// Four notes three spaces apart with digits to their left.
fn run() -> Drawing {
    let mut drawing = Drawing { width: StaffSpaces(20.0), ..Drawing::default() };
    drawing.stains.push(line(Kind::StaffLine, None, (0.0, 0.0), (20.0, 0.0)));
    for note in 0..4u32 {
        let x = 4.0 + 3.2 * f64::from(note);
        drawing.stains.push(glyph(Kind::Head, note, NOTEHEAD_BLACK.code, x, 0.0));
        drawing.stains.push(line(Kind::Stem, Some(note), (x + 0.06, 0.0), (x + 0.06, -3.5)));
        drawing.stains.push(glyph(Kind::LeftDigit, note, FINGERING_1.code, x - 0.85, -0.5));
    }
    drawing
}

fn rules(faults: &[Fault]) -> Vec<&'static str> {
    faults.iter().map(|fault| fault.rule).collect()
}

/// The stain of a kind that belongs to a note.
fn find(drawing: &mut Drawing, kind: Kind, note: u32) -> &mut Stain {
    let owner = Owner::Note(NoteId(note));
    drawing.stains.iter_mut().find(|stain| stain.kind == kind && stain.owner == owner).unwrap()
}

fn shift(drawing: &mut Drawing, kind: Kind, note: u32, x: f64, y: f64) {
    let stain = find(drawing, kind, note);
    *stain = stain.clone().moved(x, y);
}

#[test]
fn a_plain_run_has_no_faults() {
    assert_eq!(fingering_faults(&run(), &score()), []);
    let distances = digit_distances(&run(), &score());
    assert!((0.2..0.4).contains(&distances.median), "{distances:?}");
}

#[test]
fn ink_through_a_digit_is_found() {
    for kind in [
        Kind::Stem,
        Kind::Beam,
        Kind::Slur,
        Kind::Accidental,
        Kind::LedgerLine,
        Kind::GraceStem,
        Kind::GraceLedgerLine,
        Kind::Glissando,
    ] {
        let mut drawing = run();
        drawing.stains.push(line(kind, None, (6.0, 0.3), (7.2, 0.1)));
        assert_eq!(rules(&struck_digits(&drawing)), ["digit-struck"], "{kind:?}");
    }
    let mut lines = run();
    lines.stains.push(line(Kind::StaffLine, None, (6.0, 0.3), (7.2, 0.3)));
    assert_eq!(struck_digits(&lines), [], "a staff line is allowed behind a halo");
}

/// The second note is gone, and the third is taken over.
fn taken_over() -> Drawing {
    let mut drawing = run();
    drawing.stains.retain(|stain| stain.owner != Owner::Note(NoteId(1)));
    shift(&mut drawing, Kind::LeftDigit, 2, -1.5, 0.0);
    for (code, x) in [(FINGERING_SUBSTITUTION_DASH.code, 8.7), (FINGERING_1.code, 9.55)] {
        drawing.stains.push(glyph(Kind::SecondFinger, 2, code, x, -0.5));
    }
    drawing
}

#[test]
fn ink_through_a_finger_that_takes_over_is_found() {
    assert_eq!(fingering_faults(&taken_over(), &score()), []);
    for x in [8.9, 9.7] {
        let mut drawing = taken_over();
        drawing.stains.push(line(Kind::Stem, None, (x, -3.0), (x, 2.0)));
        assert_eq!(rules(&struck_digits(&drawing)), ["digit-struck"], "{x}");
    }
}

/// The sign is read as one: it is as near to its note as the finger that takes over, and
/// to another as its first digit.
#[test]
fn a_sign_of_two_fingers_that_reads_as_another_notes_is_found() {
    let mut drawing = taken_over();
    drawing.stains.retain(|stain| stain.kind != Kind::SecondFinger);
    shift(&mut drawing, Kind::LeftDigit, 2, -1.2, 0.0);
    assert_eq!(rules(&misread_digits(&drawing, &score())), ["digit-misread"], "alone");
    let mut drawing = taken_over();
    for stain in &mut drawing.stains {
        let of_sign = matches!(stain.kind, Kind::LeftDigit | Kind::SecondFinger);
        if of_sign && stain.owner == Owner::Note(NoteId(2)) {
            *stain = stain.clone().moved(-2.6, 0.0);
        }
    }
    assert_eq!(rules(&misread_digits(&drawing, &score())), ["digit-misread"], "moved");
}

#[test]
fn a_digit_nearer_to_the_note_before_is_found() {
    let mut drawing = run();
    shift(&mut drawing, Kind::LeftDigit, 2, -0.6, 0.0);
    assert_eq!(rules(&misread_digits(&drawing, &score())), ["digit-misread"]);
}

/// Grace notes have no digits: one that stands at a grace note is read as its.
#[test]
fn a_digit_nearer_to_a_grace_note_is_found() {
    let mut drawing = run();
    drawing.stains.push(glyph(Kind::GraceHead, 2, NOTEHEAD_BLACK.code, 7.9, 0.0));
    assert_eq!(rules(&misread_digits(&drawing, &score())), ["digit-misread"]);
}

#[test]
fn a_digit_far_from_its_note_is_found_unless_it_is_of_a_row() {
    let mut drawing = run();
    shift(&mut drawing, Kind::LeftDigit, 0, 1.1, 4.5);
    assert_eq!(rules(&misread_digits(&drawing, &score())), ["digit-misread"]);
    for note in 1..4 {
        shift(&mut drawing, Kind::LeftDigit, note, 1.1, 4.5);
    }
    assert_eq!(fingering_faults(&drawing, &score()), []);
    assert!(digit_distances(&drawing, &score()).greatest > 2.5, "but its distance is told");
}

#[test]
fn digits_of_a_chord_in_the_wrong_order_are_found() {
    let mut drawing = run();
    drawing.stains.push(glyph(Kind::Head, 4, NOTEHEAD_BLACK.code, 4.0, 2.0));
    drawing.stains.push(glyph(Kind::LeftDigit, 4, FINGERING_1.code, 3.15, 1.5));
    assert_eq!(misread_digits(&drawing, &score()), []);
    shift(&mut drawing, Kind::LeftDigit, 4, 0.0, -3.0);
    assert!(rules(&misread_digits(&drawing, &score())).contains(&"digit-misread"));
}

/// Of a chord whose upper head has stepped aside.
#[test]
fn a_digit_level_with_another_note_of_its_chord_is_found() {
    let mut drawing = run();
    drawing.stains.push(glyph(Kind::Head, 7, NOTEHEAD_BLACK.code, 15.0, 1.0));
    assert_eq!(misread_digits(&drawing, &score()), []);
    shift(&mut drawing, Kind::LeftDigit, 3, 0.0, 0.7);
    assert_eq!(rules(&misread_digits(&drawing, &score())), ["digit-misread"]);
}

#[test]
fn a_digit_that_hops_out_of_its_run_is_found() {
    let mut drawing = run();
    shift(&mut drawing, Kind::LeftDigit, 1, 1.1, 1.4);
    assert_eq!(rules(&hopping_digits(&drawing, &score())), ["digits-hop"]);
}

#[test]
fn a_letter_off_its_line_is_found_and_a_stacked_one_is_not() {
    let mut drawing = run();
    for note in 0..4u32 {
        let x = 4.0 + 3.2 * f64::from(note);
        drawing.stains.push(glyph(Kind::RightLetter, note, FINGERING_M_LOWER.code, x, 4.0));
    }
    drawing.stains.push(glyph(Kind::RightLetter, 3, FINGERING_M_LOWER.code, 13.6, 5.3));
    assert_eq!(wandering_rows(&drawing), []);
    shift(&mut drawing, Kind::RightLetter, 1, 0.0, 0.3);
    assert_eq!(rules(&wandering_rows(&drawing)), ["row-wanders"]);
}

#[test]
fn numerals_on_different_levels_are_found() {
    let mut drawing = run();
    let numeral = |kind, x, y| {
        let ink = Ink::Text {
            text: "V".to_owned(),
            face: Face::Regular,
            size: StaffSpaces(2.2),
            at: Point::new(x, y),
            width: StaffSpaces(1.4),
        };
        Stain { ink, kind, owner: Owner::System }
    };
    drawing.stains.push(numeral(Kind::PositionMark, 4.0, 5.0));
    drawing.stains.push(numeral(Kind::BarreMark, 10.0, 5.0));
    assert_eq!(wandering_rows(&drawing), []);
    drawing.stains.push(numeral(Kind::PositionMark, 14.0, 5.4));
    assert_eq!(rules(&wandering_rows(&drawing)), ["row-wanders"]);
}

#[test]
fn an_extent_that_does_not_end_after_a_head_is_found() {
    // The second head ends at 7.2 plus its width.
    let end = 7.2 + NOTEHEAD_BLACK.right + 0.3;
    for (moved, wanted) in [(0.0, 0), (0.5, 1), (-0.7, 1)] {
        let end = end + moved;
        let mut drawing = run();
        drawing.stains.push(line(Kind::BarreMark, None, (4.0, 5.0), (end, 5.0)));
        drawing.stains.push(line(Kind::BarreMark, None, (end - 0.06, 5.0), (end - 0.06, 4.2)));
        assert_eq!(wrong_extents(&drawing).len(), wanted, "moved by {moved}");
    }
    let mut open = run();
    open.stains.push(line(Kind::PositionMark, None, (4.0, 5.0), (20.0, 5.0)));
    assert_eq!(wrong_extents(&open), []);
    shift_last(&mut open, -1.0);
    assert_eq!(rules(&wrong_extents(&open)), ["extent-ends-elsewhere"]);
}

fn shift_last(drawing: &mut Drawing, x: f64) {
    if let Some(last) = drawing.stains.pop() {
        drawing.stains.push(last.moved(x, 0.0));
    }
}
