//! Left-hand digits that hop from side to side in a run.

use super::Fault;
use super::scan::{Item, items};
use crate::drawing::{Drawing, Kind};

/// Heads no farther apart than this are neighbours of a run.
const NEIGHBOURS: f64 = 3.5;

/// Where a digit stands by its head.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Side {
    Left,
    Above,
    Below,
    Right,
}

fn side(digit: &Item, head: &Item) -> Side {
    if digit.area.right <= head.area.left + 0.1 {
        Side::Left
    } else if digit.area.left >= head.area.right - 0.1 {
        Side::Right
    } else if digit.middle() > head.middle() {
        Side::Above
    } else {
        Side::Below
    }
}

/// Digits of single notes in a run that stand on another side than those before
/// and after them, which are on one side. Notes are of one run if their stems
/// point the same way and they stand close.
#[must_use]
pub fn hopping_digits(drawing: &Drawing) -> Vec<Fault> {
    let items = items(drawing);
    let mut digits: Vec<(f64, bool, Side, &Item)> = items
        .iter()
        .filter(|item| item.kind == Kind::LeftDigit)
        .filter_map(|digit| {
            let own = |kind: Kind| {
                items.iter().find(move |item| item.owner == digit.owner && item.kind == kind)
            };
            let (head, stem) = (own(Kind::Head)?, own(Kind::Stem)?);
            let up = stem.middle() > head.middle();
            Some((head.centre(), up, side(digit, head), digit))
        })
        .collect();
    digits.sort_by(|a, b| (a.1, a.0).partial_cmp(&(b.1, b.0)).unwrap_or(std::cmp::Ordering::Equal));
    digits
        .windows(3)
        .filter(|run| {
            let one_way = run[0].1 == run[2].1;
            let close = run.windows(2).all(|pair| {
                let apart = pair[1].0 - pair[0].0;
                (0.0..=NEIGHBOURS).contains(&apart)
            });
            one_way && close && run[0].2 == run[2].2 && run[1].2 != run[0].2
        })
        .map(|run| Fault {
            rule: "digits-hop",
            place: run[1].3.area,
            message: format!("a digit stands {:?} in a run of digits {:?}", run[1].2, run[0].2),
        })
        .collect()
}
