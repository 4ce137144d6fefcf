//! Faults of an engraved system that a machine can see, and the proof that it
//! sees them: every check is itself tried on a planted fault.

use std::collections::HashMap;

use apoyando_engrave::font::{self, Glyph};
use apoyando_engrave::geometry::{Rect, bounds, strips};
use apoyando_engrave::{
    Drawing, Ink, Kind, Owner, Point, Sheet, StaffSpaces, Stain, Style, engrave,
};
use apoyando_music::NoteId;

use crate::gallery;

fn glyph_at(stain: &Stain) -> Option<(&'static Glyph, Point)> {
    match stain.ink {
        Ink::Glyph { glyph, at, .. } => Some((font::glyph(glyph)?, at)),
        _ => None,
    }
}

/// Ink outside the drawing's box, or outside the line.
pub fn outside(drawing: &Drawing, line_width: f64) -> Vec<String> {
    let mut found = Vec::new();
    for stain in &drawing.stains {
        let area = bounds(&stain.ink);
        let inside = area.left >= -0.01
            && area.right <= drawing.width.0 + 0.01
            && area.high <= drawing.above.0 + 0.01
            && area.low >= -drawing.below.0 - 0.01;
        if !inside {
            found.push(format!("{:?} at {area:?} leaves the box", stain.kind));
        }
        let staff = matches!(stain.kind, Kind::StaffLine | Kind::BarLine | Kind::Head);
        if staff && area.right > line_width + 0.01 {
            found.push(format!("{:?} at {area:?} leaves the line", stain.kind));
        }
    }
    found
}

/// Stems that miss the anchor of every head of their note by more than .03, or
/// whose other end meets neither beam nor flag nor anything free.
pub fn stems(drawing: &Drawing) -> Vec<String> {
    let mut heads: HashMap<NoteId, (&Glyph, Point)> = HashMap::new();
    for stain in drawing.stains.iter().filter(|stain| stain.kind == Kind::Head) {
        if let (Owner::Note(note), Some(head)) = (stain.owner, glyph_at(stain)) {
            heads.insert(note, head);
        }
    }
    let all: Vec<(&Glyph, Point)> = heads.values().copied().collect();
    let mut found = Vec::new();
    for stain in drawing.stains.iter().filter(|stain| stain.kind == Kind::Stem) {
        let Ink::Line { from, to, thickness, .. } = stain.ink else { continue };
        let up = to.y.0 > from.y.0;
        let edge = from.x.0 + if up { thickness.0 / 2.0 } else { -thickness.0 / 2.0 };
        let meets = |(glyph, at): &(&Glyph, Point)| {
            let anchor = if up { glyph.stem_up } else { glyph.stem_down };
            anchor.is_some_and(|anchor| {
                (at.x.0 + anchor.0 - edge).abs() < 0.03
                    && (at.y.0 + anchor.1 - from.y.0).abs() < 0.03
            })
        };
        if !all.iter().any(meets) {
            found.push(format!("a stem at {edge} meets no head"));
        }
    }
    found
}

/// Beams that end more than .03 from a stem.
pub fn beams(drawing: &Drawing) -> Vec<String> {
    let stems: Vec<(f64, f64, f64)> = drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::Stem)
        .filter_map(|stain| match stain.ink {
            Ink::Line { from, to, .. } => Some((from.x.0, from.y.0, to.y.0)),
            _ => None,
        })
        .collect();
    let mut found = Vec::new();
    for stain in drawing.stains.iter().filter(|stain| stain.kind == Kind::Beam) {
        let area = bounds(&stain.ink);
        let half = 0.06;
        let meets = |edge: f64, inward: f64| {
            stems.iter().any(|(x, from, to)| {
                let (low, high) = (from.min(*to), from.max(*to));
                (x + inward - edge).abs() < 0.03 && low < area.high && high > area.low
            })
        };
        // A stub holds on at one end only.
        let ends = [meets(area.left, -half), meets(area.right, half)];
        let wanted = if area.width() > 1.3 { 2 } else { 1 };
        if ends.iter().filter(|end| **end).count() < wanted {
            found.push(format!("a beam at {area:?} meets no stem"));
        }
    }
    found
}

/// Dots on lines.
pub fn dots(drawing: &Drawing, middles: &[f64]) -> Vec<String> {
    drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::Dot)
        .filter_map(|stain| {
            let (_, at) = glyph_at(stain)?;
            let in_space = middles.iter().any(|middle| {
                let step = (at.y.0 - middle) * 2.0;
                (step - step.round()).abs() < 0.01 && (step.round() as i64).rem_euclid(2) == 1
            });
            (!in_space).then(|| format!("a dot at {at:?} stands on a line"))
        })
        .collect()
}

/// Middle lines of the staves, from the top.
pub fn middles(drawing: &Drawing) -> Vec<f64> {
    let lines: Vec<f64> = drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::StaffLine)
        .filter_map(|stain| match stain.ink {
            Ink::Line { from, .. } => Some(from.y.0),
            _ => None,
        })
        .collect();
    lines.chunks(5).map(|staff| staff[2]).collect()
}

