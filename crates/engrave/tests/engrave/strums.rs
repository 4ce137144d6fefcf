//! The signs before a chord: arrows of strums, chords spread one way or not at all.

use apoyando_engrave::geometry::Rect;
use apoyando_engrave::meter::collisions;
use apoyando_engrave::{
    Drawing, Ink, Kind, Outline, Sheet, StaffSpaces, Style, Tablature, engrave,
};
use apoyando_music::Metre;

use crate::ink::{areas, of};
use crate::scores::Sketch;
use crate::{fretted, gallery};

fn drawn(voices: &[&str]) -> Drawing {
    let style = Style { line_width: StaffSpaces(80.0), ..Style::default() };
    let score = Sketch::new(0, Metre::COMMON, voices).score();
    engrave(&Sheet::bare(&score), &style).systems.remove(0).drawing
}

/// The height of the tip of the one arrow head, and of the corners of its back.
fn tip_and_back(drawing: &Drawing) -> (f64, f64) {
    let heads = of(&drawing.stains, Kind::Arpeggio).into_iter().filter_map(|stain| {
        let Ink::Shape(outline) = &stain.ink else { return None };
        match outline[..] {
            [
                Outline::Move(tip),
                Outline::Line(right),
                Outline::Line(_),
                Outline::Line(left),
                Outline::Close,
            ] => {
                assert!(right.y == left.y && right.x > tip.x && tip.x > left.x);
                Some((tip.y.0, right.y.0))
            }
            _ => None,
        }
    });
    let found: Vec<(f64, f64)> = heads.collect();
    let [one] = found[..] else { panic!("one arrow head, not {}", found.len()) };
    one
}

fn whole(drawing: &Drawing) -> Rect {
    areas(&drawing.stains, Kind::Arpeggio).into_iter().fold(Rect::EMPTY, Rect::join)
}

/// Common practice, no source: the arrow goes with the pitch, up the page from the bass to
/// the treble, along all notes of the chord.
#[test]
fn arrows_point_up_the_page_to_the_treble_and_down_to_the_bass() {
    for (sign, up) in [('↑', true), ('↓', false), ('⇑', true), ('⇓', false)] {
        let drawing = drawn(&[&format!("E2+B2+E3+G3+B3+E4:h{sign} r:h")]);
        let (tip, back) = tip_and_back(&drawing);
        assert_eq!(tip > back, up, "{sign}");
        let heads = areas(&drawing.stains, Kind::Head).into_iter().fold(Rect::EMPTY, Rect::join);
        let all = whole(&drawing);
        assert!(all.low <= heads.low && heads.high <= all.high, "{sign} {all:?} {heads:?}");
        let end = if up { all.high } else { all.low };
        assert!((tip - end).abs() < 0.01, "{sign}");
    }
}

#[test]
fn a_spread_chord_with_a_way_has_its_wave_and_a_strum_has_none() {
    let curved = |drawing: &Drawing| {
        of(&drawing.stains, Kind::Arpeggio).into_iter().any(|stain| match &stain.ink {
            Ink::Shape(outline) => outline.iter().any(|step| matches!(step, Outline::Curve(..))),
            _ => false,
        })
    };
    for (sign, wave) in [('?', true), ('⇑', true), ('⇓', true), ('↑', false), ('=', false)] {
        assert_eq!(curved(&drawn(&[&format!("E3+G3+C4:h{sign} r:h")])), wave, "{sign}");
    }
}

/// An arrow is seen at a chord of two notes that stand close, too.
#[test]
fn the_sign_stands_left_of_the_chord_with_its_accidentals() {
    for sign in ['?', '⇑', '⇓', '↑', '↓', '='] {
        for chord in ["C4+D4", "F#3+A#3+C#4+F#4", "C4"] {
            let drawing = drawn(&[&format!("C4:8 {chord}:q.{sign} r:h")]);
            let all = whole(&drawing);
            let ink = [Kind::Head, Kind::Accidental];
            let own = areas(&drawing.stains, ink[0]).into_iter().skip(1);
            let own = own.chain(areas(&drawing.stains, ink[1])).fold(Rect::EMPTY, Rect::join);
            assert!(all.right <= own.left - 0.25, "{sign} {chord}: {all:?} {own:?}");
            if sign != '?' && sign != '=' {
                assert!(all.high - all.low >= 2.9, "{sign} {chord}: {all:?}");
            }
            assert_eq!(collisions(&drawing), [], "{sign} {chord}");
        }
    }
}

/// Common practice, no source.
#[test]
fn a_bracket_opens_to_its_chord() {
    let drawing = drawn(&["E2+B2+G3:h= r:h"]);
    let strokes = areas(&drawing.stains, Kind::Arpeggio);
    let (upright, hooks): (Vec<Rect>, Vec<Rect>) =
        strokes.into_iter().partition(|area| area.high - area.low > 1.0);
    let ([upright], [one, other]) = (&upright[..], &hooks[..]) else { panic!("three strokes") };
    assert!(one.right > upright.right && other.right > upright.right);
    assert!((one.left - upright.left).abs() < 0.01);
    let ends = [one.low.min(other.low) - upright.low, one.high.max(other.high) - upright.high];
    assert!(ends.iter().all(|end| end.abs() < 0.01), "{ends:?}");
}

#[test]
fn one_arrow_serves_two_voices_and_struck_notes_alone() {
    let drawing = drawn(&["C4+E4:h↑ r:h", "C3:h↑ r:h"]);
    let heads = areas(&drawing.stains, Kind::Head).into_iter().fold(Rect::EMPTY, Rect::join);
    let (tip, _) = tip_and_back(&drawing);
    assert!(whole(&drawing).low <= heads.low + 0.05 && tip > heads.high);
}

/// The tablature has the signs of the notation close to the left of the same chords.
#[test]
fn tablature_has_the_signs_too() {
    for width in [60.0, 97.2] {
        let score = gallery::strums();
        let frettings = fretted::all(&score);
        let style = Style {
            line_width: StaffSpaces(width),
            tablature: Tablature::Under,
            ..Style::default()
        };
        let sheet = Sheet { frettings: &frettings, ..Sheet::bare(&score) };
        for system in engrave(&sheet, &style).systems {
            let drawing = system.drawing;
            let top = areas(&drawing.stains, Kind::TabLine)[0].high;
            let all = areas(&drawing.stains, Kind::Arpeggio);
            let (under, over): (Vec<Rect>, Vec<Rect>) =
                all.into_iter().partition(|area| area.high < top + 1.5);
            assert!(!under.is_empty() && under.len() == over.len(), "{under:?} {over:?}");
            let figures = areas(&drawing.stains, Kind::TabFigure);
            for area in &under {
                let next = figures.iter().filter(|figure| figure.left > area.right);
                let next = next.map(|figure| figure.left).fold(f64::MAX, f64::min);
                // The shaft of an arrow stands in the middle of its head.
                assert!((0.25..0.9).contains(&(next - area.right)), "{area:?} {next}");
            }
            assert_eq!(collisions(&drawing), [], "{width}");
        }
    }
}

#[test]
fn an_arrow_that_is_moved_onto_notes_is_found() {
    let mut drawing = drawn(&["E3+G3+C4:h↑ r:h"]);
    let head = areas(&drawing.stains, Kind::Head)[0];
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == Kind::Arpeggio).unwrap();
    *stain = stain
        .clone()
        .moved(head.right - 0.5 - apoyando_engrave::geometry::bounds(&stain.ink).left, 0.0);
    assert!(!collisions(&drawing).is_empty());
}
