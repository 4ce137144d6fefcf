//! Moves of the hand where the playing order goes elsewhere than on.

use apoyando_fingering::{Position, Problem, Term};

use super::{Charges, shifting};
use crate::hand::Hand;
use crate::layers::Layers;
use crate::playing::Seam;
use crate::time::Clock;

/// A shift over a seam.
pub(crate) struct SeamShift {
    pub(crate) from: Position,
    pub(crate) to: Position,
    /// The layer at which the hand is down again.
    at: usize,
}

/// The shift over a seam, if there is one.
pub(crate) fn seam_shift(hands: &[Hand], seam: &Seam) -> Option<SeamShift> {
    let from = hands.get(seam.from)?.position?;
    let at = (seam.to..hands.len()).find(|layer| !hands[*layer].idle())?;
    let to = hands[at].position?;
    (from != to).then_some(SeamShift { from, to, at })
}

pub(super) fn charge(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    clock: &Clock,
    charges: &mut Charges<'_>,
) {
    for seam in &all.seams {
        let Some(shift) = seam_shift(hands, seam) else { continue };
        charges.layer = shift.at;
        let hurry = clock.hurry_of(all.layers[seam.from].at, seam.lasts);
        let over_open = hands[seam.from].idle() || hands[seam.to].idle();
        let open = if over_open { charges.value(Term::EaseOpen) } else { 0 };
        let ease = charges.value(Term::EasePhrase) + open;
        shifting::pay(problem.instrument, (shift.from, shift.to), hurry, ease, charges);
    }
}
