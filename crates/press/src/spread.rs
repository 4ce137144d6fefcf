//! Spreading systems over the height of the page.
//!
//! Pages are first set with natural gaps. Where a page ends because the next
//! system did not fit, its gaps grow by one share until it is full, at most to
//! 1.4 of their size; what is left stays white. The last page of a section
//! grows only where little is missing.

use typst_layout::PagedDocument;
use typst_library::layout::{Frame, FrameItem, Point};

use crate::document::Document;
use crate::forme::{Figure, Gap};
use crate::pages::{Place, type_area};

/// A last page is filled where this share of the possible growth is enough.
const LAST_PAGE: f64 = 0.4;

/// Kept free at the foot against rounding, in points.
const SPARE: f64 = 0.5;

/// The height of every gap in points.
pub fn spread(
    document: &Document,
    set: &PagedDocument,
    places: &[Place],
    gaps: &[Gap],
    figures: &[Figure],
) -> Vec<f64> {
    let mut heights: Vec<f64> = gaps.iter().map(|gap| gap.height).collect();
    if places.len() != figures.len() {
        return heights;
    }
    let (top, bottom) = type_area(document);
    for (number, page) in set.pages().iter().enumerate() {
        let on_page: Vec<usize> = (0..places.len()).filter(|&i| places[i].page == number).collect();
        let Some((&first, rest)) = on_page.split_first() else { continue };
        let mine: Vec<usize> =
            rest.iter().flat_map(|&i| figures[i].first_gap..figures[i].end_gap).collect();
        let room: f64 = mine.iter().map(|&i| gaps[i].stretch).sum();
        if room <= 0.0 {
            continue;
        }
        let free = bottom - lowest(&page.frame, top, bottom) - SPARE;
        let next = first + on_page.len();
        let broken = figures.get(next).is_some_and(|figure| !figure.fresh);
        let share = free / room;
        let share = if share <= 0.0 || (!broken && share > LAST_PAGE) {
            0.0
        } else if share <= 1.0 {
            share
        } else {
            // It cannot be filled. The more is missing, the more the page
            // keeps to the natural gaps of its neighbours.
            (1.0 - (share - 1.0) * 0.5).max(0.25)
        };
        for &i in &mine {
            heights[i] += gaps[i].stretch * share;
        }
    }
    heights
}

/// The lowest ink or edge of a plate within the type area, in points from the top of the page.
fn lowest(frame: &Frame, top: f64, bottom: f64) -> f64 {
    fn walk(frame: &Frame, origin: Point, top: f64, bottom: f64, low: &mut f64) {
        for (at, item) in frame.items() {
            let at = origin + *at;
            let end = match item {
                FrameItem::Group(group) => {
                    walk(&group.frame, at, top, bottom, low);
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
    let mut low = top;
    walk(frame, Point::zero(), top, bottom, &mut low);
    low
}
