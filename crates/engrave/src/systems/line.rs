//! A line of music with its moments, for what stands at moments that need not be
//! onsets.

use apoyando_music::{BarIndex, Moment, Score};

use crate::Sheet;
use crate::drawing::Owner;
use crate::geometry::Stage;
use crate::notate::loudness::HALF_HEAD;
use crate::place::Frame;
use crate::style::{Style, Tablature};

/// Clear space to a barline between staves. House.
pub(super) const OFF_BARLINE: f64 = 0.2;
/// Where the first onset would be in a bar that has none.
const TO_HEAD: f64 = 1.5;

/// A line of music with its moments.
pub(super) struct Line<'a> {
    score: &'a Score,
    pub frame: &'a Frame,
    pub from: Moment,
    pub until: Moment,
    /// Whether barlines go on to another staff.
    joined: bool,
}

impl<'a> Line<'a> {
    pub(super) fn of(sheet: &Sheet<'a>, style: &Style, frame: &'a Frame) -> Self {
        let score = sheet.score;
        let bars = score.bars();
        let from = frame.bars.first().map_or(Moment::START, |bar| bars[bar.index].start);
        let until = frame.bars.last().map_or(from, |bar| bars[bar.index].end_moment());
        let fretted = || score.part_indices().any(|part| sheet.fretting_of(part).is_some());
        let under = style.tablature == Tablature::Under && fretted();
        let joined = score.parts().len() > 1 || under;
        Self { score, frame, from, until, joined }
    }

    pub(super) fn owner(&self, at: Moment) -> Owner {
        Owner::Bar(self.score.bar_at(at).unwrap_or(BarIndex(0)))
    }

    /// The bar at a place.
    pub(super) fn owner_at(&self, x: f64) -> Owner {
        let bar = self.frame.bars.iter().rev().find(|bar| bar.start <= x);
        let bar = bar.or(self.frame.bars.first()).map_or(0, |bar| bar.index);
        Owner::Bar(BarIndex(bar as u32))
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
    pub(super) fn after_joint(&self, at: Moment) -> f64 {
        let bars = self.score.bars();
        let bar = self.frame.bars.iter().rev().find(|bar| bars[bar.index].start <= at);
        let joined = bar.filter(|_| self.score.parts().len() > 1);
        joined.map_or(self.frame.left, |bar| bar.start + OFF_BARLINE)
    }

    /// Whether a barline between staves stands between two places. Where there is
    /// no other room, letters interrupt it.
    pub(super) fn meets_joint(&self, left: f64, right: f64) -> bool {
        let mut bars = self.frame.bars.iter();
        self.joined && bars.any(|bar| left < bar.end + bar.barline.width() && bar.end < right)
    }

    /// Where the bar ends that a moment ends, if it ends one.
    pub(super) fn bar_end(&self, at: Moment) -> Option<f64> {
        let ends = |bar: &&crate::place::BarFrame| self.score.bars()[bar.index].end_moment() == at;
        self.frame.bars.iter().find(ends).map(|bar| bar.end)
    }
}

/// The middle of the heads at a moment.
pub(super) fn middle(stage: &Stage, line: &Line<'_>, at: Moment) -> f64 {
    // Heads on the other side of a stem do not count.
    let heads = stage.heads.iter().filter(|head| head.onset == at);
    let head = heads.min_by(|a, b| a.head.left.total_cmp(&b.head.left));
    head.map_or_else(
        || line.x(at) + HALF_HEAD,
        |head| f64::midpoint(head.head.left, head.head.right),
    )
}
