//! Moves of the whole hand.

use apoyando_fingering::{LeftFinger, Position, Term};
use apoyando_fretboard::{Instrument, StringNumber};

use super::{Charges, Step, from_nut};
use crate::hand::Hand;

/// A shift from one layer to the next.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Shifting {
    pub(crate) from: Position,
    pub(crate) to: Position,
    /// Fingers down on the same string at another fret before and after.
    pub(crate) guides: Vec<(LeftFinger, StringNumber)>,
    /// Fingers down at the same place before and after.
    pub(crate) pivots: Vec<(LeftFinger, StringNumber)>,
    pub(crate) over_open: bool,
}

/// The shift between two hands, if there is one.
pub(crate) fn shifting(before: &Hand, after: &Hand) -> Option<Shifting> {
    let (from, to) = (before.position?, after.position?);
    if from == to || after.idle() {
        return None;
    }
    let mut guides = Vec::new();
    let mut pivots = Vec::new();
    for finger in LeftFinger::ALL {
        for was in before.places(finger) {
            for is in after.places(finger).filter(|is| is.string == was.string) {
                let list = if is == was { &mut pivots } else { &mut guides };
                list.push((finger, is.string));
            }
        }
    }
    Some(Shifting { from, to, guides, pivots, over_open: before.idle() })
}

pub(super) fn charge(
    instrument: &Instrument,
    step: &Step<'_>,
    hurry: i64,
    charge: &mut Charges<'_>,
) {
    let Some(shift) = shifting(step.before, step.after) else { return };
    let way = |position: Position| from_nut(instrument, i64::from(position.get()));
    let far = (way(shift.to) - way(shift.from)).abs();
    let shifted = hurry * charge.value(Term::Shift);
    let travelled = hurry * (charge.value(Term::Travel) * far).div_euclid(100);
    charge.amount(Term::Shift, shifted);
    charge.amount(Term::Travel, travelled);
    let ease = [
        (!shift.guides.is_empty(), Term::EaseGuide),
        (!shift.pivots.is_empty(), Term::EasePivot),
        (shift.over_open, Term::EaseOpen),
        (step.rested, Term::EaseRest),
    ]
    .into_iter()
    .filter(|(applies, _)| *applies)
    .map(|(_, term)| charge.value(term))
    .max()
    .unwrap_or(0);
    charge.amount(Term::Ease, -((shifted + travelled) * ease).div_euclid(100));
}
