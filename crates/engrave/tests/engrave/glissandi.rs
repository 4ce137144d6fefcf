//! Glissandi: from where to where, and what they keep clear of.

use apoyando_engrave::geometry::{bounds, strips};
use apoyando_engrave::meter::struck_digits;
use apoyando_engrave::{Drawing, Ink, Kind, Sheet, StaffSpaces, Stain, Style, engrave};
use apoyando_music::Metre;

use crate::gallery;
use crate::graces::{drawings, fingered};
use crate::ink::of;
use crate::scores::Sketch;

/// The least white at both ends (common practice, no source).
const CLEAR: f64 = 0.3;

/// Both ends and the thickness of a glissando.
type Line = ((f64, f64), (f64, f64), f64);

/// Every glissando, in painting order.
fn lines(drawing: &Drawing) -> Vec<Line> {
    of(&drawing.stains, Kind::Glissando)
        .into_iter()
        .map(|stain| match stain.ink {
            Ink::Line { from, to, thickness, dash: None } => {
                ((from.x.0, from.y.0), (to.x.0, to.y.0), thickness.0)
            }
            _ => panic!("a glissando is a line"),
        })
        .collect()
}

fn one(voices: &[&str]) -> Vec<Line> {
    let score = Sketch::new(0, Metre::new(2, 4), voices).score();
    lines(&drawings(&score, &[], 97.2)[0])
}

/// Least distance of a glissando from heads, accidentals and dots.
fn nearest(drawing: &Drawing) -> f64 {
    let others = [Kind::Head, Kind::Accidental, Kind::Dot, Kind::GraceHead, Kind::GraceAccidental];
    let strips_of = |pick: &dyn Fn(Kind) -> bool| -> Vec<_> {
        let stains = drawing.stains.iter().filter(|stain: &&Stain| pick(stain.kind));
        stains.flat_map(|stain| strips(&stain.ink)).collect()
    };
    let heads = strips_of(&|kind| others.contains(&kind));
    let mut least = f64::MAX;
    for line in strips_of(&|kind| kind == Kind::Glissando) {
        least = heads.iter().map(|head| line.distance(*head)).fold(least, f64::min);
    }
    least
}

#[test]
fn ends_clear_heads_signs_and_dots() {
    let score = gallery::glissandi();
    for marks in [Vec::new(), fingered(&score)] {
        for width in [50.0, 58.0, 97.2, 140.0] {
            for drawing in drawings(&score, &marks, width) {
                let least = nearest(&drawing);
                assert!(least >= CLEAR, "width {width}: {least}");
                assert_eq!(struck_digits(&drawing), [], "width {width}");
            }
        }
    }
}

#[test]
fn a_planted_touch_is_seen() {
    let score = Sketch::new(0, Metre::new(2, 4), &["C4:q/ G4:q\\"]).score();
    let mut drawing = drawings(&score, &[], 97.2).remove(0);
    assert!(nearest(&drawing) >= CLEAR);
    let line = drawing.stains.iter_mut().find(|s| s.kind == Kind::Glissando).unwrap();
    *line = line.clone().moved(0.2, 0.0);
    assert!(nearest(&drawing) < CLEAR);
}

#[test]
fn lines_follow_the_pitch() {
    for (voice, direction) in [("C4:q/ G4:q\\", 1), ("G4:q/ C4:q\\", -1), ("C4:q/ C4:q\\", 0)] {
        let [(from, to, thickness)] = one(&[voice])[..] else { panic!("{voice}") };
        assert!((thickness - 0.16).abs() < 1e-9);
        assert!(to.0 - from.0 > 1.0, "{voice}: {from:?} {to:?}");
        let rise = if direction == 0 { 0.0 } else { 2.0 * f64::from(direction) };
        assert!((to.1 - from.1 - rise).abs() < 1e-9, "{voice}: {from:?} {to:?}");
    }
}

/// Chords from the top as far as both have notes; a chain from each to the next.
#[test]
fn every_pair_of_notes_has_its_line() {
    let count = |voice: &str| one(&[voice]).len();
    assert_eq!(count("E3+G3+C4:q/ G3+B3+E4:q\\"), 3);
    assert_eq!(count("E3+G3+C4:q/ E4:q\\"), 1);
    assert_eq!(count("E3:8/ F3:8 G3:8 A3:8\\"), 3);
    assert_eq!(count("E3:8/ F3:8\\ G3:8 A3:8"), 1);
    assert_eq!(count("E3:8/ F3:8\\/ G3:8\\ A3:8"), 2);
    assert_eq!(count("E3:q/ F3:q"), 1, "one that never ends leads to the next note");
    assert_eq!(count("E3:8/ r:8 F3:q\\"), 0, "a rest parts the notes");
    let [(top, ..)] = one(&["E3+G3+C4:q/ E4:q\\"])[..] else { panic!() };
    assert!((top.1 - 0.5).abs() < 1e-9, "C4 stands half a space above the middle line");
}

/// At the end of a line of music half of the way is gone.
#[test]
fn a_line_break_parts_it_in_two() {
    let bar = "C3:8 D3:8 E3:8 F3:8 G3:8 A3:8 B3:8 C4:8";
    let text = format!("{bar} | {bar} | G3:h C4:h/ | G4:w\\ | {bar}");
    let score = Sketch::new(0, Metre::COMMON, &[&text]).score();
    let mut parted = 0;
    for width in 40..90 {
        let style = Style { line_width: StaffSpaces(f64::from(width)), ..Style::default() };
        let systems = engrave(&Sheet::bare(&score), &style).systems;
        let all: Vec<_> = systems.iter().map(|system| lines(&system.drawing)).collect();
        if !systems.iter().any(|system| system.bars.start == 3) {
            assert_eq!(all.iter().flatten().count(), 1, "width {width}");
            continue;
        }
        parted += 1;
        let [(from, end, _), (start, to, _)] = all.concat()[..] else { panic!("width {width}") };
        assert!((end.1 - start.1).abs() < 1e-9 && (end.1 - 1.5).abs() < 1e-9);
        assert!((from.1 - 0.5).abs() < 1e-9 && (to.1 - 2.5).abs() < 1e-9);
        assert!(end.0 - from.0 > 0.8 && to.0 - start.0 > 0.8, "width {width}: {all:?}");
        let first = systems.iter().find(|system| system.bars.contains(&2)).unwrap();
        let barlines = first.drawing.stains.iter().filter(|s| s.kind == Kind::BarLine);
        let last = barlines.map(|s| bounds(&s.ink).left).fold(0.0, f64::max);
        assert!(last - end.0 > 0.0 && last - end.0 < 0.6, "width {width}");
    }
    assert!(parted > 5, "{parted}");
}
