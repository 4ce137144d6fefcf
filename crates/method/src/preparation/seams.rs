//! Where a repeat or a jump leads the hand back to another position.

use apoyando_fingering::Position;
use apoyando_fretboard::StringNumber;

use super::Spot;
use super::reading::Reading;

/// A shift that the playing order makes and the page does not show.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WayBack {
    /// The last onset before it.
    pub spot: Spot,
    /// The onset that is played next.
    pub next: Spot,
    /// The position before.
    pub from: Position,
    /// The position after.
    pub to: Position,
    /// Open strings that sound at one end of it, the thickest first.
    pub open: Vec<StringNumber>,
    /// Whether there is a rest of all voices on the way.
    pub rest: bool,
}

/// Every way back that shifts the hand, in the order in which they are played.
pub(super) fn find(reading: &Reading<'_>) -> Vec<WayBack> {
    let score = reading.score();
    let mut found = Vec::new();
    for seam in &reading.fingering.seams {
        let Some((from, to)) = seam.shift else { continue };
        let idle = [seam.from, seam.to].into_iter().filter_map(|at| reading.posture(at));
        let idle = idle.filter(|posture| posture.idle);
        let mut open: Vec<StringNumber> = idle
            .flat_map(|posture| &posture.sounding)
            .map(|(_, placement)| placement.place.string)
            .collect();
        open.sort_unstable_by(|a, b| b.cmp(a));
        open.dedup();
        let bar = |at| score.bar_at(at).map(|bar| score.bar(bar));
        let rest = bar(seam.from).is_some_and(|bar| reading.rests_before(bar.end_moment()))
            || bar(seam.to).is_some_and(|bar| seam.to > bar.start && reading.is_silent(bar.start));
        found.push(WayBack {
            spot: Spot::of(score, seam.from),
            next: Spot::of(score, seam.to),
            from,
            to,
            open,
            rest,
        });
    }
    found
}
