//! Fingers that stay down, or come down early, and stop nothing meanwhile.

use apoyando_fingering::{LeftFinger, Posture};
use apoyando_fretboard::Place;
use apoyando_music::Moment;

use super::Spot;
use super::reading::Reading;

/// What a finger stays for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Purpose {
    /// It stops its place again.
    Again(Spot),
    /// It slides along its string to another place.
    Guide {
        /// Where it arrives.
        spot: Spot,
        /// The place there.
        to: Place,
    },
    /// A slur downwards leads to it: it is down before.
    Prepared(Spot),
    /// It rests its string for nothing that follows at once.
    Rest,
}

/// A finger that is down on a place where it stops nothing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Staying {
    /// The finger.
    pub finger: LeftFinger,
    /// Where it is.
    pub place: Place,
    /// The first onset at which it stops nothing.
    pub spot: Spot,
    /// Whether it was down before; otherwise it comes down here.
    pub was_down: bool,
    /// What for.
    pub purpose: Purpose,
}

/// Every finger that stays, in order, once for all onsets that follow on.
pub(super) fn find(reading: &Reading<'_>) -> Vec<Staying> {
    let postures = &reading.fingering.postures;
    let stays = |index: usize, at: (LeftFinger, Place)| {
        postures.get(index).is_some_and(|posture| posture.staying.contains(&at))
    };
    let mut found = Vec::new();
    for (index, posture) in postures.iter().enumerate() {
        for (finger, place) in posture.staying.iter().copied() {
            let before = index.checked_sub(1);
            if before.is_some_and(|before| stays(before, (finger, place))) {
                continue;
            }
            let mut last = index;
            while stays(last + 1, (finger, place)) {
                last += 1;
            }
            let was_down = before.is_some_and(|before| is_down(&postures[before], finger, place));
            found.push(Staying {
                finger,
                place,
                spot: Spot::of(reading.score(), posture.at),
                was_down,
                purpose: purpose(reading, last, finger, place),
            });
        }
    }
    found
}

/// Whether a finger stops a sound at a place.
fn is_down(posture: &Posture, finger: LeftFinger, place: Place) -> bool {
    posture.of_finger(finger).any(|placement| placement.place == place)
}

/// What a finger stays for that stays last at a posture.
fn purpose(reading: &Reading<'_>, last: usize, finger: LeftFinger, place: Place) -> Purpose {
    let spot = |at: Moment| Spot::of(reading.score(), at);
    let Some(next) = reading.fingering.postures.get(last + 1) else { return Purpose::Rest };
    let at_next = next.of_finger(finger).find(|placement| placement.place.string == place.string);
    match at_next {
        Some(placement) if placement.place == place => {
            let joined = next.sounding.iter().any(|(tone, placement)| {
                placement.place == place && reading.fingering.tone(*tone).joined
            });
            if joined { Purpose::Prepared(spot(next.at)) } else { Purpose::Again(spot(next.at)) }
        }
        Some(placement) => Purpose::Guide { spot: spot(next.at), to: placement.place },
        None => Purpose::Rest,
    }
}
