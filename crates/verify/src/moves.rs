//! What cannot happen from one layer to the next (M1 to M5 of the model).

use apoyando_fingering::{Placement, Problem};
use apoyando_fretboard::{Fret, Place};

use crate::hand::{Hand, Sounding};
use crate::layers::Layers;
use crate::physics::prepared;
use crate::second;
use crate::sounds::Kind;
use crate::violation::{Fault, Violation};

pub(crate) fn check(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    found: &mut Vec<Violation>,
) {
    for (layer, hand) in hands.iter().enumerate() {
        let mut faults = Vec::new();
        let before = layer.checked_sub(1).map(|before| &hands[before]);
        let reached = before.filter(|_| all.layers[layer].reached);
        kept(all, (before, reached), hand, &mut faults);
        if reached.is_some() {
            second::check(problem, all, hands, layer, &mut faults);
        }
        stays(problem, all, reached, hand, &mut faults);
        away(reached, hand, &mut faults);
        found.extend(faults.into_iter().map(|fault| Violation::at(all.spot(layer), fault)));
    }
}

/// M1 and M2. `reached` is the hand before, if no cut lies between.
fn kept(
    all: &Layers<'_>,
    (before, reached): (Option<&Hand>, Option<&Hand>),
    hand: &Hand,
    faults: &mut Vec<Fault>,
) {
    for kept in hand.sounding.iter().filter(|sounding| !sounding.struck) {
        let (tone, is) = (all.sounds[kept.sound].tones[0], kept.placement);
        let of = |hand: &Hand| hand.sounding.iter().copied().find(|was| was.sound == kept.sound);
        match (before.and_then(of), reached) {
            (None, _) => faults.push(Fault::KeptAfterLettingGo { tone, place: is.place }),
            (Some(_), None) => faults.push(Fault::KeptOverCut { tone, place: is.place }),
            (Some(was), Some(_)) => {
                let was = as_kept(all, was);
                let fingers = Placement { finger: is.finger, ..was };
                let taken_over = was.finger.is_some() && is.finger.is_some() && fingers == is;
                if was != is && !taken_over {
                    faults.push(Fault::KeptElsewhere { tone, was, is });
                }
            }
        }
    }
}

/// What a sound is kept as.
fn as_kept(all: &Layers<'_>, was: Sounding) -> Placement {
    match all.sounds[was.sound].kind {
        Kind::Natural => {
            let place = Place { fret: Fret::OPEN, ..was.placement.place };
            Placement { place, finger: None }
        }
        Kind::Plain | Kind::Artificial => was.placement,
    }
}

/// M3.
fn stays(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    reached: Option<&Hand>,
    hand: &Hand,
    faults: &mut Vec<Fault>,
) {
    for (finger, place) in hand.staying.iter().copied() {
        let was_there = reached.is_some_and(|before| {
            let stopped = before.stopped_by(finger).map(|sounding| sounding.placement.place);
            let held = stopped.chain(before.bound_at(finger)).chain(before.stays_at(finger));
            held.into_iter().any(|at| at == place)
        });
        if !was_there && !prepared(problem, all, hand, place) {
            faults.push(Fault::StaysUncalled { finger, place });
        }
    }
}

/// M4.
fn away(reached: Option<&Hand>, hand: &Hand, faults: &mut Vec<Fault>) {
    let Some(before) = reached else {
        if let Some(place) = hand.away {
            faults.push(Fault::AwayAtOnce(place));
        }
        return;
    };
    let stays = before.position.is_some() && before.position == hand.position;
    if (before.away.is_some() || hand.away.is_some()) && !stays {
        faults.push(Fault::AwayInMoving { from: before.position, to: hand.position });
    }
}
