//! Trills, mordents, turns and the rings of harmonics: over the staff, under it
//! for the lower of two voices. They stand outside of dots, accents, ties and
//! slurs, and inside of tuplets, fermatas and the fingering.

use super::{PlacedChord, ink, notes};
use crate::drawing::Owner;
use crate::font;
use crate::geometry::Stage;
use crate::notate::StaffBar;
use crate::notate::ornaments::{self, Sign, WORD_FACE, WORD_SIZE};

/// Clear space to other ink, and from the middle line to the nearest place.
const CLEAR: f64 = 0.25;
const NEAREST: f64 = 2.0 + 0.5;

/// Draws the signs of the chords of a bar.
pub fn draw(stage: &mut Stage, placed: &[PlacedChord<'_>], notated: &StaffBar) {
    for chord in placed {
        let below = notated.goes_below(chord.chord.voice);
        let middle = chord.x + ornaments::middle(chord.chord, below);
        let owner = Owner::Note(notes::speaker(chord.chord));
        for sign in ornaments::signs(chord.chord) {
            put(stage, &sign, middle, below, owner);
        }
    }
}

fn put(stage: &mut Stage, sign: &Sign, middle: f64, below: bool, owner: Owner) {
    let glyph = sign.glyph;
    let left = middle - glyph.width() / 2.0;
    let near = free(stage, left, left + glyph.width(), below);
    let y = if below { -near - glyph.high } else { near - glyph.low };
    stage.add(ink::glyph(glyph, 1.0, left - glyph.left, y, sign.kind, owner));
    if let Some(word) = sign.word {
        let width = font::text_width(WORD_FACE, WORD_SIZE, word);
        let left = middle - width / 2.0;
        let near = free(stage, left, left + width, below);
        let (rise, _) = font::text_ascent(WORD_FACE, WORD_SIZE);
        let y = if below { -near - rise } else { near };
        stage.add(ink::text(word, WORD_FACE, WORD_SIZE, (left, y), sign.kind, owner));
    }
}

/// The nearest free distance from the middle line.
fn free(stage: &Stage, left: f64, right: f64, below: bool) -> f64 {
    let skyline = if below { &stage.below } else { &stage.above };
    (skyline.reach(left - CLEAR, right + CLEAR) + CLEAR).max(NEAREST)
}
