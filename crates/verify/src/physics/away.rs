//! A hand that reaches away from its position for a moment (P10).

use crate::hand::Hand;
use crate::violation::{AwayFault, Fault};

pub(super) fn check(hand: &Hand, faults: &mut Vec<Fault>) {
    let Some(place) = hand.away else { return };
    let mut found = Vec::new();
    match hand.away_by() {
        None => found.push(AwayFault::NoPosition),
        Some(2..=4) => {}
        Some(frets) => found.push(AwayFault::Frets(frets)),
    }
    let down = hand.down();
    if down.is_empty() {
        found.push(AwayFault::NothingDown);
    }
    for finger in &down {
        let number = finger.finger;
        if hand.bound_at(number).next().is_some() {
            found.push(AwayFault::Bound(number));
        } else if !finger.strikes {
            found.push(AwayFault::Holds(number));
        }
        if finger.extension(place) > 0 {
            found.push(AwayFault::Extended(number));
        }
    }
    found.extend(hand.staying.iter().map(|(finger, _)| AwayFault::Stays(*finger)));
    if hand.barre.is_some() {
        found.push(AwayFault::Barre);
    }
    if !down.is_empty() && down.iter().all(|finger| finger.offset(place) != 0) {
        found.push(AwayFault::NoneAtRest);
    }
    super::report(faults, found, |fault| Fault::Away { place, fault });
}
