//! Dynamics and hairpins below a staff, outside of the fingering.
//!
//! A dynamic is centred under the head of its onset. What follows closely is one
//! phrase and stands on one baseline, as near to the staff as its ink allows.

use apoyando_music::{BarIndex, Moment, Score};

use super::hairpins::{self, Wedge};
use crate::drawing::{Ink, Kind, Owner, Point, Stain};
use crate::font::Glyph;
use crate::geometry::Stage;
use crate::notate::loudness::{APART, HALF_HEAD, SHORTEST_HAIRPIN, glyph};
use crate::place::{Frame, ink};

/// Clear space to other ink. House.
const CLEAR: f64 = 0.5;
/// Nearest baseline, below the middle line. House.
const NEAREST: f64 = 4.2;
/// The middle of the letters above their baseline: half the height of a letter
/// without stroke, by eye.
const MIDDLE: f64 = 0.5;
/// What stands no farther apart than this is one phrase, and phrases whose
/// baselines would differ by no more than that have one. House.
const PHRASE: f64 = 14.0;
const LEVEL: f64 = 4.0;
/// Clear space to a barline between staves. House.
const OFF_BARLINE: f64 = 0.2;
/// Where the first onset would be in a bar that has none.
const TO_HEAD: f64 = 1.5;

/// A dynamic on a line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Letters {
    pub at: Moment,
    pub glyph: &'static Glyph,
    /// Left side of its ink.
    pub left: f64,
    owner: Owner,
}

impl Letters {
    pub(super) fn right(&self) -> f64 {
        self.left + self.glyph.width()
    }
}

/// Draws the dynamics and hairpins of a staff.
pub fn draw(stage: &mut Stage, score: &Score, frame: &Frame) {
    let part = score.part(stage.part);
    if part.dynamics.is_empty() && part.hairpins.is_empty() {
        return;
    }
    let line = Line::of(score, frame);
    let mut letters: Vec<Letters> = part
        .dynamics
        .iter()
        .filter(|mark| line.from <= mark.at && mark.at < line.until)
        .map(|mark| {
            let glyph = glyph(mark.dynamic);
            let left = middle(stage, &line, mark.at) - glyph.width() / 2.0;
            Letters { at: mark.at, glyph, left, owner: line.owner(mark.at) }
        })
        .collect();
    keep_apart(&mut letters, &part.hairpins, &line);
    let wedges = hairpins::on_line(&part.hairpins, &letters, &line);
    let mut items: Vec<Item> = letters.into_iter().map(Item::Letters).collect();
    items.extend(wedges.into_iter().map(Item::Wedge));
    items.sort_by(|a, b| a.left().total_cmp(&b.left()));
    for (item, baseline) in levelled(stage, items) {
        item.put(stage, &line, baseline);
    }
}

/// A line of music with its moments.
pub(super) struct Line<'a> {
    score: &'a Score,
    pub frame: &'a Frame,
    pub from: Moment,
    pub until: Moment,
}

impl<'a> Line<'a> {
    fn of(score: &'a Score, frame: &'a Frame) -> Self {
        let bars = score.bars();
        let from = frame.bars.first().map_or(Moment::START, |bar| bars[bar.index].start);
        let until = frame.bars.last().map_or(from, |bar| bars[bar.index].end_moment());
        Self { score, frame, from, until }
    }

    pub(super) fn owner(&self, at: Moment) -> Owner {
        Owner::Bar(self.score.bar_at(at).unwrap_or(BarIndex(0)))
    }

    /// Right end of the music.
    pub(super) fn right(&self) -> f64 {
        self.frame.bars.last().map_or(self.frame.right, |bar| bar.end)
    }

    /// Left edge of a normally placed head at a moment; between onsets in
    /// proportion.
    pub(super) fn x(&self, at: Moment) -> f64 {
        let holds = |bar: &&crate::place::BarFrame| {
            let bar = &self.score.bars()[bar.index];
            bar.start <= at && at < bar.end_moment()
        };
        let Some(frame) = self.frame.bars.iter().find(holds) else {
            return if at < self.from { self.frame.music } else { self.right() };
        };
        let bar = &self.score.bars()[frame.index];
        let after = frame.columns.partition_point(|column| column.0 <= at);
        let before =
            after.checked_sub(1).map_or((bar.start, frame.start + TO_HEAD), |i| frame.columns[i]);
        let next = frame.columns.get(after).copied().unwrap_or((bar.end_moment(), frame.end));
        let part = (at - before.0).whole_notes() / (next.0 - before.0).whole_notes().max(1e-9);
        before.1 + part.clamp(0.0, 1.0) * (next.1 - before.1)
    }

    /// How far left letters may reach: the barlines of several staves are joined,
    /// and letters do not stand on them.
    fn after_joint(&self, at: Moment) -> f64 {
        let bars = self.score.bars();
        let bar = self.frame.bars.iter().rev().find(|bar| bars[bar.index].start <= at);
        let joined = bar.filter(|_| self.score.parts().len() > 1);
        joined.map_or(self.frame.left, |bar| bar.start + OFF_BARLINE)
    }

