//! Casting off: which bars stand on which line.
//!
//! All ways of breaking the score into lines are compared at once; the best
//! is the one whose lines are stretched least and most alike.

use std::ops::Range;

use crate::space::{BarRoom, STRETCHES};
use crate::style::Style;

/// A line: its bars and by how much its springs are stretched.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    pub bars: Range<usize>,
    pub stretch: f64,
    /// Whether it ends before the right margin.
    pub ragged: bool,
    /// Whether not even the least distances fit.
    pub overfull: bool,
}

/// Below this share of the width the last line is left ragged.
const RAGGED_BELOW: f64 = 0.65;
/// Cost of a last line that is all white.
const RAGGED: f64 = 0.15;
/// Cost of a line that begins in the middle of a phrase of four bars, and of
/// one of two: full lines of four bars are easiest to read and to copy.
const WITHIN_PHRASE: f64 = 0.03;
/// Stretch a line may have without being called loose or cramped.
const LOOSE: f64 = 1.25;
const CRAMPED: f64 = 0.85;
/// Ratio of the stretches of neighbouring lines that is not noticed.
const ALIKE: f64 = 1.15;
/// Lines considered from one bar on.
const MOST_BARS: usize = 40;

struct Caster<'a> {
    rooms: &'a [BarRoom],
    style: &'a Style,
    /// Sums of widths, joints and changes over the bars before each.
    sums: Vec<[f64; STRETCHES.len()]>,
    /// Width at the left that is not music, per first bar or later one.
    indent: (f64, f64),
}

impl<'a> Caster<'a> {
    fn new(rooms: &'a [BarRoom], style: &'a Style, indent: (f64, f64)) -> Self {
        let mut sums = vec![[0.0; STRETCHES.len()]; rooms.len() + 1];
        for (at, room) in rooms.iter().enumerate() {
            let mut next = sums[at];
            for (sum, width) in next.iter_mut().zip(room.widths) {
                *sum += width + room.change + room.joint;
            }
            sums[at + 1] = next;
        }
        Self { rooms, style, sums, indent }
    }

    fn available(&self, from: usize) -> f64 {
        let indent = if from == 0 { self.indent.0 } else { self.indent.1 };
        self.style.line_width.0 - indent
    }

    /// Width of a line at the nth stretch.
    fn width(&self, from: usize, to: usize, nth: usize) -> f64 {
        let last = &self.rooms[to - 1];
        let first = &self.rooms[from];
        self.sums[to][nth] - self.sums[from][nth] - first.change - last.joint + first.prefix
            - first.springs.saved_in_line()
            + last.end
    }

