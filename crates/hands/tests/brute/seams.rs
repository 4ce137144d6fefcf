//! Section 5 of the model, read plainly: what the seams cost, from a whole
//! sequence of postures.

use apoyando_fingering::Term;

use crate::grip::Posture;
use crate::heard::hurry;
use crate::moves::shift;
use crate::played::Seam;
use crate::price::Bill;
use crate::question::Question;

/// Where the hand is when it has gone over a seam: the layer of the first
/// posture from there on that is not idle, and its position.
pub fn begun_again(seam: &Seam, way: &[Posture]) -> Option<(usize, u8)> {
    let first = way[seam.to..].iter().find(|posture| !posture.idle())?;
    Some((first.layer, first.position?))
}

/// The positions, where the hand has to move.
pub fn moved(seam: &Seam, way: &[Posture]) -> Option<(u8, u8)> {
    let (from, to) = (way[seam.from].position?, begun_again(seam, way)?.1);
    (from != to).then_some((from, to))
}

/// What a seam costs that moves the hand, where it is idle on one side or not.
pub fn of_seam(q: &Question<'_>, seam: &Seam, positions: (u8, u8), idle: bool, bill: Bill<'_>) {
    let opened = if idle { q.value(Term::EaseOpen) } else { 0 };
    let eased = (q.value(Term::EasePhrase) + opened).min(80);
    shift(q, hurry(seam.milliseconds), positions, eased, bill);
}
