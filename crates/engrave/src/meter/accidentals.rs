//! Accidentals of one onset scattered wider than they need to be.

use std::collections::BTreeMap;

use apoyando_music::{Moment, Score};

use super::Fault;
use super::scan::{Item, items, note_of};
use crate::drawing::{Drawing, Kind};
use crate::geometry::Rect;

/// How much farther left than the best order the accidentals may reach [house value].
const SCATTERED: f64 = 0.5;
/// Clear space to heads, to ledger lines and between accidentals (Ross, from memory; house
/// values).
const TO_HEAD: f64 = 0.2;
const TO_LEDGER: f64 = 0.1;
const BETWEEN: f64 = 0.15;
/// Ink over one another is so far apart.
const UPRIGHT: f64 = 0.08;
/// All orders of so many are tried; of more there is a hand's worth of strings only.
const MOST: usize = 6;

/// Ink of one onset of a staff.
#[derive(Default)]
struct Stack<'a> {
    accidentals: Vec<&'a Item>,
    /// Heads and ledger lines with the white that accidentals keep to them.
    others: Vec<(&'a Item, f64)>,
}

/// Accidentals that reach farther left than they would if they were set one after another,
/// each as far right as the ink at its height lets it, in the best of all orders.
#[must_use]
pub fn scattered_accidentals(drawing: &Drawing, score: &Score) -> Vec<Fault> {
    let items = items(drawing);
    let mut stacks: BTreeMap<(u16, Moment), Stack<'_>> = BTreeMap::new();
    for item in &items {
        let Some(note) = note_of(item, score) else { continue };
        let stack = stacks.entry((note.part.0, note.onset)).or_default();
        match item.kind {
            Kind::Accidental => stack.accidentals.push(item),
            Kind::Head => stack.others.push((item, TO_HEAD)),
            Kind::LedgerLine => stack.others.push((item, TO_LEDGER)),
            _ => {}
        }
    }
    let stacks = stacks.values().filter(|stack| (1..=MOST).contains(&stack.accidentals.len()));
    stacks
        .filter_map(|stack| {
            let left = |places: &[Rect]| places.iter().map(|place| place.left).reduce(f64::min);
            let places: Vec<Rect> = stack.accidentals.iter().map(|item| item.area).collect();
            let (ours, best) = (left(&places)?, best(stack));
            (ours < best - SCATTERED).then(|| Fault {
                rule: "accidentals-scattered",
                place: places.into_iter().fold(Rect::EMPTY, Rect::join),
                message: format!("accidentals reach {:.2} farther left than need be", best - ours),
            })
        })
        .collect()
}

/// How far left the accidentals reach in the best of all orders.
fn best(stack: &Stack<'_>) -> f64 {
    let mut best = f64::MIN;
    let mut fixed: Vec<(Vec<Rect>, f64)> =
        stack.others.iter().map(|(item, gap)| (item.strips.clone(), *gap)).collect();
    let heads = stack.others.iter().filter(|(item, _)| item.kind == Kind::Head);
    let heads = heads.map(|(item, _)| item.area.left).fold(f64::MAX, f64::min);
    try_all(&mut stack.accidentals.clone(), heads, &mut fixed, f64::MAX, &mut best);
    best
}

/// Sets each of the rest next, one after another. None stands right of the leftmost head.
fn try_all(
    rest: &mut Vec<&Item>,
    heads: f64,
    fixed: &mut Vec<(Vec<Rect>, f64)>,
    left: f64,
    best: &mut f64,
) {
    if rest.is_empty() {
        *best = best.max(left);
    }
    for at in 0..rest.len() {
        let next = rest.remove(at);
        let by = way(next, heads, fixed);
        let left = left.min(next.area.left + by);
        // What is no better so far will not become so.
        if left > *best {
            let strips = next.strips.iter().map(|strip| strip.moved(by, 0.0)).collect();
            fixed.push((strips, BETWEEN));
            try_all(rest, heads, fixed, left, best);
            fixed.pop();
        }
        rest.insert(at, next);
    }
}

/// How far an accidental has to go to the right to stand as near as it can.
fn way(item: &Item, heads: f64, fixed: &[(Vec<Rect>, f64)]) -> f64 {
    let mut by = heads - TO_HEAD - item.area.right;
    for (strips, gap) in fixed {
        for (one, other) in item.strips.iter().flat_map(|o| strips.iter().map(move |s| (o, s))) {
            if one.low - UPRIGHT < other.high && other.low < one.high + UPRIGHT {
                by = by.min(other.left - gap - one.right);
            }
        }
    }
    by
}
