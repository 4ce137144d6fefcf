//! The ink of a group of grace notes. Its origin is the left edge of the first
//! normally placed head of its onset.
//!
//! Common practice, no source: black heads, stems up, down for the lower of two
//! voices; one note has the flag of an eighth, two or more have two beams; a
//! slashed group is crossed through at its first stem.

use crate::drawing::{Kind, Owner, Stain};
use crate::font::{Glyph, table};
use crate::notate::{height, ledgers};
use crate::place::ink;

/// Size of grace notes [engraving handbooks: 60 to 65 %].
pub const SCALE: f64 = 0.62;
/// Length of their stems from the middle of the head, and what they are
/// shortened to where other ink is in the way (common practice, no source).
pub const STEM: f64 = 2.3;
pub const SHORT_STEM: f64 = 1.9;
/// Greatest rise of their beams, and the share of the interval it takes.
const RISE: f64 = 0.5;
const RISE_SHARE: f64 = 0.4;
/// From the middle of one beam to the middle of the next.
const PITCH: f64 = SCALE * (table::BEAM_THICKNESS + table::BEAM_SPACING);
/// The slash about the tip of an upward stem and of a downward one: the anchors
/// `graceNoteSlashSW` and `NE`, and `NW` and `SE`, that the font's metadata
/// gives for `flag8thUp` and `flag8thDown`. Across beams, and on a shorter stem,
/// it lies farther out.
const SLASH_UP: [(f64, f64); 2] = [(-0.644, -2.456), (1.284, -0.796)];
const SLASH_DOWN: [(f64, f64); 2] = [(-0.596, 2.168), (1.328, 0.628)];
const SLASH_BEAMED: f64 = 0.55;

/// A grace note.
#[derive(Clone, Copy, Debug)]
pub struct GraceNote {
    /// Steps above the middle line.
    pub step: i32,
    /// Left edge of its head.
    pub x: f64,
    /// Its accidental with its origin.
    pub accidental: Option<(&'static Glyph, f64)>,
}

/// The grace notes before a chord.
#[derive(Clone, Debug)]
pub struct GraceGroup {
    /// The chord they lead to.
    pub chord: usize,
    /// Whether their stems point up where nothing is in the way.
    pub up: bool,
    /// Whether the group is crossed through.
    pub slashed: bool,
    /// From the first to the last.
    pub notes: Vec<GraceNote>,
}

/// Width of a grace note's head.
pub const HEAD_WIDTH: f64 = SCALE * (table::NOTEHEAD_BLACK.right - table::NOTEHEAD_BLACK.left);

/// Middle of the stem of a note, and where it leaves the head.
fn stem_of(note: &GraceNote, up: bool) -> (f64, f64) {
    let head = &table::NOTEHEAD_BLACK;
    let (anchor, inward) = if up { (head.stem_up, -1.0) } else { (head.stem_down, 1.0) };
    let (x, y) = anchor.unwrap_or((if up { head.right } else { 0.0 }, 0.0));
    let x = note.x + SCALE * (x + inward * table::STEM_THICKNESS / 2.0);
    (x, height(note.step) + SCALE * y)
}

impl GraceGroup {
    /// Heads, accidentals and ledger lines.
    pub fn heads(&self, owner: Owner) -> Vec<Stain> {
        let mut stains = Vec::new();
        for note in &self.notes {
            let y = height(note.step);
            let reach = SCALE * table::LEGER_LINE_EXTENSION;
            for line in ledgers(note.step) {
                let (from, to) = ((note.x - reach, line), (note.x + HEAD_WIDTH + reach, line));
                let thickness = SCALE * table::LEGER_LINE_THICKNESS;
                stains.push(ink::line(from, to, thickness, Kind::GraceLedgerLine, owner));
            }
            if let Some((glyph, x)) = note.accidental {
                stains.push(ink::glyph(glyph, SCALE, x, y, Kind::GraceAccidental, owner));
            }
            let head = &table::NOTEHEAD_BLACK;
            stains.push(ink::glyph(head, SCALE, note.x, y, Kind::GraceHead, owner));
        }
        stains
    }

    /// Stems of at least a length with flag or beams and the slash.
    pub fn stems(&self, up: bool, length: f64, owner: Owner) -> Vec<Stain> {
        let (Some(first), Some(last)) = (self.notes.first(), self.notes.last()) else {
            return Vec::new();
        };
        let side = if up { 1.0 } else { -1.0 };
        let thickness = SCALE * table::STEM_THICKNESS;
        let mut stains = Vec::new();
        let start = stem_of(first, up);
        let run = stem_of(last, up).0 - start.0;
        let interval = height(last.step) - height(first.step);
        let rise = (RISE_SHARE * interval).clamp(-RISE, RISE);
        let slope = if run > 0.0 { rise / run } else { 0.0 };
        // The outermost beam's middle, at least a stem's length from each head.
        let far = self
            .notes
            .iter()
            .map(|note| {
                side * (height(note.step) - slope * (stem_of(note, up).0 - start.0)) + length
            })
            .fold(f64::MIN, f64::max);
        let tip = |x: f64| side * far + slope * (x - start.0);
        for note in &self.notes {
            let (x, y) = stem_of(note, up);
            stains.push(ink::line((x, y), (x, tip(x)), thickness, Kind::GraceStem, owner));
        }
        let left = start.0 - thickness / 2.0;
        if self.notes.len() == 1 {
            let flag = if up { &table::FLAG_8TH_UP } else { &table::FLAG_8TH_DOWN };
            stains.push(ink::glyph(flag, SCALE, left, tip(start.0), Kind::GraceStem, owner));
        } else {
            let right = start.0 + run + thickness / 2.0;
            let half = SCALE * table::BEAM_THICKNESS / 2.0;
            for level in [0.0, 1.0] {
                let y = |x: f64| tip(x) - side * level * PITCH;
                let corners = [
                    (left, y(left) - half),
                    (right, y(right) - half),
                    (right, y(right) + half),
                    (left, y(left) + half),
                ];
                stains.push(ink::polygon(&corners, Kind::GraceStem, owner));
            }
        }
        if self.slashed {
            let beamed = if self.notes.len() == 1 { 0.0 } else { SLASH_BEAMED };
            let outward = side * (beamed + STEM - length);
            let slash = if up { SLASH_UP } else { SLASH_DOWN };
            let [from, to] =
                slash.map(|(x, y)| (start.0 + SCALE * x, tip(start.0) + SCALE * y + outward));
            stains.push(ink::line(from, to, thickness, Kind::GraceStem, owner));
        }
        stains
    }

    /// Left side of its first head, of its ledger lines or its accidental.
    pub fn left(&self) -> f64 {
        let Some(first) = self.notes.first() else { return 0.0 };
        let ledger = SCALE * table::LEGER_LINE_EXTENSION;
        let sign = first.accidental.map_or(f64::MAX, |(glyph, x)| x + SCALE * glyph.left);
        sign.min(first.x - ledger)
    }

    /// The group with every note moved to the right.
    #[must_use]
    pub fn moved(&self, by: f64) -> Self {
        let mut group = self.clone();
        for note in &mut group.notes {
            note.x += by;
            note.accidental = note.accidental.map(|(glyph, x)| (glyph, x + by));
        }
        group
    }
}