    /// Whether a barline between staves stands between two places. Where there is
    /// no other room, letters interrupt it.
    fn meets_joint(&self, left: f64, right: f64) -> bool {
        let mut bars = self.frame.bars.iter();
        self.score.parts().len() > 1
            && bars.any(|bar| left < bar.end + bar.barline.width() && bar.end < right)
    }

    /// Where the bar ends that a moment ends, if it ends one.
    pub(super) fn bar_end(&self, at: Moment) -> Option<f64> {
        let ends = |bar: &&crate::place::BarFrame| self.score.bars()[bar.index].end_moment() == at;
        self.frame.bars.iter().find(ends).map(|bar| bar.end)
    }
}

/// The middle of the heads at a moment.
fn middle(stage: &Stage, line: &Line<'_>, at: Moment) -> f64 {
    // Heads on the other side of a stem do not count.
    let heads = stage.heads.iter().filter(|head| head.onset == at);
    let head = heads.min_by(|a, b| a.head.left.total_cmp(&b.head.left));
    head.map_or_else(
        || line.x(at) + HALF_HEAD,
        |head| f64::midpoint(head.head.left, head.head.right),
    )
}

/// Moves dynamics away from one another, as little as can be, so that a hairpin
/// between two is seen.
fn keep_apart(letters: &mut [Letters], hairpins: &[apoyando_music::Hairpin], line: &Line<'_>) {
    let gap = |before: &Letters, after: &Letters| {
        let between = hairpins
            .iter()
            .filter(|hairpin| before.at <= hairpin.from && hairpin.until <= after.at);
        APART + between.count() as f64 * (SHORTEST_HAIRPIN + APART)
    };
    for at in 0..letters.len() {
        let mut least = line.after_joint(letters[at].at);
        if at > 0 {
            let before = letters[at - 1];
            least = least.max(before.right() + gap(&before, &letters[at]));
        }
        letters[at].left = letters[at].left.max(least);
    }
    let mut most = line.frame.right;
    for at in (0..letters.len()).rev() {
        letters[at].left = letters[at].left.min(most - letters[at].glyph.width());
        if at > 0 {
            most = letters[at].left - gap(&letters[at - 1], &letters[at]);
        }
        // In a line too full for them nothing leans out.
        letters[at].left = letters[at].left.max(line.frame.left);
    }
}

/// A dynamic or a hairpin.
#[derive(Clone, Copy, Debug)]
enum Item {
    Letters(Letters),
    Wedge(Wedge),
}

impl Item {
    const fn left(&self) -> f64 {
        match self {
            Self::Letters(letters) => letters.left,
            Self::Wedge(wedge) => wedge.from.0,
        }
    }

    fn right(&self) -> f64 {
        match self {
            Self::Letters(letters) => letters.right(),
            Self::Wedge(wedge) => wedge.to.0,
        }
    }

    /// The nearest baseline, as a distance below the middle line.
    fn nearest(&self, stage: &Stage) -> f64 {
        let reach = |left: f64, right: f64| stage.below.reach(left - CLEAR, right + CLEAR) + CLEAR;
        match self {
            Self::Letters(letters) => reach(letters.left, letters.right()) + letters.glyph.high,
            Self::Wedge(wedge) => wedge
                .strips()
                .map(|(left, right, half)| reach(left, right) + half + MIDDLE)
                .fold(0.0, f64::max),
        }
        .max(NEAREST)
    }

    fn put(&self, stage: &mut Stage, line: &Line<'_>, baseline: f64) {
        match self {
            Self::Letters(letters) => {
                let x = letters.left - letters.glyph.left;
                let (kind, owner) = (Kind::Dynamic, letters.owner);
                if line.meets_joint(letters.left, letters.right()) {
                    let glyph = letters.glyph;
                    let low = Point::new(letters.left - OFF_BARLINE, glyph.low - baseline);
                    let high = Point::new(letters.right() + OFF_BARLINE, glyph.high - baseline);
                    let ink = Ink::Halo { low, high };
                    stage.add(Stain { ink, kind: Kind::Halo, owner });
                }
                stage.add(ink::glyph(letters.glyph, 1.0, x, -baseline, kind, owner));
            }
            Self::Wedge(wedge) => wedge.put(stage, MIDDLE - baseline),
        }
    }
}

/// Items from left to right with their baselines, as distances below the middle
/// line.
fn levelled(stage: &Stage, items: Vec<Item>) -> Vec<(Item, f64)> {
    let mut phrases: Vec<(Vec<Item>, f64)> = Vec::new();
    for item in items {
        let nearest = item.nearest(stage);
        match phrases.last_mut() {
            Some((phrase, level))
                if phrase.iter().any(|before| item.left() - before.right() < PHRASE) =>
            {
                phrase.push(item);
                *level = level.max(nearest);
            }
            _ => phrases.push((vec![item], nearest)),
        }
    }
    // Phrases that are almost level are level, from the deepest on.
    let deepest = phrases.iter().map(|(_, level)| *level).fold(0.0, f64::max);
    for (_, level) in &mut phrases {
        if deepest - *level <= LEVEL {
            *level = deepest;
        }
    }
    let placed = |(phrase, level): (Vec<Item>, f64)| phrase.into_iter().map(move |i| (i, level));
    phrases.into_iter().flat_map(placed).collect()
}
