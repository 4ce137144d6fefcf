//! Equal times on a ragged line, as alike as it has room for.

use std::collections::BTreeMap;

use apoyando_music::Duration;

use super::{BarRoom, width};

/// The least stretch of the springs of a ragged line.
pub const NARROW: f64 = 0.9;

/// A ragged line ends before this share of the width: one that just misses the margin looks
/// like an oversight. House.
pub const CLEARLY: f64 = 0.9;

/// What equal times of a line are of the widest of them. House.
const EVEN: f64 = 0.95;
/// They are not made wider for it than so many times what they would like to be: one
/// accidental does not make a line loose. House.
const MOST: f64 = 1.25;

/// The bars of a ragged line with equal times alike; `None` if it has no room for that.
pub fn evened(rooms: &[BarRoom], available: f64) -> Option<Vec<BarRoom>> {
    let mut widest: BTreeMap<Duration, f64> = BTreeMap::new();
    for (time, least) in rooms.iter().flat_map(|room| room.springs.times()) {
        let widest = widest.entry(time).or_default();
        *widest = widest.max(least);
    }
    let mut rooms = rooms.to_vec();
    for room in &mut rooms {
        room.springs.widen(|time| EVEN * widest[&time], MOST);
        room.widths = room.springs.widths();
    }
    (width(&rooms, NARROW) <= CLEARLY * available).then_some(rooms)
}
