//! The author's rules A1 to A6 of the model, read plainly.

use apoyando_fingering::{LeftFinger, Pin, PinRule, Position, Scope};
use apoyando_fretboard::{Fret, StringNumber};

use crate::grip::{Posture, Spot, extension};
use crate::question::Question;

/// How many of them a posture breaks.
pub fn breaches(q: &Question<'_>, posture: &Posture) -> u32 {
    let level = q.level(posture.layer);
    let mut broken = 0;
    let mut count = |breach: bool| broken += u32::from(breach);
    for at in posture.struck.iter().flatten() {
        count(Fret(at.fret) > level.highest_fret);
        count(!level.fingers.contains(LeftFinger::from_digit(at.finger)));
    }
    for digit in 1..=4 {
        let finger = posture.finger(digit);
        count(finger.bound && !level.fingers.contains(LeftFinger::from_digit(digit)));
    }
    // Idle hands break no rule of positions, barres and extensions.
    if let Some(hand) = posture.hand().filter(|_| !posture.idle()) {
        let position = Position::new(hand);
        count(position.is_none_or(|position| !level.positions.contains(position)));
        for digit in (1..=4).filter(|digit| posture.finger(*digit).down.any()) {
            let by = extension(hand, digit, posture.finger(digit).fret);
            count(by > i32::from(level.extension));
        }
    }
    count(posture.barre.is_some_and(|barre| barre.width() > level.barre.width()));
    broken
        + q.pins_at(posture.layer).iter().map(|pin| breaches_of_pin(q, posture, pin)).sum::<u32>()
}

/// A6.
fn breaches_of_pin(q: &Question<'_>, posture: &Posture, pin: &Pin) -> u32 {
    let bar = q.heard.bars[posture.layer];
    let struck = &q.struck[posture.layer];
    let over = matches!(pin.scope, Scope::Bars { first, last } if first <= bar && bar <= last);
    let on = |sound: usize| match pin.scope {
        Scope::Tone(tone) => q.sound(sound).tones.contains(&tone),
        Scope::Bars { .. } => over,
    };
    let of_posture = |kept: bool| {
        let here = over || struck.iter().any(|sound| on(*sound));
        u32::from(here && !posture.idle() && !kept)
    };
    match (pin.rule, posture.hand().and_then(Position::new)) {
        (PinRule::Positions(set), position) => {
            of_posture(position.is_some_and(|position| set.contains(position)))
        }
        (PinRule::Barre(limit), _) => {
            of_posture(posture.barre.is_none_or(|barre| barre.width() <= limit.width()))
        }
        (rule, _) => {
            let placed = struck.iter().copied().zip(posture.struck.iter().copied());
            let breached = placed
                .filter(|(sound, spot)| spot.is_some_and(|at| on(*sound) && !allows(rule, at)));
            breached.count() as u32
        }
    }
}

/// Whether a pin on strings, frets or fingers allows a placement.
pub fn allows(rule: PinRule, at: Spot) -> bool {
    match rule {
        PinRule::Strings(set) => StringNumber::new(at.string).is_some_and(|s| set.contains(s)),
        PinRule::Frets(set) => set.contains(Fret(at.fret)),
        PinRule::LeftFingers(set) => set.contains(LeftFinger::from_digit(at.finger)),
        _ => true,
    }
}
