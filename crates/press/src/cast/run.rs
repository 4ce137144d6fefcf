//! The systems between two page breaks made on purpose.

use super::measured::Measured;
use super::prices::torn;
use crate::forme::{Figure, Gap, Role};

/// A system with the words above and below it, in points.
#[derive(Clone, Debug)]
pub struct Set {
    pub figure: usize,
    /// From the foot of what is before it to the system, with natural gaps.
    pub before: f64,
    /// The same, where it opens a page.
    pub top: f64,
    pub height: f64,
    /// Words below it.
    pub after: f64,
    /// The gap before it that can grow or become a page break.
    pub gap: usize,
    pub stretch: f64,
    pub natural: f64,
    /// The price of a page break before it.
    pub price: f64,
    /// The first figure that goes to the next page with it.
    pub leader: usize,
}

/// The systems between two page breaks made on purpose, or `None` where the
/// breaks must stay as they are.
pub fn blocks(
    measured: &Measured,
    gaps: &[Gap],
    figures: &[Figure],
    start: usize,
    end: usize,
) -> Option<Vec<Set>> {
    let (top, places) = (measured.area.0, &measured.figures);
    let mut sets: Vec<Set> = Vec::new();
    let mut leader = start;
    for i in start..end {
        let figure = &figures[i];
        if i > start && figure.words_before {
            return None;
        }
        let (index, count, head) = match figure.role {
            Role::System { index, count, head } => (index, count, head),
            Role::BeforeMusic => continue,
            Role::Loose => return None,
        };
        let gap = head.map_or(figure.first_gap, |head| head.gap);
        let natural = gaps.get(gap)?.height;
        let place = places[i];
        let mut set = Set {
            figure: i,
            before: natural,
            top: 0.0,
            height: figure.height,
            after: 0.0,
            gap,
            stretch: gaps[gap].stretch,
            natural,
            price: torn(index, count),
            leader,
        };
        match (sets.last_mut(), head) {
            (None, _) => set.top = place.y - top,
            (Some(last), Some(head)) => {
                let head = *measured.heads.get(head.ordinal)?;
                if head.page != place.page {
                    return None;
                }
                let before = places[last.figure];
                let foot = before.y + last.height;
                last.after = if head.page == before.page {
                    head.y - natural - foot
                } else if head.page == before.page + 1 && (head.y - top).abs() < 1.0 {
                    measured.lowest.get(before.page)? - foot
                } else {
                    return None;
                };
                last.after = last.after.max(0.0);
                set.top = place.y - head.y;
                set.before = natural + set.top;
            }
            (Some(_), None) if index == 0 => return None,
            (Some(_), None) => {}
        }
        leader = i + 1;
        sets.push(set);
    }
    let last = sets.last_mut()?;
    let place = places[last.figure];
    last.after = (measured.lowest.get(place.page)? - place.y - last.height).max(0.0);
    Some(sets)
}