    /// The stretch at which a line is as wide as it should be; `Err` with the
    /// least width if it does not fit at all.
    fn stretch(&self, from: usize, to: usize, wanted: f64) -> Result<f64, f64> {
        let least = self.width(from, to, 0);
        if least > wanted + 1e-9 {
            return Err(least);
        }
        let (mut low, mut high) = (0, STRETCHES.len() - 1);
        if self.width(from, to, high) <= wanted {
            return Ok(STRETCHES[high]);
        }
        while high - low > 1 {
            let middle = usize::midpoint(low, high);
            if self.width(from, to, middle) <= wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        let (narrow, broad) = (self.width(from, to, low), self.width(from, to, high));
        let part = if broad > narrow { (wanted - narrow) / (broad - narrow) } else { 0.0 };
        Ok(STRETCHES[low] + (STRETCHES[high] - STRETCHES[low]) * part)
    }

    fn line(&self, from: usize, to: usize) -> (Line, f64) {
        let wanted = self.available(from);
        let last = to == self.rooms.len();
        let mut line = Line { bars: from..to, stretch: 1.0, ragged: false, overfull: false };
        let mut cost = 0.0;
        let natural = self.width(from, to, NATURAL);
        if last && self.style.ragged_last && natural < RAGGED_BELOW * wanted {
            line.ragged = true;
            // A short last line is no fault, but full lines are better.
            cost += RAGGED * (1.0 - natural / wanted);
        } else {
            match self.stretch(from, to, wanted) {
                Ok(stretch) => {
                    line.stretch = stretch;
                    cost += badness(stretch);
                }
                Err(least) => {
                    line.stretch = 0.0;
                    line.overfull = true;
                    cost += 100.0 + 10.0 * (least / wanted.max(1.0)).min(1e6);
                }
            }
        }
        if last && to - from < 2 && from > 0 {
            cost += 4.0;
        }
        let number = self.rooms[from].since_section;
        for phrase in [2, 4] {
            if !number.is_multiple_of(phrase) {
                cost += WITHIN_PHRASE;
            }
        }
        (line, cost)
    }
}

/// Index of stretch 1 in [`STRETCHES`].
const NATURAL: usize = 6;

/// Cost of a stretch: the square of its logarithm, much dearer beyond what
/// goes unnoticed.
fn badness(stretch: f64) -> f64 {
    let log = stretch.max(0.05).ln();
    let beyond = if stretch > LOOSE {
        (stretch / LOOSE).ln()
    } else if stretch < CRAMPED {
        2.0 * (CRAMPED / stretch.max(0.05)).ln()
    } else {
        0.0
    };
    log * log + 8.0 * beyond * beyond + beyond
}

/// Cost of two neighbouring lines that are not alike.
fn unlike(one: &Line, other: &Line) -> f64 {
    if other.ragged || one.overfull || other.overfull {
        return 0.0;
    }
    let ratio = (one.stretch.max(0.05) / other.stretch.max(0.05)).ln().abs();
    let beyond = (ratio - ALIKE.ln()).max(0.0);
    0.3 * ratio * ratio + 4.0 * beyond * beyond
}

/// A way to the end of a line, by its last line.
struct Way {
    line: Line,
    cost: f64,
    /// Index of the way before among those that end where this line begins.
    before: usize,
}

/// Breaks a score into lines. `indents` are the widths left of the staff on
/// the first line and on later ones.
pub fn cast(rooms: &[BarRoom], style: &Style, indents: (f64, f64)) -> Vec<Line> {
    let caster = Caster::new(rooms, style, indents);
    // ways[end] are the ways whose last line ends before bar `end`.
    let mut ways: Vec<Vec<Way>> = Vec::with_capacity(rooms.len() + 1);
    ways.push(Vec::new());
    for end in 1..=rooms.len() {
        let mut here = Vec::new();
        for from in (end.saturating_sub(MOST_BARS)..end).rev() {
            let (line, own) = caster.line(from, end);
            let overfull = line.overfull;
            if overfull && end - from > 1 {
                break;
            }
            let best = ways[from]
                .iter()
                .enumerate()
                .map(|(index, way)| (index, way.cost + unlike(&way.line, &line)))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            let way = match best {
                Some((before, cost)) => Way { line, cost: cost + own, before },
                None if from == 0 => Way { line, cost: own, before: 0 },
                None => continue,
            };
            here.push(way);
            if overfull {
                break;
            }
        }
        ways.push(here);
    }
    trace(&ways, rooms.len())
}

fn trace(ways: &[Vec<Way>], end: usize) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut at = end;
    let mut index = ways[end]
        .iter()
        .enumerate()
        .min_by(|a, b| a.1.cost.total_cmp(&b.1.cost))
        .map(|(index, _)| index);
    while let Some(way) = index.and_then(|index| ways[at].get(index)) {
        lines.push(way.line.clone());
        at = way.line.bars.start;
        index = Some(way.before);
        if at == 0 {
            break;
        }
    }
    lines.reverse();
    // A ragged last line is set like the one before it.
    if let [.., before, last] = lines.as_mut_slice()
        && last.ragged
    {
        last.stretch = before.stretch.clamp(CRAMPED, LOOSE);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bar whose notes stretch as they like above a least width.
    fn room(ideal: f64) -> BarRoom {
        BarRoom::plain(ideal)
    }

    /// Cost of given lines, reckoned one by one.
    fn cost(caster: &Caster<'_>, ends: &[usize]) -> f64 {
        let mut from = 0;
        let mut before: Option<Line> = None;
        let mut sum = 0.0;
        for end in ends {
            let (line, own) = caster.line(from, *end);
            if line.overfull && end - from > 1 {
                return f64::MAX;
            }
            sum += own + before.map_or(0.0, |before| unlike(&before, &line));
            before = Some(line);
            from = *end;
        }
        sum
    }

    /// Against all ways of breaking eleven bars.
    #[test]
    fn no_way_of_breaking_is_better() {
        let style = Style::default();
        for seed in 0..40u64 {
            let rooms: Vec<BarRoom> = (0..11u64)
                .map(|bar| room(10.0 + ((seed * 7919 + bar * bar * 104_729) % 31) as f64))
                .collect();
            let lines = cast(&rooms, &style, (0.0, 0.0));
            let caster = Caster::new(&rooms, &style, (0.0, 0.0));
            let ours: Vec<usize> = lines.iter().map(|line| line.bars.end).collect();
            let best = (0..1u32 << 10)
                .map(|mask| {
                    let mut ends: Vec<usize> =
                        (1..11).filter(|bar| mask >> (bar - 1) & 1 == 1).collect();
                    ends.push(11);
                    cost(&caster, &ends)
                })
                .fold(f64::MAX, f64::min);
            let found = cost(&caster, &ours);
            assert!((found - best).abs() < 1e-9, "seed {seed}: {ours:?} costs {found}, not {best}");
        }
    }

    #[test]
    fn even_bars_make_even_lines() {
        let rooms: Vec<BarRoom> = (0..16).map(|_| room(20.0)).collect();
        let lines = cast(&rooms, &Style::default(), (0.0, 0.0));
        let counts: Vec<usize> = lines.iter().map(|line| line.bars.len()).collect();
        assert_eq!(counts, [4, 4, 4, 4]);
        assert!(lines.iter().all(|line| (CRAMPED..LOOSE).contains(&line.stretch)));
    }
}
