//! Where ink of a kind stands.

use apoyando_engrave::geometry::{Rect, bounds};
use apoyando_engrave::{Kind, Stain};

/// The stains of a kind, in painting order.
pub fn of(stains: &[Stain], kind: Kind) -> Vec<&Stain> {
    stains.iter().filter(|stain| stain.kind == kind).collect()
}

/// What they cover.
pub fn areas(stains: &[Stain], kind: Kind) -> Vec<Rect> {
    of(stains, kind).into_iter().map(|stain| bounds(&stain.ink)).collect()
}

/// Heights of the middle lines of the staves, from the top.
pub fn middles(stains: &[Stain]) -> Vec<f64> {
    let lines = areas(stains, Kind::StaffLine);
    lines.chunks(5).map(|staff| (staff[2].low + staff[2].high) / 2.0).collect()
}
