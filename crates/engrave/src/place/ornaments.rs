//! Trills, mordents, turns, the rings of harmonics and wavy lines: over the staff, under it
//! for the lower of two voices. They stand outside of dots, accents, ties and
//! slurs, and inside of tuplets, fermatas and the fingering.

use super::wavy::{self, Wavy};
use super::{PlacedChord, ink, notes};
use crate::drawing::Owner;
use crate::font::{self, table};
use crate::geometry::Stage;
use crate::notate::StaffBar;
use crate::notate::ornaments::{self, Sign, WORD_FACE, WORD_SIZE};

/// Clear space to other ink, and from the middle line to the nearest place.
const CLEAR: f64 = 0.25;
const NEAREST: f64 = 2.0 + 0.5;

/// Draws the signs of the chords of a bar, and the wavy lines that begin in it.
pub fn draw(
    stage: &mut Stage,
    placed: &[PlacedChord<'_>],
    (index, notated): (usize, &StaffBar),
    lines: &[Wavy],
) {
    let here = || lines.iter().filter(|line| line.bar == index);
    for line in here().filter(|line| line.begins.is_none()) {
        alone(stage, line, notated.goes_below(line.voice));
    }
    for chord in placed {
        let below = notated.goes_below(chord.chord.voice);
        let middle = chord.x + ornaments::middle(chord.chord, below);
        let owner = Owner::Note(notes::speaker(chord.chord));
        let own = here()
            .find(|line| line.voice == chord.chord.voice && line.begins == Some(chord.chord.onset));
        let mut told = false;
        for sign in ornaments::signs(chord.chord) {
            // The line of a trill goes on from its sign.
            let trilled = own.filter(|_| sign.glyph.code == table::ORNAMENT_TRILL.code);
            told |= trilled.is_some();
            put(stage, &sign, middle, below, owner, trilled);
        }
        if let Some(line) = own.filter(|_| !told) {
            alone(stage, line, below);
        }
    }
}

fn put(
    stage: &mut Stage,
    sign: &Sign,
    middle: f64,
    below: bool,
    owner: Owner,
    trilled: Option<&Wavy>,
) {
    let glyph = sign.glyph;
    let left = middle - glyph.width() / 2.0;
    let after = left + glyph.width() + wavy::AFTER_TRILL;
    let right = trilled.map_or(left + glyph.width(), |line| line.right(after));
    let near = free(stage, left, right, below);
    let y = if below { -near - glyph.high } else { near - glyph.low };
    stage.add(ink::glyph(glyph, 1.0, left - glyph.left, y, sign.kind, owner));
    if let Some(line) = trilled {
        line.put(stage, after, y);
    }
    if let Some(word) = sign.word {
        let width = font::text_width(WORD_FACE, WORD_SIZE, word);
        let left = middle - width / 2.0;
        let near = free(stage, left, left + width, below);
        let (rise, _) = font::text_ascent(WORD_FACE, WORD_SIZE);
        let y = if below { -near - rise } else { near };
        stage.add(ink::text(word, WORD_FACE, WORD_SIZE, (left, y), sign.kind, owner));
    }
}

/// Draws a wavy line without a sign.
fn alone(stage: &mut Stage, line: &Wavy, below: bool) {
    let left = line.left();
    let near = free(stage, left, line.right(left), below);
    let y = if below { -near - line.rise() } else { near - line.fall() };
    line.put(stage, left, y);
}

/// The nearest free distance from the middle line.
fn free(stage: &Stage, left: f64, right: f64, below: bool) -> f64 {
    let skyline = if below { &stage.below } else { &stage.above };
    (skyline.reach(left - CLEAR, right + CLEAR) + CLEAR).max(NEAREST)
}
