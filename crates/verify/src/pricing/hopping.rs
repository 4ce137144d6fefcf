//! A reach away from the position and straight back.

use apoyando_fingering::{Position, Term};

use super::{Charges, Step, from_nut};

pub(super) fn charge(step: &Step<'_>, charge: &mut Charges<'_>) {
    let (Some(place), Some(position)) = (step.after.away, step.after.position) else { return };
    if step.before.away_by() == step.after.away_by() {
        charge.times(Term::HopStay, 1);
        return;
    }
    let way = |at: Position| from_nut(step.problem.instrument, i64::from(at.get()));
    let far = (way(place) - way(position)).abs();
    let travelled = (charge.value(Term::Travel) * far).div_euclid(100);
    charge.amount(Term::Hop, step.hurry * (charge.value(Term::Hop) + travelled));
}
