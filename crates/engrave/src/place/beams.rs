//! Beams: slope, height and parts.

use apoyando_music::Duration;

use super::{BarFrame, PlacedChord, ink, notes};
use crate::drawing::{Kind, Owner};
use crate::font::{Glyph, table};
use crate::geometry::{Rect, Stage};
use crate::notate::{self, height};

/// Greatest rise by interval of the outer notes: unison, second, third …
/// octave (Ross and Gould, from memory).
const RISE: [f64; 8] = [0.0, 0.25, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0];
/// Greatest rise by run.
const STEEPEST: f64 = 0.25;
/// From the middle of one beam to the middle of the next.
pub const PITCH: f64 = table::BEAM_THICKNESS + table::BEAM_SPACING;
/// Length of a beam that no neighbour shares.
const STUB: f64 = 1.1;
/// Where an accidental comes next it is shorter, but no shorter than can be seen.
const CLEAR_OF_SIGN: f64 = 0.15;
const SHORTEST_STUB: f64 = 0.6;
/// Clear space to the ink of other voices, and what striking any of it costs: as much as
/// stems four spaces longer than usual.
const CLEAR: f64 = 0.1;
const STRIKES: f64 = 20.0;
/// What it costs to cut through an outer line of the staff, from within to without, and the
/// rise up to which a beam comes from hanging to sitting and cuts nothing.
const CUTS: f64 = 2.0;
const HANGS_TO_SITS: f64 = 0.5;
/// Clear space between the beams of two voices beyond that.
const WEDGE: f64 = 0.45;

/// The middle line of the outermost beam of a group.
#[derive(Clone, Copy, Debug)]
pub struct Beam {
    x: f64,
    y: f64,
    slope: f64,
    side: f64,
}

impl Beam {
    /// A level one on a side of its notes.
    pub const fn level(y: f64, up: bool) -> Self {
        Self { x: 0.0, y, slope: 0.0, side: if up { 1.0 } else { -1.0 } }
    }

    fn at(&self, x: f64) -> f64 {
        self.y + self.slope * (x - self.x)
    }

    /// Its beams from stem to stem.
    fn areas(&self, placed: &[PlacedChord<'_>], group: &[usize]) -> Vec<Rect> {
        let beams = group.iter().map(|at| placed[*at].chord.value.base.flags()).max().unwrap_or(1);
        let half = table::BEAM_THICKNESS / 2.0;
        let inward = self.y - self.side * PITCH * f64::from(beams.max(1) - 1);
        let (low, high) = (self.y.min(inward) - half, self.y.max(inward) + half);
        // So near that their wedge is seen no two beams come.
        let (low, high) = (low - WEDGE, high + WEDGE);
        let pieces = group.windows(2).map(|pair| (placed[pair[0]].stem_x, placed[pair[1]].stem_x));
        pieces
            .map(|(from, to)| {
                let rises = [from, to].map(|x| self.at(x) - self.y);
                let (least, most) = (rises[0].min(rises[1]), rises[0].max(rises[1]));
                Rect::new(from, low + least, to, high + most)
            })
            .collect()
    }
}

/// A note under a beam, turned so that its stem points up.
struct Under {
    x: f64,
    head: f64,
    /// Step of the outermost head.
    step: i32,
    beams: u8,
    /// Shorter where the stem points out of the staff in two voices.
    shorter: f64,
    ledger: bool,
}

impl Under {
    /// Least length from head to the middle of the outermost beam.
    fn least(&self) -> f64 {
        let inner = if self.beams > 1 { 1.75 } else { 2.0 };
        inner + table::BEAM_THICKNESS / 2.0 + PITCH * f64::from(self.beams.max(1) - 1)
    }

