//! Ink that touches what it must not.

use super::Fault;
use super::scan::{Item, items};
use crate::drawing::{Drawing, Kind};
use crate::geometry::Rect;

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
    (Kind::Head, Kind::Beam, 0.0),
    (Kind::Flag, Kind::Beam, 0.0),
    (Kind::Rest, Kind::Beam, 0.0),
    (Kind::Rest, Kind::Stem, 0.0),
    (Kind::Accidental, Kind::Beam, 0.0),
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
    (Kind::Breath, Kind::Head, 0.0),
    (Kind::Breath, Kind::Stem, 0.0),
    (Kind::Breath, Kind::Flag, 0.0),
    (Kind::Breath, Kind::Beam, 0.0),
    (Kind::Breath, Kind::Accidental, 0.0),
    (Kind::Breath, Kind::Dot, 0.0),
    (Kind::Breath, Kind::Rest, 0.0),
    (Kind::Breath, Kind::Articulation, 0.0),
    (Kind::Breath, Kind::Tie, 0.0),
    (Kind::Breath, Kind::Slur, 0.0),
    (Kind::Breath, Kind::Tuplet, 0.0),
    (Kind::Breath, Kind::Fermata, 0.0),
    (Kind::Breath, Kind::Arpeggio, 0.0),
    (Kind::Breath, Kind::GraceHead, 0.0),
    (Kind::Breath, Kind::GraceStem, 0.0),
    (Kind::Breath, Kind::GraceAccidental, 0.0),
    (Kind::Breath, Kind::Glissando, 0.0),
    (Kind::Breath, Kind::BarLine, 0.0),
    (Kind::Breath, Kind::LedgerLine, 0.0),
    (Kind::Breath, Kind::Ornament, 0.0),
    (Kind::Breath, Kind::Harmonic, 0.0),
    (Kind::Breath, Kind::Breath, 0.0),
    (Kind::Breath, Kind::WavyLine, 0.0),
    (Kind::WavyLine, Kind::Head, 0.0),
    (Kind::WavyLine, Kind::Stem, 0.0),
    (Kind::WavyLine, Kind::Flag, 0.0),
    (Kind::WavyLine, Kind::Beam, 0.0),
    (Kind::WavyLine, Kind::Accidental, 0.0),
    (Kind::WavyLine, Kind::Dot, 0.0),
    (Kind::WavyLine, Kind::Rest, 0.0),
    (Kind::WavyLine, Kind::Articulation, 0.0),
    (Kind::WavyLine, Kind::Tie, 0.0),
    (Kind::WavyLine, Kind::Slur, 0.0),
    (Kind::WavyLine, Kind::Tuplet, 0.0),
    (Kind::WavyLine, Kind::Fermata, 0.0),
    (Kind::WavyLine, Kind::Arpeggio, 0.0),
    (Kind::WavyLine, Kind::GraceHead, 0.0),
    (Kind::WavyLine, Kind::GraceStem, 0.0),
    (Kind::WavyLine, Kind::GraceAccidental, 0.0),
    (Kind::WavyLine, Kind::Glissando, 0.0),
    (Kind::WavyLine, Kind::Ornament, 0.0),
    (Kind::WavyLine, Kind::Harmonic, 0.0),
    (Kind::Dynamic, Kind::Head, 0.0),
    (Kind::Dynamic, Kind::Stem, 0.0),
    (Kind::Dynamic, Kind::Flag, 0.0),
    (Kind::Dynamic, Kind::Beam, 0.0),
    (Kind::Dynamic, Kind::Accidental, 0.0),
    (Kind::Dynamic, Kind::Dot, 0.0),
    (Kind::Dynamic, Kind::Rest, 0.0),
    (Kind::Dynamic, Kind::LedgerLine, 0.0),
    (Kind::Dynamic, Kind::Articulation, 0.0),
    (Kind::Dynamic, Kind::Tie, 0.0),
    (Kind::Dynamic, Kind::Slur, 0.0),
    (Kind::Dynamic, Kind::Tuplet, 0.0),
    (Kind::Dynamic, Kind::Fermata, 0.0),
    (Kind::Dynamic, Kind::Ornament, 0.0),
    (Kind::Dynamic, Kind::Harmonic, 0.0),
    (Kind::Dynamic, Kind::Arpeggio, 0.0),
    (Kind::Dynamic, Kind::Clef, 0.0),
    (Kind::Dynamic, Kind::GraceHead, 0.0),
    (Kind::Dynamic, Kind::GraceStem, 0.0),
    (Kind::Dynamic, Kind::GraceAccidental, 0.0),
    (Kind::Dynamic, Kind::Glissando, 0.0),
    (Kind::Hairpin, Kind::Head, 0.0),
    (Kind::Hairpin, Kind::Stem, 0.0),
    (Kind::Hairpin, Kind::Flag, 0.0),
    (Kind::Hairpin, Kind::Beam, 0.0),
    (Kind::Hairpin, Kind::Accidental, 0.0),
    (Kind::Hairpin, Kind::Dot, 0.0),
    (Kind::Hairpin, Kind::Rest, 0.0),
    (Kind::Hairpin, Kind::LedgerLine, 0.0),
    (Kind::Hairpin, Kind::Articulation, 0.0),
    (Kind::Hairpin, Kind::Tie, 0.0),
    (Kind::Hairpin, Kind::Slur, 0.0),
    (Kind::Hairpin, Kind::Tuplet, 0.0),
    (Kind::Hairpin, Kind::Fermata, 0.0),
    (Kind::Hairpin, Kind::Ornament, 0.0),
    (Kind::Hairpin, Kind::Harmonic, 0.0),
    (Kind::Hairpin, Kind::Arpeggio, 0.0),
    (Kind::Hairpin, Kind::Clef, 0.0),
    (Kind::Hairpin, Kind::GraceHead, 0.0),
    (Kind::Hairpin, Kind::GraceStem, 0.0),
    (Kind::Hairpin, Kind::GraceAccidental, 0.0),
    (Kind::Hairpin, Kind::Glissando, 0.0),
    (Kind::Dynamic, Kind::WavyLine, 0.0),
    (Kind::Hairpin, Kind::WavyLine, 0.0),
    (Kind::Dynamic, Kind::Dynamic, 0.0),
    (Kind::Dynamic, Kind::Hairpin, 0.0),
    (Kind::BarNumber, Kind::Clef, 0.0),
    (Kind::Ending, Kind::Slur, 0.0),
    (Kind::Ending, Kind::Head, 0.0),
    (Kind::Ending, Kind::Stem, 0.0),
    (Kind::Landmark, Kind::Ending, 0.0),
    (Kind::Landmark, Kind::Tempo, 0.0),
    (Kind::Landmark, Kind::Head, 0.0),
    (Kind::Landmark, Kind::Stem, 0.0),
    (Kind::Landmark, Kind::Slur, 0.0),
    (Kind::Landmark, Kind::BarNumber, 0.0),
    (Kind::Landmark, Kind::Jump, 0.0),
    (Kind::Landmark, Kind::Landmark, 0.0),
    (Kind::Jump, Kind::Ending, 0.0),
    (Kind::Jump, Kind::Tempo, 0.0),
    (Kind::Jump, Kind::Head, 0.0),
    (Kind::Jump, Kind::Stem, 0.0),
    (Kind::Jump, Kind::Slur, 0.0),
    (Kind::Jump, Kind::BarNumber, 0.0),
    (Kind::Jump, Kind::Jump, 0.0),
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
    // Those of a chord share the thickness of a small stem.
    (Kind::GraceHead, Kind::GraceHead, 0.112),
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
    (Kind::Arpeggio, Kind::TabFigure, 0.0),
    (Kind::Arpeggio, Kind::TabClef, 0.0),
    (Kind::TabFigure, Kind::TabFigure, 0.0),
    (Kind::TabFigure, Kind::TabClef, 0.0),
    (Kind::TabFigure, Kind::BarLine, 0.0),
    (Kind::TabFigure, Kind::RepeatDots, 0.0),
    (Kind::TabFigure, Kind::Slur, 0.0),
    (Kind::TabFigure, Kind::Glissando, 0.0),
    (Kind::TabFigure, Kind::Stem, 0.0),
    (Kind::TabFigure, Kind::Flag, 0.0),
    (Kind::TabFigure, Kind::Beam, 0.0),
    (Kind::TabFigure, Kind::Dot, 0.0),
    (Kind::TabFigure, Kind::Rest, 0.0),
    (Kind::TabFigure, Kind::Articulation, 0.0),
    (Kind::TabFigure, Kind::Tuplet, 0.0),
    (Kind::TabFigure, Kind::Fermata, 0.0),
    (Kind::TabFigure, Kind::Ornament, 0.0),
    (Kind::TabFigure, Kind::Breath, 0.0),
    (Kind::TabFigure, Kind::WavyLine, 0.0),
    (Kind::TabFigure, Kind::Dynamic, 0.0),
    (Kind::TabFigure, Kind::Hairpin, 0.0),
    (Kind::TabFigure, Kind::TimeSignature, 0.0),
    (Kind::TabFigure, Kind::Tie, 0.0),
    (Kind::TabClef, Kind::BarLine, 0.0),
    (Kind::TabClef, Kind::TimeSignature, 0.0),
    (Kind::TabClef, Kind::BarNumber, 0.0),
    (Kind::TabClef, Kind::RepeatDots, 0.0),
];

