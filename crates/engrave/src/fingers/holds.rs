//! Hold lines: the digit of a finger that stays down, and a line to the note it stops again.
//! They stand over the staff, those of a lower voice under it, in the order of their notes,
//! and are solid, as a barre's is, for the finger lies. Over a line break they stay open
//! and begin again with the digit in parentheses.

use apoyando_marks::{HoldMark, LeftMark, Marks};

use super::clear;
use super::extent::{Extent, put_extent};
use super::sign::{Digit, Sizes, Text};
use crate::drawing::{Face, Kind, Owner};
use crate::geometry::{PlacedHead, Side, Stage};

/// A hold on a line of music.
struct Line {
    mark: HoldMark,
    above: bool,
    /// Left side of its digit.
    left: f64,
    end: f64,
    /// Whether it comes from the line before, and goes on to the next.
    broken: (bool, bool),
}

/// Puts the hold lines of a part on its staff.
pub fn place(marks: &Marks, sizes: &Sizes, stage: &mut Stage) {
    let mut lines: Vec<Line> =
        marks.holds.iter().filter_map(|mark| on_stage(mark, stage)).collect();
    lines.sort_by(|a, b| a.left.total_cmp(&b.left));
    for line in lines {
        put(&line, sizes, stage);
    }
}

fn on_stage(mark: &HoldMark, stage: &Stage) -> Option<Line> {
    let (from, to) = (stage.head(mark.from), stage.head(mark.to));
    let known = from.or(to).map(|head| head.side).or_else(|| {
        // Both its ends stand on other lines.
        let (first, last) = (stage.heads.first()?.note, stage.heads.last()?.note);
        (mark.from < first && last < mark.to).then_some(None)
    })?;
    let (broken_left, broken_right) = (from.is_none(), to.is_none());
    let first = |stage: &Stage| stage.columns.first().map_or(stage.music, |column| column.1);
    let left = from.map_or_else(|| first(stage), |head| head.head.left);
    let end = to.map_or(stage.right, |head: &PlacedHead| head.head.right + clear::EXTENT_PAST);
    let above = known != Some(Side::Lower);
    Some(Line { mark: *mark, above, left, end, broken: (broken_left, broken_right) })
}

fn put(line: &Line, sizes: &Sizes, stage: &mut Stage) {
    let owner = Owner::Note(line.mark.from);
    let digit = Digit::new(LeftMark::plain(Some(line.mark.finger)), sizes).in_chord();
    let parenthesis = |text: &str| Text::with_capitals(text, Face::Regular, digit.height());
    let braces = line.broken.0.then(|| (parenthesis("("), parenthesis(")")));
    let (before, after) = braces.as_ref().map_or((0.0, 0.0), |(a, b)| (a.width, b.width));
    // A repeated sign ends before the first note, so that its line is over notes.
    let width = before + digit.digit_width() + after;
    let left = if line.broken.0 { (line.left - width).max(stage.left) } else { line.left };
    let from = left + width + clear::EXTENT_LEAD;
    let skyline = if line.above { &stage.above } else { &stage.below };
    let near = skyline.reach(left - 0.1, line.end.max(from) + 0.1) + clear::ROW;
    let half = digit.height() / 2.0;
    let side = if line.above { 1.0 } else { -1.0 };
    // Parentheses reach below the digit between them.
    let drop = braces.as_ref().filter(|_| line.above).map_or(0.0, |(open, _)| open.drop());
    let y = side * (near + drop + half);
    if let Some((open, close)) = braces {
        open.put(stage, Kind::HoldLine, owner, (left, y - half));
        let right = left + before + digit.digit_width();
        close.put(stage, Kind::HoldLine, owner, (right, y - half));
    }
    digit.put_as(Kind::HoldLine, stage, owner, left + before + digit.digit_width(), y);
    let hook = (!line.broken.1).then_some(-side * half);
    let extent = Extent { from, end: line.end, y, hook, dashed: false };
    if line.end > from {
        put_extent(stage, Kind::HoldLine, owner, &extent);
    }
}
