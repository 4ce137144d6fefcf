//! What the author does not want (A1 to A6 of the model).

use std::mem::discriminant;

use apoyando_fingering::{Pin, PinAuthor, PinRule, Placement, Problem, Scope};
use apoyando_music::BarIndex;

use crate::hand::Hand;
use crate::layers::Layers;
use crate::violation::{Fault, Violation};

pub(crate) fn check(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    found: &mut Vec<Violation>,
) {
    let pins = pins_in_force(problem);
    for (layer, hand) in hands.iter().enumerate() {
        let mut faults = Vec::new();
        level(problem, hand, &mut faults);
        for pin in &pins {
            pinned(all, layer, hand, pin, &mut faults);
        }
        found.extend(faults.into_iter().map(|fault| Violation::at(all.spot(layer), fault)));
    }
}

/// The pins that hold: an imported one gives way to an author's of the same
/// kind on the same tone.
pub(crate) fn pins_in_force(problem: &Problem<'_>) -> Vec<Pin> {
    let all = &problem.pins.0;
    let outranked = |pin: &Pin| {
        pin.author == PinAuthor::Import
            && matches!(pin.scope, Scope::Tone(_))
            && all.iter().any(|other| {
                other.author == PinAuthor::Author
                    && other.scope == pin.scope
                    && discriminant(&other.rule) == discriminant(&pin.rule)
            })
    };
    all.iter().filter(|pin| !outranked(pin)).copied().collect()
}

/// Whether a pin over bars holds in a bar.
pub(crate) fn in_bars(scope: Scope, bar: BarIndex) -> bool {
    matches!(scope, Scope::Bars { first, last } if first <= bar && bar <= last)
}

/// A1 to A5.
fn level(problem: &Problem<'_>, hand: &Hand, faults: &mut Vec<Fault>) {
    let level = problem.level;
    for struck in hand.struck() {
        let Placement { place, finger } = struck.placement;
        if place.fret > level.highest_fret {
            faults.push(Fault::AboveHighestFret { place, highest: level.highest_fret });
        }
        if !level.fingers.contains(finger) {
            faults.push(Fault::FingerNotAllowed { place, finger });
        }
    }
    for (finger, place) in hand.bound.iter().copied() {
        if !level.fingers.contains(Some(finger)) {
            faults.push(Fault::FingerNotAllowed { place, finger: Some(finger) });
        }
    }
    if hand.idle() {
        return;
    }
    if let Some(place) = hand.place() {
        if !level.positions.contains(place) {
            faults.push(Fault::PositionNotAllowed(place));
        }
        for finger in hand.down() {
            let frets = finger.extension(place);
            if frets > i64::from(level.extension) {
                faults.push(Fault::ExtensionTooWide {
                    finger: finger.finger,
                    place: finger.place,
                    frets,
                    allowed: level.extension,
                });
            }
        }
    }
    if let Some(barre) = hand.barre
        && width(barre) > level.barre.width()
    {
        faults.push(Fault::BarreTooWide { barre, limit: level.barre });
    }
}

/// Strings that a barre spans; 0 if its ends are the wrong way round.
pub(crate) fn width(barre: apoyando_fingering::Barre) -> u8 {
    (barre.thick.get() + 1).saturating_sub(barre.thin.get())
}

/// A6. Right fingers are no matter of the left hand.
fn pinned(all: &Layers<'_>, layer: usize, hand: &Hand, pin: &Pin, faults: &mut Vec<Fault>) {
    let breach = Fault::PinBroken { pin: *pin };
    let bar = all.layers[layer].bar;
    let holds_for = |sound: usize| match pin.scope {
        Scope::Tone(tone) => all.sounds[sound].tones.contains(&tone),
        bars => in_bars(bars, bar),
    };
    let by_placement = |allowed: &dyn Fn(Placement) -> bool| {
        hand.struck().filter(|s| holds_for(s.sound) && !allowed(s.placement)).count()
    };
    let by_posture = |allowed: bool| {
        let here = match pin.scope {
            Scope::Tone(_) => all.layers[layer].struck.clone().any(holds_for),
            bars => in_bars(bars, bar),
        };
        usize::from(here && !hand.idle() && !allowed)
    };
    let breaches = match pin.rule {
        PinRule::Strings(set) => by_placement(&|p| set.contains(p.place.string)),
        PinRule::Frets(set) => by_placement(&|p| p.place.fret.0 < 32 && set.contains(p.place.fret)),
        PinRule::LeftFingers(set) => by_placement(&|p| set.contains(p.finger)),
        PinRule::Positions(set) => by_posture(hand.place().is_none_or(|p| set.contains(p))),
        PinRule::Barre(limit) => by_posture(hand.barre.is_none_or(|b| width(b) <= limit.width())),
        // Paid for, not counted: it is not to be seen at one onset.
        PinRule::SecondFingers(_) | PinRule::RightFingers(_) => 0,
    };
    faults.extend(std::iter::repeat_n(breach, breaches));
}
