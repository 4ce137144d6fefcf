//! The price of a whole sequence of postures, each term at its onset, read from
//! the sequence itself: nothing is remembered, all is looked up.

use std::collections::BTreeMap;

use apoyando_fingering::Term;

use crate::grip::Posture;
use crate::moves::{Move, Past, of_move, of_past};
use crate::price::of_posture;
use crate::question::Question;
use crate::returning::{around, is_nowhere_else, struck_with};
use crate::rules::breaches;
use crate::seams::{begun_again, moved, of_seam};

/// Escapes, broken rules, effort.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Cost(pub i64, pub i64, pub i64);

impl std::ops::Add for Cost {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0, self.1 + other.1, self.2 + other.2)
    }
}

/// What is charged, by layer and term; nothing that is 0.
pub type Items = BTreeMap<(usize, Term), i64>;

/// What breaks in a posture, and its own effort.
pub fn own(q: &Question<'_>, posture: &Posture) -> Cost {
    let escapes = posture.struck.iter().filter(|spot| spot.is_none()).count() as i64;
    let mut effort = 0;
    of_posture(q, posture, &mut |_, amount| effort += amount);
    Cost(escapes, breaches(q, posture).into(), effort)
}

/// What the hand remembers at a layer of a sequence.
pub fn looked_up(q: &Question<'_>, way: &[Posture], layer: usize) -> Past {
    let mut past = Past::default();
    if !q.is_reached(layer) {
        return past;
    }
    if way[layer].idle() {
        let begun = (0..=layer).rev().find(|at| !q.is_reached(*at)).expect("a beginning");
        past.last = (begun..layer).rev().find(|at| !way[*at].idle());
    }
    if q.is_lone(layer - 1) {
        let struck = way[layer - 1].struck[0].filter(|at| at.finger > 0);
        past.lone = struck.map(|at| (at.finger, at.string));
    }
    if let Some(pair) = around(q, layer) {
        let since = &way[pair.0 + 1..=layer];
        past.returning = struck_with(q, &way[pair.0])
            .filter(|with| since.iter().all(|n| is_nowhere_else(q, *with, pair, n)));
    }
    past
}

pub fn items(q: &Question<'_>, way: &[Posture]) -> Items {
    let mut items = Items::new();
    let mut charge = |layer: usize, term: Term, amount: i64| {
        *items.entry((layer, term)).or_default() += amount;
    };
    for (layer, posture) in way.iter().enumerate() {
        of_posture(q, posture, &mut |term, amount| charge(layer, term, amount));
        if !q.is_reached(layer) {
            continue;
        }
        let past = looked_up(q, way, layer - 1);
        let step = Move { s: &way[layer - 1], past, n: posture };
        of_move(q, step, &mut |term, amount| charge(layer, term, amount));
        of_past(q, step, &mut |term, amount| charge(layer, term, amount));
    }
    for seam in q.played.seams.iter().filter(|seam| seam.from < way.len() && seam.to < way.len()) {
        let Some((at, _)) = begun_again(seam, way) else { continue };
        let Some(positions) = moved(seam, way) else { continue };
        let idle = way[seam.from].idle() || way[seam.to].idle();
        of_seam(q, seam, positions, idle, &mut |term, amount| charge(at, term, amount));
    }
    items.retain(|_, amount| *amount != 0);
    items
}

pub fn price(q: &Question<'_>, way: &[Posture]) -> Cost {
    let faults = way.iter().map(|posture| own(q, posture)).fold(Cost::default(), |a, b| a + b);
    Cost(faults.0, faults.1, items(q, way).values().sum())
}
