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
    /// Of each sound that might be kept, whether it is let go, and else the finger that
    /// has taken it over.
    let_go: Vec<(bool, Option<u8>)>,
    barre: Option<Barre>,
    /// Where each finger stays or is bound.
    stands: [Option<Place>; 4],
}

pub fn rank(q: &Question<'_>, posture: &Posture) -> Rank {
    let let_go = |sound: &usize| {
        let at = posture.kept.iter().find(|(kept, _)| kept == sound).map(|(_, at)| at);
        (at.is_none(), at.filter(|at| at.changed).map(|at| at.finger))
    };
    Rank {
        struck: posture.struck.iter().map(|spot| (spot.is_none(), *spot)).collect(),
        position: posture.position,
        away: posture.away,
        let_go: q.wanted[posture.layer].iter().map(let_go).collect(),
        barre: posture.barre,
        stands: [0, 1, 2, 3].map(|index| posture.stays[index].or(posture.bound[index])),
    }
}
