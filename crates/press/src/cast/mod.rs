//! Casting off pages: which system opens a page, and how far the gaps grow.
//!
//! The pages are set once with natural gaps, which tells how high everything
//! is. Between two page breaks made on purpose, the breaks are then chosen as
//! one optimum: white at the foot of a page, an exercise torn apart, a system
//! left alone and a page turned in the middle of music each have a price. On a
//! page that ends because the next system did not fit, the gaps grow by one
//! share until it is full, at most to 1.4 of their size; what is left stays
//! white.
//!
//! Where prose runs between the systems, the breaks stay as they were set.
//! All prices are house values.

mod measured;
mod plan;
mod prices;
mod run;
mod search;
#[cfg(test)]
mod tests;

use crate::forme::{Figure, Gap};
use plan::share;
use run::{Set, blocks};
use search::openers;

pub use measured::{Measured, Place, lowest};
pub use plan::{Plan, spread};

/// Kept free at the foot against rounding, in points.
const SPARE: f64 = 0.5;

/// The best breaks, and the gaps grown; as [`spread`] where the breaks must
/// stay.
pub fn cast(measured: &Measured, gaps: &[Gap], figures: &[Figure]) -> Plan {
    let mut plan = spread(measured, gaps, figures);
    if measured.figures.len() != figures.len() {
        return plan;
    }
    let mut start = 0;
    while start < figures.len() {
        let rest = &figures[start + 1..];
        let end = start + 1 + rest.iter().position(|f| f.fresh).unwrap_or(rest.len());
        if let Some(blocks) = blocks(measured, gaps, figures, start, end) {
            // Pages are counted from 0 here, so the even ones lie on the right.
            let right = measured.figures[start].page.is_multiple_of(2);
            let height = measured.area.1 - measured.area.0;
            carry_out(&mut plan, &blocks, (start, end), height, right);
        }
        start = end;
    }
    plan
}

fn carry_out(
    plan: &mut Plan,
    sets: &[Set],
    (start, end): (usize, usize),
    height: f64,
    right: bool,
) {
    let openers = openers(sets, height, right);
    plan.together[start + 1..end].fill(true);
    let mut share_before = None;
    for (page, &first) in openers.iter().enumerate() {
        let next = openers.get(page + 1).copied().unwrap_or(sets.len());
        let (opener, rest) = (&sets[first], &sets[first + 1..next]);
        plan.breaks[opener.gap] = first > 0;
        plan.gaps[opener.gap] = opener.natural;
        if first > 0 {
            plan.together[opener.leader] = false;
        }
        let words: f64 = sets[first..next].iter().map(|set| set.after).sum();
        let music: f64 = rest.iter().map(|set| set.before + set.height).sum();
        let free = height - opener.top - opener.height - music - words - SPARE;
        let room: f64 = rest.iter().map(|set| set.stretch).sum();
        let last = next == sets.len();
        let share = match share_before {
            // The last page keeps to the gaps of the page before it.
            Some(before) if last => share(free, room, true).min(before),
            _ => share(free, room, !last),
        };
        share_before = Some(share);
        for set in rest {
            plan.breaks[set.gap] = false;
            plan.gaps[set.gap] = set.natural + set.stretch * share;
        }
    }
}
