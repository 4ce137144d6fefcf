//! Hairpins on a line: from where to where, how far open, in how many pieces.

use apoyando_music::{Hairpin, HairpinKind};

use super::letters::Letters;
use super::line::Line;
use crate::drawing::{Kind, Owner};
use crate::font::table;
use crate::geometry::Stage;
use crate::notate::loudness::{APART, SHORTEST_HAIRPIN};
use crate::place::ink;

/// How far the strokes stand apart at the open end. House.
const MOUTH: f64 = 1.3;
/// At a line break a hairpin is open by a part of that, between these, so that
/// it is told from one that begins or ends there. House.
const PART_OPEN: (f64, f64) = (0.35, 0.7);
/// A piece between two dynamics that is shorter is left out.
const SHORTEST_PIECE: f64 = 0.8;
/// Width of the strips its room is looked for in.
const STRIP: f64 = 0.5;

/// A piece of a hairpin: its ends with the distance of the strokes there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wedge {
    pub from: (f64, f64),
    pub to: (f64, f64),
    owner: Owner,
}

impl Wedge {
    fn open_at(&self, x: f64) -> f64 {
        let part = (x - self.from.0) / (self.to.0 - self.from.0).max(1e-9);
        self.from.1 + part * (self.to.1 - self.from.1)
    }

    /// The part between two places.
    fn cut(&self, left: f64, right: f64) -> Self {
        Self { from: (left, self.open_at(left)), to: (right, self.open_at(right)), ..*self }
    }

    /// Left and right sides of strips with half the height of its ink there.
    pub(super) fn strips(&self) -> impl Iterator<Item = (f64, f64, f64)> {
        let count = ((self.to.0 - self.from.0) / STRIP).ceil().clamp(1.0, 1e4) as usize;
        let width = (self.to.0 - self.from.0) / count as f64;
        (0..count).map(move |number| {
            let left = self.from.0 + width * number as f64;
            let right = left + width;
            let open = self.open_at(left).max(self.open_at(right));
            (left, right, (open + table::HAIRPIN_THICKNESS) / 2.0)
        })
    }

    /// Draws both strokes about a height.
    pub(super) fn put(&self, stage: &mut Stage, middle: f64) {
        for side in [1.0, -1.0] {
            let end = |(x, open): (f64, f64)| (x, middle + side * open / 2.0);
            let (from, to) = (end(self.from), end(self.to));
            stage.add(ink::line(from, to, table::HAIRPIN_THICKNESS, Kind::Hairpin, self.owner));
        }
    }
}

/// The pieces of the hairpins that touch a line, clear of its dynamics.
pub(super) fn on_line(hairpins: &[Hairpin], letters: &[Letters], line: &Line<'_>) -> Vec<Wedge> {
    let here: Vec<&Hairpin> = hairpins
        .iter()
        .filter(|hairpin| hairpin.from < line.until && line.from < hairpin.until)
        .collect();
    let mut wedges: Vec<Wedge> = Vec::new();
    for (number, hairpin) in here.iter().enumerate() {
        let before = wedges.last().map(|wedge| wedge.to.0);
        let after = here.get(number + 1).map(|next| start(next, letters, line));
        let whole = whole(hairpin, (before, after), letters, line);
        wedges.extend(pieces(&whole, letters));
    }
    wedges
}

/// Where a hairpin would begin.
fn start(hairpin: &Hairpin, letters: &[Letters], line: &Line<'_>) -> f64 {
    if hairpin.from < line.from {
        // It comes from the line before.
        return line.frame.music - APART;
    }
    // After a dynamic and words at its beginning.
    let own = letters.iter().rfind(|letters| letters.at == hairpin.from);
    own.map_or_else(|| line.x(hairpin.from), |own| own.right() + APART)
}

/// Where a hairpin would end.
fn end(hairpin: &Hairpin, letters: &[Letters], line: &Line<'_>) -> f64 {
    if hairpin.until > line.until {
        return line.right();
    }
    match letters.iter().find(|letters| letters.at == hairpin.until) {
        Some(next) => next.left - APART,
        // What ends with a bar does not go over its line.
        None => line.bar_end(hairpin.until).unwrap_or_else(|| line.x(hairpin.until)) - APART,
    }
}

/// A hairpin on a line as if no dynamic stood inside it; `near` is where the one
/// before ends and the next begins.
fn whole(
    hairpin: &Hairpin,
    near: (Option<f64>, Option<f64>),
    letters: &[Letters],
    line: &Line<'_>,
) -> Wedge {
    let (mut left, mut right) = (start(hairpin, letters, line), end(hairpin, letters, line));
    // The room between what stands before and after it.
    let before = letters.iter().rev().find(|letters| letters.at <= hairpin.from);
    let after = letters.iter().find(|letters| letters.at >= hairpin.until);
    let low = before.map_or(f64::MIN, |before| before.right() + APART);
    let low = low.max(near.0.map_or(line.frame.left, |before| before + APART));
    let high = after.map_or(f64::MAX, |after| after.left - APART);
    let high = high.min(near.1.map_or(line.frame.right, |after| after - APART));
    left = left.max(low);
    right = right.min(high);
    if right - left < SHORTEST_HAIRPIN {
        right = (left + SHORTEST_HAIRPIN).min(high).max(right);
        left = (right - SHORTEST_HAIRPIN).max(low).min(left);
    }
    left = left.max(line.frame.left);
    right = right.max(left + SHORTEST_PIECE);
    let passed = |at: apoyando_music::Moment| {
        let all = (hairpin.until - hairpin.from).whole_notes();
        ((at - hairpin.from).whole_notes() / all).clamp(0.0, 1.0)
    };
    let broken = |part: f64| part.clamp(PART_OPEN.0, PART_OPEN.1);
    let open = |part: f64| match hairpin.kind {
        HairpinKind::Grows => part * MOUTH,
        HairpinKind::Fades => (1.0 - part) * MOUTH,
    };
    let first = if hairpin.from < line.from { broken(passed(line.from)) } else { 0.0 };
    let last = if hairpin.until > line.until { broken(passed(line.until)) } else { 1.0 };
    let owner = line.owner(hairpin.from.max(line.from));
    Wedge { from: (left, open(first)), to: (right, open(last)), owner }
}

/// What remains of a hairpin beside the dynamics inside it.
fn pieces(whole: &Wedge, letters: &[Letters]) -> Vec<Wedge> {
    let mut pieces = Vec::new();
    let mut left = whole.from.0;
    let inside = letters
        .iter()
        .filter(|letters| letters.right() > whole.from.0 && letters.left < whole.to.0);
    for letters in inside {
        pieces.push((left, letters.left - APART));
        left = letters.right() + APART;
    }
    pieces.push((left, whole.to.0));
    let long = |piece: &(f64, f64)| piece.1 - piece.0 >= SHORTEST_PIECE - 1e-9;
    pieces.into_iter().filter(long).map(|(left, right)| whole.cut(left, right)).collect()
}
