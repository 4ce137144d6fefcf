//! The room that breath marks and caesuras want after their notes.

use apoyando_music::Moment;

use crate::notate::{StaffBar, breaths};

/// How far apart two onsets of a staff must be for a sign between them; from the last
/// one, the end of the bar. 0 where there is none.
pub fn room(bar: &StaffBar, from: Moment, to: Moment) -> f64 {
    let Some((_, sign)) = breaths::of(bar).into_iter().find(|(at, _)| *at == to) else {
        return 0.0;
    };
    let stack = |onset: Moment| bar.stacks.iter().find(|stack| stack.onset == onset);
    let right = stack(from).map_or(0.0, |stack| stack.contour.rightmost());
    let left = stack(to).map_or(0.0, |stack| stack.contour.leftmost().min(0.0));
    right + 2.0 * breaths::CLEAR + sign.glyph().width() - left
}
