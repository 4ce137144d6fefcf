//! Figures and brackets of tuplets.

use apoyando_music::BarIndex;

use super::{BarFrame, PlacedChord, ink};
use crate::drawing::{Kind, Owner};
use crate::font::{Glyph, table};
use crate::geometry::{Side, Stage};
use crate::notate::StaffBar;

const FIGURES: [&Glyph; 10] = [
    &table::TUPLET_0,
    &table::TUPLET_1,
    &table::TUPLET_2,
    &table::TUPLET_3,
    &table::TUPLET_4,
    &table::TUPLET_5,
    &table::TUPLET_6,
    &table::TUPLET_7,
    &table::TUPLET_8,
    &table::TUPLET_9,
];
/// Size of the figures.
const SCALE: f64 = 0.8;
/// Clear space to the ink beneath.
const CLEAR: f64 = 0.35;
const HOOK: f64 = 0.7;

/// Draws the tuplets of a bar, on the side of the stems.
pub fn draw(stage: &mut Stage, bar: &BarFrame, notated: &StaffBar, placed: &[PlacedChord<'_>]) {
    for tuplet in &notated.tuplets {
        let chords: Vec<&PlacedChord<'_>> = tuplet.chords.iter().map(|i| &placed[*i]).collect();
        let ups = chords.iter().filter(|c| c.chord.up).count();
        let up = match notated.sides.of(tuplet.voice) {
            Some(side) => side == Side::Upper,
            None => ups * 2 >= chords.len(),
        };
        let rests: Vec<(f64, f64)> = tuplet
            .rests
            .iter()
            .map(|i| {
                let rest = &notated.rests[*i];
                let x = bar.column(rest.onset);
                (x, x + rest.glyph.width())
            })
            .collect();
        let ends = chords.iter().map(|c| (c.x, c.x + 1.18)).chain(rests);
        let (left, right) =
            ends.fold((f64::MAX, f64::MIN), |all, x| (all.0.min(x.0), all.1.max(x.1)));
        if left > right {
            continue;
        }
        let owner = Owner::Bar(BarIndex(bar.index as u32));
        let side = if up { 1.0 } else { -1.0 };
        let skyline = if up { &stage.above } else { &stage.below };
        let text = tuplet.figure.to_string();
        let digits: Vec<&Glyph> =
            text.bytes().map(|digit| FIGURES[usize::from(digit - b'0') % 10]).collect();
        let width: f64 = digits.iter().map(|glyph| glyph.advance * SCALE).sum();
        let tall = 1.5 * SCALE;
        let middle = match (tuplet.under_one_beam, chords.first(), chords.last()) {
            (true, Some(first), Some(last)) => f64::midpoint(first.stem_x, last.stem_x),
            _ => f64::midpoint(left, right),
        };
        let (from, to) = (middle - width / 2.0, middle + width / 2.0);
        let near = if tuplet.under_one_beam {
            skyline.reach(from, to) + CLEAR
        } else {
            skyline.reach(left, right) + CLEAR + tall / 2.0
        };
        // The figure's box stands on its baseline.
        let base = match (tuplet.under_one_beam, up) {
            (true, true) => near,
            (true, false) => -near - tall,
            (false, true) => near - tall / 2.0,
            (false, false) => -near - tall / 2.0,
        };
        let mut x = from;
        for glyph in digits {
            stage.add(ink::glyph(glyph, SCALE, x, base, Kind::Tuplet, owner));
            x += glyph.advance * SCALE;
        }
        if !tuplet.under_one_beam {
            let y = side * near;
            let hook = y - side * HOOK;
            let thick = table::TUPLET_BRACKET_THICKNESS;
            let pieces = [
                ((left, hook), (left, y)),
                ((left - thick / 2.0, y), (from - 0.25, y)),
                ((to + 0.25, y), (right + thick / 2.0, y)),
                ((right, y), (right, hook)),
            ];
            for (a, b) in pieces {
                stage.add(ink::line(a, b, thick, Kind::Tuplet, owner));
            }
        }
    }
}
