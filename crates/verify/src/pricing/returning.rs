//! What a note of the melody pays that comes again under another finger.

use apoyando_fingering::Term;

use super::singing::Sung;
use super::{Charges, Step};
use crate::layers::Layers;
use crate::time::Clock;

/// The layers of two notes, the second of which comes again from the first.
pub(super) type Pair = (usize, usize);

/// Most layers from one to the other.
const LAYERS: usize = 4;
/// They are less than so many milliseconds apart.
const MILLISECONDS: i128 = 3000;

/// All pairs of a part, those with the fewest layers between first.
pub(super) fn pairs(all: &Layers<'_>, clock: &Clock) -> Vec<Pair> {
    let mut found: Vec<Pair> = Vec::new();
    for apart in 2..=LAYERS {
        for second in apart..all.layers.len() {
            let first = second - apart;
            let free = found.iter().all(|(from, to)| *to <= first + 1 || second <= from + 1);
            if free && comes_again(all, clock, (first, second)) {
                found.push((first, second));
            }
        }
    }
    found
}

fn comes_again(all: &Layers<'_>, clock: &Clock, (first, second): Pair) -> bool {
    let (Some(key), Some(other)) = (melody(all, first), melody(all, second)) else { return false };
    let layers = &all.layers;
    key == other
        && all.struck(second).len() < 3
        && all.figure_of(second).is_none()
        && layers[first + 1..=second].iter().all(|layer| layer.reached)
        && (first + 1..second).all(|layer| all.struck(layer).iter().all(|s| s.key.0 != key))
        && clock.milliseconds(layers[first].at, layers[second].at) < MILLISECONDS
}

/// The key of the only plain sound of the melody struck at a layer.
fn melody(all: &Layers<'_>, layer: usize) -> Option<i16> {
    let mut sung = all.struck(layer).iter().filter(|sound| sound.is_sung());
    let only = sung.next()?;
    sung.next().is_none().then_some(only.key.0)
}

/// `exchange`.
pub(super) fn charge(step: &Step<'_>, pairs: &[Pair], charge: &mut Charges<'_>) {
    let Some((first, _)) = pairs.iter().find(|(_, second)| *second == step.layer) else { return };
    let sung = |layer: usize| Sung::of(step.all, layer, &step.hands[layer]);
    let (Some(was), Some(is)) = (sung(*first), sung(step.layer)) else { return };
    if was.place != is.place || was.finger == is.finger {
        return;
    }
    let lifted = step.before.places(was.finger).next().is_none();
    let elsewhere = step.hands[first + 1..step.layer].iter().any(|hand| {
        let mut places = hand.places(was.finger).peekable();
        places.peek().is_some() && places.all(|place| place != was.place)
    });
    let slides = step.before.places(is.finger).any(|place| place.string == is.place.string);
    if lifted && !elsewhere && !slides {
        charge.times(Term::Exchange, 1);
    }
}
