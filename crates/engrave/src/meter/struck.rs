//! Left-hand digits struck by other ink.

use super::Fault;
use super::scan::{Item, items};
use crate::drawing::{Drawing, Kind};

/// Ink nearer than this touches. House value: what a press may slur together.
const TOUCHING: f64 = 0.08;

/// Digits that a stem, beam, flag, slur, tie, accidental, ledger line, barline,
/// head, dot or another mark touches. Staff lines may pass behind the halo.
#[must_use]
pub fn struck_digits(drawing: &Drawing) -> Vec<Fault> {
    let items = items(drawing);
    let legal = |kind: Kind| matches!(kind, Kind::StaffLine | Kind::Halo);
    let mut faults = Vec::new();
    let is_digit = |item: &Item| matches!(item.kind, Kind::LeftDigit | Kind::SecondFinger);
    for (at, digit) in items.iter().enumerate().filter(|(_, item)| is_digit(item)) {
        let strikes = |(other_at, other): &(usize, &Item)| {
            let pair_seen = is_digit(other) && *other_at < at;
            let of_sign =
                matches!(other.kind, Kind::GuideDash | Kind::PreparedFinger) || is_digit(other);
            let own_dash = of_sign && other.owner == digit.owner;
            *other_at != at
                && !pair_seen
                && !own_dash
                && !legal(other.kind)
                && digit.distance(other) < TOUCHING
        };
        faults.extend(items.iter().enumerate().filter(strikes).map(|(_, other)| Fault {
            rule: "digit-struck",
            place: digit.area,
            message: format!("a digit is touched by ink of kind {:?}", other.kind),
        }));
    }
    faults
}
