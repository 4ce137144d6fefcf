//! What of a drawing means a note, for those who point at it.

use apoyando_music::NoteId;

use crate::drawing::{Drawing, Kind, Owner, Point};
use crate::geometry::bounds;

/// The ink of a note that can be pointed at.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Target {
    /// The note.
    pub note: NoteId,
    /// What of it: its head, its digit, its letter, its figure in the tablature.
    pub kind: Kind,
    /// Lower left corner.
    pub low: Point,
    /// Upper right corner.
    pub high: Point,
}

/// The heads, digits, letters and figures of a drawing with the notes they belong to.
#[must_use]
pub fn targets(drawing: &Drawing) -> Vec<Target> {
    let target = |stain: &crate::Stain| {
        let Owner::Note(note) = stain.owner else { return None };
        let kind = stain.kind;
        let meant = matches!(
            kind,
            Kind::Head | Kind::LeftDigit | Kind::RightLetter | Kind::StringCircle | Kind::TabFigure
        );
        let ink = bounds(&stain.ink);
        meant.then(|| Target {
            note,
            kind,
            low: Point::new(ink.left, ink.low),
            high: Point::new(ink.right, ink.high),
        })
    };
    drawing.stains.iter().filter_map(target).collect()
}
