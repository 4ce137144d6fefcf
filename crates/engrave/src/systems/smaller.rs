//! Staves that are smaller than the others: a part that the reader does not play.
//!
//! Such a staff is placed like any, on a line drawn larger by as much as it is then made
//! smaller; so its notes stand over those of the other staves. Clef, signatures and
//! barlines are put on it anew, so that they stand where those of the others do.

use apoyando_fretboard::StringNumber;
use apoyando_music::Score;

use crate::drawing::{Ink, Kind, Stain};
use crate::geometry::{Stage, scaled};
use crate::notate::Staff;
use crate::place::{self, BarFrame, Frame};
use crate::style::Style;

/// No stroke is thinner, in millimetres [H].
const THINNEST: f64 = 0.18;

/// A line of music drawn so large that, made smaller, it is what it was.
pub(super) fn enlarged(frame: &Frame, by: f64) -> Frame {
    let bars = frame.bars.iter().map(|bar| BarFrame {
        change: bar.change.map(|x| x / by),
        start: bar.start / by,
        end: bar.end / by,
        columns: bar.columns.iter().map(|(at, x)| (*at, x / by)).collect(),
        ..bar.clone()
    });
    Frame {
        left: frame.left / by,
        repeat: frame.repeat.map(|x| x / by),
        music: frame.music / by,
        right: frame.right / by,
        warning: frame.warning.map(|x| x / by),
        bars: bars.collect(),
        ..frame.clone()
    }
}

/// A staff of notation from a line that was [enlarged] made as small as it is, on the line
/// as it is.
pub(super) fn notation(
    large: &Stage,
    score: &Score,
    (staff, frame): (&Staff, &Frame),
    (style, by): (&Style, f64),
) -> Stage {
    let anew = |kind| {
        matches!(
            kind,
            Kind::BarLine
                | Kind::RepeatDots
                | Kind::Clef
                | Kind::KeySignature
                | Kind::TimeSignature
        )
    };
    let mut stage = shrunk(large, |stain| !anew(stain.kind), (style, by));
    place::signs_and_barlines(&mut stage, score, staff, frame, by);
    stage
}

/// The same for a staff of tablature with so many strings.
pub(super) fn tablature(
    large: &Stage,
    strings: StringNumber,
    frame: &Frame,
    (style, by): (&Style, f64),
) -> Stage {
    let anew = |kind| matches!(kind, Kind::BarLine | Kind::RepeatDots);
    let mut stage = shrunk(large, |stain| !anew(stain.kind), (style, by));
    crate::tablature::barlines(&mut stage, strings, frame, by);
    stage
}

fn shrunk(large: &Stage, kept: impl Fn(&Stain) -> bool, (style, by): (&Style, f64)) -> Stage {
    let right = large.right * by;
    let mut stage = Stage::new(large.part, large.bars.clone(), large.first, right);
    (stage.left, stage.music) = (large.left * by, large.music * by);
    let thinnest = THINNEST / style.space().0.max(0.1);
    for stain in large.stains.iter().filter(|stain| kept(stain)) {
        let mut ink = scaled(stain.ink.clone(), by, 0.0);
        if let (Ink::Line { thickness, .. }, Ink::Line { thickness: usual, .. }) =
            (&mut ink, &stain.ink)
        {
            thickness.0 = thickness.0.max(thinnest.min(usual.0));
        }
        stage.add(Stain { ink, ..stain.clone() });
    }
    stage
}
