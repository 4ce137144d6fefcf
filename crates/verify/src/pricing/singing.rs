//! What a melody pays that goes on from string to string.

use apoyando_fingering::{LeftFinger, Term};
use apoyando_fretboard::Place;

use super::{Charges, Step};
use crate::hand::Hand;
use crate::layers::Layers;
use crate::sounds::Sound;

/// The one plain sound of the melody that is struck at a layer, and where it is
/// stopped.
pub(super) struct Sung<'a> {
    sound: &'a Sound,
    pub(super) finger: LeftFinger,
    pub(super) place: Place,
}

impl<'a> Sung<'a> {
    pub(super) fn of(all: &'a Layers<'_>, layer: usize, hand: &Hand) -> Option<Self> {
        let sung = all.struck(layer).iter().filter(|sound| sound.is_sung()).count();
        let struck = hand.struck().find(|struck| all.sounds[struck.sound].is_sung())?;
        let finger = struck.placement.finger.filter(|_| sung == 1)?;
        Some(Self { sound: &all.sounds[struck.sound], finger, place: struck.placement.place })
    }
}

pub(super) fn charge(step: &Step<'_>, charge: &mut Charges<'_>) {
    let first = Sung::of(step.all, step.layer - 1, step.before);
    let second = Sung::of(step.all, step.layer, step.after);
    let (Some(first), Some(second)) = (first, second) else { return };
    if !step.in_a_line() {
        return;
    }
    if first.sound.written_end != step.to || first.place.string == second.place.string {
        return;
    }
    if first.finger == second.finger {
        if !one_barre(step, &first, &second) {
            charge.times(Term::Twice, step.hurry);
        }
    } else if passes(step, &first, &second) {
        let strings = first.place.string.get().abs_diff(second.place.string.get());
        charge.times(Term::Crossed, i64::from(strings));
    }
}

/// Whether both are played under one barre, of the hand before or after.
fn one_barre(step: &Step<'_>, first: &Sung<'_>, second: &Sung<'_>) -> bool {
    [step.before, step.after].iter().filter_map(|hand| hand.lies_as_barre(first.finger)).any(
        |barre| {
            [first, second]
                .iter()
                .all(|sung| sung.place.fret == barre.fret && barre.covers(sung.place.string))
        },
    )
}

/// Whether the second finger passes the first, the hand staying where it is.
fn passes(step: &Step<'_>, first: &Sung<'_>, second: &Sung<'_>) -> bool {
    let (before, after) = (step.before, step.after);
    let in_place = before.position == after.position && before.place() == after.place();
    let barred = before.lies_as_barre(first.finger).is_some()
        || after.lies_as_barre(second.finger).is_some();
    let still = after.places(first.finger).any(|place| place.string == first.place.string);
    let mut two = [first, second];
    two.sort_by_key(|sung| sung.finger);
    let [low, high] = two.map(|sung| sung.place);
    let crossed = low.fret > high.fret || (low.fret == high.fret && low.string < high.string);
    crossed && in_place && !barred && !still
}
