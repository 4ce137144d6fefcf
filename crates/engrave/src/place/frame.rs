//! Where bars and onsets stand on a line.

use apoyando_music::{Moment, Score};

use crate::cast::Line;
use crate::signs::{self, BarLine};
use crate::space::{self, BarRoom};
use crate::style::Style;

/// A bar on a line.
#[derive(Clone, Debug)]
pub struct BarFrame {
    pub index: usize,
    /// Where new signatures before it begin, if it has any.
    pub change: Option<f64>,
    /// Where its notes may begin.
    pub start: f64,
    /// Left edge of the barline after it.
    pub end: f64,
    pub barline: BarLine,
    pub columns: Vec<(Moment, f64)>,
}

impl BarFrame {
    /// Left edge of a normal head at an onset of this bar.
    pub fn column(&self, onset: Moment) -> f64 {
        match self.columns.binary_search_by_key(&onset, |column| column.0) {
            Ok(at) => self.columns[at].1,
            Err(_) => self.start,
        }
    }
}

/// Where the names of the parts stand at the first line.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Named {
    /// Left of the staves.
    #[default]
    Beside,
    /// Over the left end of the staves.
    Over,
}

/// A line.
#[derive(Clone, Debug)]
pub struct Frame {
    pub first: bool,
    /// Where the names of the parts stand, if it is the first.
    pub named: Named,
    /// Left end of the staves.
    pub left: f64,
    /// Left edge of a repeat sign at the beginning.
    pub repeat: Option<f64>,
    /// Where clef and signatures have ended.
    pub music: f64,
    /// Right end of the staves.
    pub right: f64,
    /// Where warning signatures at the end begin.
    pub warning: Option<f64>,
    pub bars: Vec<BarFrame>,
    /// Whether distances had to be cut below the least.
    pub squeezed: bool,
}

/// The stretch at which a line has a width; the widths grow with it.
fn solve(rooms: &[BarRoom], wanted: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while space::width(rooms, high) < wanted && high < 1e4 {
        low = high;
        high *= 2.0;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if space::width(rooms, middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// Places the bars of a line. `left` is where its staves begin.
pub fn frame(score: &Score, rooms: &[BarRoom], style: &Style, line: &Line, left: f64) -> Frame {
    let bars = &line.bars;
    let wanted = (style.line_width.0 - left).max(1.0);
    let rooms = &rooms[bars.clone()];
    let ragged = line.ragged.is_some();
    let evened = if ragged { space::evened(rooms, wanted) } else { None };
    let rooms = evened.as_deref().unwrap_or(rooms);
    let stretch = if ragged { line.stretch } else { solve(rooms, wanted) };
    let natural = space::width(rooms, stretch);
    let squeezed = natural > wanted + 1e-6;
    let prefix = rooms[0].prefix;
    let first_bar = &score.bars()[bars.start];
    let mut x = left + prefix;
    let music = x;
    let repeat =
        first_bar.repeat_start.then(|| x - BarLine::RepeatStart.width() - space::AFTER_REPEAT);
    let mut placed = Vec::with_capacity(bars.len());
    let mut warning = None;
    for (index, room) in bars.clone().zip(rooms) {
        let bar = &score.bars()[index];
        let at_start = index == bars.start;
        let mut change = None;
        if !at_start {
            change = (room.change > 0.0).then_some(x);
            x += room.change;
        }
        let start = x;
        let (columns, bar_width) = space::spread(room, stretch, at_start);
        let columns = columns.into_iter().map(|(onset, at)| (onset, start + at)).collect();
        x += bar_width;
        let end = x;
        let last = index + 1 == bars.end;
        let barline = if last {
            BarLine::ending(bar)
        } else {
            if rooms[index + 1 - bars.start].within {
                BarLine::None
            } else {
                BarLine::between(bar, &score.bars()[index + 1])
            }
        };
        if last {
            let changes =
                score.bars().get(index + 1).is_some_and(|after| signs::changes(bar, after));
            warning = changes.then_some(x + barline.width());
            x += room.end;
        } else {
            x += room.joint;
        }
        placed.push(BarFrame { index, change, start, end, barline, columns });
    }
    let mut out = Frame {
        first: bars.start == 0,
        named: Named::default(),
        left,
        repeat,
        music,
        right: x,
        warning,
        bars: placed,
        squeezed,
    };
    if squeezed {
        squeeze(&mut out, left + wanted);
    }
    out
}

/// So far before the end of a bar all ink of an onset lies within it: two heads
/// side by side, moved aside for another voice, and the white before a barline.
const KEPT: f64 = 3.6;

/// Nothing may stand beyond the margin: the onsets of what does not fit are
/// pressed together, which is reported. Only a line of a single bar can be
/// too long.
fn squeeze(frame: &mut Frame, right: f64) {
    let beyond = frame.right - right;
    frame.right = right;
    frame.warning = frame.warning.map(|x| x - beyond);
    let Some(bar) = frame.bars.last_mut() else { return };
    let first = bar.columns.first().map_or(bar.start, |column| column.1);
    let last = bar.columns.last().map_or(first, |column| column.1);
    let room = bar.end - beyond - first;
    // What the last onset needs to its right stays as it is, and so do the onsets
    // whose ink may reach past it, if there is room for them.
    let wide = bar.columns.iter().rev().map(|column| column.1).find(|x| bar.end - x >= KEPT);
    let fits = |x: &f64| bar.end - x < room;
    let kept = wide.filter(fits).unwrap_or(last);
    let tail = bar.end - kept;
    // Dynamics under a silence may have moved the first one too far to the right.
    let origin = first.min(bar.end - beyond - tail).max(first.min(bar.start));
    let room = bar.end - beyond - origin;
    let by = if kept > first { ((room - tail) / (kept - first)).max(0.0) } else { 0.0 };
    for column in &mut bar.columns {
        column.1 =
            if column.1 > kept { column.1 - beyond } else { origin + (column.1 - first) * by };
    }
    bar.end -= beyond;
}
