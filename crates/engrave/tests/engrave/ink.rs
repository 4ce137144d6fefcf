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
