//! Fingers that stay and stop nothing (P9).

use apoyando_fingering::{LeftFinger, Problem};
use apoyando_fretboard::Place;

use super::Seat;
use super::sounding::{is_place_of, sound};
use crate::hand::{Down, Hand};
use crate::layers::Layers;
use crate::violation::{Fault, StayFault};

/// How many fingers may stay.
const MOST: usize = 2;

/// How many layers a common finger may wait.
const COMMON: usize = 2;

pub(super) fn check(seat: &Seat<'_>, faults: &mut Vec<Fault>) {
    let staying = &seat.hand.staying;
    for (finger, place) in staying {
        let (finger, place) = (*finger, *place);
        for fault in stay_faults(seat, finger, place) {
            faults.push(Fault::Stays { finger, place, fault });
        }
    }
    if staying.len() > MOST {
        faults.push(Fault::TooManyStay(staying.len()));
    }
}

fn stay_faults(seat: &Seat<'_>, finger: LeftFinger, place: Place) -> Vec<StayFault> {
    let hand = seat.hand;
    let mut faults = Vec::new();
    if place.fret.is_open() || sound(seat.problem.instrument, place).is_none() {
        return vec![StayFault::NoPlace];
    }
    if hand.places(finger).next().is_some() {
        faults.push(StayFault::IsDown);
    }
    let on_the_string = hand.sounding.iter().filter(|s| s.placement.place.string == place.string);
    for sounding in on_the_string {
        let sounds = sounding.placement.place;
        if !sounding.stopped() || sounds.fret <= place.fret {
            faults.push(StayFault::NotInFront(sounds));
        }
    }
    if hand.away.is_some() {
        faults.push(StayFault::HandAway);
    }
    match hand.position {
        None => faults.push(StayFault::NoPosition),
        Some(position) => {
            let stays = Down { finger, place, barre: false, strikes: false };
            let frets = stays.extension(position);
            if frets > 0 {
                faults.push(StayFault::Extended(frets));
            }
        }
    }
    if !has_purpose(seat, place) {
        faults.push(StayFault::NoPurpose);
    }
    faults
}

fn has_purpose(seat: &Seat<'_>, place: Place) -> bool {
    let Seat { problem, all, layer, hand } = seat;
    let key = sound(problem.instrument, place);
    let mut soon = (layer + 1..=layer + COMMON).flat_map(|next| all.struck(next));
    let common = soon.any(|sound| Some(sound.key) == key);
    let in_front = stopped_on(hand, place).any(|(_, front)| front.fret > place.fret);
    let guide = layer + 1 < all.layers.len() && (hand.idle() || in_front);
    common || guide || prepared(problem, all, hand, place)
}

/// Whether a finger at a place waits there for the lower sound of a slur.
pub(crate) fn prepared(problem: &Problem<'_>, all: &Layers<'_>, hand: &Hand, place: Place) -> bool {
    stopped_on(hand, place).any(|(sound, _)| {
        all.slurred_down(sound).any(|lower| is_place_of(problem.instrument, lower, place))
    })
}

/// The sounds stopped on the string of a place, and where.
fn stopped_on(hand: &Hand, place: Place) -> impl Iterator<Item = (usize, Place)> + '_ {
    let stopped = hand.sounding.iter().filter(|sounding| sounding.stopped());
    stopped
        .map(|sounding| (sounding.sound, sounding.placement.place))
        .filter(move |(_, at)| at.string == place.string)
}
