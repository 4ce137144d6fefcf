//! The order of the fingers, their reach and the place of the hand (P5 to P8).

use apoyando_fingering::{LeftFinger, Position};
use apoyando_fretboard::Instrument;

use super::sounding::sound;
use super::{Seat, pairs};
use crate::hand::{Down, Hand};
use crate::violation::Fault;

/// How many frets an offset may go outwards (`e`).
const MOST_EXTENSION: i64 = 3;

/// How much easier a reach gets for each string that the higher finger lies on
/// the thin side, in tenths of a millimetre.
const SLANT: i64 = 20;

pub(super) fn check(seat: &Seat<'_>, faults: &mut Vec<Fault>) {
    let fingers = seat.hand.on_the_board();
    order(&fingers, faults);
    reach(seat, &fingers, faults);
    offsets(seat.hand, &fingers, faults);
}

/// P5.
fn order(fingers: &[Down], faults: &mut Vec<Fault>) {
    for (low, high) in pairs(fingers) {
        if low.fret() > high.fret() || (low.barre && low.fret() == high.fret()) {
            faults.push(Fault::FingersOutOfOrder {
                low: (low.finger, low.place),
                high: (high.finger, high.place),
            });
        } else if low.place == high.place {
            let fingers = (low.finger, high.finger);
            faults.push(Fault::FingersAtOnePlace { fingers, place: low.place });
        }
    }
}

/// Distance of two fingers along the neck, slant included, and across it.
pub(crate) fn spread(instrument: &Instrument, low: &Down, high: &Down) -> (i64, i64) {
    let (a, b) = (instrument.point(low.place), instrument.point(high.place));
    let along = i64::from(b.along.0) - i64::from(a.along.0);
    if low.barre {
        return (along, 0);
    }
    let strings = i64::from(high.place.string.get()) - i64::from(low.place.string.get());
    (along + SLANT * strings, i64::from(a.across.0) - i64::from(b.across.0))
}

/// P6.
fn reach(seat: &Seat<'_>, fingers: &[Down], faults: &mut Vec<Fault>) {
    let instrument = seat.problem.instrument;
    for (low, high) in pairs(fingers) {
        let places = [low.place, high.place];
        if places.iter().any(|place| sound(instrument, *place).is_none()) {
            continue;
        }
        let (along, across) = spread(instrument, low, high);
        let reach = seat.problem.level.reach.between(low.finger, high.finger);
        let most = i64::from(reach.0);
        if along * along + across * across > most * most {
            faults.push(Fault::OutOfReach {
                low: (low.finger, low.place),
                high: (high.finger, high.place),
                reach,
            });
        }
    }
}

/// P7 and P8. That fingers stay only in a position is said by P9.
fn offsets(hand: &Hand, fingers: &[Down], faults: &mut Vec<Fault>) {
    let Some(place_of_hand) = hand.place() else {
        if !hand.idle() {
            faults.push(Fault::NoPosition);
        }
        return;
    };
    for finger in fingers {
        if !within(finger, place_of_hand) {
            faults.push(Fault::OutOfPosition {
                finger: finger.finger,
                place: finger.place,
                position: place_of_hand,
            });
        }
    }
    if hand.position.is_none() && !hand.idle() {
        faults.push(Fault::NoPosition);
    }
}

fn within(finger: &Down, hand: Position) -> bool {
    let offset = finger.offset(hand);
    let allowed = match finger.finger {
        LeftFinger::One => -MOST_EXTENSION..=1,
        other => 1 - i64::from(other.digit())..=MOST_EXTENSION,
    };
    allowed.contains(&offset)
}
