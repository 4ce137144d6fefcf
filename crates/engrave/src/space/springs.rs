//! The springs of one bar.

use apoyando_music::{Bar, Duration, EventMark, Moment};

use super::{STRETCHES, breaths, glides};
use crate::notate::{self, Chord, Contour, Staff, StaffBar, ossias};
use crate::place;
use crate::style::Style;

/// Ideal distance of quarters; it grows with the square root of the length
/// (whole 7, half 5, eighth 2.5, sixteenth 1.75: Ross and Gould, from memory).
const QUARTER: f64 = 3.5;
/// Clear distance from a barline to a head, and to an accidental.
const BAR_TO_HEAD: f64 = 1.5;
const BAR_TO_INK: f64 = 0.6;
/// Clear distance from a barline to a syllable.
const BAR_TO_LETTERS: f64 = 0.2;
/// Clear distance from a head to a barline.
const HEAD_TO_BAR: f64 = 1.0;
/// Clear distance of the ink of neighbouring onsets.
const INK: f64 = 0.3;
/// What the ideal of the last note of a bar is shortened by: the barline
/// brings its own white.
const BAR_WHITE: f64 = 0.5;

/// What a tie that arrives from the line before adds to the white at its
/// beginning.
const TIE_ROOM: f64 = 1.0;

/// What a tie within a bar needs beside the heads.
const TIE_LENGTH: f64 = 2.15;

/// What a tie into nothing needs beside the heads.
const RING_ROOM: f64 = place::RING + 0.5;

/// Ideal and least width of a long rest with the white after it. House.
const LONG_REST: (f64, f64) = (14.0, 9.0);

/// Equal times of a bar are not less than so many times as wide as the widest of
/// them must be: no distance is then two fifths wider than another. More would be taken
/// from the other bars of the line. House.
const GO_ALONG: f64 = 0.72;

#[derive(Clone, Copy, Debug)]
struct Spring {
    ideal: f64,
    least: f64,
    /// What equal times go along with: the least, but for grace notes, whose room is their own.
    example: f64,
}

impl Spring {
    const fn new(ideal: f64, least: f64) -> Self {
        Self { ideal, least, example: least }
    }
}

/// The springs of a bar: from the barline to the first onset (which does not
/// stretch), between onsets, and from the last one to the barline.
#[derive(Clone, Debug)]
pub struct BarSprings {
    pub onsets: Vec<Moment>,
    first: f64,
    /// What the first onset needs to its left at the beginning of a line,
    /// where the signs have brought their own white.
    first_in_line: f64,
    springs: Vec<Spring>,
    /// The distances by which a reader takes the stretch.
    shown: Vec<Shown>,
}

/// A distance from a note to the next, where no rest comes between.
#[derive(Clone, Debug)]
struct Shown {
    /// Index of its spring.
    spring: usize,
    /// What it is where nothing is stretched.
    natural: f64,
}

impl BarSprings {
    /// One spring and nothing else.
    #[cfg(test)]
    pub fn single(ideal: f64, least: f64) -> Self {
        let springs = vec![Spring::new(ideal, least)];
        Self { springs, ..Self::nothing() }
    }

    /// A bar in which a long rest begins.
    pub fn of_long_rest() -> Self {
        let springs = vec![Spring::new(LONG_REST.0, LONG_REST.1)];
        Self { first: BAR_TO_HEAD, springs, ..Self::nothing() }
    }

    /// A bar that takes no room of its own.
    pub const fn nothing() -> Self {
        Self {
            onsets: Vec::new(),
            first: 0.0,
            first_in_line: 0.0,
            springs: Vec::new(),
            shown: Vec::new(),
        }
    }

    /// What each of its distances between onsets is a distance of, with what equal ones go
    /// along with.
    pub fn times(&self) -> impl Iterator<Item = (Duration, f64)> {
        let times = self.onsets.windows(2).map(|pair| pair[1] - pair[0]);
        times.zip(&self.springs).map(|(time, spring)| (time, spring.example))
    }

    /// Makes the distances between onsets no narrower than `least` says of their times, so
    /// far as that leaves them below `most` times what they would like to be.
    pub fn widen(&mut self, least: impl Fn(Duration) -> f64, most: f64) {
        for (pair, spring) in self.onsets.windows(2).zip(&mut self.springs) {
            let least = least(pair[1] - pair[0]).min(most * spring.ideal);
            spring.least = spring.least.max(least);
        }
    }

    /// From the barline to the first onset.
    pub const fn before_first(&self) -> f64 {
        self.first
    }

