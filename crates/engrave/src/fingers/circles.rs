//! Circled string numbers: outside the digits, those of upper voices above the
//! staff, those of lower ones below, and that of the lowest note of a chord too where no
//! other voice is below; a dashed line to the last note. Over a line break it stays open to
//! the end of the staff, and on the next line the circle is repeated in parentheses.

use apoyando_marks::{Marks, StringMark};

use super::clear;
use super::extent::{Extent, put_extent};
use super::sign::put_circle;
use crate::drawing::{Ink, Kind, Owner, Point, Stain};
use crate::font::{Glyph, table};
use crate::geometry::{Side, Stage};

/// A circle of this line of music.
struct Circle {
    mark: StringMark,
    above: bool,
    /// Middle of the ring.
    centre: f64,
    /// Whether it goes on from the line before.
    again: bool,
    /// Where its line ends, if it has one; open towards the next line or not.
    end: Option<(f64, bool)>,
}

impl Circle {
    /// From its middle to its sides, with its parentheses.
    fn half(&self) -> f64 {
        let sides =
            if self.again { PARENTHESIS.width() * SCALE + clear::IN_PARENTHESES } else { 0.0 };
        clear::CIRCLE / 2.0 + sides
    }

    fn right(&self) -> f64 {
        self.end.map_or(self.centre, |(end, _)| end).max(self.centre + self.half())
    }
}

/// The parentheses of a circle, as high as it, and a little over.
const PARENTHESIS: &Glyph = &table::FINGERING_LEFT_PARENTHESIS;
const SCALE: f64 = 1.15 * clear::CIRCLE / (PARENTHESIS.high - PARENTHESIS.low);

/// Puts all circles on a staff.
pub fn place(marks: &Marks, stage: &mut Stage) {
    let circles: Vec<Circle> =
        marks.strings.iter().filter_map(|mark| on_stage(mark, stage)).collect();
    for above in [true, false] {
        let side: Vec<&Circle> = circles.iter().filter(|circle| circle.above == above).collect();
        let levels: Vec<f64> = side
            .iter()
            .map(|circle| {
                let line = if above { &stage.above } else { &stage.below };
                let left = circle.centre - circle.half();
                line.reach(left - 0.1, circle.right() + 0.1) + clear::CIRCLE_GAP
            })
            .collect();
        let farthest = levels.iter().copied().fold(f64::MIN, f64::max);
        let level_all = levels.iter().all(|level| farthest - level <= clear::LEVELLED);
        for (circle, level) in side.iter().zip(&levels) {
            let level = if level_all { farthest } else { *level };
            put(circle, level, stage);
        }
    }
}

fn on_stage(mark: &StringMark, stage: &Stage) -> Option<Circle> {
    let (first, last) = (stage.head(mark.from), stage.head(mark.to));
    // A line over two systems begins again at the first note of the second.
    let shown = first.or_else(|| {
        let last = last?;
        stage.heads.iter().filter(|head| head.voice == last.voice).min_by_key(|head| head.onset)
    })?;
    let above = match shown.side {
        Some(side) => side != Side::Lower,
        // Over a chord it would be read as the string of the top note.
        None => shown.order > 0 || shown.of == 1,
    };
    let end = match last {
        _ if mark.from == mark.to => None,
        Some(last) => Some((last.head.right + clear::EXTENT_PAST, false)),
        None => Some((stage.right, true)),
    };
    let centre = (shown.head.left + shown.head.right) / 2.0;
    Some(Circle { mark: *mark, above, centre, again: first.is_none(), end })
}

fn put(circle: &Circle, level: f64, stage: &mut Stage) {
    let side = if circle.above { 1.0 } else { -1.0 };
    let y = side * (level + clear::CIRCLE / 2.0);
    let owner = Owner::Note(circle.mark.from);
    put_circle(stage, owner, circle.mark.string, (circle.centre, y));
    if circle.again {
        for (side, glyph) in [(-1.0, PARENTHESIS), (1.0, &table::FINGERING_RIGHT_PARENTHESIS)] {
            let (x, middle) =
                (circle.centre + side * circle.half(), (glyph.low + glyph.high) / 2.0);
            let x = x - SCALE * if side < 0.0 { glyph.left } else { glyph.right };
            let ink = Ink::Glyph {
                glyph: glyph.code,
                scale: SCALE,
                at: Point::new(x, y - SCALE * middle),
            };
            stage.add(Stain { ink, kind: Kind::StringCircle, owner });
        }
    }
    if let Some((end, open)) = circle.end {
        let from = circle.centre + circle.half() + 0.2;
        let hook = (!open).then_some(-side * clear::CIRCLE_HOOK);
        let extent = Extent { from, end, y, hook, dashed: true };
        // The circle itself may reach over all its notes.
        if end > from {
            put_extent(stage, Kind::StringCircle, owner, &extent);
        }
    }
}