/// Pairs of kinds that must not touch, and how far each may reach into the
/// other: heads of two voices share the thickness of a stem.
const APART: &[(Kind, Kind, f64)] = &[
    (Kind::Accidental, Kind::Accidental, 0.02),
    (Kind::Accidental, Kind::Head, 0.02),
    (Kind::Accidental, Kind::Stem, 0.02),
    (Kind::Accidental, Kind::Dot, 0.02),
    (Kind::Accidental, Kind::BarLine, 0.0),
    (Kind::Accidental, Kind::Rest, 0.02),
    (Kind::Head, Kind::Head, 0.16),
    (Kind::Head, Kind::Dot, 0.02),
    (Kind::Head, Kind::BarLine, 0.0),
    (Kind::Head, Kind::Flag, 0.02),
    (Kind::Dot, Kind::Flag, 0.0),
    (Kind::Dot, Kind::Stem, 0.0),
    (Kind::Rest, Kind::Head, 0.0),
    (Kind::Rest, Kind::Rest, 0.0),
    (Kind::Rest, Kind::Dot, 0.0),
    (Kind::Rest, Kind::BarLine, 0.0),
    (Kind::Tie, Kind::Head, 0.0),
    (Kind::Slur, Kind::Head, 0.0),
    (Kind::Tuplet, Kind::Head, 0.0),
    (Kind::Tuplet, Kind::Beam, 0.0),
    (Kind::Tuplet, Kind::Stem, 0.0),
    (Kind::Fermata, Kind::Slur, 0.0),
    (Kind::Fermata, Kind::Stem, 0.0),
    (Kind::Fermata, Kind::Head, 0.0),
    (Kind::Ornament, Kind::Head, 0.0),
    (Kind::Ornament, Kind::Stem, 0.0),
    (Kind::Ornament, Kind::Flag, 0.0),
    (Kind::Ornament, Kind::Beam, 0.0),
    (Kind::Ornament, Kind::Accidental, 0.0),
    (Kind::Ornament, Kind::Rest, 0.0),
    (Kind::Ornament, Kind::Articulation, 0.0),
    (Kind::Ornament, Kind::Tie, 0.0),
    (Kind::Ornament, Kind::Slur, 0.0),
    (Kind::Ornament, Kind::Tuplet, 0.0),
    (Kind::Ornament, Kind::Fermata, 0.0),
    (Kind::Ornament, Kind::Arpeggio, 0.0),
    (Kind::Harmonic, Kind::Head, 0.0),
    (Kind::Harmonic, Kind::Stem, 0.0),
    (Kind::Harmonic, Kind::Flag, 0.0),
    (Kind::Harmonic, Kind::Beam, 0.0),
    (Kind::Harmonic, Kind::Accidental, 0.0),
    (Kind::Harmonic, Kind::Rest, 0.0),
    (Kind::Harmonic, Kind::Articulation, 0.0),
    (Kind::Harmonic, Kind::Tie, 0.0),
    (Kind::Harmonic, Kind::Slur, 0.0),
    (Kind::Harmonic, Kind::Tuplet, 0.0),
    (Kind::Harmonic, Kind::Fermata, 0.0),
    (Kind::Harmonic, Kind::Arpeggio, 0.0),
    (Kind::Ornament, Kind::Ornament, 0.0),
    (Kind::Ornament, Kind::Harmonic, 0.0),
    (Kind::Harmonic, Kind::Harmonic, 0.0),
    (Kind::Arpeggio, Kind::Head, 0.0),
    (Kind::Arpeggio, Kind::Accidental, 0.0),
    (Kind::Arpeggio, Kind::Dot, 0.0),
    (Kind::Arpeggio, Kind::Stem, 0.0),
    (Kind::Arpeggio, Kind::Flag, 0.0),
    (Kind::Arpeggio, Kind::Rest, 0.0),
    (Kind::Arpeggio, Kind::LedgerLine, 0.0),
    (Kind::Arpeggio, Kind::BarLine, 0.0),
    (Kind::Arpeggio, Kind::Arpeggio, 0.0),
    (Kind::BarNumber, Kind::Clef, 0.0),
    (Kind::Ending, Kind::Slur, 0.0),
    (Kind::Ending, Kind::Head, 0.0),
    (Kind::Ending, Kind::Stem, 0.0),
    (Kind::Tempo, Kind::Ending, 0.0),
    (Kind::Tempo, Kind::Stem, 0.0),
    (Kind::Glissando, Kind::Head, 0.0),
    (Kind::Glissando, Kind::GraceHead, 0.0),
    (Kind::Glissando, Kind::Dot, 0.0),
    (Kind::GraceHead, Kind::Head, 0.0),
    (Kind::GraceHead, Kind::Accidental, 0.0),
    (Kind::GraceHead, Kind::Dot, 0.0),
    (Kind::GraceHead, Kind::Stem, 0.0),
    (Kind::GraceHead, Kind::Flag, 0.0),
    (Kind::GraceHead, Kind::Rest, 0.0),
    (Kind::GraceHead, Kind::BarLine, 0.0),
    (Kind::GraceHead, Kind::GraceAccidental, 0.0),
    (Kind::GraceHead, Kind::GraceHead, 0.0),
    (Kind::GraceAccidental, Kind::Head, 0.0),
    (Kind::GraceAccidental, Kind::Accidental, 0.0),
    (Kind::GraceAccidental, Kind::Dot, 0.0),
    (Kind::GraceAccidental, Kind::Stem, 0.0),
    (Kind::GraceAccidental, Kind::BarLine, 0.0),
    (Kind::GraceAccidental, Kind::GraceStem, 0.0),
    (Kind::GraceStem, Kind::Head, 0.0),
    (Kind::GraceStem, Kind::Accidental, 0.0),
    (Kind::GraceStem, Kind::Dot, 0.0),
    (Kind::GraceStem, Kind::Stem, 0.0),
    (Kind::GraceStem, Kind::BarLine, 0.0),
    (Kind::TabFigure, Kind::TabFigure, 0.0),
    (Kind::TabFigure, Kind::TabClef, 0.0),
    (Kind::TabFigure, Kind::BarLine, 0.0),
    (Kind::TabFigure, Kind::RepeatDots, 0.0),
    (Kind::TabFigure, Kind::Slur, 0.0),
    (Kind::TabFigure, Kind::Glissando, 0.0),
    (Kind::TabClef, Kind::BarLine, 0.0),
    (Kind::TabClef, Kind::RepeatDots, 0.0),
];

