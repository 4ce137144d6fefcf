//! The table of costs from the start, filled from the first layer onwards.
//!
//! With the table of costs to the end it gives the price of the best way
//! through any state: what it costs to get there, the state itself, and what
//! it costs from there.

use std::sync::Arc;

use crate::hand::shifting::ShiftTables;

use super::behind::Behind;
use super::cost::{Cost, TooLarge, largest_step};
use super::ground::Ground;
use super::known::{COMPARED, Case, Known, Prices};
use super::meets::{Meets, Places};
use super::seams::Fixed;
use super::sheet::NEVER;
use super::stage::{Choice, Stage, Tag};
use super::to_end::{add_own, begins_anew};

/// The costs from the start to every state of a stage, itself left out.
#[derive(Clone, Debug)]
pub(crate) struct FromStart {
    /// The least of them.
    pub least: i64,
    /// Above the least; [`NEVER`] for states no way leads to.
    pub above: Arc<[i32]>,
}

impl FromStart {
    pub fn to(&self, stage: &Stage, choice: Choice) -> Option<i64> {
        let above = self.above[stage.index(choice)];
        (above != NEVER).then(|| self.least + i64::from(above))
    }
}

/// Fills the table of every stage.
///
/// # Errors
/// [`TooLarge`] if the numbers of the tables cannot hold what some states or moves
/// cost.
pub(crate) fn price_all<C: Cost>(
    (ground, places): (&Ground, &Places),
    fixed: &Fixed,
    stages: &[Stage],
    known: &mut Known,
) -> Result<Vec<FromStart>, TooLarge> {
    if largest_step(&ground.table) > C::MOST {
        return Err(TooLarge);
    }
    let mut meets = Meets::new(&ground.table, places);
    let compares = cfg!(debug_assertions) && stages.len() <= COMPARED;
    let mut shifts = ShiftTables::<C>::default();
    let mut tables: Vec<FromStart> = Vec::with_capacity(stages.len());
    for (layer, stage) in stages.iter().enumerate() {
        let (Some(last), Some(before)) = (tables.last(), layer.checked_sub(1)) else {
            let (least, above) = above_least(first(stage))?;
            tables.push(FromStart { least, above });
            continue;
        };
        let pair = (&stages[before], stage);
        let mut work_out = || {
            let costs = leaving(ground, fixed, before, pair.0, last)?;
            above_least(if ground.steps[before].reached {
                let kit = (&mut shifts, &mut meets);
                let from = (pair.0, &costs[..]);
                Behind::new((ground, fixed), kit, before, from, stage)?.costs(&mut meets)
            } else {
                over_a_cut(ground, fixed, layer, (pair.0, &costs), stage)
            })
        };
        let case = Case::of((ground, fixed), before, pair, &last.above);
        let found = case.as_ref().and_then(|case| known.get(case));
        let (rise, above) = match (found, case) {
            (Some(found), _) => {
                if compares {
                    assert_eq!(work_out(), Ok(found.clone()), "the case says all");
                }
                found
            }
            (None, Some(case)) => {
                let states = Arc::as_ptr(&stage.laid);
                known.keep((case, &last.above), states, work_out()?)
            }
            (None, None) => work_out()?,
        };
        tables.push(FromStart { least: last.least + rise, above });
    }
    Ok(tables)
}

fn above_least(mut costs: Vec<i32>) -> Result<Prices, TooLarge> {
    let reached = costs.iter().copied().filter(|cost| *cost != NEVER);
    let least = reached.min().ok_or(TooLarge)?;
    for cost in costs.iter_mut().filter(|cost| **cost != NEVER) {
        *cost -= least;
    }
    Ok((i64::from(least), costs.into()))
}

fn first(stage: &Stage) -> Vec<i32> {
    let mut above = vec![NEVER; stage.states as usize];
    for choice in stage.choices().filter(|choice| begins_anew(stage, *choice)) {
        above[stage.index(choice)] = 0;
    }
    above
}

/// What it costs to get past every state of a stage, itself included, above the
/// least cost to get to one.
fn leaving(
    ground: &Ground,
    fixed: &Fixed,
    layer: usize,
    stage: &Stage,
    table: &FromStart,
) -> Result<Vec<i32>, TooLarge> {
    let mut costs = table.above.to_vec();
    add_own(ground, fixed, (layer, stage), &mut costs)?;
    Ok(costs)
}

fn over_a_cut(
    ground: &Ground,
    fixed: &Fixed,
    layer: usize,
    (before, costs): (&Stage, &[i32]),
    stage: &Stage,
) -> Vec<i32> {
    let mut above = vec![NEVER; stage.states as usize];
    let here = ground.seam_end(layer);
    let left: Vec<(Option<&Tag>, i32)> = before
        .choices()
        .map(|choice| {
            let idle = before.is_idle(choice);
            let tag = idle.then(|| &before.tags[usize::from(choice.lane)]);
            (tag, costs[before.index(choice)])
        })
        .collect();
    for choice in stage.choices().filter(|choice| begins_anew(stage, *choice)) {
        let reached = left.iter().filter(|(tag, _)| {
            if stage.is_idle(choice) {
                let open = tag.map_or(Tag::NO_SEAM, |tag| tag.open);
                stage.tags[usize::from(choice.lane)].open == open.min(here)
            } else {
                tag.is_none_or(|tag| fixed.closes(tag, layer, stage.position(choice)))
            }
        });
        above[stage.index(choice)] = reached.map(|(_, cost)| *cost).min().unwrap_or(NEVER);
    }
    above
}
