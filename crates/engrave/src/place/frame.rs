//! Where bars and onsets stand on a line.

use std::collections::BTreeMap;

use apoyando_music::{Duration, Moment, Score};

use crate::cast::{CRAMPED, Line};
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

/// A line.
#[derive(Clone, Debug)]
pub struct Frame {
    pub first: bool,
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

/// What equal times of a line are of the widest of them, where there is room. House.
const EVEN: f64 = 0.95;
/// In a ragged line they are not made wider for it than so many times what they would
/// like to be: one accidental does not make a line loose.
const EVEN_MOST: f64 = 1.25;
/// The stretch of a filled line may fall to so much of itself for it: longer times stay
/// longer.
const EVEN_KEEPS: f64 = 0.85;
/// What a filled line shows of its stretch may be so much less for it, and not more if it
/// is stretched: neighbouring lines stay alike.
const EVEN_SHOWS: f64 = 1.04;
/// How often a share of the widest is bettered.
const EVEN_STEPS: usize = 8;

/// Widths of what does not stretch and of the bars of a line at a stretch.
fn width(rooms: &[BarRoom], stretch: f64) -> f64 {
    let mut width = rooms[0].prefix - rooms[0].springs.saved_in_line();
    for (number, room) in rooms.iter().enumerate() {
        width += room.springs.width(stretch);
        if number > 0 {
            width += room.change;
        }
        width += if number + 1 < rooms.len() { room.joint } else { room.end };
    }
    width
}

/// The stretch at which a line has a width; the widths grow with it.
fn solve(rooms: &[BarRoom], wanted: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while width(rooms, high) < wanted && high < 1e4 {
        low = high;
        high *= 2.0;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if width(rooms, middle) < wanted {
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
    let (rooms, stretch) = evened(&rooms[bars.clone()], line, wanted);
    let natural = width(&rooms, stretch);
    let squeezed = natural > wanted + 1e-6;
    let prefix = rooms[0].prefix;
    let first_bar = &score.bars()[bars.start];
    let mut x = left + prefix;
    let music = x;
    let repeat =
        first_bar.repeat_start.then(|| x - BarLine::RepeatStart.width() - space::AFTER_REPEAT);
    let mut placed = Vec::with_capacity(bars.len());
    let mut warning = None;
    for index in bars.clone() {
        let room = &rooms[index - bars.start];
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

/// The bars of a line with the stretch they are set at: equal times as equal as the line
/// has room for.
fn evened(rooms: &[BarRoom], line: &Line, wanted: f64) -> (Vec<BarRoom>, f64) {
    let mut widest: BTreeMap<Duration, f64> = BTreeMap::new();
    for (time, least) in rooms.iter().flat_map(|room| room.springs.times()) {
        let widest = widest.entry(time).or_default();
        *widest = widest.max(least);
    }
    let ragged = line.ragged.is_some();
    let most = if ragged { EVEN_MOST } else { f64::INFINITY };
    let set = |share: f64| {
        let even = |room: &BarRoom| BarRoom {
            springs: room.springs.evened(&widest, share, most),
            ..room.clone()
        };
        let rooms: Vec<BarRoom> = rooms.iter().map(even).collect();
        let stretch = if ragged { line.stretch } else { solve(&rooms, wanted) };
        (rooms, stretch)
    };
    let plain = set(0.0);
    let (tightest, shown) = shown(&plain);
    // What is noticed of a line is so, whatever is done to it, and its breaks are priced by it.
    if tightest.min(shown) < CRAMPED {
        return plain;
    }
    let good = |line: &(Vec<BarRoom>, f64)| {
        let (rooms, stretch) = line;
        let (_, shows) = self::shown(line);
        width(rooms, *stretch) <= wanted + 1e-6
            && *stretch >= EVEN_KEEPS * plain.1
            && (ragged || (shown / EVEN_SHOWS..=shown.max(1.0)).contains(&shows))
    };
    let all = set(EVEN);
    if good(&all) {
        return all;
    }
    let (mut low, mut high) = (0.0, EVEN);
    let mut best = None;
    for _ in 0..EVEN_STEPS {
        let middle = f64::midpoint(low, high);
        let found = set(middle);
        if good(&found) {
            best = Some(found);
            low = middle;
        } else {
            high = middle;
        }
    }
    best.unwrap_or(plain)
}

/// The stretch of which a tenth of the distances of a line are narrower, and that which a
/// reader takes from it, the middle one.
fn shown((rooms, stretch): &(Vec<BarRoom>, f64)) -> (f64, f64) {
    let mut all: Vec<f64> = rooms.iter().flat_map(|room| room.springs.shown(*stretch)).collect();
    all.sort_by(f64::total_cmp);
    let nth = |at: usize| all.get(at).copied().unwrap_or(1.0);
    (nth(all.len() / 10), nth(all.len() / 2))
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
