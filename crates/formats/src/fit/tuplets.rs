//! Where the brackets of tuplets begin and end.

use apoyando_music::Tuplet;

use super::Placed;
use crate::time::{Time, zero};

/// Keeps the brackets of a bar if they make sense, or sets them anew.
pub(super) fn group(events: &mut [Placed]) {
    if !well_formed(events) {
        infer(events);
    }
}

fn ratio(placed: &Placed) -> Option<(u8, u8)> {
    placed.event.tuplet.map(|tuplet| (tuplet.actual, tuplet.normal))
}

/// Every tuplet note stands in one bracket, and every bracket has one ratio.
fn well_formed(events: &[Placed]) -> bool {
    let mut open: Option<(u8, u8)> = None;
    for placed in events {
        let Some(tuplet) = placed.event.tuplet else {
            if open.is_some() {
                return false;
            }
            continue;
        };
        let ratio = (tuplet.actual, tuplet.normal);
        if tuplet.first == open.is_some() || open.is_some_and(|open| open != ratio) {
            return false;
        }
        open = (!tuplet.last).then_some(ratio);
    }
    open.is_none()
}

/// A group is full when as many of its smallest value as the tuplet counts
/// are written and its sound is a plain length again.
fn infer(events: &mut [Placed]) {
    let mut start = 0;
    while start < events.len() {
        let Some(kind) = ratio(&events[start]) else {
            start += 1;
            continue;
        };
        let mut end = start;
        let mut sound = zero();
        let mut smallest: Option<Time> = None;
        let mut written = zero();
        while end < events.len() && ratio(&events[end]) == Some(kind) {
            let value = events[end].event.value.duration().ratio();
            smallest = Some(smallest.map_or(value, |smallest| smallest.min(value)));
            written += value;
            sound += events[end].length;
            end += 1;
            let more = events.get(end).is_some_and(|next| ratio(next) == Some(kind));
            let plain = (*sound.denom() as u64).is_power_of_two();
            let full = smallest
                .is_some_and(|value| written >= value * Time::from_integer(i64::from(kind.0)));
            let lone = end - start == 1 && more;
            if plain && full && !lone {
                break;
            }
        }
        for (index, placed) in events[start..end].iter_mut().enumerate() {
            placed.event.tuplet = Some(Tuplet {
                actual: kind.0,
                normal: kind.1,
                first: index == 0,
                last: start + index + 1 == end,
            });
        }
        start = end;
    }
}
