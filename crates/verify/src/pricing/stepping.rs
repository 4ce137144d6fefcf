//! What the fingers do from one layer to the next.

use apoyando_fingering::{Barre, LeftFinger, Term};
use apoyando_fretboard::Place;

use super::{Charges, Step};
use crate::author::width;

pub(super) fn charge(step: &Step<'_>, charge: &mut Charges<'_>) {
    lay(step, charge);
    for finger in LeftFinger::ALL {
        if stays(step, finger) {
            continue;
        }
        let mut pairs = from_to(step, finger).peekable();
        let struck = pairs.peek().is_some();
        let eased = |(from, to): (Place, Place)| {
            from.string == to.string || under_barre(step, finger, from, to)
        };
        if struck && !pairs.any(eased) {
            charge.times(Term::Jump, step.hurry);
        }
        let same_position = step.before.position == step.after.position;
        let mut pairs = from_to(step, finger);
        if same_position && pairs.any(|(from, to)| from.string == to.string && from != to) {
            charge.times(Term::Slide, step.hurry);
        }
    }
    replace(step, charge);
    weak_pair(step, charge);
}

/// `barre_lay`: the strings newly covered.
fn lay(step: &Step<'_>, charge: &mut Charges<'_>) {
    let Some(barre) = step.after.barre else { return };
    let held = |was: Barre| {
        let common =
            (was.thick.min(barre.thick).get() + 1).saturating_sub(was.thin.max(barre.thin).get());
        if was.fret == barre.fret { common } else { 0 }
    };
    let new = width(barre).saturating_sub(step.before.barre.map_or(0, held));
    charge.times(Term::BarreLay, i64::from(new));
}

/// Whether a finger is in the same place before and after.
fn stays(step: &Step<'_>, finger: LeftFinger) -> bool {
    step.before.places(finger).any(|from| step.after.places(finger).any(|to| from == to))
}

/// Where a finger was, with where it stops a struck sound.
fn from_to<'a>(
    step: &'a Step<'_>,
    finger: LeftFinger,
) -> impl Iterator<Item = (Place, Place)> + 'a {
    step.before.places(finger).flat_map(move |from| {
        let struck = step.after.stopped_by(finger).filter(|sounding| sounding.struck);
        struck.map(move |to| (from, to.placement.place))
    })
}

/// Whether a finger lies as a barre over both places, before or after.
fn under_barre(step: &Step<'_>, finger: LeftFinger, from: Place, to: Place) -> bool {
    [step.before, step.after].into_iter().filter_map(|hand| hand.lies_as_barre(finger)).any(
        |barre| {
            [from, to].iter().all(|place| barre.fret == place.fret && barre.covers(place.string))
        },
    )
}

/// `replace`: a place struck again by another finger.
fn replace(step: &Step<'_>, charge: &mut Charges<'_>) {
    let stopped = step.before.sounding.iter().filter(|was| was.placement.finger.is_some());
    for was in stopped {
        let replaced = step.after.struck().any(|is| {
            is.placement.place == was.placement.place
                && is.placement.finger.is_some()
                && is.placement.finger != was.placement.finger
        });
        if replaced {
            charge.times(Term::Replace, step.hurry);
        }
    }
}

/// `weak_pair`: 3 and 4 alternate, each alone.
fn weak_pair(step: &Step<'_>, charge: &mut Charges<'_>) {
    let alone = |hand: &crate::hand::Hand| {
        let mut struck = hand.struck();
        match (struck.next(), struck.next()) {
            (Some(only), None) => only.placement.finger,
            _ => None,
        }
    };
    let pair = (alone(step.before), alone(step.after));
    let (three, four) = (Some(LeftFinger::Three), Some(LeftFinger::Four));
    if pair == (three, four) || pair == (four, three) {
        charge.times(Term::WeakPair, step.hurry);
    }
}
