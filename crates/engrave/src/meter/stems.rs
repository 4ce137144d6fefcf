//! Stems that are too short.

use super::Fault;
use super::joints::{heads, stems};
use crate::drawing::Drawing;

/// Least length from where it leaves the nearest head: 2.5 for a stem that points out of
/// the staff, 1.75 from head to inner beam and the beam itself, less what a head's joint
/// is beside its middle [house values].
const SHORTEST: f64 = 2.25 - 0.2;

/// Stems whose tip is too near to the nearest head on them.
#[must_use]
pub fn short_stems(drawing: &Drawing) -> Vec<Fault> {
    let heads = heads(drawing);
    let short = stems(drawing).filter_map(|stem| {
        let on = heads.iter().filter_map(|head| stem.leaves(head));
        let (low, high) = (stem.place.low - 0.1, stem.place.high + 0.1);
        let on = on.filter(|y| (low..high).contains(y));
        let length = on.map(|y| (stem.to - y).abs()).fold(f64::MAX, f64::min);
        (length < SHORTEST).then(|| Fault {
            rule: "stem-short",
            place: stem.place,
            message: format!("a stem ends {length:.2} from a head"),
        })
    });
    short.collect()
}
