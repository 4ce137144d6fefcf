//! How much room every bar wants.
//!
//! Within a bar the distances between onsets are springs: an ideal that grows
//! with the length of time, times a stretch common to the whole line, but
//! never less than the ink needs.

mod apart;
mod breaths;
mod even;
mod glides;
mod springs;

use apoyando_music::{BarEnd, Moment, Score};

pub use apart::{Apart, keep_apart};
pub use even::{CLEARLY, NARROW, evened};
pub use springs::BarSprings;

use crate::notate::Staff;
use crate::notate::resting::Resting;
use crate::signs::{self, BarLine};
use crate::style::Style;

/// Stretches at which widths are tabled, for choosing line breaks.
pub const STRETCHES: [f64; 16] =
    [0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.35, 1.5, 1.75, 2.0, 2.5, 3.5, 5.0];

/// The room a bar wants, and what stands around it.
#[derive(Clone, Debug)]
pub struct BarRoom {
    pub springs: BarSprings,
    /// Width of its notes at each of [`STRETCHES`].
    pub widths: [f64; STRETCHES.len()],
    /// Clef and signatures where it begins a line, with a repeat if it has one.
    pub prefix: f64,
    /// Signatures before it within a line.
    pub change: f64,
    /// The barline after it within a line.
    pub joint: f64,
    /// The barline after it at the end of a line, with warnings.
    pub end: f64,
    /// Full bars since the section it stands in began.
    pub since_section: usize,
    /// It goes on with the long rest before it: no line begins with it.
    pub within: bool,
}

#[cfg(test)]
impl BarRoom {
    /// A bar of so much ideal width without anything around it, which can
    /// shrink to half.
    pub fn plain(ideal: f64) -> Self {
        let springs = BarSprings::single(ideal, ideal / 2.0);
        let widths = springs.widths();
        Self {
            springs,
            widths,
            prefix: 0.0,
            change: 0.0,
            joint: 0.0,
            end: 0.0,
            since_section: 0,
            within: false,
        }
    }
}

/// The clear distance between a repeat sign at the beginning of a line and
/// the first note.
pub const AFTER_REPEAT: f64 = 1.2;

/// The room of all bars.
pub fn rooms(score: &Score, staves: &[Staff], style: &Style) -> Vec<BarRoom> {
    let bars = score.bars();
    let mut since_section = 0;
    let resting = |index: usize| staves.first().map_or(Resting::No, |s| s.bars[index].resting);
    bars.iter()
        .enumerate()
        .map(|(index, bar)| {
            let springs = match resting(index) {
                Resting::No => springs::of_bar(bar, index, staves, style),
                Resting::Begins(_) => BarSprings::of_long_rest(),
                Resting::Within => BarSprings::nothing(),
            };
            let within = |index: usize| resting(index) == Resting::Within;
            let widths = springs.widths();
            let before = index.checked_sub(1).map(|before| &bars[before]);
            let after = bars.get(index + 1);
            // Pickups, double bars and repeats begin sections.
            let begins = before.is_none_or(|before| {
                before.end == BarEnd::Double
                    || before.repeat_end.is_some()
                    || bar.repeat_start
                    || (index == 1 && before.length < before.metre.bar())
            });
            since_section = if begins { 0 } else { since_section + 1 };
            let widest = |of: &dyn Fn(&Staff) -> f64| staves.iter().map(of).fold(0.0, f64::max);
            BarRoom {
                since_section,
                within: within(index),
                springs,
                widths,
                prefix: prefix_width(score, staves, index),
                change: before.map_or(0.0, |before| {
                    widest(&|staff| signs::change(staff.front(), before, bar, 0.0).width)
                }),
                joint: match after {
                    Some(after) if !within(index + 1) => BarLine::between(bar, after).width(),
                    _ => 0.0,
                },
                end: BarLine::ending(bar).width()
                    + after.map_or(0.0, |after| {
                        widest(&|staff| signs::change(staff.front(), bar, after, 0.5).width)
                    }),
            }
        })
        .collect()
}

/// Whether a line that begins with this bar shows its metre.
pub fn shows_time(score: &Score, bar: usize) -> bool {
    bar == 0 || score.bars()[bar].metre != score.bars()[bar - 1].metre
}

/// Everything before the first note of a line.
pub fn prefix_width(score: &Score, staves: &[Staff], index: usize) -> f64 {
    let bar = &score.bars()[index];
    let signs = staves
        .iter()
        .map(|staff| signs::prefix(staff.front(), bar, shows_time(score, index)).width)
        .fold(0.0, f64::max);
    if bar.repeat_start { signs - 0.9 + BarLine::RepeatStart.width() + AFTER_REPEAT } else { signs }
}

/// Width of a line of some bars at a stretch, with what stands before it.
pub fn width(rooms: &[BarRoom], stretch: f64) -> f64 {
    let Some(first) = rooms.first() else { return 0.0 };
    let mut width = first.prefix - first.springs.saved_in_line();
    for (number, room) in rooms.iter().enumerate() {
        width += room.springs.width(stretch);
        if number > 0 {
            width += room.change;
        }
        width += if number + 1 < rooms.len() { room.joint } else { room.end };
    }
    width
}

/// Onsets of a bar with the distance of each from the end of what stands
/// before the bar, and the bar's whole width.
pub fn spread(room: &BarRoom, stretch: f64, at_line_start: bool) -> (Vec<(Moment, f64)>, f64) {
    let lengths = room.springs.lengths(stretch, at_line_start);
    let mut x = 0.0;
    let columns = room
        .springs
        .onsets
        .iter()
        .zip(&lengths)
        .map(|(onset, length)| {
            x += length;
            (*onset, x)
        })
        .collect();
    let width = lengths.iter().sum();
    (columns, width)
}
