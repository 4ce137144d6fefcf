//! Fingers that an ornament needs (P11).

use apoyando_fingering::LeftFinger;
use apoyando_fretboard::{Instrument, Place};

use super::Seat;
use crate::hand::{Hand, Sounding};
use crate::layers::Layers;
use crate::sounds::Kind;
use crate::violation::Fault;

/// What an ornament needs of the hand.
struct Needs {
    /// The places for fingers.
    places: Vec<Place>,
    /// Whether the string of its sound gives all its notes.
    possible: bool,
}

/// `None` if the sound has no ornament.
fn needs(instrument: &Instrument, all: &Layers<'_>, struck: Sounding) -> Option<Needs> {
    let sound = &all.sounds[struck.sound];
    if sound.kind != Kind::Plain || sound.auxiliaries.is_empty() {
        return None;
    }
    let string = struck.placement.place.string;
    let given: Vec<Option<Place>> =
        sound.auxiliaries.iter().map(|key| instrument.place_on(string, *key)).collect();
    Some(Needs {
        possible: given.iter().all(Option::is_some),
        places: given.into_iter().flatten().filter(|place| !place.fret.is_open()).collect(),
    })
}

fn is_bound(hand: &Hand, place: Place) -> bool {
    hand.bound.iter().any(|(_, at)| *at == place)
}

/// Whether a struck sound is played with its ornament.
pub(crate) fn ornamented(
    instrument: &Instrument,
    all: &Layers<'_>,
    hand: &Hand,
    struck: Sounding,
) -> bool {
    let given = |place: &Place| hand.lays_over(*place) || is_bound(hand, *place);
    needs(instrument, all, struck)
        .is_some_and(|needs| needs.possible && needs.places.iter().all(given))
}

pub(super) fn check(seat: &Seat<'_>, faults: &mut Vec<Fault>) {
    let (instrument, hand) = (seat.problem.instrument, seat.hand);
    let mut wanted: Vec<(Place, Option<LeftFinger>)> = Vec::new();
    for struck in hand.struck() {
        let Some(needs) = needs(instrument, seat.all, struck) else { continue };
        let finger = struck.placement.finger;
        let some = needs.places.iter().any(|place| is_bound(hand, *place));
        if some && !ornamented(instrument, seat.all, hand, struck) {
            faults.push(Fault::OrnamentInPart(seat.all.sounds[struck.sound].tones[0]));
        }
        wanted.extend(needs.places.into_iter().map(|place| (place, finger)));
    }
    for (finger, place) in hand.bound.iter().copied() {
        match wanted.iter().find(|(at, _)| *at == place) {
            None => faults.push(Fault::BoundForNothing { finger, place }),
            Some((_, own)) if *own == Some(finger) => {
                faults.push(Fault::BoundBySounding { finger, place });
            }
            Some(_) => {}
        }
    }
}
