//! What a posture cannot do (P1 to P8 of the model).

use apoyando_fingering::{Barre, LeftFinger, Position, Problem};
use apoyando_fretboard::{Fret, Instrument, Place};

use crate::hand::{Down, Hand};
use crate::layers::Layers;
use crate::violation::{BarreFault, Fault, Violation};

/// How many frets an offset may go outwards (`e`).
const MOST_EXTENSION: i64 = 3;

/// In how many later layers a barre laid early must have found its use.
const LAID_EARLY: usize = 8;

/// How much easier a reach gets for each string that the higher finger lies on
/// the thin side, in tenths of a millimetre.
const SLANT: i64 = 20;

pub(crate) fn check(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    found: &mut Vec<Violation>,
) {
    for (layer, hand) in hands.iter().enumerate() {
        let mut faults = Vec::new();
        pitches(problem.instrument, all, hand, &mut faults);
        strings(hand, &mut faults);
        fingers(hand, &mut faults);
        places(problem.instrument, all, layer, hand, &mut faults);
        let down = hand.down();
        order(&down, &mut faults);
        reach(problem, &down, &mut faults);
        offsets(hand, &down, &mut faults);
        found.extend(faults.into_iter().map(|fault| Violation::at(all.spot(layer), fault)));
    }
}

/// What a place sounds; `None` off the instrument.
pub(crate) fn sound(instrument: &Instrument, place: Place) -> Option<apoyando_music::KeyNumber> {
    // Frets are added up in eight bits further down.
    (place.fret <= Fret::MOST).then(|| instrument.sound(place)).flatten()
}

/// P1.
fn pitches(instrument: &Instrument, all: &Layers<'_>, hand: &Hand, faults: &mut Vec<Fault>) {
    for sounding in &hand.sounding {
        let wanted = all.sounds[sounding.sound].key;
        let place = sounding.placement.place;
        let found = sound(instrument, place);
        if found != Some(wanted) {
            faults.push(Fault::WrongPitch { place, found, wanted });
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

/// P4.
fn places(
    instrument: &Instrument,
    all: &Layers<'_>,
    layer: usize,
    hand: &Hand,
    faults: &mut Vec<Fault>,
) {
    for finger in LeftFinger::ALL {
        if hand.lies_as_barre(finger).is_some() {
            continue;
        }
        let places: Vec<Place> = hand.places(finger).collect();
        for pair in places.windows(2) {
            faults.push(Fault::FingerInTwoPlaces { finger, one: pair[0], other: pair[1] });
        }
    }
    if let Some(barre) = hand.barre {
        let fault = |fault| Fault::Barre { barre, fault };
        faults.extend(barre_faults(instrument, all, layer, hand, barre).into_iter().map(fault));
    }
}

fn barre_faults(
    instrument: &Instrument,
    all: &Layers<'_>,
    layer: usize,
    hand: &Hand,
    barre: Barre,
) -> Vec<BarreFault> {
    let on_it = barre.thick.index() < instrument.tuning.len();
    if barre.thick <= barre.thin || barre.fret.is_open() || !on_it {
        return vec![BarreFault::NoBarre];
    }
    let mut faults = Vec::new();
    for sounding in &hand.sounding {
        let (place, finger) = (sounding.placement.place, sounding.placement.finger);
        let first = finger == Some(LeftFinger::One);
        if !barre.covers(place.string) {
            if first {
                faults.push(BarreFault::FingerOneOutside(place));
            }
        } else if place.fret < barre.fret {
            faults.push(BarreFault::Below(place));
        } else if first != (place.fret == barre.fret) {
            faults.push(BarreFault::NotByFingerOne(place));
        }
    }
    if hand.stopped_by(LeftFinger::One).next().is_none() {
        faults.push(BarreFault::StopsNothing);
    }
    let last = (layer + LAID_EARLY).min(all.layers.len() - 1);
    let struck = all.layers[layer].struck.start..all.layers[last].struck.end;
    for string in [barre.thin, barre.thick] {
        let key = sound(instrument, Place { string, fret: barre.fret });
        let kept = hand.sounding.iter().map(|sounding| sounding.sound);
        if !kept.chain(struck.clone()).any(|sound| Some(all.sounds[sound].key) == key) {
            faults.push(BarreFault::IdleEnd(string));
        }
    }
    faults
}

fn pairs(down: &[Down]) -> impl Iterator<Item = (&Down, &Down)> {
    let after = |(index, low): (usize, _)| down[index + 1..].iter().map(move |high| (low, high));
    down.iter().enumerate().flat_map(after)
}

/// P5.
fn order(down: &[Down], faults: &mut Vec<Fault>) {
    for (low, high) in pairs(down) {
        if low.fret() > high.fret() || (low.barre && low.fret() == high.fret()) {
            faults.push(Fault::FingersOutOfOrder {
                low: (low.finger, low.place),
                high: (high.finger, high.place),
            });
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
fn reach(problem: &Problem<'_>, down: &[Down], faults: &mut Vec<Fault>) {
    for (low, high) in pairs(down) {
        let places = [low.place, high.place];
        if places.iter().any(|place| sound(problem.instrument, *place).is_none()) {
            continue;
        }
        let (along, across) = spread(problem.instrument, low, high);
        let reach = problem.level.reach.between(low.finger, high.finger);
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

/// P7 and P8.
fn offsets(hand: &Hand, down: &[Down], faults: &mut Vec<Fault>) {
    let Some(position) = hand.position else {
        if !down.is_empty() {
            faults.push(Fault::NoPosition);
        }
        return;
    };
    for finger in down {
        if !within(finger, position) {
            faults.push(Fault::OutOfPosition {
                finger: finger.finger,
                place: finger.place,
                position,
            });
        }
    }
}

fn within(finger: &Down, position: Position) -> bool {
    let offset = finger.offset(position);
    let allowed = match finger.finger {
        LeftFinger::One => -MOST_EXTENSION..=1,
        other => 1 - i64::from(other.digit())..=MOST_EXTENSION,
    };
    allowed.contains(&offset)
}