    fn ideal(&self) -> f64 {
        let more = PITCH * f64::from(self.beams.saturating_sub(2));
        (3.25 + more - self.shorter).max(self.least())
    }
}

/// An accidental under a beam, turned so that stems point up: its middle, and the least
/// height there of the middle of the outermost beam.
struct Sign {
    x: f64,
    least: f64,
}

/// The accidentals before a chord, with the step of their heads and where they begin.
fn accidentals(placed: &PlacedChord<'_>) -> impl Iterator<Item = (i32, &'static Glyph, f64)> {
    let column = placed.x - placed.chord.shift;
    let signs = placed.chord.heads.iter().filter_map(|head| Some((head.step, head.accidental?)));
    signs.map(move |(step, sign)| (step, sign.glyph, column + sign.x))
}

/// The accidentals of a chord that a beam runs over.
fn signs(placed: &PlacedChord<'_>, side: f64) -> impl Iterator<Item = Sign> {
    let beams = f64::from(placed.chord.value.base.flags().max(1) - 1);
    accidentals(placed).map(move |(step, glyph, x)| {
        let outward = if side > 0.0 { glyph.high } else { -glyph.low };
        let top = side * height(step) + outward;
        Sign {
            x: x + glyph.width() / 2.0,
            least: top + CLEAR_OF_SIGN + table::BEAM_THICKNESS / 2.0 + PITCH * beams,
        }
    })
}

/// Decides where the beams of a bar run and lets their stems end there. Voices between
/// others have the first choice: the beams of the outer ones can go round them.
pub fn plan_all(placed: &mut [PlacedChord<'_>], groups: &[Vec<usize>]) -> Vec<Beam> {
    let outward = |group: &Vec<usize>| {
        let side = if placed[group[0]].chord.up { 1 } else { -1 };
        let steps = group.iter().flat_map(|at| &placed[*at].chord.heads);
        steps.map(|head| side * head.step).max().unwrap_or(0)
    };
    let outwards: Vec<i32> = groups.iter().map(outward).collect();
    let mut order: Vec<usize> = (0..groups.len()).collect();
    order.sort_by_key(|at| outwards[*at]);
    let mut beams: Vec<Option<Beam>> = vec![None; groups.len()];
    for at in order {
        let group = &groups[at];
        let mut foreign = strangers(placed, group);
        for (other, beam) in groups.iter().zip(&beams) {
            foreign.extend(beam.iter().flat_map(|beam| beam.areas(placed, other)));
        }
        beams[at] = Some(plan(placed, group, &foreign));
    }
    beams.into_iter().flatten().collect()
}

/// Heads, accidentals and flags of the chords that are not of a group.
fn strangers(placed: &[PlacedChord<'_>], group: &[usize]) -> Vec<Rect> {
    let others = (0..placed.len()).filter(|at| !group.contains(at)).map(|at| &placed[at]);
    let mut areas = Vec::new();
    let mut add = |glyph: &Glyph, x: f64, y: f64| {
        areas.push(Rect::new(glyph.left, glyph.low, glyph.right, glyph.high).moved(x, y));
    };
    for other in others.filter(|other| other.shared) {
        for head in &other.chord.heads {
            add(head.glyph, other.x + head.x, height(head.step));
        }
        for (step, glyph, x) in accidentals(other) {
            add(glyph, x, height(step));
        }
        if let Some(flag) = notate::flag(other.chord) {
            add(flag, other.stem_x - table::STEM_THICKNESS / 2.0, other.tip);
        }
    }
    areas
}

/// Decides where a group's beam runs and lets its stems end there.
fn plan(placed: &mut [PlacedChord<'_>], group: &[usize], foreign: &[Rect]) -> Beam {
    let up = placed[group[0]].chord.up;
    let side = if up { 1.0 } else { -1.0 };
    let under: Vec<Under> = group
        .iter()
        .map(|index| {
            let chord = &placed[*index];
            let heads = &chord.chord.heads;
            let outer = if up { heads.last() } else { heads.first() };
            let step = outer.map_or(0, |head| head.step) * if up { 1 } else { -1 };
            let outward = if chord.shared { 0.25 * f64::from(step.clamp(0, 4)) } else { 0.0 };
            Under {
                x: chord.stem_x,
                head: height(step),
                step,
                beams: chord.chord.value.base.flags(),
                shorter: outward.min(0.75),
                ledger: step < -6,
            }
        })
        .collect();
    let signs: Vec<Sign> = group[1..].iter().flat_map(|at| signs(&placed[*at], side)).collect();
    // Turned as the notes are.
    let turned = |area: &Rect| {
        if up { *area } else { Rect { low: -area.high, high: -area.low, ..*area } }
    };
    let foreign: Vec<Rect> = foreign.iter().map(turned).collect();
    let (y, rise) = settle(&under, &signs, &foreign);
    let (first, last) = (under[0].x, under[under.len() - 1].x);
    let run = (last - first).max(0.1);
    let beam = Beam { x: first, y: side * y, slope: side * rise / run, side };
    for index in group {
        let x = placed[*index].stem_x;
        placed[*index].tip = beam.at(x);
    }
    beam
}

/// The rise a group would like.
fn wanted_rise(under: &[Under]) -> f64 {
    let (first, last) = (&under[0], &under[under.len() - 1]);
    let interval = last.step - first.step;
    let ends = first.step.max(last.step);
    let inner_nearest =
        under.len() > 2 && under[1..under.len() - 1].iter().any(|note| note.step > ends);
    if inner_nearest || repeats(under) {
        return 0.0;
    }
    let most = RISE[(interval.unsigned_abs() as usize).min(RISE.len() - 1)];
    let rise = most.min(STEEPEST * (last.x - first.x));
    f64::from(interval.signum()) * (rise * 4.0).floor() / 4.0
}

/// Whether a pattern of two or more notes is repeated under the beam.
fn repeats(under: &[Under]) -> bool {
    (2..=under.len() / 2)
        .filter(|length| under.len().is_multiple_of(*length))
        .any(|length| under.iter().zip(&under[length..]).all(|(a, b)| a.step == b.step))
}

/// Height of the beam at the first stem, and its rise up to the last.
fn settle(under: &[Under], signs: &[Sign], foreign: &[Rect]) -> (f64, f64) {
    let (first, last) = (under[0].x, under[under.len() - 1].x);
    let run = (last - first).max(0.1);
    let wanted = wanted_rise(under);
    let inward = PITCH * f64::from(under.iter().map(|note| note.beams).max().unwrap_or(1) - 1);
    let over = |area: &&Rect| area.right > first - CLEAR && area.left < last + CLEAR;
    let foreign: Vec<&Rect> = foreign.iter().filter(over).collect();
    let mut best = (f64::MAX, 0.0, 0.0);
    for rise in [wanted, wanted * 0.5, 0.0] {
        let rise = (rise * 4.0).trunc() / 4.0;
        let line = |x: f64| rise * (x - first) / run;
        let least = under
            .iter()
            .map(|note| {
                let least = note.head + note.least() - line(note.x);
                if note.ledger { least.max(-line(note.x)) } else { least }
            })
            .chain(signs.iter().map(|sign| sign.least - line(sign.x)))
            .fold(f64::MIN, f64::max);
        let start = (least * 4.0 - 1e-9).ceil() / 4.0;
        for quarter in 0..if foreign.is_empty() { 12 } else { 18 } {
            let y = start + 0.25 * f64::from(quarter);
            let mut short = f64::MAX;
            let mut sum = 0.0;
            for note in under {
                let over = y + line(note.x) - note.head - note.ideal();
                short = short.min(over);
                sum += over.max(0.0);
            }
            let mean = sum / under.len() as f64;
            let slack = rise - wanted;
            let half = table::BEAM_THICKNESS / 2.0 + CLEAR;
            let strikes = |area: &&&Rect| {
                let ends = [area.left, area.right].map(|x| y + line(x.clamp(first, last)));
                let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
                low - inward - half < area.high && area.low < high + half
            };
            let struck = foreign.iter().filter(strikes).count() as f64;
            let cost = 1.2 * short * short
                + 0.15 * mean * mean
                + 1.5 * slack.abs()
                + STRIKES * struck
                + off_line(y)
                + off_line(y + rise)
                + cuts(y, rise);
            if cost < best.0 {
                best = (cost, y, rise);
            }
        }
    }
    (best.1, best.2)
}

/// Within the staff each end sits on a line, straddles it or hangs from it; a
/// beam in the middle of a space leaves wedges of white.
fn off_line(y: f64) -> f64 {
    let part = y.rem_euclid(1.0);
    if y.abs() < 2.4 && (part - 0.5).abs() < 0.1 { 1.0 } else { 0.0 }
}

/// A slope that begins under an outer line of the staff and ends over it leaves a long wedge
/// between both.
fn cuts(y: f64, rise: f64) -> f64 {
    let half = table::BEAM_THICKNESS / 2.0 - table::STAFF_LINE_THICKNESS / 2.0;
    let (low, high) = (y.min(y + rise), y.max(y + rise));
    let cut = |line: f64| low + half <= line + 1e-9 && line <= high - half + 1e-9;
    if rise.abs() > HANGS_TO_SITS && (cut(2.0) || cut(-2.0)) { CUTS } else { 0.0 }
}

/// Draws all beams of a group.
pub fn draw(
    stage: &mut Stage,
    bar: &BarFrame,
    placed: &[PlacedChord<'_>],
    group: &[usize],
    beam: &Beam,
) {
    let levels = group.iter().map(|i| placed[*i].chord.value.base.flags()).max().unwrap_or(1);
    for level in 1..=levels {
        let mut at = 0;
        while at < group.len() {
            if placed[group[at]].chord.value.base.flags() < level {
                at += 1;
                continue;
            }
            let end = (at..group.len())
                .find(|next| placed[group[*next]].chord.value.base.flags() < level)
                .unwrap_or(group.len());
            let half = table::STEM_THICKNESS / 2.0;
            let mut from = placed[group[at]].stem_x - half;
            let mut to = placed[group[end - 1]].stem_x + half;
            if end - at == 1 {
                let before = at.checked_sub(1).map(|i| placed[group[i]].stem_x);
                let after = group.get(end).map(|i| placed[*i].stem_x);
                if points_back(bar, placed, group, at) {
                    from = before.map_or(from, |x| (to - STUB).max(f64::midpoint(x, to)));
                } else {
                    to = after.map_or(to, |x| (from + STUB).min(f64::midpoint(x, from)));
                    let signs = group.get(end).map(|i| left_of_signs(&placed[*i]));
                    to = to.min(signs.unwrap_or(to) - CLEAR_OF_SIGN).max(from + SHORTEST_STUB);
                }
            }
            strip(stage, placed, group[at], beam, level, (from, to));
            at = end;
        }
    }
}

/// Left side of the accidentals before a chord, or of the chord.
fn left_of_signs(placed: &PlacedChord<'_>) -> f64 {
    accidentals(placed).map(|(_, glyph, x)| x + glyph.left).fold(placed.x, f64::min)
}

/// Whether a lone short beam points back: at the end of a group, or where the
/// note completes a longer unit.
fn points_back(bar: &BarFrame, placed: &[PlacedChord<'_>], group: &[usize], at: usize) -> bool {
    if at == 0 || at + 1 == group.len() {
        return at != 0;
    }
    let chord = placed[group[at]].chord;
    let start = placed[group[0]].chord.onset;
    let double: Duration = chord.duration * 2;
    let _ = bar;
    !((chord.onset - start).ratio() / double.ratio()).is_integer()
}

fn strip(
    stage: &mut Stage,
    placed: &[PlacedChord<'_>],
    first: usize,
    beam: &Beam,
    level: u8,
    (from, to): (f64, f64),
) {
    let inward = -beam.side * PITCH * f64::from(level - 1);
    let half = table::BEAM_THICKNESS / 2.0;
    let (left, right) = (beam.at(from) + inward, beam.at(to) + inward);
    let corners =
        [(from, left - half), (to, right - half), (to, right + half), (from, left + half)];
    let owner = Owner::Note(notes::speaker(placed[first].chord));
    stage.add(ink::polygon(&corners, Kind::Beam, owner));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(x: f64, step: i32, beams: u8) -> Under {
        Under { x, head: height(step), step, beams, shorter: 0.0, ledger: step < -6 }
    }

    /// Every group of four notes on every other step, in eighths and
    /// sixteenths: limits of slope, room for the heads, no end in the middle
    /// of a space unless nothing else is possible.
    #[test]
    fn beams_keep_their_limits() {
        for code in 0..8i32.pow(4) {
            let steps: Vec<i32> = (0..4).map(|at| 2 * (code / 8i32.pow(at) % 8) - 10).collect();
            for beams in [1, 2, 3] {
                let under: Vec<Under> = steps
                    .iter()
                    .enumerate()
                    .map(|(at, step)| note(2.5 * at as f64, *step, beams))
                    .collect();
                let (y, rise) = settle(&under, &[], &[]);
                let run = 7.5;
                let interval = (steps[3] - steps[0]).unsigned_abs() as usize;
                assert!(rise.abs() <= RISE[interval.min(7)] + 1e-9, "{steps:?}");
                assert!(rise.abs() <= STEEPEST * run + 1e-9, "{steps:?}");
                assert!(rise == 0.0 || (rise > 0.0) == (steps[3] > steps[0]), "{steps:?}");
                for note in &under {
                    let beam = y + rise * note.x / run;
                    let inner = beam - 0.25 - PITCH * f64::from(beams - 1) - note.head;
                    let wanted = if beams > 1 { 1.75 } else { 2.0 };
                    assert!(inner >= wanted - 1e-9, "{steps:?}: {inner}");
                    assert!(!note.ledger || beam >= -1e-9, "{steps:?}: {beam}");
                }
                assert!(off_line(y) + off_line(y + rise) < 2.0, "{steps:?}: {y} {rise}");
            }
        }
    }

    /// Low E, D, G♯ and B, from far below the staff: the beam is over the staff, and not half in it.
    #[test]
    fn a_beam_does_not_cut_the_outer_line() {
        let steps = [-11, -5, -2, 0];
        let under: Vec<Under> =
            steps.iter().enumerate().map(|(at, step)| note(3.0 * at as f64, *step, 1)).collect();
        let (y, rise) = settle(&under, &[], &[]);
        assert!(rise > HANGS_TO_SITS && y >= 2.0 - 1e-9, "{y} {rise}");
        // Where that would make the stems far too long, it does.
        let low: Vec<Under> = [-14, -10, -6, -3]
            .into_iter()
            .enumerate()
            .map(|(at, step)| note(3.0 * at as f64, step, 1))
            .collect();
        assert!(settle(&low, &[], &[]).0 < 1.0);
    }

    #[test]
    fn an_inner_note_or_a_pattern_makes_a_beam_level() {
        let level = [
            vec![note(0.0, 0, 1), note(2.5, 3, 1), note(5.0, 1, 1)],
            vec![note(0.0, -4, 1), note(2.5, 0, 1), note(5.0, -4, 1), note(7.5, 0, 1)],
        ];
        for group in level {
            assert_eq!(settle(&group, &[], &[]).1, 0.0);
        }
        let rising = [note(0.0, -4, 1), note(2.5, -3, 1), note(5.0, -2, 1)];
        assert!(settle(&rising, &[], &[]).1 > 0.0);
    }
}
