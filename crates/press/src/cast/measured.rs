//! What was measured on the pages set first.

use typst_layout::PagedDocument;
use typst_library::layout::{Frame, FrameItem, Point};

/// What was measured on the pages set first.
#[derive(Clone, PartialEq, Debug)]
pub struct Measured {
    /// Upper and lower edge of the type area, in points from the top.
    pub area: (f64, f64),
    /// Where every figure stands.
    pub figures: Vec<Place>,
    /// Where every head of an exercise or piece stands.
    pub heads: Vec<Place>,
    /// The lowest ink of every page.
    pub lowest: Vec<f64>,
}

/// A place on a page.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Place {
    /// The page, from 0.
    pub page: usize,
    /// Points from the top.
    pub y: f64,
}

/// Whether every figure stands on the page of the one before it.
pub fn together(figures: &[Place]) -> Vec<bool> {
    let pairs = figures.iter().zip(figures.iter().skip(1));
    std::iter::once(false).chain(pairs.map(|(a, b)| a.page == b.page)).take(figures.len()).collect()
}

/// The lowest ink or edge of a plate in the type area of every page.
pub fn lowest(set: &PagedDocument, area: (f64, f64)) -> Vec<f64> {
    fn walk(frame: &Frame, origin: Point, (top, bottom): (f64, f64), low: &mut f64) {
        for (at, item) in frame.items() {
            let at = origin + *at;
            let end = match item {
                FrameItem::Group(group) => {
                    walk(&group.frame, at, (top, bottom), low);
                    // A plate takes its whole height, white or not. It is a
                    // group of its own that holds no other.
                    let plate = group.frame.kind().is_hard()
                        && !group.frame.items().any(|(_, i)| matches!(i, FrameItem::Group(_)));
                    if !plate {
                        continue;
                    }
                    at.y.to_pt() + group.frame.height().to_pt()
                }
                FrameItem::Text(_) => at.y.to_pt() + 3.0,
                FrameItem::Shape(shape, _) => at.y.to_pt() + shape.bbox(true).max.y.to_pt(),
                _ => continue,
            };
            if end > top && end <= bottom + 1.0 {
                *low = low.max(end);
            }
        }
    }
    let lowest = |frame: &Frame| {
        let mut low = area.0;
        walk(frame, Point::zero(), area, &mut low);
        low
    };
    set.pages().iter().map(|page| lowest(&page.frame)).collect()
}
