//! Positions, reaches away from them, and barres.

use apoyando_fingering::{Barre, BarreSpan, Fingering, Position, PositionSpan};

use super::spotted;
use crate::author::width;
use crate::hand::Hand;
use crate::layers::Layers;
use crate::violation::{Fault, Violation};

pub(super) fn check(
    all: &Layers<'_>,
    hands: &[Hand],
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) {
    let wanted = places(all, hands, |hand| hand.position);
    compare(all, &fingering.positions, &wanted, found, |found, wanted| {
        (wanted.or(found).map(|span| span.from), Fault::PositionSpan { found, wanted })
    });
    let wanted = places(all, hands, |hand| hand.away);
    compare(all, &fingering.hops, &wanted, found, |found, wanted| {
        (wanted.or(found).map(|span| span.from), Fault::HopSpan { found, wanted })
    });
    let wanted = barres(all, hands);
    compare(all, &fingering.barres, &wanted, found, |found, wanted| {
        (wanted.or(found).map(|span| span.from), Fault::BarreSpan { found, wanted })
    });
}

/// Names the first entry in which two lists differ.
fn compare<T: Copy + PartialEq>(
    all: &Layers<'_>,
    said: &[T],
    wanted: &[T],
    found: &mut Vec<Violation>,
    fault: impl Fn(Option<T>, Option<T>) -> (Option<apoyando_music::Moment>, Fault),
) {
    let pairs = (0..said.len().max(wanted.len()))
        .map(|index| (said.get(index).copied(), wanted.get(index).copied()));
    if let Some((said, wanted)) = pairs.into_iter().find(|(said, wanted)| said != wanted) {
        let (at, fault) = fault(said, wanted);
        found.push(spotted(all, at, fault));
    }
}

/// Runs of layers at one place of the hand; a cut ends a run.
fn places(
    all: &Layers<'_>,
    hands: &[Hand],
    place: impl Fn(&Hand) -> Option<Position>,
) -> Vec<PositionSpan> {
    let mut runs: Vec<PositionSpan> = Vec::new();
    let mut before = None;
    for (layer, hand) in all.layers.iter().zip(hands) {
        let here = place(hand);
        if let Some(position) = here {
            match runs.last_mut() {
                Some(run) if before == here && layer.reached => run.to = layer.at,
                _ => runs.push(PositionSpan { position, from: layer.at, to: layer.at }),
            }
        }
        before = here;
    }
    runs
}

/// Runs of layers with a barre at one fret; a cut ends a run.
fn barres(all: &Layers<'_>, hands: &[Hand]) -> Vec<BarreSpan> {
    let mut runs: Vec<BarreSpan> = Vec::new();
    let mut before: Option<Barre> = None;
    for (layer, hand) in all.layers.iter().zip(hands) {
        if let Some(barre) = hand.barre {
            let goes_on = layer.reached && before.is_some_and(|before| before.fret == barre.fret);
            match runs.last_mut() {
                Some(run) if goes_on => {
                    run.to = layer.at;
                    if width(barre) > width(run.barre) {
                        run.barre = barre;
                    }
                }
                _ => runs.push(BarreSpan { barre, from: layer.at, to: layer.at }),
            }
        }
        before = hand.barre;
    }
    runs
}
