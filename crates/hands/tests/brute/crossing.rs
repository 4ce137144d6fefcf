//! The seams in passing: what the hand remembers of each until it is paid.

use crate::grip::Posture;
use crate::question::Question;
use crate::seams::of_seam;

/// What is known of a seam at a layer.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Crossing {
    /// Position, if there is one, and whether the hand was idle before it.
    left: Option<(Option<u8>, bool)>,
    /// Whether the hand was idle at the layer after it.
    begun: Option<bool>,
    /// The position of the first posture from there on that is not idle.
    found: Option<u8>,
    paid: bool,
}

/// What is known at a posture, and what is paid there.
pub fn cross(q: &Question<'_>, crossings: &[Crossing], n: &Posture) -> (Vec<Crossing>, i64) {
    let mut charged = 0;
    let mut known = crossings.to_vec();
    for (seam, crossing) in q.played.seams.iter().zip(&mut known) {
        if crossing.paid {
            continue;
        }
        if n.layer == seam.from {
            crossing.left = Some((n.position, n.idle()));
        }
        if n.layer == seam.to {
            crossing.begun = Some(n.idle());
        }
        if crossing.begun.is_some() && crossing.found.is_none() && !n.idle() {
            crossing.found = n.position;
        }
        let (Some((from, left)), Some(begun), Some(to)) =
            (crossing.left, crossing.begun, crossing.found)
        else {
            continue;
        };
        if let Some(from) = from.filter(|from| *from != to) {
            of_seam(q, seam, (from, to), left || begun, &mut |_, amount| charged += amount);
        }
        *crossing = Crossing { paid: true, ..Crossing::default() };
    }
    (known, charged)
}
