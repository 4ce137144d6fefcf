//! The order of ties of section 5 of the model.

use crate::grip::{Place, Posture, Spot};
use crate::question::Question;
use crate::strings::Barre;

/// What layers are compared by, the smaller first.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Rank {
    /// Each struck sound, whether it is left out before where it is.
    struck: Vec<(bool, Option<Spot>)>,
    position: Option<u8>,
    away: u8,
    let_go: Vec<bool>,
    barre: Option<Barre>,
    /// Where each finger stays or is bound.
    stands: [Option<Place>; 4],
}

pub fn rank(q: &Question<'_>, posture: &Posture) -> Rank {
    let kept = |sound: &usize| posture.kept.iter().any(|(kept, _)| kept == sound);
    Rank {
        struck: posture.struck.iter().map(|spot| (spot.is_none(), *spot)).collect(),
        position: posture.position,
        away: posture.away,
        let_go: q.wanted[posture.layer].iter().map(|sound| !kept(sound)).collect(),
        barre: posture.barre,
        stands: [0, 1, 2, 3].map(|index| posture.stays[index].or(posture.bound[index])),
    }
}
