//! Lines that another way of breaking the music would have set better. Written from
//! `docs/casting.md`, over all ways there are.

use std::collections::BTreeMap;

use apoyando_music::Score;

use super::Fault;
use super::lines::{
    ALIKE, ALIKE_PHRASED, ALONE, STRETCH, is_phrased, lone_last_bar, loosest, stretch, tightest,
    uneven_lines,
};
use crate::sheet::System;

/// A last line of one bar.
const LONE: f64 = 4.0;
/// A line into which not even the least distances of its bar fit.
const PRESSED: f64 = 100.0;
/// What two ways are alike by: the engraver reckons with columns, ink is measured at heads,
/// which are some thousandths off where they are displaced.
const EXACT: f64 = 0.02;

/// How many stretches of a ragged line are tried.
const STEPS: u8 = 200;

/// A line as far as it is judged.
#[derive(Clone, Copy)]
struct Judged {
    from: u32,
    until: u32,
    stretch: f64,
    /// That of which a tenth of its distances are narrower.
    tightest: f64,
    /// Whether it has whole phrases.
    phrased: bool,
}

impl Judged {
    fn of(line: &System, score: &Score) -> Self {
        // A line of few notes does not show how far it is stretched.
        let shown = if line.stretch > 0.0 { stretch(line, score) } else { None };
        Self {
            from: line.bars.start,
            until: line.bars.end,
            stretch: shown.unwrap_or(line.stretch),
            tightest: tightest(line, score).unwrap_or(line.stretch),
            phrased: is_phrased(line, score),
        }
    }

    /// The same bars set partly like another line of them.
    fn towards(&self, other: &Self, part: f64) -> Self {
        let between = |one: f64, other: f64| one * (other / one).powf(part);
        Self {
            stretch: between(self.stretch, other.stretch),
            tightest: between(self.tightest, other.tightest),
            ..*self
        }
    }

    fn is_pressed(&self) -> bool {
        self.stretch <= 0.0
    }

    /// What is noticed of it by itself; the last of `bars` may be lone.
    fn noticed(&self, bars: u32) -> f64 {
        let lone = self.until == bars && self.until - self.from < 2 && self.from > 0;
        let beyond = if self.is_pressed() {
            PRESSED
        } else {
            let alone = self.from == 0 && self.until == bars;
            let loose = if alone { *ALONE.end() } else { loosest(self.phrased) };
            let cramped = (STRETCH.start() / self.stretch).max(STRETCH.start() / self.tightest);
            noticed((self.stretch / loose).ln()) + noticed(2.0 * cramped.ln())
        };
        beyond + if lone { LONE } else { 0.0 }
    }

    /// What is noticed between it and the line before.
    fn unlike(&self, before: &Self) -> f64 {
        if self.is_pressed() || before.is_pressed() {
            return 0.0;
        }
        let ratio = (self.stretch / before.stretch).ln().abs();
        let alike = if self.phrased && before.phrased { ALIKE_PHRASED } else { ALIKE };
        noticed(ratio - alike.ln())
    }
}

fn noticed(beyond: f64) -> f64 {
    let beyond = beyond.max(0.0);
    beyond + 8.0 * beyond * beyond
}

/// What is noticed of lines that follow one another.
fn of_lines(lines: &[Judged], bars: u32) -> f64 {
    let own: f64 = lines.iter().map(|line| line.noticed(bars)).sum();
    own + lines.windows(2).map(|pair| pair[1].unlike(&pair[0])).sum::<f64>()
}

/// The least that is noticed of any lines put together from some.
fn least(every: &[Judged], bars: u32) -> f64 {
    let mut ending: BTreeMap<u32, Vec<(Judged, f64)>> = BTreeMap::new();
    let mut every = every.to_vec();
    every.sort_by_key(|line| (line.until, line.from));
    // A last line that may be ragged is there twice, filled and as narrow as it may be.
    for ways in every.chunk_by(|one, other| (one.from, one.until) == (other.from, other.until)) {
        let before = ending.get(&ways[0].from).map_or(&[][..], Vec::as_slice);
        let set: Vec<Judged> = match ways {
            [one, other] => (0..=STEPS)
                .map(|step| one.towards(other, f64::from(step) / f64::from(STEPS)))
                .collect(),
            _ => vec![ways[0]],
        };
        let sum = |line: &Judged| {
            let joined = before.iter().map(|(other, sum)| sum + line.unlike(other));
            let opening = if line.from == 0 { 0.0 } else { f64::INFINITY };
            joined.fold(opening, f64::min) + line.noticed(bars)
        };
        let sums: Vec<(Judged, f64)> = set.into_iter().map(|line| (line, sum(&line))).collect();
        ending.entry(ways[0].until).or_default().extend(sums);
    }
    let whole = ending.get(&bars).map_or(&[][..], Vec::as_slice);
    whole.iter().map(|(_, sum)| *sum).fold(f64::INFINITY, f64::min)
}

/// Lines stretched or pressed too far, unlike their neighbours or of one bar at the end,
/// where there is another way to break the music of which less is noticed. `every` has
/// [each line there could be](crate::every_line); it is asked for only where
/// there is something to better.
#[must_use]
pub fn bettered_breaks(
    systems: &[System],
    score: &Score,
    every: impl FnOnce() -> Vec<System>,
) -> Vec<(usize, Fault)> {
    let mut faults = uneven_lines(systems, score);
    faults.extend(lone_last_bar(systems));
    if faults.is_empty() {
        return faults;
    }
    let bars = systems.last().map_or(0, |line| line.bars.end);
    let judged = |lines: &[System]| -> Vec<Judged> {
        lines.iter().map(|line| Judged::of(line, score)).collect()
    };
    let ours = of_lines(&judged(systems), bars);
    if ours > least(&judged(&every()), bars) + EXACT { faults } else { Vec::new() }
}