    /// Makes what is from an onset to the end of the bar at least so wide: what is missing is
    /// shared by the distances there.
    pub fn widen_from(&mut self, from: Moment, least: f64) {
        let Some(at) = self.onsets.iter().position(|onset| *onset == from) else { return };
        let springs = &mut self.springs[at..];
        let missing = least - springs.iter().map(|spring| spring.least).sum::<f64>();
        let each = missing.max(0.0) / springs.len().max(1) as f64;
        springs.iter_mut().for_each(|spring| spring.least += each);
    }

    /// Width at each of [`STRETCHES`].
    pub fn widths(&self) -> [f64; STRETCHES.len()] {
        STRETCHES.map(|stretch| self.width(stretch))
    }

    /// Width at a stretch.
    pub fn width(&self, stretch: f64) -> f64 {
        self.first + self.springs.iter().map(|s| s.least.max(s.ideal * stretch)).sum::<f64>()
    }

    /// The distances from note to note at a stretch, by what they naturally are.
    pub fn shown(&self, stretch: f64) -> impl Iterator<Item = f64> {
        self.shown.iter().map(move |Shown { spring, natural }| {
            let Spring { ideal, least, .. } = self.springs[*spring];
            least.max(ideal * stretch) / natural
        })
    }

    /// What the bar is narrower by at the beginning of a line.
    pub fn saved_in_line(&self) -> f64 {
        self.first - self.first_in_line
    }

    /// Length of every spring at a stretch.
    pub fn lengths(&self, stretch: f64, at_line_start: bool) -> Vec<f64> {
        let first = if at_line_start { self.first_in_line } else { self.first };
        let rest = self.springs.iter().map(|s| s.least.max(s.ideal * stretch));
        if self.onsets.is_empty() {
            return vec![first + rest.sum::<f64>()];
        }
        std::iter::once(first).chain(rest).collect()
    }
}

/// Ideal distance after a note of so long a time.
pub fn ideal(length: Duration) -> f64 {
    QUARTER * (length.whole_notes() * 4.0).clamp(1.0 / 64.0, 16.0).sqrt()
}

/// The shortest value that sounds at a moment on any staff.
fn shortest(bars: &[&StaffBar], from: Moment) -> Option<Duration> {
    bars.iter()
        .flat_map(|bar| {
            let chords = bar.chords.iter().map(|c| (c.onset, c.duration));
            let rests = bar
                .rests
                .iter()
                .filter(|r| r.drawn && !r.whole_bar)
                .map(|r| (r.onset, r.end - r.onset));
            // The notes of a cue want their room, too.
            let cue = bar.cue.iter().flat_map(|cue| &cue.bar.chords);
            let cue = cue.map(|chord| (chord.onset, chord.duration));
            chords.chain(rests).chain(cue).chain(bar.gaps.iter().copied())
        })
        .filter(|(onset, length)| *onset <= from && from < *onset + *length)
        .map(|(_, length)| length)
        .min()
}

/// Whether the stems after one another on a staff look nearer or farther
/// apart than they are.
fn optical(bar: &StaffBar, from: Moment, to: Moment) -> f64 {
    if bar.shared {
        return 0.0;
    }
    let side = |onset: Moment| {
        bar.chords
            .iter()
            .find(|c| c.onset == onset)
            .filter(|c| crate::notate::has_stem(c) && c.beam.is_none())
            .map(|c| c.up)
    };
    match (side(from), side(to)) {
        (Some(true), Some(false)) => 0.35,
        (Some(false), Some(true)) => -0.2,
        _ => 0.0,
    }
}

/// How far some chords of an onset of a staff reach to the right with their dots;
/// `None` if there are none of them.
fn right_side(bar: &StaffBar, from: Moment, some: impl Fn(&Chord) -> bool) -> Option<f64> {
    let chords = || bar.chords.iter().filter(|chord| chord.onset == from && some(chord));
    chords().next()?;
    let heads = chords()
        .flat_map(|c| c.heads.iter().map(|h| c.shift + h.x + h.glyph.width()))
        .fold(0.0, f64::max);
    let dots = chords()
        .filter(|chord| chord.value.dots > 0)
        .map(|chord| chord.dots_x + notate::dot_offset(chord.value.dots - 1) + 0.4);
    Some(dots.fold(heads, f64::max))
}

