//! What a posture costs by itself.

use apoyando_fingering::{LeftFinger, Position, Problem, Term};

use super::{Charges, from_nut};
use crate::author::width;
use crate::hand::{Down, Hand};
use crate::physics::{sound, spread};

pub(super) fn charge(problem: &Problem<'_>, hand: &Hand, charge: &mut Charges<'_>) {
    for struck in hand.struck() {
        match struck.placement.finger {
            None => continue,
            Some(LeftFinger::Three) => charge.times(Term::Finger3, 1),
            Some(LeftFinger::Four) => charge.times(Term::Finger4, 1),
            Some(_) => {}
        }
        charge.times(Term::Stop, 1);
        if let Some(position) = hand.position {
            charge.times(Term::Height, (2 * i64::from(position.get()) - 3).max(0));
        }
    }
    let down = hand.down();
    if let Some(position) = hand.position {
        for finger in &down {
            charge.times(Term::Extension, finger.extension(position));
            if finger.strikes {
                charge.times(Term::Contraction, finger.contraction(position));
                let leads = finger.finger == LeftFinger::One && finger.offset(position) > 0;
                charge.times(Term::Lead, i64::from(leads));
            }
        }
        stretches(problem, position, &down, charge);
    }
    for (index, low) in down.iter().enumerate() {
        for high in &down[index + 1..] {
            let crossed =
                low.fret() == high.fret() && low.place.string < high.place.string && !low.barre;
            if crossed && (low.strikes || high.strikes) {
                charge.times(Term::Crossed, 1);
            }
        }
    }
    if let Some(barre) = hand.barre {
        charge.times(Term::BarreHold, i64::from(width(barre)));
    }
}

/// How much farther two fingers are apart than they are at rest.
fn stretches(problem: &Problem<'_>, position: Position, down: &[Down], charge: &mut Charges<'_>) {
    let instrument = problem.instrument;
    for (index, low) in down.iter().enumerate() {
        for high in &down[index + 1..] {
            if [low, high].iter().any(|finger| sound(instrument, finger.place).is_none()) {
                continue;
            }
            let (apart, _) = spread(instrument, low, high);
            let at_rest =
                |finger: &Down| from_nut(instrument, i64::from(position.fret_of(finger.finger).0));
            let excess = apart - (at_rest(high) - at_rest(low));
            if excess > 0 {
                let value = charge.value(Term::Stretch);
                charge.amount(Term::Stretch, (value * excess).div_euclid(100));
            }
        }
    }
}
