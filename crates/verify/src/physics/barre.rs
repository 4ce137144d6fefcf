//! A finger is at one place, but for a barre (P4).

use apoyando_fingering::{Barre, Hinge, LeftFinger};
use apoyando_fretboard::Place;
use apoyando_music::KeyNumber;

use super::sounding::sound;
use super::{Seat, report};
use crate::sounds::Kind;
use crate::violation::{BarreFault, Fault};

pub(super) fn check(seat: &Seat<'_>, faults: &mut Vec<Fault>) {
    for finger in LeftFinger::ALL {
        one_place(seat, finger, faults);
    }
    match seat.hand.barre {
        Some(barre) => {
            report(faults, barre_faults(seat, barre), |fault| Fault::Barre { barre, fault });
        }
        None if seat.hand.hinge.is_some() => faults.push(Fault::HingeWithoutBarre),
        None => {}
    }
}

/// What a barre stops lies under one finger; where that finger is bound besides
/// does not.
fn one_place(seat: &Seat<'_>, finger: LeftFinger, faults: &mut Vec<Fault>) {
    let hand = seat.hand;
    let places: Vec<Place> = match hand.lies_as_barre(finger) {
        Some(_) => {
            let stopped = hand.stopped_by(finger).map(|s| s.placement.place);
            let elsewhere = hand.played_by(finger).filter(|s| s.touched).map(|s| s.placement.place);
            stopped.take(1).chain(elsewhere).chain(hand.bound_at(finger)).collect()
        }
        None => hand.places(finger).collect(),
    };
    for pair in places.windows(2) {
        faults.push(Fault::FingerInTwoPlaces { finger, one: pair[0], other: pair[1] });
    }
}

fn barre_faults(seat: &Seat<'_>, barre: Barre) -> Vec<BarreFault> {
    let hand = seat.hand;
    let on_it = barre.thick.index() < seat.problem.instrument.tuning.len();
    if barre.thick <= barre.thin || barre.fret.is_open() || !on_it {
        return vec![BarreFault::NoBarre];
    }
    let mut faults = Vec::new();
    let laid = hand.laid().unwrap_or(barre.thin.get()..=barre.thick.get());
    for sounding in &hand.sounding {
        let place = sounding.placement.place;
        let stops = sounding.stopped() && sounding.placement.finger == Some(LeftFinger::One);
        if !barre.covers(place.string) {
            if stops {
                faults.push(BarreFault::FingerOneOutside(place));
            }
        } else if !laid.contains(&place.string.get()) {
            if !place.fret.is_open() && place.fret <= barre.fret {
                faults.push(BarreFault::UnderLifted(place));
            }
        } else if place.fret < barre.fret {
            faults.push(BarreFault::Below(place));
        } else if stops != (place.fret == barre.fret) {
            faults.push(BarreFault::NotByFingerOne(place));
        } else if sounding.touched {
            faults.push(BarreFault::HarmonicUnder(place));
        }
    }
    let stops = hand.stopped_by(LeftFinger::One).any(|s| barre.covers(s.placement.place.string));
    if !stops {
        faults.push(BarreFault::StopsNothing);
    }
    if let Some(side) = hand.hinge
        && !lifts_something_open(seat, barre, side)
    {
        faults.push(BarreFault::LiftsNothing);
    }
    if laid.end() <= laid.start() {
        faults.push(BarreFault::LaidOnOne);
    }
    faults.extend(idle_ends(seat, barre));
    faults
}

/// Whether some string of the lifted part sounds open.
fn lifts_something_open(seat: &Seat<'_>, barre: Barre, side: Hinge) -> bool {
    let Some(laid) = seat.hand.laid() else { return false };
    seat.hand.sounding.iter().map(|sounding| sounding.placement.place).any(|place| {
        let string = place.string.get();
        let beyond = match side {
            Hinge::Thin => string < *laid.start(),
            Hinge::Thick => string > *laid.end(),
        };
        place.fret.is_open() && barre.covers(place.string) && beyond
    })
}

/// Ends of the span that give no sound of now, ornaments included, of the next
/// layer or of the figure that goes on.
fn idle_ends(seat: &Seat<'_>, barre: Barre) -> Vec<BarreFault> {
    let (all, layer) = (seat.all, seat.layer);
    let next = (layer + 2).min(all.layers.len());
    let last = all.figure_of(layer).map_or(next, |figure| figure.end.max(next));
    let struck = all.layers[layer].struck.start..all.layers[last - 1].struck.end;
    let here = all.sounds[all.layers[layer].struck.clone()].iter();
    let ornaments: Vec<KeyNumber> = here
        .filter(|sound| sound.kind == Kind::Plain)
        .flat_map(|sound| sound.auxiliaries.iter().copied())
        .collect();
    let ends = [barre.thin, barre.thick].into_iter().filter(|string| {
        let key = sound(seat.problem.instrument, Place { string: *string, fret: barre.fret });
        let kept = seat.hand.sounding.iter().map(|sounding| sounding.sound);
        let mut keys = kept.chain(struck.clone()).map(|sound| all.sounds[sound].key);
        !keys.any(|sounds| Some(sounds) == key) && !key.is_some_and(|key| ornaments.contains(&key))
    });
    ends.map(BarreFault::IdleEnd).collect()
}
