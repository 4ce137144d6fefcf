//! Equal times on a ragged line, as alike as it has room for.

use std::collections::BTreeMap;

use apoyando_music::Duration;

use super::BarRoom;
use crate::cast::NARROW;

/// What equal times of a line are of the widest of them. House.
const EVEN: f64 = 0.95;
/// They are not made wider for it than so many times what they would like to be: one
/// accidental does not make a line loose. House.
const MOST: f64 = 1.25;

/// Width of a line of some bars at a stretch, with what stands before it.
pub fn width(rooms: &[BarRoom], stretch: f64) -> f64 {
    let Some(first) = rooms.first() else { return 0.0 };
    let mut width = first.prefix - first.springs.saved_in_line();
    for (number, room) in rooms.iter().enumerate() {
        width += room.springs.width(stretch);
        if number > 0 {
            width += room.change;
        }
        width += if number + 1 < rooms.len() { room.joint } else { room.end };
    }
    width
}

/// The bars of a ragged line with equal times alike; `None` if it has no room for that.
pub fn evened(rooms: &[BarRoom], available: f64) -> Option<Vec<BarRoom>> {
    let mut widest: BTreeMap<Duration, f64> = BTreeMap::new();
    for (time, least) in rooms.iter().flat_map(|room| room.springs.times()) {
        let widest = widest.entry(time).or_default();
        *widest = widest.max(least);
    }
    let even = |room: &BarRoom| BarRoom {
        springs: room.springs.evened(&widest, EVEN, MOST),
        ..room.clone()
    };
    let rooms: Vec<BarRoom> = rooms.iter().map(even).collect();
    (width(&rooms, NARROW) <= available).then_some(rooms)
}
