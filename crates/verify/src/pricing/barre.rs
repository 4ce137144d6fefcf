//! What it costs to lay a barre, to hold it and to lift a side of it.

use apoyando_fingering::{Barre, LeftFinger, Problem, Term};
use apoyando_fretboard::{Place, StringNumber};

use super::{Charges, Step};
use crate::hand::Hand;
use crate::layers::Layers;
use crate::physics::sound;

pub(super) fn charge(step: &Step<'_>, charge: &mut Charges<'_>) {
    let Some(barre) = step.after.barre else { return };
    lay(step, barre, charge);
    hold(step, barre, charge);
    let same_fret = step.before.barre.is_some_and(|before| before.fret == barre.fret);
    if same_fret && step.before.hinge != step.after.hinge {
        charge.times(Term::Hinge, 1);
    }
}

/// `barre_hold`: once a bar, and for what is laid besides.
fn hold(step: &Step<'_>, barre: Barre, charge: &mut Charges<'_>) {
    let bar = |layer: usize| step.all.layers[layer].bar;
    let lay_before = step.before.barre.is_some_and(|before| before.fret == barre.fret);
    let paid = if lay_before && bar(step.layer) == bar(step.layer - 1) {
        laid_strings(step.before)
    } else {
        1
    };
    charge.times(Term::BarreHold, (laid_strings(step.after) - paid).max(0));
}

fn laid_strings(hand: &Hand) -> i64 {
    hand.laid().map_or(0, |laid| laid.count() as i64)
}

/// `barre_idle`: under a chord that needs but one string of it, unless some other string
/// is for a note to come in the bar.
pub(super) fn charge_idle(
    problem: &Problem<'_>,
    all: &Layers<'_>,
    layer: usize,
    hand: &Hand,
    charge: &mut Charges<'_>,
) {
    let Some(barre) = hand.barre else { return };
    let stopped: Vec<StringNumber> =
        hand.stopped_by(LeftFinger::One).map(|s| s.placement.place.string).collect();
    let &[only] = &stopped[..] else { return };
    if all.struck(layer).len() < 3 {
        return;
    }
    let bar = all.layers[layer].bar;
    let to_come = || {
        let rest = (layer + 1..all.layers.len()).take_while(|later| all.layers[*later].bar == bar);
        rest.flat_map(|later| all.struck(later))
    };
    let waits = (barre.thin.get()..=barre.thick.get())
        .filter_map(StringNumber::new)
        .filter(|string| *string != only)
        .filter_map(|string| sound(problem.instrument, Place { string, fret: barre.fret }))
        .any(|key| to_come().any(|sound| sound.key == key));
    if !waits {
        charge.times(Term::BarreIdle, 1);
    }
}

/// Of a hand that begins anew: `barre_lay` for all strings but the first, and
/// `barre_hold`.
pub(super) fn charge_anew(hand: &Hand, charge: &mut Charges<'_>) {
    let Some(barre) = hand.barre else { return };
    charge.times(Term::BarreLay, i64::from(barre.thick.get()) - i64::from(barre.thin.get()));
    charge.times(Term::BarreHold, (laid_strings(hand) - 1).max(0));
}

/// `barre_lay`: the strings newly covered.
fn lay(step: &Step<'_>, barre: Barre, charge: &mut Charges<'_>) {
    let strings: Vec<StringNumber> = (barre.thin.get()..=barre.thick.get())
        .filter_map(StringNumber::new)
        .filter(|string| barre.covers(*string))
        .collect();
    let was_there =
        |string: &&StringNumber| on(step.before, Place { string: **string, fret: barre.fret });
    let old = strings.iter().filter(was_there).count();
    // A finger alone is no barre yet: of a whole one the first string is free.
    let new = (strings.len() - old).saturating_sub(usize::from(old == 0));
    // What stood on its tip and sounds on is laid flat.
    let tip = step.before.barre.is_none()
        && step.after.played_by(LeftFinger::One).any(|sounding| !sounding.struck);
    let new = new + usize::from(tip && new > 0);
    let holds = step.after.sounding.iter().any(|sounding| {
        let others = sounding.placement.finger.is_some_and(|finger| finger != LeftFinger::One);
        !sounding.struck && sounding.stopped() && others
    });
    charge.times(Term::BarreLay, new as i64 * if holds { 2 } else { 1 });
}

/// Whether finger 1 was at a place, under a barre, down or staying.
fn on(before: &Hand, place: Place) -> bool {
    let under = before.barre.is_some_and(|was| was.fret == place.fret && was.covers(place.string));
    under || before.all_places(LeftFinger::One).any(|at| at == place)
}
