//! Ossias: what may be played instead of some bars, on small staves above them.
//!
//! An ossia is placed like any staff, on a line drawn larger by as much as it is then made
//! smaller; so its notes stand over those of the staff.

use apoyando_music::BarIndex;

use super::line::Line;
use crate::Sheet;
use crate::drawing::{Face, Kind, Owner, Stain};
use crate::font::{self, table};
use crate::geometry::{Stage, bounds, scaled};
use crate::notate::Staff;
use crate::notate::ossias::SCALE;
use crate::place::{self, BarFrame, Frame, ink};
use crate::signs::BarLine;
use crate::style::Style;

/// Clear space to the ink below it. House.
const CLEAR: f64 = 1.2;
/// White between a barline and a head.
const AFTER_BARLINE: f64 = 1.5;
/// Em of the word over it, and the white under that. House.
const WORD: f64 = 1.7;
const WORD_CLEAR: f64 = 0.5;

/// Draws the ossias of a staff on a line of music, outside of everything so far.
pub fn draw(stage: &mut Stage, sheet: &Sheet<'_>, style: &Style, frame: &Frame, staff: &Staff) {
    let part = sheet.score.part(staff.part);
    let (Some(score), Some(ossia)) = (&part.ossia, &staff.ossia) else { return };
    let here: Vec<bool> = frame.bars.iter().map(|bar| part.has_ossia(bar.index)).collect();
    if !here.contains(&true) {
        return;
    }
    let line = Line::of(sheet, style, frame);
    let large = enlarged(frame);
    let mut stains: Vec<Stain> = place::stage(score, ossia, &large)
        .stains
        .into_iter()
        .filter_map(|stain| small(stain, &line))
        // Its other bars are those of the staff, rests that fill them are not printed.
        .filter(|stain| match stain.owner {
            Owner::Bar(bar) => part.has_ossia(bar.0 as usize),
            _ => true,
        })
        .collect();
    let runs = runs(&here);
    for (from, to) in &runs {
        stains.extend(staff_of(&frame.bars[*from..=*to], left_of(frame, *from)));
    }
    // All of a line of music stand on one level.
    let low = stains.iter().map(|stain| bounds(&stain.ink).low).fold(f64::MAX, f64::min);
    let edges = |(from, to): &(usize, usize)| (left_of(frame, *from), frame.bars[*to].end);
    let reach =
        runs.iter().map(edges).map(|(left, right)| stage.above.reach(left - 1.0, right + 1.0));
    let y = reach.fold(2.0, f64::max) + CLEAR - low;
    for stain in stains {
        stage.add(stain.moved(0.0, y));
    }
    let size = style.em(WORD);
    for (left, _) in runs.iter().map(edges) {
        let width = font::text_width(Face::Italic, size, "ossia");
        let left = left.min(stage.right - width);
        let near = stage.above.reach(left, left + width) + WORD_CLEAR;
        let (_, fall) = font::text_ascent(Face::Italic, size);
        let at = (left, near + fall);
        let owner = line.owner_at(left);
        stage.add(ink::text("ossia", Face::Italic, size, at, Kind::CueName, owner));
    }
}

/// Bars that follow one another.
fn runs(here: &[bool]) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (at, _) in here.iter().enumerate().filter(|(_, here)| **here) {
        match runs.last_mut() {
            Some(run) if run.1 + 1 == at => run.1 = at,
            _ => runs.push((at, at)),
        }
    }
    runs
}

/// A line of music drawn so large that, made smaller, it is what it was.
fn enlarged(frame: &Frame) -> Frame {
    let bars = frame.bars.iter().map(|bar| BarFrame {
        index: bar.index,
        change: None,
        start: bar.start / SCALE,
        end: bar.end / SCALE,
        barline: BarLine::None,
        columns: bar.columns.iter().map(|(at, x)| (*at, x / SCALE)).collect(),
    });
    Frame {
        first: false,
        named: frame.named,
        left: frame.left / SCALE,
        repeat: None,
        music: frame.music / SCALE,
        right: frame.right / SCALE,
        warning: None,
        bars: bars.collect(),
        squeezed: frame.squeezed,
    }
}

/// A stain of the large line made smaller; what belongs to the staff is drawn anew. Its
/// notes are not those of the score: it belongs to its bar.
fn small(stain: Stain, line: &Line<'_>) -> Option<Stain> {
    let kind = match stain.kind {
        Kind::StaffLine
        | Kind::BarLine
        | Kind::Clef
        | Kind::KeySignature
        | Kind::TimeSignature
        | Kind::RepeatDots => return None,
        Kind::Head => Kind::GraceHead,
        Kind::Accidental => Kind::GraceAccidental,
        Kind::LedgerLine => Kind::GraceLedgerLine,
        Kind::Stem | Kind::Flag | Kind::Beam | Kind::Dot => Kind::GraceStem,
        Kind::Tie => Kind::Slur,
        kind => kind,
    };
    let ink = scaled(stain.ink, SCALE, 0.0);
    let owner = line.owner_at(bounds(&ink).left);
    Some(Stain { ink, kind, owner })
}

/// Where a small staff over a bar begins: at its barline, or, at the beginning of a line, so
/// far before its notes as they would stand after one.
fn left_of(frame: &Frame, bar: usize) -> f64 {
    let start = frame.bars[bar].start;
    if bar == 0 { (start - AFTER_BARLINE).max(frame.left) } else { start }
}

/// The lines and barlines of a small staff over some bars.
fn staff_of(bars: &[BarFrame], left: f64) -> Vec<Stain> {
    let (Some(first), Some(last)) = (bars.first(), bars.last()) else { return Vec::new() };
    let owner = Owner::Bar(BarIndex(first.index as u32));
    let thin = SCALE * table::THIN_BARLINE_THICKNESS;
    let right = last.end + table::THIN_BARLINE_THICKNESS;
    let mut stains: Vec<Stain> = (-2..=2)
        .map(|line| {
            let y = SCALE * f64::from(line);
            let thickness = SCALE * table::STAFF_LINE_THICKNESS;
            ink::line((left, y), (right, y), thickness, Kind::OssiaLine, owner)
        })
        .collect();
    let ends = bars.iter().map(|bar| bar.end + table::THIN_BARLINE_THICKNESS - thin / 2.0);
    for x in std::iter::once(left + thin / 2.0).chain(ends) {
        let half = 2.0 * SCALE;
        stains.push(ink::line((x, -half), (x, half), thin, Kind::OssiaLine, owner));
    }
    stains
}
