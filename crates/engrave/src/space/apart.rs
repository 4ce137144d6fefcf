//! Onsets of neighbouring bars that must stand apart, for what stands over them.

use apoyando_music::{Moment, Score};

use super::BarRoom;

/// An onset and the first of the bar after its own, and how far apart they must be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Apart {
    pub from: Moment,
    pub to: Moment,
    pub distance: f64,
}

/// Makes bars wide enough that none of the onsets is nearer to the other than it must be.
pub fn keep_apart(rooms: &mut [BarRoom], score: &Score, wanted: &[Apart]) {
    for Apart { from, to, distance } in wanted {
        let Some(bar) = score.bar_at(*from).map(|bar| bar.0 as usize) else { continue };
        let Some([own, after, ..]) = rooms.get_mut(bar..) else { continue };
        if after.springs.onsets.first() != Some(to) {
            continue;
        }
        let between = own.joint + after.change + after.springs.before_first();
        own.springs.widen_from(*from, distance - between);
        own.widths = own.springs.widths();
    }
}