/// How far apart two onsets of a staff must be for the ties between them to
/// be seen beside heads and dots; 0 where there are none.
fn tied_over(bar: &StaffBar, from: Moment, to: Moment) -> f64 {
    let tied = |chord: &Chord| chord.heads.iter().any(|head| head.tied_to.is_some());
    let Some(right) = right_side(bar, from, tied) else { return 0.0 };
    let next = bar
        .chords
        .iter()
        .filter(|c| c.onset == to)
        .flat_map(|c| c.heads.iter().map(|h| c.shift + h.x))
        .fold(0.0, f64::min);
    right - next + TIE_LENGTH
}

/// How far right of an onset of a staff the ties into nothing reach; 0 where
/// there are none.
fn rings(bar: &StaffBar, from: Moment) -> f64 {
    let ringing = |chord: &Chord| chord.marks.contains(&EventMark::LetRing);
    right_side(bar, from, ringing).map_or(0.0, |right| right + RING_ROOM)
}

/// How far apart two onsets of a staff must be for that.
fn rung_over(bar: &StaffBar, from: Moment, to: Moment) -> f64 {
    let rings = rings(bar, from);
    let next = bar.stacks.iter().find(|stack| stack.onset == to);
    let left = next.map_or(0.0, |stack| stack.contour.leftmost().min(0.0));
    if rings > 0.0 { rings - left } else { 0.0 }
}

