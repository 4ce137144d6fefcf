//! Position numerals and barre marks: over each line of music on one baseline, unless some of
//! them would hang far over their notes; with their extents, dashed for positions and solid for
//! barres. Over a line break an extent stays open to the end of the staff, and on the next line
//! its sign is repeated in parentheses.

use apoyando_fingering::Position;
use apoyando_fretboard::Fret;
use apoyando_marks::{BarreMark, Marks};
use apoyando_music::Moment;

use super::clear;
use super::extent::{Extent, put_extent};
use super::levels::{Wanting, shared};
use super::sign::{Sizes, Text};
use crate::drawing::{Face, Kind, Owner};
use crate::geometry::Stage;

/// A numeral of this line of music.
struct Numeral {
    kind: Kind,
    text: Text,
    left: f64,
    end: Option<(f64, bool)>,
    dashed: bool,
}

impl Numeral {
    fn right(&self) -> f64 {
        self.end.map_or(f64::MIN, |(end, _)| end).max(self.left + self.text.width)
    }
}

/// What a barre mark says: C and the fret in roman numerals, a fraction before
/// it where it is partial: ⅓ over two strings, ½ over three, ⅔ over four, ⅚ over the five of
/// a hinge.
fn barre_text(mark: &BarreMark) -> String {
    let Fret(fret) = mark.barre.fret;
    let numeral = Position::new(fret).map(|position| position.to_string()).unwrap_or_default();
    let fraction = match (mark.full, mark.barre.width()) {
        (true, _) => "",
        (false, ..=2) => "⅓",
        (false, 3) => "½",
        (false, 4) => "⅔",
        (false, _) => "⅚",
    };
    format!("{fraction}C{numeral}")
}

/// Puts all numerals on a staff.
pub fn place(marks: &Marks, sizes: &Sizes, stage: &mut Stage) {
    let mut numerals: Vec<Numeral> = Vec::new();
    for mark in &marks.positions {
        let sign = mark.position.to_string();
        let span = (mark.from, mark.to, mark.line);
        numerals.extend(on_stage(Kind::PositionMark, &sign, span, true, sizes, stage));
    }
    for mark in &marks.barres {
        let span = (mark.from, mark.to, mark.from != mark.to);
        numerals.extend(on_stage(Kind::BarreMark, &barre_text(mark), span, false, sizes, stage));
    }
    numerals.sort_by(|a, b| a.left.total_cmp(&b.left));
    let signs: Vec<Wanting> = numerals
        .iter()
        .map(|numeral| {
            let (left, right) = (numeral.left, numeral.right());
            let ink = stage.above.reach(left - 0.1, right + 0.1);
            let level = (ink + clear::NUMERAL_OVER_INK).max(2.0 + clear::NUMERAL_OVER_STAFF);
            Wanting { left, right, level }
        })
        .collect();
    let baselines = shared(&signs, clear::NUMERAL_SIDE, clear::LEVELLED_SIGNS);
    // Signs that would run into one another stand on higher shelves.
    let mut shelves: Vec<f64> = Vec::new();
    for (numeral, baseline) in numerals.into_iter().zip(baselines) {
        let shelf = shelves
            .iter()
            .position(|right| right + clear::NUMERAL_SIDE <= numeral.left)
            .unwrap_or(shelves.len());
        if shelf == shelves.len() {
            shelves.push(0.0);
        }
        shelves[shelf] = numeral.right();
        put(numeral, baseline + shelf as f64 * (sizes.numeral + clear::NUMERAL_OVER_INK), stage);
    }
}

fn on_stage(
    kind: Kind,
    sign: &str,
    (from, to, line): (Moment, Moment, bool),
    dashed: bool,
    sizes: &Sizes,
    stage: &Stage,
) -> Option<Numeral> {
    let (first, last) = stage.onsets()?;
    if from > last || to < first || (from < first && !line) {
        return None;
    }
    let goes_on = from < first;
    let mut left = stage.column(from.max(first))?;
    let end = line.then(|| {
        if to > last {
            (stage.right, true)
        } else {
            (end_of(stage, to) + clear::EXTENT_PAST, false)
        }
    });
    let sign = if goes_on { format!("({sign})") } else { sign.to_owned() };
    let text = Text::with_capitals(&sign, Face::Regular, sizes.numeral);
    if goes_on {
        // A repeated sign begins over the clef, so that its line is over notes.
        left = (left - text.width).max(stage.left);
    }
    Some(Numeral { kind, text, left, end, dashed })
}

/// Right side of the last head at or before a moment.
fn end_of(stage: &Stage, moment: Moment) -> f64 {
    let Some(onset) = stage.heads.iter().map(|h| h.onset).filter(|at| *at <= moment).max() else {
        return stage.music;
    };
    let heads = stage.heads.iter().filter(|head| head.onset == onset);
    heads.map(|head| head.head.right).fold(f64::MIN, f64::max)
}

fn put(numeral: Numeral, baseline: f64, stage: &mut Stage) {
    let Numeral { kind, text, left, end, dashed } = numeral;
    let (rise, width) = (text.rise(), text.width);
    text.put(stage, kind, Owner::System, (left, baseline));
    if let Some((end, open)) = end {
        let hook = (!open).then_some(-clear::HOOK);
        let y = baseline + rise / 2.0;
        let from = left + width + clear::EXTENT_LEAD;
        // A sign wider than what it covers has its hook alone.
        let extent = Extent { from, end, y, hook, dashed };
        if end > from {
            put_extent(stage, kind, Owner::System, &extent);
        }
    }
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::Barre;
    use apoyando_fretboard::StringNumber;

    use super::*;

    /// Common practice, no source.
    #[test]
    fn a_partial_barre_has_a_fraction() {
        let mark = |thick: u8, full| BarreMark {
            barre: Barre {
                fret: Fret(5),
                thin: StringNumber::FIRST,
                thick: StringNumber::new(thick).unwrap(),
            },
            full,
            from: Moment::START,
            to: Moment::START,
        };
        let widths = [(6, true), (5, true), (5, false), (4, false), (3, false), (2, false)];
        let said: Vec<String> = widths.map(|(thick, full)| barre_text(&mark(thick, full))).into();
        assert_eq!(said, ["CV", "CV", "⅚CV", "⅔CV", "½CV", "⅓CV"]);
    }
}
