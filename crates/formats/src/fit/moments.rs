//! From where something is noted in a bar to a moment of the piece.

use super::Lane;
use crate::report::Report;
use crate::time::{Time, common_grain, zero};

/// Where something is noted, for the report.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub bar: usize,
    pub onset: Time,
    pub line: u32,
}

impl Place {
    pub(super) fn name(self, report: &mut Report) {
        report.bar = Some(self.bar);
        report.onset = Some(self.onset);
        report.line = Some(self.line);
    }
}

/// What is noted at some place, as the readers find it.
#[derive(Clone, Copy)]
pub(super) struct Noted {
    /// Index of the bar it is noted in.
    pub bar: usize,
    /// From the beginning of the bar.
    pub at: Time,
    /// How far that may be off by rounding in the file.
    pub slack: Time,
    pub line: u32,
}

/// The moments of a part.
pub(super) struct Moments<'a> {
    lanes: &'a [Lane],
    lengths: &'a [Time],
    starts: Vec<Time>,
    /// What the denominators of all moments so far divide.
    grain: i64,
}

impl<'a> Moments<'a> {
    /// `grain` is what the denominators of all onsets divide.
    pub(super) fn of(lanes: &'a [Lane], lengths: &'a [Time], grain: i64) -> Self {
        let mut starts: Vec<Time> = Vec::with_capacity(lengths.len());
        let mut start = zero();
        for length in lengths {
            starts.push(start);
            start += length;
        }
        Self { lanes, lengths, starts, grain }
    }

    /// When the piece is over.
    pub(super) fn end(&self) -> Time {
        self.lengths.iter().sum()
    }

    /// The place of what is noted, and its moment, counted from the beginning of
    /// the piece; `None` where that cannot be counted with the others. Behind the
    /// end of its bar it stands at the end.
    pub(super) fn find(&mut self, noted: Noted) -> (Place, Option<Time>) {
        let Noted { bar, at, slack, line } = noted;
        // Behind the last bar line it stands at the end of the last bar.
        let beyond = bar >= self.lengths.len();
        let bar = bar.min(self.lengths.len() - 1);
        let length = self.lengths[bar];
        let at = if beyond { length } else { near_onset(at, slack, self.lanes, bar).min(length) };
        let place = Place { bar, onset: at, line };
        let moment = common_grain(self.grain, *at.denom()).map(|common| {
            self.grain = common;
            self.starts[bar] + at
        });
        (place, moment)
    }
}

/// The onset or end of an event so close to a moment of a bar, or the moment.
fn near_onset(at: Time, slack: Time, lanes: &[Lane], bar: usize) -> Time {
    let events = lanes.iter().filter_map(|lane| lane.get(bar)).flatten();
    let off = |edge: &Time| if *edge > at { *edge - at } else { at - *edge };
    let edges = events.flat_map(|placed| [placed.onset, placed.end()]);
    edges.filter(|edge| off(edge) <= slack).min_by_key(off).unwrap_or(at)
}
