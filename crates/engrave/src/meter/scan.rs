//! The ink of a drawing, measured once.

use apoyando_music::{Note, Score};

use crate::drawing::{Drawing, Ink, Kind, Owner, Point, Stain};
use crate::font::{self, Glyph};
use crate::geometry::{Rect, bounds, strips};

/// A stain with its outline as narrow strips.
pub(super) struct Item {
    pub kind: Kind,
    pub owner: Owner,
    pub area: Rect,
    pub strips: Vec<Rect>,
}

impl Item {
    /// Distance of the nearest ink of two stains.
    pub fn distance(&self, other: &Self) -> f64 {
        // Far ink need not be measured closely.
        let coarse = self.area.distance(other.area);
        if coarse > 1.0 {
            return coarse;
        }
        self.strips
            .iter()
            .flat_map(|one| other.strips.iter().map(|another| one.distance(*another)))
            .fold(f64::MAX, f64::min)
    }

    /// The middle of its width.
    pub fn centre(&self) -> f64 {
        (self.area.left + self.area.right) / 2.0
    }

    /// The middle of its height.
    pub fn middle(&self) -> f64 {
        (self.area.low + self.area.high) / 2.0
    }
}

/// All ink of a drawing.
pub(super) fn items(drawing: &Drawing) -> Vec<Item> {
    drawing
        .stains
        .iter()
        .map(|stain| {
            let area = bounds(&stain.ink);
            // The last strip of a glyph may reach past its ink.
            let within = |strip: Rect| {
                Rect::new(strip.left, strip.low, strip.right.min(area.right), strip.high)
            };
            Item {
                kind: stain.kind,
                owner: stain.owner,
                area,
                strips: strips(&stain.ink).into_iter().map(within).collect(),
            }
        })
        .collect()
}

/// The note that ink belongs to.
pub(super) fn note_of<'a>(item: &Item, score: &'a Score) -> Option<&'a Note> {
    match item.owner {
        Owner::Note(id) => score.notes().get(id.0 as usize),
        Owner::System | Owner::Bar(_) => None,
    }
}

/// A glyph and its origin; `None` for other ink.
pub(super) fn glyph_at(stain: &Stain) -> Option<(&'static Glyph, Point)> {
    match stain.ink {
        Ink::Glyph { glyph, at, .. } => Some((font::glyph(glyph)?, at)),
        _ => None,
    }
}

/// Middle lines of the staves of five lines, from the top.
pub(super) fn middles(drawing: &Drawing) -> Vec<f64> {
    let lines: Vec<f64> = drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::StaffLine)
        .filter_map(|stain| match stain.ink {
            Ink::Line { from, .. } => Some(from.y.0),
            _ => None,
        })
        .collect();
    lines.chunks_exact(5).map(|staff| staff[2]).collect()
}
