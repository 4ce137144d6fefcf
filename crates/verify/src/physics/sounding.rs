//! What sounds, on which string and by which finger (P1 to P3).

use apoyando_fretboard::{Fret, Instrument, Place};
use apoyando_music::KeyNumber;

use super::Seat;
use crate::hand::Hand;
use crate::sounds::{Kind, Sound};
use crate::violation::Fault;

/// Semitones above the open string that a string touched at a fret gives.
const HARMONICS: [(u8, i16); 8] =
    [(12, 12), (7, 19), (19, 19), (5, 24), (24, 24), (4, 28), (9, 28), (16, 28)];

/// Semitones by which an artificial harmonic lies above its stopped place.
const OCTAVE: i16 = 12;

pub(super) fn check(seat: &Seat<'_>, faults: &mut Vec<Fault>) {
    pitches(seat, faults);
    strings(seat.hand, faults);
    fingers(seat.hand, faults);
}

/// What a place sounds when it is stopped, or open; `None` off the instrument.
pub(crate) fn sound(instrument: &Instrument, place: Place) -> Option<KeyNumber> {
    // Frets are added up in eight bits further down.
    (place.fret <= Fret::MOST).then(|| instrument.sound(place)).flatten()
}

/// What a place gives a sound of a kind; `None` if it gives none such.
fn given(instrument: &Instrument, kind: Kind, place: Place) -> Option<KeyNumber> {
    let stopped = sound(instrument, place)?;
    match kind {
        Kind::Plain => Some(stopped),
        Kind::Natural => {
            let open = sound(instrument, Place { fret: Fret::OPEN, ..place })?;
            let above = HARMONICS.iter().find(|(fret, _)| *fret == place.fret.0)?.1;
            Some(KeyNumber(open.0 + above))
        }
        Kind::Artificial if place.fret.is_open() => None,
        Kind::Artificial => Some(KeyNumber(stopped.0 + OCTAVE)),
    }
}

/// Whether a place is one of a sound's.
pub(super) fn is_place_of(instrument: &Instrument, sound: &Sound, place: Place) -> bool {
    given(instrument, sound.kind, place) == Some(sound.key)
}

/// P1. A natural harmonic that is kept is on the open string of its place, by
/// M1.
fn pitches(seat: &Seat<'_>, faults: &mut Vec<Fault>) {
    for sounding in &seat.hand.sounding {
        let sound = &seat.all.sounds[sounding.sound];
        if sound.kind == Kind::Natural && !sounding.struck {
            continue;
        }
        let (place, wanted) = (sounding.placement.place, sound.key);
        let found = given(seat.problem.instrument, sound.kind, place);
        if found != Some(wanted) {
            faults.push(match sound.kind {
                Kind::Plain => Fault::WrongPitch { place, found, wanted },
                Kind::Natural | Kind::Artificial => Fault::WrongHarmonic { place, found, wanted },
            });
        }
    }
}

/// P2.
fn strings(hand: &Hand, faults: &mut Vec<Fault>) {
    for (index, one) in hand.sounding.iter().enumerate() {
        for other in &hand.sounding[index + 1..] {
            let (one, other) = (one.placement.place, other.placement.place);
            if one.string == other.string {
                faults.push(Fault::StringShared { one, other });
            }
        }
    }
}

/// P3.
fn fingers(hand: &Hand, faults: &mut Vec<Fault>) {
    for sounding in &hand.sounding {
        let place = sounding.placement.place;
        match (place.fret.is_open(), sounding.placement.finger) {
            (true, Some(finger)) => faults.push(Fault::FingerOnOpenString { place, finger }),
            (false, None) => faults.push(Fault::NoFinger { place }),
            _ => {}
        }
    }
}
