//! What a posture costs by itself.

use apoyando_fingering::{LeftFinger, Position, Problem, Term};

use super::{Charges, from_nut};
use crate::hand::{Down, Hand, Sounding};
use crate::layers::Layers;
use crate::physics::{ornamented, sound, spread};
use crate::sounds::{Kind, Role};
use crate::time::Clock;

/// From how long on, in milliseconds, a note is long.
const LONG: i128 = 1000;

/// From the position above this one on an open string stands out.
const LOW: u8 = 3;

pub(super) fn charge(
    problem: &Problem<'_>,
    (all, clock): (&Layers<'_>, &Clock),
    hand: &Hand,
    charge: &mut Charges<'_>,
) {
    for struck in hand.struck() {
        stop(struck, charge);
        tone(all, clock, hand, struck, charge);
        let calls = !all.sounds[struck.sound].auxiliaries.is_empty();
        if calls && !ornamented(problem.instrument, all, hand, struck) {
            charge.times(Term::Ornament, 1);
        }
    }
    let down = hand.down();
    if let Some(place) = hand.place() {
        if down.iter().any(|finger| finger.strikes) {
            charge.times(Term::Height, (2 * i64::from(place.get()) - 3).max(0));
        }
        for (lower, finger) in down.iter().enumerate() {
            let leans = lower == 0 && hand.sounding.len() > 1 && finger.may_lean(place);
            if !leans {
                charge.times(Term::Extension, finger.extension(place));
            } else if finger.strikes {
                let each = charge.value(Term::Lean).min(charge.value(Term::Extension));
                charge.amount(Term::Lean, each * finger.extension(place));
            }
            if finger.strikes {
                charge.times(Term::Contraction, finger.contraction(place));
            }
        }
        if leads(hand, place) {
            charge.times(Term::Lead, 1);
        }
        stretches(problem, place, &down, charge);
    }
}

fn stop(struck: Sounding, charge: &mut Charges<'_>) {
    match struck.placement.finger {
        None => return,
        Some(LeftFinger::Three) => charge.times(Term::Finger3, 1),
        Some(LeftFinger::Four) => charge.times(Term::Finger4, 1),
        Some(_) => {}
    }
    charge.times(Term::Stop, 1);
}

/// Open strings in a melody.
fn tone(all: &Layers<'_>, clock: &Clock, hand: &Hand, struck: Sounding, charge: &mut Charges<'_>) {
    let sound = &all.sounds[struck.sound];
    let sung = sound.kind == Kind::Plain && sound.role == Role::Melody;
    if !sung || !struck.placement.place.fret.is_open() {
        return;
    }
    if hand.place().is_some_and(|place| place.get() > LOW) {
        charge.times(Term::ToneHigh, 1);
    }
    if clock.milliseconds(sound.onset, sound.written_end) >= LONG {
        charge.times(Term::ToneLong, 1);
    }
}

/// Whether finger 1 has a struck sound above its own fret.
pub(super) fn leads(hand: &Hand, place: Position) -> bool {
    let own = place.fret_of(LeftFinger::One);
    hand.played_by(LeftFinger::One).any(|s| s.struck && s.placement.place.fret > own)
}

/// How much farther two fingers are apart than they are at rest.
fn stretches(problem: &Problem<'_>, hand: Position, down: &[Down], charge: &mut Charges<'_>) {
    let instrument = problem.instrument;
    for (index, low) in down.iter().enumerate() {
        for high in &down[index + 1..] {
            if [low, high].iter().any(|finger| sound(instrument, finger.place).is_none()) {
                continue;
            }
            let (apart, _) = spread(instrument, low, high);
            let at_rest =
                |finger: &Down| from_nut(instrument, i64::from(hand.fret_of(finger.finger).0));
            let excess = apart - (at_rest(high) - at_rest(low));
            if excess > 0 {
                let value = charge.value(Term::Stretch);
                charge.amount(Term::Stretch, (value * excess).div_euclid(100));
            }
        }
    }
}

/// `crossed` and `crowd` of fingers that come to one fret from a hand, or from the
/// air. A barre is on no string.
pub(super) fn on_one_fret(before: Option<&Hand>, hand: &Hand, charge: &mut Charges<'_>) {
    let down = hand.down();
    let strikes = |finger: LeftFinger| {
        let struck = hand.played_by(finger).filter(|sounding| sounding.struck);
        struck.map(|sounding| sounding.placement.place)
    };
    let comes = |finger: LeftFinger| {
        let there = |place| before.is_some_and(|s| s.all_places(finger).any(|at| at == place));
        strikes(finger).any(|place| !there(place))
    };
    // For `crossed` a finger that only stayed has not been there yet.
    let sets_down = |finger: LeftFinger| {
        let was_down = |place| before.is_some_and(|s| s.places(finger).any(|at| at == place));
        strikes(finger).any(|place| !was_down(place))
    };
    for (index, low) in down.iter().enumerate() {
        for high in &down[index + 1..] {
            if low.fret() != high.fret() || low.barre || high.barre {
                continue;
            }
            let (a, b) = (i64::from(low.place.string.get()), i64::from(high.place.string.get()));
            if sets_down(low.finger) || sets_down(high.finger) {
                charge.times(Term::Crossed, (b - a).max(0));
            }
            if (a - b).abs() == 1 && (comes(low.finger) || comes(high.finger)) {
                charge.times(Term::Crowd, 1);
            }
        }
    }
}
