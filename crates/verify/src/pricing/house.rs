//! Notes played against the house style.

use apoyando_fingering::{Descending, LeftFinger, Problem, Shape, StringState, Term};
use apoyando_fretboard::{Fret, StringNumber};

use super::Charges;
use crate::hand::{Hand, Sounding};
use crate::layers::Layers;

pub(super) fn charge(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    layer: usize,
    hand: &Hand,
    charge: &mut Charges<'_>,
) {
    let house = problem.house;
    if house.is_empty() {
        return;
    }
    let shape = house.shapes.iter().find(|shape| fits(shape, hand));
    for struck in hand.struck() {
        let against = match shape.and_then(|shape| of_shape(shape, struck)) {
            Some(finger) => finger.is_some() && finger != struck.placement.finger,
            None => {
                third_fret(house.third_fret, hand, struck)
                    || house
                        .descending
                        .is_some_and(|preferred| descends(problem, all, layer, struck, preferred))
            }
        };
        if against {
            charge.times(Term::House, 1);
        }
    }
}

/// Whether what sounds is a shape: all that it stops, of its open strings any,
/// and nothing else.
fn fits(shape: &Shape, hand: &Hand) -> bool {
    let sounds = |string: usize| {
        let mut sounding = hand.sounding.iter().map(|s| s.placement.place);
        sounding.find(|place| place.string.index() == string).map(|place| place.fret)
    };
    let strings = usize::from(StringNumber::MOST).max(shape.strings.len());
    (0..strings).all(|string| match shape.strings.get(string) {
        Some(StringState::Stopped { fret, .. }) => sounds(string) == Some(*fret),
        Some(StringState::Open) => sounds(string).is_none_or(Fret::is_open),
        Some(StringState::Unplayed) | None => sounds(string).is_none(),
    })
}

/// The finger that a shape gives a sound which it stops, if it names one;
/// `None` if it does not stop the sound.
fn of_shape(shape: &Shape, struck: Sounding) -> Option<Option<LeftFinger>> {
    match shape.strings.get(struck.placement.place.string.index())? {
        StringState::Stopped { finger, .. } => Some(*finger),
        StringState::Open | StringState::Unplayed => None,
    }
}

/// Fret 3 in I by 3 where 4 is preferred, or by 4 where 3 is.
fn third_fret(preferred: Option<LeftFinger>, hand: &Hand, struck: Sounding) -> bool {
    use LeftFinger::{Four, Three};
    let other = match struck.placement.finger {
        Some(Three) => Four,
        Some(Four) => Three,
        _ => return false,
    };
    hand.place().is_some_and(|place| place.get() == 1)
        && struck.stopped()
        && struck.placement.place.fret == Fret(3)
        && preferred == Some(other)
        && hand.stopped_by(other).next().is_none()
}

/// A line that comes down by step to an open string or to one that could be.
fn descends(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    layer: usize,
    struck: Sounding,
    preferred: Descending,
) -> bool {
    let instrument = problem.instrument;
    let before = layer.checked_sub(1).filter(|_| all.layers[layer].reached);
    let (Some(own), Some(before)) = (all.lone(layer), before.and_then(|b| all.lone(b))) else {
        return false;
    };
    if !(1..=2).contains(&(before.key.0 - own.key.0)) {
        return false;
    }
    let place = struck.placement.place;
    match preferred {
        Descending::Open => {
            let open =
                |string| instrument.place_on(string, own.key).is_some_and(|p| p.fret.is_open());
            struck.stopped() && instrument.tuning.strings().any(open)
        }
        Descending::Stopped => {
            let stopped = |string| {
                instrument.place_on(string, own.key).is_some_and(|place| !place.fret.is_open())
            };
            let thicker = instrument.tuning.strings().filter(|string| *string > place.string);
            place.fret.is_open() && thicker.into_iter().any(stopped)
        }
    }
}
