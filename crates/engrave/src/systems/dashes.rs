//! Dashes after words to where these are over: behind the words, at the middle of their
//! letters, to the end of the line where they go on, and on the next line behind the words
//! in parentheses.

use apoyando_music::{Expression, Moment};

use super::letters::{Letters, Script};
use super::line::Line;
use crate::drawing::{Ink, Kind, Owner, Point, StaffSpaces, Stain};
use crate::geometry::Stage;
use crate::notate::loudness::{APART, DASH, LEAD};

/// Usual white between two dashes, and the least. House.
const GAP: f64 = 1.4;
const LEAST_GAP: f64 = 0.6;
/// Thickness of a dash. House.
const THICKNESS: f64 = 0.16;

/// A row of dashes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Dashes {
    pub from: f64,
    pub to: f64,
    owner: Owner,
}

impl Dashes {
    /// Half the height of its ink.
    pub(super) const HALF: f64 = THICKNESS / 2.0;

    /// Those of words on a line that begins or goes on with them; `None` where they would be
    /// shorter than a dash. The words stand in `letters`, if they stand on this line.
    pub(super) fn of(
        words: &Expression,
        letters: Option<&Letters>,
        line: &Line<'_>,
    ) -> Option<Self> {
        let until = words.until.filter(|until| *until > line.from && words.at < line.until)?;
        let from = letters.map_or(line.frame.music - APART, |letters| letters.right() + LEAD);
        let owner = line.owner(words.at.max(line.from));
        let dashes = Self { from, to: end(until, line), owner };
        dashes.is_seen().then_some(dashes)
    }

    /// It, ending no later than at a place; `None` where nothing is seen of it.
    pub(super) fn until(self, right: f64) -> Option<Self> {
        let cut = Self { to: self.to.min(right), ..self };
        cut.is_seen().then_some(cut)
    }

    const fn is_seen(&self) -> bool {
        self.to - self.from >= DASH - 1e-9
    }

    /// What remains of it beside what stands in its way, from left to right.
    pub(super) fn beside(&self, others: &[(f64, f64)]) -> Vec<Self> {
        let mut pieces = Vec::new();
        let mut left = self.from;
        let mut inside: Vec<(f64, f64)> = others.to_vec();
        inside.retain(|other| other.1 > self.from - APART && other.0 < self.to + APART);
        inside.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (start, end) in inside {
            pieces.push(Self { from: left, to: start - APART, ..*self });
            left = left.max(end + APART);
        }
        pieces.push(Self { from: left, ..*self });
        pieces.retain(Self::is_seen);
        pieces
    }

    /// Draws it at a height: whole dashes, the last of which ends with it.
    pub(super) fn put(&self, stage: &mut Stage, y: f64) {
        let length = self.to - self.from;
        let mut count = ((length + GAP) / (DASH + GAP)).round().max(1.0);
        if count > 1.0 && (length - count * DASH) / (count - 1.0) < LEAST_GAP {
            count -= 1.0;
        }
        // A dash alone stands at the beginning.
        let (end, dash) = if count > 1.0 {
            let gap = (length - count * DASH) / (count - 1.0);
            (self.to, Some((StaffSpaces(DASH), StaffSpaces(gap))))
        } else {
            (self.from + DASH, None)
        };
        let ink = Ink::Line {
            from: Point::new(self.from, y),
            to: Point::new(end, y),
            thickness: StaffSpaces(THICKNESS),
            dash,
        };
        stage.add(Stain { ink, kind: Kind::Dashes, owner: self.owner });
    }
}

/// Where dashes end: with their bar, or before the onset at which they are over.
fn end(until: Moment, line: &Line<'_>) -> f64 {
    if until > line.until {
        return line.right();
    }
    line.bar_end(until).unwrap_or_else(|| line.x(until)) - APART
}

/// The words in parentheses that go on from the line before, where there is room for them
/// and a dash.
pub(super) fn going_on(words: &Expression, size: f64, line: &Line<'_>) -> Option<Letters> {
    let until = words.until.filter(|until| words.at < line.from && *until > line.from)?;
    let script = Script::Words(format!("({})", words.text), size);
    let (left, owner) = (line.x(line.from), line.owner(line.from));
    let letters = Letters { at: line.from, script, left, owner };
    (letters.right() + LEAD + DASH <= end(until, line)).then_some(letters)
}