/// Ink that touches what it must not.
pub fn contacts(drawing: &Drawing) -> Vec<String> {
    let listed = |kind: Kind| APART.iter().any(|(a, b, _)| *a == kind || *b == kind);
    let all: Vec<_> = drawing
        .stains
        .iter()
        .filter(|stain| listed(stain.kind))
        .map(|stain| (bounds(&stain.ink), strips(&stain.ink), stain.kind))
        .collect();
    let mut found = Vec::new();
    for (at, (area, mine, kind)) in all.iter().enumerate() {
        for (other_area, theirs, other) in &all[at + 1..] {
            let pair = APART
                .iter()
                .find(|(a, b, _)| (a == kind && b == other) || (a == other && b == kind));
            let Some((_, _, into)) = pair else { continue };
            let meets = |a: &Rect| {
                let inner = Rect::new(a.left + into, a.low + 0.02, a.right - into, a.high - 0.02);
                theirs.iter().any(|b| inner.left < inner.right && inner.meets(*b))
            };
            // Heads are narrower than twice what strips are shrunk by.
            let touches = if *into > 0.1 {
                area.meets(*other_area)
                    && (area.right.min(other_area.right) - area.left.max(other_area.left)) > *into
                    && mine.iter().any(|a| theirs.iter().any(|b| a.grown(-0.02).meets(*b)))
            } else {
                area.meets(*other_area) && mine.iter().any(meets)
            };
            if touches {
                found.push(format!("{kind:?} at {area:?} touches {other:?} at {other_area:?}"));
            }
        }
    }
    found
}

/// All faults of a drawing.
pub fn all(drawing: &Drawing, line_width: f64) -> Vec<String> {
    let mut found = hard(drawing, line_width);
    found.extend(contacts(drawing));
    found
}

/// The faults that no score excuses, however crowded.
pub fn hard(drawing: &Drawing, line_width: f64) -> Vec<String> {
    let mut found = outside(drawing, line_width);
    found.extend(stems(drawing));
    found.extend(beams(drawing));
    found.extend(dots(drawing, &middles(drawing)));
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
                    found.into_iter().map(|f| format!("{name} {width} {:?}: {f}", system.bars)),
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
    assert_eq!(all(&sound, 97.2), Vec::<String>::new());
    assert!(!stems(&planted(Kind::Stem, 0.05, 0.0)).is_empty());
    assert!(!stems(&planted(Kind::Head, 0.0, 0.5)).is_empty());
    assert!(!beams(&planted(Kind::Beam, 0.2, 0.0)).is_empty());
    assert!(!dots(&planted(Kind::Dot, 0.0, 0.5), &middles(&sound)).is_empty());
    assert!(!outside(&planted(Kind::Head, 0.0, 30.0), 97.2).is_empty());
    let score = gallery::accidentals();
    let mut drawing = engrave(&Sheet::bare(&score), &Style::default()).systems.remove(0).drawing;
    assert!(contacts(&drawing).is_empty());
    let stain = drawing.stains.iter_mut().find(|s| s.kind == Kind::Accidental).unwrap();
    if let Ink::Glyph { at, .. } = &mut stain.ink {
        at.x += StaffSpaces(0.6);
    }
    assert!(!contacts(&drawing).is_empty());
}
