//! Second fingers (M5 of the model): what changes its finger, whether it may, and what
//! was asked to.

use apoyando_fingering::{LeftFinger, Pin, PinRule, Problem, Scope};

use crate::author::pins_in_force;
use crate::hand::{Hand, Sounding};
use crate::layers::Layers;
use crate::sounds::Kind;
use crate::violation::{Fault, SecondFault};

/// The fingers that stop a sound in two postures, if it is kept at its place by another.
pub(crate) fn change(
    (before, after): (&Hand, &Hand),
    sound: usize,
) -> Option<(LeftFinger, LeftFinger)> {
    let of = |hand: &Hand| hand.sounding.iter().copied().find(|own| own.sound == sound);
    let (was, is) = (of(before)?, of(after).filter(|is| !is.struck)?);
    let fingers = (was.placement.finger?, is.placement.finger?);
    let taken_over = was.stopped() && was.placement.place == is.placement.place;
    (taken_over && fingers.0 != fingers.1).then_some(fingers)
}

/// Whether a sound has changed its finger at some layer up to one, and at which.
pub(crate) fn changed_at(
    all: &Layers<'_>,
    hands: &[Hand],
    sound: usize,
    layer: usize,
) -> Option<usize> {
    let struck = all.sounds[sound].layer;
    (struck + 1..=layer).find(|at| change((&hands[at - 1], &hands[*at]), sound).is_some())
}

/// The pins on second fingers of one sound.
pub(crate) fn asking<'p>(
    all: &'p Layers<'_>,
    pins: &'p [Pin],
    sound: usize,
) -> impl Iterator<Item = &'p Pin> {
    pins.iter().filter(move |pin| {
        let own = |tone| all.sounds[sound].tones.contains(&tone);
        matches!(pin.rule, PinRule::SecondFingers(_))
            && matches!(pin.scope, Scope::Tone(tone) if own(tone))
    })
}

/// M5: what is wrong with the changes of finger on the move into a layer.
pub(crate) fn check(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    layer: usize,
    faults: &mut Vec<Fault>,
) {
    let Some(before) = layer.checked_sub(1).map(|before| &hands[before]) else { return };
    let hand = &hands[layer];
    let changes: Vec<(&Sounding, LeftFinger, LeftFinger)> = hand
        .sounding
        .iter()
        .filter_map(|own| change((before, hand), own.sound).map(|(was, is)| (own, was, is)))
        .collect();
    for (index, (own, was, is)) in changes.iter().enumerate() {
        let sound = &all.sounds[own.sound];
        let mut report = |fault: SecondFault| {
            faults.push(Fault::Second { tone: sound.tones[0], finger: *is, fault });
        };
        let level = problem.level;
        if !level.substitution {
            report(SecondFault::NotTaught);
        } else if !level.fingers.contains(Some(*is)) {
            report(SecondFault::NotAllowed);
        }
        if index > 0 {
            report(SecondFault::SecondAtOnce);
        }
        if sound.kind != Kind::Plain {
            report(SecondFault::Harmonic);
        }
        if !sound.auxiliaries.is_empty() {
            report(SecondFault::Ornamented);
        }
        if changed_at(all, hands, own.sound, layer - 1).is_some() {
            report(SecondFault::Twice);
        }
        if before.lies_as_barre(*was).is_some() || hand.lies_as_barre(*is).is_some() {
            report(SecondFault::Barre);
        }
        if let Some(place) = before.places(*is).next() {
            report(SecondFault::Elsewhere(place));
        }
        let pins = pins_in_force(problem);
        let excludes = |pin: &&Pin| matches!(pin.rule, PinRule::SecondFingers(set) if !set.contains(Some(*is)));
        if asking(all, &pins, own.sound).any(|pin| excludes(&pin)) {
            report(SecondFault::Pinned);
        }
    }
}
