//! Figures of tablature: whether they stand on their lines, and those that stand for notes
//! alone.

use std::collections::BTreeSet;

use apoyando_music::NoteId;

use super::Fault;
use crate::drawing::{Drawing, Ink, Kind, Owner};
use crate::font::text_outline;
use crate::geometry::{Rect, bounds, flatten};

/// What is not seen [house value].
const OFF: f64 = 0.02;
/// Half the width of a black head.
const HALF_HEAD: f64 = 0.59;

/// A figure as it is read.
pub(super) struct Figure {
    pub note: NoteId,
    /// Its middle.
    pub x: f64,
    pub y: f64,
    pub area: Rect,
}

impl Figure {
    /// Where a black head would be instead.
    pub fn head(&self) -> Rect {
        Rect::new(self.x - HALF_HEAD, self.y - 0.5, self.x + HALF_HEAD, self.y + 0.5)
    }
}

fn of(drawing: &Drawing, kind: Kind) -> impl Iterator<Item = Figure> + '_ {
    drawing.stains.iter().filter(move |stain| stain.kind == kind).filter_map(|stain| {
        let Ink::Text { text, face, size, at, .. } = &stain.ink else { return None };
        let Owner::Note(note) = stain.owner else { return None };
        let heights = || flatten(&text_outline(*face, size.0, text)).into_iter().map(|at| at.1);
        let middle =
            f64::midpoint(heights().fold(f64::MAX, f64::min), heights().fold(f64::MIN, f64::max));
        let area = bounds(&stain.ink);
        let x = f64::midpoint(area.left, area.right);
        Some(Figure { note, x, y: at.y.0 + middle, area })
    })
}

/// The figures of notes that have no head: those of tablature that stands alone.
pub(super) fn alone(drawing: &Drawing) -> Vec<Figure> {
    let heads = drawing.stains.iter().filter(|stain| stain.kind == Kind::Head);
    let headed: BTreeSet<Owner> = heads.map(|stain| stain.owner).collect();
    of(drawing, Kind::TabFigure)
        .filter(|figure| !headed.contains(&Owner::Note(figure.note)))
        .collect()
}

/// Heights of the lines of the strings.
pub(super) fn lines(drawing: &Drawing) -> Vec<f64> {
    let lines = drawing.stains.iter().filter(|stain| stain.kind == Kind::TabLine);
    lines
        .filter_map(|stain| match stain.ink {
            Ink::Line { from, .. } => Some(from.y.0),
            _ => None,
        })
        .collect()
}

/// Figures that do not stand on the line of a string.
#[must_use]
pub fn figures_off_lines(drawing: &Drawing) -> Vec<Fault> {
    let lines = lines(drawing);
    let off = |figure: &Figure| !lines.iter().any(|line| (line - figure.y).abs() <= OFF);
    let all = of(drawing, Kind::TabFigure).chain(of(drawing, Kind::TabGrace));
    let off = all.filter(off);
    off.map(|figure| Fault {
        rule: "figure-off-line",
        place: figure.area,
        message: "a figure does not stand on the line of a string".to_owned(),
    })
    .collect()
}
