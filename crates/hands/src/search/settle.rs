//! Settles how the hand begins at the ends of seams, best first.
//!
//! Where nothing is assumed, seams cost nothing, which is a lower bound. If the
//! best way then pays for its seams, one of their ends is tried with every way
//! in which the hand may begin there, the most promising first; and so on. The
//! first way taken up that pays all it was priced at is the best.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeSet, BinaryHeap};

use super::ground::Ground;
use super::known::Known;
use super::meets::Places;
use super::seams::{self, Begins, Fixed};
use super::sheet::NEVER;
use super::solution::{tables, through};
use super::stage::{Choice, Stage};
use super::{to_end, walk};

/// The best way, with what is assumed of it.
#[derive(Clone, Debug)]
pub(crate) struct Settled {
    pub fixed: Fixed,
    pub way: Vec<Choice>,
    pub effort: i64,
}

/// The effort of a way that is the cheapest of stages that are priced.
pub(crate) fn effort(stages: &[Stage], way: &[Choice]) -> i64 {
    let least: i64 = stages.iter().map(|stage| stage.rise).sum();
    least + way.first().map_or(0, |first| i64::from(stages[0].to_end(*first)))
}

/// Prices the stages and finds the best way, of those through some states of a
/// layer only if some are given. The tables of the stages are then those of the
/// assumptions given back, which leave no end of a seam open: what they price is
/// what it costs. The way is empty if there is none.
pub(crate) fn settle(
    kit: (&Ground, &Places),
    stages: &mut [Stage],
    only: Option<(usize, &[Choice])>,
) -> Settled {
    let ground = kit.0;
    let begin = Fixed::default().only(only);
    // Other assumptions change few layers.
    let (mut known, mut known_from_start) = (Known::default(), Known::default());
    let root = price(kit, stages, begin, &mut known);
    if ground.music.order.seams.is_empty() || root.way.is_empty() {
        return root;
    }
    let mut best: Option<Settled> = None;
    let mut open = BinaryHeap::new();
    open.push(Reverse((root.effort, 0usize)));
    let mut waiting: Vec<(Fixed, Option<Settled>)> = vec![(root.fixed.clone(), Some(root))];
    while let Some(Reverse((bound, number))) = open.pop() {
        if best.as_ref().is_some_and(|best| bound > best.effort) {
            break;
        }
        let (fixed, settled) = std::mem::take(&mut waiting[number]);
        let settled = settled.unwrap_or_else(|| price(kit, stages, fixed, &mut known));
        if settled.way.is_empty() {
            continue;
        }
        let unpaid = seams::unpaid(ground, stages, &settled.way, &settled.fixed);
        let Some((end, _)) = unpaid else {
            let better = best.as_ref().is_none_or(|best| {
                (settled.effort, smaller(ground, stages, &settled.way, &best.way))
                    < (best.effort, Ordering::Equal)
            });
            if better && settled.effort == bound {
                best = Some(settled);
            } else if settled.effort > bound {
                open.push(Reverse((settled.effort, number)));
                waiting[number] = (settled.fixed.clone(), Some(settled));
            }
            continue;
        };
        if settled.effort > bound {
            // It was promised to be cheaper than it is.
            open.push(Reverse((settled.effort, number)));
            waiting[number] = (settled.fixed.clone(), Some(settled));
            continue;
        }
        // The tables may be those of another assumption by now.
        price(kit, stages, settled.fixed.clone(), &mut known);
        let ways = ways_to_begin(kit, stages, (&settled.fixed, end), &mut known_from_start);
        for (begins, bound) in ways {
            open.push(Reverse((bound.max(settled.effort), waiting.len())));
            waiting.push((settled.fixed.and(end, begins), None));
        }
    }
    match best {
        Some(best) => {
            let fixed = seams::all_assumed(ground, stages, &best);
            price(kit, stages, fixed, &mut known)
        }
        None => Settled { fixed: Fixed::default(), way: Vec::new(), effort: 0 },
    }
}

fn price(
    kit: (&Ground, &Places),
    stages: &mut [Stage],
    fixed: Fixed,
    known: &mut Known,
) -> Settled {
    let ground = kit.0;
    to_end::price_all(kit, &fixed, stages, known);
    let mut way = Vec::with_capacity(stages.len());
    let some = stages.first().is_some_and(|s| s.totals.iter().any(|total| *total != NEVER));
    if some {
        walk::finish((ground, &fixed), stages, &mut way);
    }
    if way.len() < stages.len() {
        way.clear();
    }
    let effort = effort(stages, &way);
    Settled { fixed, way, effort }
}

/// How the hand may begin at the end of a seam, and what a way that begins so
/// costs at least.
fn ways_to_begin(
    kit: (&Ground, &Places),
    stages: &[Stage],
    (fixed, end): (&Fixed, usize),
    known: &mut Known,
) -> Vec<(Begins, i64)> {
    let tables = tables(kit, fixed, stages, known);
    let stage = &stages[end];
    let mut least_idle: Option<i64> = None;
    let mut least: [Option<i64>; crate::hand::POSITIONS] = [None; crate::hand::POSITIONS];
    for choice in stage.choices() {
        let Some(cost) = through(&tables, stages, end, choice) else { continue };
        let slot = if stage.is_idle(choice) {
            &mut least_idle
        } else {
            &mut least[usize::from(stage.position(choice))]
        };
        *slot = Some(slot.map_or(cost, |old| old.min(cost)));
    }
    let stopped = (0u8..)
        .zip(least)
        .filter_map(|(position, cost)| Some((Begins { position, idle: false }, cost?)));
    let mut ways: Vec<(Begins, i64)> = stopped.collect();
    if let Some(cost) = least_idle {
        ways.extend(
            positions_after(stages, end)
                .into_iter()
                .map(|position| (Begins { position, idle: true }, cost)),
        );
    }
    ways
}

/// Positions in which a hand that is idle at a layer may stop something next; 0
/// if it may be idle to the end.
fn positions_after(stages: &[Stage], layer: usize) -> BTreeSet<u8> {
    let mut positions = BTreeSet::new();
    for stage in &stages[layer + 1..] {
        let mut idle = false;
        for choice in stage.choices() {
            if stage.is_idle(choice) {
                idle = true;
            } else {
                positions.insert(stage.position(choice));
            }
        }
        if !idle {
            return positions;
        }
    }
    positions.insert(0);
    positions
}

/// The order of ties of two ways.
fn smaller(ground: &Ground, stages: &[Stage], a: &[Choice], b: &[Choice]) -> Ordering {
    a.iter()
        .zip(b)
        .zip(stages)
        .enumerate()
        .map(|(layer, ((a, b), stage))| walk::compare(ground, layer, stage, *a, *b))
        .find(|order| *order != Ordering::Equal)
        .unwrap_or(Ordering::Equal)
}
