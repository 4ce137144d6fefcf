//! Small notes of another part before an entry.

use apoyando_engrave::geometry::{Rect, bounds};
use apoyando_engrave::meter::{collisions, words_on_ink};
use apoyando_engrave::{Drawing, Ink, Kind, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::{Clef, Metre, PartIndex, Score};

use crate::ink::{areas, of};
use crate::scores::Sketch;
use crate::{faults, gallery};

/// Four bars: three of rest, the last of which has a cue, and an entry.
fn with_cue(cue: &str) -> Score {
    let mut sketch = Sketch::new(0, Metre::COMMON, &["R | R | R | C4:w"]);
    sketch.part("Teacher", Clef::Guitar, &[&format!("C4:w | C4:w | {cue} | C3:w")]);
    sketch.score().part_alone(PartIndex(0))
}

fn drawn(score: &Score) -> Drawing {
    let style = Style { line_width: StaffSpaces(90.0), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.remove(0).drawing
}

fn scales(drawing: &Drawing, kind: Kind) -> Vec<f64> {
    let glyphs = of(&drawing.stains, kind).into_iter().filter_map(|stain| match stain.ink {
        Ink::Glyph { scale, .. } => Some(scale),
        _ => None,
    });
    glyphs.collect()
}

/// Heads stand on their steps however small they are.
#[test]
fn cue_notes_are_small_and_on_their_steps() {
    let drawing = drawn(&with_cue("C4:q E4:q G4:q F#4:q"));
    assert_eq!(scales(&drawing, Kind::GraceHead), [0.7; 4]);
    assert_eq!(scales(&drawing, Kind::Head), [1.0]);
    let middles: Vec<f64> = areas(&drawing.stains, Kind::GraceHead)
        .into_iter()
        .map(|head| f64::midpoint(head.low, head.high))
        .collect();
    for (found, wanted) in middles.iter().zip([0.5, 1.5, 2.5, 2.0]) {
        assert!((found - wanted).abs() < 0.05, "{middles:?}");
    }
    assert_eq!(areas(&drawing.stains, Kind::GraceAccidental).len(), 1);
    assert_eq!(faults::all(&drawing, 90.0), []);
}

/// Common practice, no source: stems up, the rest of the part below them.
#[test]
fn the_rest_stands_below_the_cue() {
    for cue in ["C4:q E4:q G4:q F4:q", "E2:q F2:q G2:q A2:q", "C5:h r:q C4:q"] {
        let drawing = drawn(&with_cue(cue));
        let heads = areas(&drawing.stains, Kind::GraceHead);
        let (left, right) = (heads[0].left, heads[heads.len() - 1].right);
        let lowest = heads.iter().map(|head| head.low).fold(f64::MAX, f64::min);
        let rests = of(&drawing.stains, Kind::Rest).into_iter();
        let full = rests.filter(|stain| matches!(stain.ink, Ink::Glyph { scale: 1.0, .. }));
        let inside: Vec<Rect> = full
            .map(|stain| bounds(&stain.ink))
            .filter(|rest| left < rest.left && rest.right < right)
            .collect();
        let [rest] = inside[..] else { panic!("one rest among the cue") };
        assert!(rest.high < lowest - 0.2, "{cue}: {rest:?} {lowest}");
        for stem in of(&drawing.stains, Kind::GraceStem) {
            if let Ink::Line { from, to, .. } = stem.ink {
                assert!(to.y > from.y, "{cue}");
            }
        }
    }
}

/// Beams end in the middle of their stems, and no stem is shorter than a small one.
#[test]
fn stems_of_a_cue_meet_heads_and_beams() {
    for cue in ["C4:8 D4:8 E4:8 F4:8 A4:16 G4:16 F4:16 E4:16 D4:q", "E2:8 C4:8 G4:8 E4:8 C4:h"] {
        let drawing = drawn(&with_cue(cue));
        let heads = areas(&drawing.stains, Kind::GraceHead);
        let beams: Vec<Rect> = of(&drawing.stains, Kind::GraceStem)
            .into_iter()
            .filter(|stain| matches!(stain.ink, Ink::Shape(_)))
            .map(|stain| bounds(&stain.ink))
            .collect();
        let stems: Vec<Rect> = of(&drawing.stains, Kind::GraceStem)
            .into_iter()
            .filter(|stain| matches!(stain.ink, Ink::Line { .. }))
            .map(|stain| bounds(&stain.ink))
            .collect();
        assert_eq!(stems.len(), heads.len(), "{cue}");
        for (stem, head) in stems.iter().zip(&heads) {
            assert!(stem.distance(*head) < 0.01, "{cue}: {stem:?} {head:?}");
            assert!((stem.right - head.right).abs() < 0.06, "{cue}: {stem:?} {head:?}");
            // Seven tenths of the least that a stem under a beam has.
            assert!(stem.high - stem.low > 0.7 * 2.0, "{cue}: {stem:?}");
        }
        for beam in beams {
            let ends = [beam.left, beam.right];
            for end in ends {
                let near =
                    stems.iter().map(|stem| (stem.left - end).abs().min((stem.right - end).abs()));
                assert!(near.fold(f64::MAX, f64::min) < 0.06, "{cue}: {beam:?}");
            }
        }
    }
}

#[test]
fn a_cue_bears_the_name_of_its_part() {
    let drawing = drawn(&with_cue("C4:q E4:q A5:q F4:q"));
    let [stain] = of(&drawing.stains, Kind::CueName)[..] else { panic!("one name") };
    let Ink::Text { text, .. } = &stain.ink else { panic!("a text") };
    assert_eq!(text, "Teacher");
    let name = bounds(&stain.ink);
    let first = areas(&drawing.stains, Kind::GraceHead)[0];
    assert!((name.left - first.left).abs() < 0.2 && name.low > 2.5, "{name:?} {first:?}");
    assert_eq!(words_on_ink(&drawing), []);
}

/// A long rest ends where the cue begins.
#[test]
fn a_cue_does_not_disappear_in_a_long_rest() {
    let mut sketch = Sketch::new(0, Metre::COMMON, &["R | R | R | R | R | C4:w"]);
    sketch.part("", Clef::Guitar, &["C4:w | C4:w | C4:w | C4:w | E4:h D4:h | C3:w"]);
    sketch.bars(|bars| bars[0].long_rest = Some(5));
    let drawing = drawn(&sketch.score().part_alone(PartIndex(0)));
    assert_eq!(areas(&drawing.stains, Kind::GraceHead).len(), 2);
    assert!(!areas(&drawing.stains, Kind::LongRest).is_empty());
}

#[test]
fn nothing_touches_whatever_the_width() {
    for width in [35.0, 60.0, 97.2, 140.0] {
        let style = Style { line_width: StaffSpaces(width), ..Style::default() };
        for system in engrave(&Sheet::bare(&gallery::cues()), &style).systems {
            assert_eq!(collisions(&system.drawing), [], "{width}");
            assert_eq!(words_on_ink(&system.drawing), [], "{width}");
        }
    }
}

#[test]
fn a_name_that_is_moved_onto_notes_is_found() {
    let mut drawing = drawn(&with_cue("C4:q E4:q A4:q F4:q"));
    let head = areas(&drawing.stains, Kind::GraceHead)[0];
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == Kind::CueName).unwrap();
    let area = bounds(&stain.ink);
    *stain = stain.clone().moved(0.0, head.low - area.low);
    assert!(!words_on_ink(&drawing).is_empty());
}