/// By how much strips reach past the ink they stand for.
const ROUGH: f64 = 0.02;

/// Pairs of stains that touch and must not.
#[must_use]
pub fn collisions(drawing: &Drawing) -> Vec<Fault> {
    let listed = |kind: Kind| APART.iter().any(|(a, b, _)| *a == kind || *b == kind);
    let all: Vec<Item> = items(drawing).into_iter().filter(|item| listed(item.kind)).collect();
    let mut faults = Vec::new();
    for (at, one) in all.iter().enumerate() {
        for other in all[at + 1..].iter().filter(|other| one.area.meets(other.area)) {
            // The head and the shaft of an arrow are one sign.
            let [a, b] = [one, other].map(|item| (item.kind, item.owner));
            if a == b && one.kind == Kind::Arpeggio {
                continue;
            }
            let pair = APART.iter().find(|(a, b, _)| {
                (*a, *b) == (one.kind, other.kind) || (*b, *a) == (one.kind, other.kind)
            });
            if pair.is_some_and(|(_, _, into)| touch(one, other, *into)) {
                faults.push(Fault {
                    rule: "ink-collides",
                    place: one.area,
                    message: format!(
                        "ink of kind {:?} touches {:?} at {:?}",
                        one.kind, other.kind, other.area
                    ),
                });
            }
        }
    }
    faults
}

/// Whether two stains touch that may reach so far into one another.
fn touch(one: &Item, other: &Item, into: f64) -> bool {
    // Heads are narrower than twice what strips are shrunk by.
    if into > 0.1 {
        let shared = one.area.right.min(other.area.right) - one.area.left.max(other.area.left);
        let meets = |a: &Rect| other.strips.iter().any(|b| a.grown(-ROUGH).meets(*b));
        return shared > into && one.strips.iter().any(meets);
    }
    one.strips.iter().any(|a| {
        let inner = Rect::new(a.left + into, a.low + ROUGH, a.right - into, a.high - ROUGH);
        inner.left < inner.right && other.strips.iter().any(|b| inner.meets(*b))
    })
}
