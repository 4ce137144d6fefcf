//! Stems that miss heads and beams that miss stems.

use std::collections::BTreeSet;

use super::scan::glyph_at;
use super::{Fault, figures};
use crate::drawing::{Drawing, Ink, Kind, Owner, Point};
use crate::font::{Glyph, table};
use crate::geometry::{Rect, bounds};

/// What misses by more than this is seen to [house value].
const MISSES: f64 = 0.03;
/// A beam narrower than this is a stub, which holds on at one end only.
const STUB: f64 = 1.3;

/// A stem: its middle, and its ends from the head on.
pub(super) struct Stem {
    x: f64,
    pub from: f64,
    pub to: f64,
    pub place: Rect,
}

impl Stem {
    /// Where it leaves a head, if that is on it.
    pub fn leaves(&self, (glyph, at): &(&Glyph, Point)) -> Option<f64> {
        let up = self.to > self.from;
        let half = table::STEM_THICKNESS / 2.0;
        let edge = self.x + if up { half } else { -half };
        let anchor = if up { glyph.stem_up } else { glyph.stem_down }?;
        ((at.x.0 + anchor.0 - edge).abs() < MISSES).then_some(at.y.0 + anchor.1)
    }
}

/// The heads of a drawing with their origins.
pub(super) fn heads(drawing: &Drawing) -> Vec<(&'static Glyph, Point)> {
    drawing.stains.iter().filter(|s| s.kind == Kind::Head).filter_map(glyph_at).collect()
}

pub(super) fn stems(drawing: &Drawing) -> impl Iterator<Item = Stem> + '_ {
    drawing.stains.iter().filter(|stain| stain.kind == Kind::Stem).filter_map(|stain| {
        let Ink::Line { from, to, .. } = stain.ink else { return None };
        Some(Stem { x: from.x.0, from: from.y.0, to: to.y.0, place: bounds(&stain.ink) })
    })
}

/// Stems that miss the anchors of all heads; those of tablature that stands alone, the middle
/// of their figure.
#[must_use]
pub fn stems_off_heads(drawing: &Drawing) -> Vec<Fault> {
    let heads = heads(drawing);
    let misses = |stem: &Stem| {
        let from = |head| stem.leaves(head).is_some_and(|y| (y - stem.from).abs() < MISSES);
        !heads.iter().any(from)
    };
    let owners = drawing.stains.iter().filter(|stain| stain.kind == Kind::Stem);
    let (figures, on_strings) = (figures::alone(drawing), !figures::lines(drawing).is_empty());
    let head_of: BTreeSet<Owner> = drawing
        .stains
        .iter()
        .filter(|stain| stain.kind == Kind::Head)
        .map(|stain| stain.owner)
        .collect();
    // A note whose place is not known has no figure.
    let misses_figure = |stem: &Stem, owner: Owner| {
        let own = figures.iter().find(|figure| Owner::Note(figure.note) == owner);
        !on_strings
            || head_of.contains(&owner)
            || own.is_some_and(|figure| {
                let outside = (stem.from - figure.y) * (stem.to - stem.from) > 0.0;
                (figure.x - stem.x).abs() > MISSES || !outside
            })
    };
    stems(drawing)
        .zip(owners)
        .filter(|(stem, stain)| misses(stem) && misses_figure(stem, stain.owner))
        .map(|(stem, _)| Fault {
            rule: "stem-misses-head",
            place: stem.place,
            message: "a stem meets no head at its anchor, or no figure".to_owned(),
        })
        .collect()
}

/// Beams that end beside a stem.
#[must_use]
pub fn beams_off_stems(drawing: &Drawing) -> Vec<Fault> {
    let stems: Vec<Stem> = stems(drawing).collect();
    let half = table::STEM_THICKNESS / 2.0;
    let beams = drawing.stains.iter().filter(|stain| stain.kind == Kind::Beam);
    beams
        .map(|stain| bounds(&stain.ink))
        .filter(|beam| {
            let meets = |edge: f64, outward: f64| {
                stems.iter().any(|stem| {
                    let (low, high) = (stem.from.min(stem.to), stem.from.max(stem.to));
                    (stem.x + outward - edge).abs() < MISSES && low < beam.high && high > beam.low
                })
            };
            let ends = [meets(beam.left, -half), meets(beam.right, half)];
            let wanted = if beam.width() > STUB { 2 } else { 1 };
            ends.iter().filter(|end| **end).count() < wanted
        })
        .map(|place| Fault {
            rule: "beam-misses-stem",
            place,
            message: "a beam ends beside a stem".to_owned(),
        })
        .collect()
}
