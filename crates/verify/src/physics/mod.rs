//! What a posture cannot do (P1 to P11 of the model).

mod away;
mod barre;
mod ornament;
mod reach;
mod sounding;
mod staying;

use apoyando_fingering::Problem;

use crate::hand::{Down, Hand};
use crate::layers::Layers;
use crate::violation::{Fault, Violation};

pub(crate) use ornament::ornamented;
pub(crate) use reach::spread;
pub(crate) use sounding::sound;
pub(crate) use staying::prepared;

/// A posture in its layer.
struct Seat<'a> {
    problem: &'a Problem<'a>,
    all: &'a Layers<'a>,
    layer: usize,
    hand: &'a Hand,
}

pub(crate) fn check(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    hands: &[Hand],
    found: &mut Vec<Violation>,
) {
    for (layer, hand) in hands.iter().enumerate() {
        let seat = Seat { problem, all, layer, hand };
        let mut faults = Vec::new();
        sounding::check(&seat, &mut faults);
        barre::check(&seat, &mut faults);
        reach::check(&seat, &mut faults);
        staying::check(&seat, &mut faults);
        away::check(hand, &mut faults);
        ornament::check(&seat, &mut faults);
        found.extend(faults.into_iter().map(|fault| Violation::at(all.spot(layer), fault)));
    }
}

/// Every two of some fingers, the lower first; no finger with itself.
fn pairs(fingers: &[Down]) -> impl Iterator<Item = (&Down, &Down)> {
    let after = |(index, low): (usize, _)| fingers[index + 1..].iter().map(move |high| (low, high));
    let all = fingers.iter().enumerate().flat_map(after);
    all.filter(|(low, high): &(&Down, &Down)| low.finger != high.finger)
}

/// Reports a fault for each of some causes.
fn report<T>(faults: &mut Vec<Fault>, causes: Vec<T>, fault: impl Fn(T) -> Fault) {
    faults.extend(causes.into_iter().map(fault));
}
