//! Chord diagrams: strings upright with ⑥ on the left, the nut or the number
//! of the first fret, dots, the barre, ○ and ×, the fingers below, the name
//! above. Proportions are those of engraving practice, in string gaps.

mod grid;
mod name;
mod neck;
mod pen;
mod row;

pub(crate) use name::{chord_name, name_width};
pub use neck::{Neck, Ring, RingLook, neck};
pub use row::row;

use apoyando_fingering::{Position, Shape};
use apoyando_fretboard::{Fret, Millimetres};

use crate::drawing::{Drawing, StaffSpaces};
use crate::style::{Print, Stopping, Style};
use grid::Grid;

/// How chord diagrams are drawn.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct DiagramStyle {
    /// Distance of two strings: all other lengths grow with it.
    pub gap: StaffSpaces,
    /// Thickness of strings and frets.
    pub line: StaffSpaces,
    /// For left-handed players: ⑥ on the right.
    pub mirrored: bool,
    /// Whether the name stands above.
    pub named: bool,
    /// How many frets are shown at least.
    pub frets: u8,
    /// The highest fret of a shape without open strings that is still shown from the nut.
    pub closed: Fret,
}

/// A shape of which no string is open is shown from the nut as far as one with open
/// strings: the shapes of a position then stand on one grid. House value.
const CLOSED: Fret = Fret(grid::WITH_NUT);

/// Thinnest stroke that prints well. House value.
const THINNEST: Millimetres = Millimetres(0.18);

/// Thickness of strings and frets in string gaps. Common practice.
const LINE: f64 = 0.06;

impl DiagramStyle {
    /// A string gap and the height of the staff whose spaces the drawing counts
    /// in. Strokes are never thinner than print allows.
    #[must_use]
    pub fn on_paper(gap: Millimetres, staff_height: Millimetres) -> Self {
        let space = staff_height.0.max(1.0) / 4.0;
        Self {
            gap: StaffSpaces(gap.0 / space),
            line: StaffSpaces((LINE * gap.0).max(THINNEST.0) / space),
            mirrored: false,
            named: true,
            frets: 0,
            closed: CLOSED,
        }
    }

    /// Diagrams in a row of their own: a gap of 2.8 mm (2.6 to 3.0 in practice).
    #[must_use]
    pub fn in_a_row(style: &Style) -> Self {
        Self::of(Millimetres(2.8), style)
    }

    /// Diagrams in rows one below the other: a gap of 2.6 mm, the least in practice, for
    /// white beside the numerals.
    #[must_use]
    pub fn in_rows(style: &Style) -> Self {
        Self::of(Millimetres(2.6), style)
    }

    /// Diagrams over a staff: a gap of 2.0 mm (1.9 to 2.2 in practice).
    #[must_use]
    pub fn over_a_staff(style: &Style) -> Self {
        Self::of(Millimetres(2.0), style)
    }

    /// As many frets in all as these shapes need, so that what stands below their
    /// grids stands on one line.
    #[must_use]
    pub fn for_all<'a>(self, shapes: impl IntoIterator<Item = &'a Shape>) -> Self {
        let frets = shapes.into_iter().map(|shape| frets_shown(shape, &self)).max().unwrap_or(0);
        Self { frets, ..self }
    }

    /// Shapes without open strings at the fret where they lie, however low: the numeral
    /// beside each says its position.
    #[must_use]
    pub fn where_they_lie(self) -> Self {
        Self { closed: Fret(0), ..self }
    }

    /// A gap that is usual beside a staff of usual height.
    fn of(gap: Millimetres, style: &Style) -> Self {
        Self {
            mirrored: style.stopping == Stopping::RightHand,
            ..Self::on_paper(Millimetres(grown(style) * gap.0), style.staff_height)
        }
    }
}

/// How many times larger what shows the fingerboard is than usual: in large print it
/// has grown as the staff has.
fn grown(style: &Style) -> f64 {
    match style.print {
        Print::Usual => 1.0,
        Print::Large => (style.staff_height.0 / Style::default().staff_height.0).max(1.0),
    }
}

/// A chord as a diagram. The origin is the left edge at the height of the nut:
/// diagrams side by side on one origin have their nuts aligned.
#[must_use]
pub fn diagram(shape: &Shape, style: &DiagramStyle) -> Drawing {
    Grid::of(shape, style).draw(style)
}

/// How many frets a diagram shows.
#[must_use]
pub fn frets_shown(shape: &Shape, style: &DiagramStyle) -> u8 {
    Grid::of(shape, style).frets
}

/// The position whose numeral stands beside a diagram; none where it shows the nut.
#[must_use]
pub fn numeral(shape: &Shape, style: &DiagramStyle) -> Option<Position> {
    Grid::of(shape, style).position()
}

/// Where the middle of the grid stands from the left edge of a diagram: what is
/// to be centred over a note.
#[must_use]
pub fn middle(shape: &Shape, style: &DiagramStyle) -> StaffSpaces {
    Grid::of(shape, style).middle(style)
}

#[cfg(test)]
mod tests;