/// The springs of a bar of the score.
pub fn of_bar(bar: &Bar, index: usize, staves: &[Staff], style: &Style) -> BarSprings {
    let small: Vec<StaffBar> = staves
        .iter()
        .filter_map(|staff| staff.ossia.as_ref())
        .map(|ossia| ossias::room(&ossia.bars[index]))
        .collect();
    let bars: Vec<&StaffBar> =
        staves.iter().map(|staff| &staff.bars[index]).chain(&small).collect();
    let mut onsets: Vec<Moment> =
        bars.iter().flat_map(|bar| bar.stacks.iter().map(|stack| stack.onset)).collect();
    onsets.sort_unstable();
    onsets.dedup();
    let density = if style.density.is_finite() { style.density.clamp(0.3, 4.0) } else { 1.0 };
    // Dynamics of a staff without onsets.
    let silent = bars.iter().filter(|bar| bar.stacks.is_empty());
    let loud = silent.map(|bar| bar.loudness.width()).fold(0.0, f64::max);
    if onsets.is_empty() {
        let room = (ideal(bar.length) * density).max(6.0);
        let springs = vec![Spring::new(room, loud.max(5.0))];
        return BarSprings { first: BAR_TO_HEAD, springs, ..BarSprings::nothing() };
    }
    let mut fronts = vec![Contour::EMPTY; bars.len()];
    let mut cursors = vec![0usize; bars.len()];
    let mut left = 0.0_f64;
    let mut least_at = Vec::with_capacity(onsets.len());
    let mut x = 0.0;
    for (number, onset) in onsets.iter().enumerate() {
        let mut least: f64 = if number == 0 { 0.0 } else { x + 0.6 };
        let mut here = Vec::with_capacity(bars.len());
        for (staff, bar) in bars.iter().enumerate() {
            let stack = bar.stacks.get(cursors[staff]).filter(|stack| stack.onset == *onset);
            if let Some(stack) = stack {
                cursors[staff] += 1;
                if number == 0 {
                    left = left.min(stack.contour.leftmost());
                } else {
                    // A staff that comes in later may still reach back to the
                    // barline.
                    let bar = -BAR_TO_HEAD.max(BAR_TO_INK - left);
                    least = least.max(bar + BAR_TO_INK - stack.contour.leftmost());
                    if let Some(need) = fronts[staff].distance(&stack.contour, INK) {
                        least = least.max(need);
                    }
                }
            }
            here.push(stack);
        }
        for (front, stack) in fronts.iter_mut().zip(here) {
            if let Some(stack) = stack {
                front.join(&stack.contour, least);
            }
        }
        least_at.push(least);
        x = least;
    }
    let end = bar.end_moment();
    let mut springs = Vec::with_capacity(onsets.len());
    for (number, onset) in onsets.iter().enumerate() {
        let last = number + 1 == onsets.len();
        let next = onsets.get(number + 1).copied().unwrap_or(end);
        let length = next - *onset;
        let shortest = shortest(&bars, *onset).unwrap_or(length);
        let whole = shortest.whole_notes();
        let part = if whole > 0.0 { length.whole_notes() / whole } else { 1.0 };
        let mut want = ideal(shortest) * part.clamp(0.05, 64.0) * density;
        let mut least;
        if last {
            want = (want - BAR_WHITE).max(1.0);
            let ink = fronts.iter().map(Contour::rightmost).fold(0.0, f64::max);
            least = (ink - least_at[number]) + HEAD_TO_BAR;
            least = bars.iter().map(|bar| rings(bar, *onset)).fold(least, f64::max);
            let loud = fronts.iter().filter_map(Contour::loudness_right);
            least = loud.map(|right| right - least_at[number]).fold(least, f64::max);
            let sung = fronts.iter().filter_map(Contour::lyrics_right);
            least = sung.map(|right| right - least_at[number]).fold(least, f64::max);
        } else {
            want += bars.iter().map(|bar| optical(bar, *onset, next)).fold(0.0, |a, b| a + b)
                / bars.len().max(1) as f64;
            least = least_at[number + 1] - least_at[number];
            least = bars.iter().map(|bar| tied_over(bar, *onset, next)).fold(least, f64::max);
            least = bars.iter().map(|bar| rung_over(bar, *onset, next)).fold(least, f64::max);
            let glides = staves.iter().map(|staff| glides::room(staff, index, *onset, next));
            let ossias = staves.iter().filter_map(|staff| staff.ossia.as_ref());
            let small =
                ossias.map(|ossia| ossias::SCALE * glides::room(ossia, index, *onset, next));
            least = glides.chain(small).fold(least, f64::max);
        }
        least = bars.iter().map(|bar| breaths::room(bar, *onset, next)).fold(least, f64::max);
        least = least.max(0.0);
        let graced = |at: &Moment| {
            let mut chords = bars.iter().flat_map(|bar| &bar.chords);
            chords.any(|chord| chord.onset == *at && !chord.graces.is_empty())
        };
        let example = if onsets.get(number + 1).is_some_and(graced) { 0.0 } else { least };
        springs.push(Spring { ideal: want, least, example });
    }
    let least: f64 = springs.iter().map(|spring| spring.least).sum();
    if let Some(last) = springs.last_mut() {
        last.least += (loud - least).max(0.0);
    }
    // Syllables stand between their barlines.
    let sung = |bar: &&StaffBar| bar.stacks.first().map_or(0.0, |s| s.contour.lyrics_left());
    let at_first =
        bars.iter().filter(|bar| bar.stacks.first().is_some_and(|s| s.onset == onsets[0]));
    let sung = at_first.map(sung).fold(0.0, f64::min);
    let first = BAR_TO_HEAD.max(BAR_TO_INK - left).max(BAR_TO_LETTERS - sung);
    // Dynamics under a silence that is not printed stand before the first onset.
    let early = bars.iter().map(|bar| bar.loudness.before(onsets[0])).fold(0.0, f64::max);
    let early = if early > 0.0 { BAR_TO_HEAD + early - left } else { 0.0 };
    let first = first.max(early);
    // A tie or a glissando from the line before needs to be seen.
    let glides = staves.iter().any(|staff| glides::arrives(staff, index));
    let arrives = glides
        || bars.iter().any(|bar| {
            bar.stacks.first().is_some_and(|stack| {
                let mut heads = stack.chords.iter().flat_map(|chord| &bar.chords[*chord].heads);
                heads.any(|head| head.tied_from.is_some())
            })
        });
    let first_in_line = (-left - 0.9).max(if arrives { TIE_ROOM } else { 0.0 }).max(early);
    even_out(&mut springs, &onsets);
    let shown = shown(&bars, &onsets);
    BarSprings { onsets, first, first_in_line, springs, shown }
}

/// Where ink keeps one distance wide, equal times of the bar go along, so that
/// none of them jumps.
fn even_out(springs: &mut [Spring], onsets: &[Moment]) {
    let time = |at: usize| onsets[at + 1] - onsets[at];
    let count = onsets.len().saturating_sub(1);
    for at in 0..count {
        let equal = (0..count).filter(|other| time(*other) == time(at));
        let widest = equal.map(|other| springs[other].example).fold(0.0, f64::max);
        springs[at].least = springs[at].least.max(GO_ALONG * widest);
    }
}

/// The distances from note to note of a bar.
fn shown(bars: &[&StaffBar], onsets: &[Moment]) -> Vec<Shown> {
    let struck =
        |onset: &Moment| bars.iter().any(|bar| bar.chords.iter().any(|c| c.onset == *onset));
    let pairs = onsets.windows(2).enumerate().filter_map(|(spring, pair)| {
        if !pair.iter().all(struck) {
            return None;
        }
        let shortest = shortest(bars, pair[0])?;
        let times = (pair[1] - pair[0]).whole_notes() / shortest.whole_notes();
        Some(Shown { spring, natural: ideal(shortest) * times })
    });
    pairs.collect()
}
