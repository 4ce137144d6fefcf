//! Faults of an engraved system that a machine can see, and the proof that it
//! sees them: every check is itself tried on a planted fault.

use apoyando_engrave::meter::{
    Fault, beams_off_stems, collisions, dots_on_lines, ink_off_the_line, stems_off_heads,
};
use apoyando_engrave::{Drawing, Ink, Kind, Point, Sheet, StaffSpaces, Style, engrave};

use crate::gallery;

/// All faults of a drawing.
pub fn all(drawing: &Drawing, line_width: f64) -> Vec<Fault> {
    let mut found = hard(drawing, line_width);
    found.extend(collisions(drawing));
    found
}

/// The faults that no score excuses, however crowded.
pub fn hard(drawing: &Drawing, line_width: f64) -> Vec<Fault> {
    let mut found = ink_off_the_line(drawing, StaffSpaces(line_width));
    found.extend(stems_off_heads(drawing));
    found.extend(beams_off_stems(drawing));
    found.extend(dots_on_lines(drawing));
    found
}

#[test]
fn the_gallery_is_free_of_faults() {
    let mut failed = Vec::new();
    for (name, score) in gallery::all() {
        for width in [45.0, 97.2, 140.0] {
            let style = Style { line_width: StaffSpaces(width), ..Style::default() };
            for system in engrave(&Sheet::bare(&score), &style).systems {
                let found = all(&system.drawing, width);
                failed.extend(
                    found.into_iter().map(|f| format!("{name} {width} {:?}: {f:?}", system.bars)),
                );
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

fn planted(kind: Kind, x: f64, y: f64) -> Drawing {
    let score = gallery::dotted();
    let mut drawing = engrave(&Sheet::bare(&score), &Style::default()).systems.remove(0).drawing;
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == kind).unwrap();
    let shift = |point: &mut Point| {
        point.x += StaffSpaces(x);
        point.y += StaffSpaces(y);
    };
    match &mut stain.ink {
        Ink::Glyph { at, .. } => shift(at),
        Ink::Line { from, to, .. } => {
            shift(from);
            shift(to);
        }
        Ink::Shape(outline) => {
            for step in outline {
                if let apoyando_engrave::Outline::Move(p) | apoyando_engrave::Outline::Line(p) =
                    step
                {
                    shift(p);
                }
            }
        }
        _ => {}
    }
    drawing
}

#[test]
fn planted_faults_are_found() {
    let sound = planted(Kind::Head, 0.0, 0.0);
    assert_eq!(all(&sound, 97.2), []);
    assert!(!stems_off_heads(&planted(Kind::Stem, 0.05, 0.0)).is_empty());
    assert!(!stems_off_heads(&planted(Kind::Head, 0.0, 0.5)).is_empty());
    assert!(!beams_off_stems(&planted(Kind::Beam, 0.2, 0.0)).is_empty());
    assert!(!dots_on_lines(&planted(Kind::Dot, 0.0, 0.5)).is_empty());
    assert!(!ink_off_the_line(&planted(Kind::Head, 0.0, 30.0), StaffSpaces(97.2)).is_empty());
    let score = gallery::accidentals();
    let mut drawing = engrave(&Sheet::bare(&score), &Style::default()).systems.remove(0).drawing;
    assert!(collisions(&drawing).is_empty());
    let stain = drawing.stains.iter_mut().find(|s| s.kind == Kind::Accidental).unwrap();
    if let Ink::Glyph { at, .. } = &mut stain.ink {
        at.x += StaffSpaces(0.6);
    }
    assert!(!collisions(&drawing).is_empty());
}
