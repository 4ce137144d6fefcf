//! The table of costs from the start, filled from the first layer onwards.
//!
//! With the table of costs to the end it gives the price of the best way
//! through any state: what it costs to get there, the state itself, and what
//! it costs from there.

use std::num::NonZeroUsize;
use std::panic::resume_unwind;
use std::sync::Arc;
use std::thread;

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
#[derive(Clone, PartialEq, Eq, Debug)]
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
/// The price of a way far on hardly depends on how a hand stood long before: where
/// two tables of a layer are the same above their least, so are all after them. So
/// the stages are priced in parts at once, each part but the first from a guess
/// of what it costs to get there, and the guess is put right from its beginning
/// until it comes out as it was (Maleki, Musuvathi and Mytkowicz, *Parallelizing
/// Dynamic Programming through Rank Convergence*, 2014; from memory). What comes out
/// is what one part alone would give.
///
/// # Errors
/// [`TooLarge`] if the numbers of the tables cannot hold what some states or moves
/// cost.
pub(crate) fn price_all<C: Cost>(
    kit: (&Ground, &Places),
    fixed: &Fixed,
    stages: &[Stage],
    known: &mut Known,
) -> Result<Vec<FromStart>, TooLarge> {
    let cores = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let parts = cores.min(stages.len() / WORTH_A_THREAD).max(1);
    let tables = price_in_parts::<C>(kit, fixed, stages, known, parts);
    if cfg!(debug_assertions) && stages.len() <= COMPARED && stages.len() >= COMPARED_PARTS {
        let (known, parts) = (&mut Known::default(), COMPARED_PARTS);
        let in_parts = price_in_parts::<C>(kit, fixed, stages, known, parts);
        assert_eq!(in_parts, tables, "parts give what one gives");
    }
    tables
}

/// Layers that are worth a thread.
const WORTH_A_THREAD: usize = 64;

/// In how many parts builds with assertions price short pieces again.
const COMPARED_PARTS: usize = 3;

fn price_in_parts<C: Cost>(
    (ground, places): (&Ground, &Places),
    fixed: &Fixed,
    stages: &[Stage],
    known: &mut Known,
    parts: usize,
) -> Result<Vec<FromStart>, TooLarge> {
    if largest_step(ground) > C::MOST {
        return Err(TooLarge);
    }
    let begins: Vec<usize> = (0..=parts).map(|part| stages.len() * part / parts).collect();
    thread::scope(|scope| {
        let guess = |first: usize, past: usize| {
            let mut known = Known::default();
            let mut pricing = Pricing::<C>::new((ground, places), fixed, stages, &mut known);
            let states = stages[first - 1].states as usize;
            let anywhere = FromStart { least: 0, above: vec![0; states].into() };
            let mut tables: Vec<FromStart> = Vec::with_capacity(past - first);
            for layer in first..past {
                // What does not fit a guess may well fit the tables.
                let last = tables.last().unwrap_or(&anywhere);
                let Ok(table) = pricing.price(layer, Some(last)) else { break };
                tables.push(table);
            }
            tables
        };
        let others: Vec<_> = begins
            .windows(2)
            .skip(1)
            .map(|part| (part[0], part[1]))
            .map(|(first, past)| (past, scope.spawn(move || guess(first, past))))
            .collect();
        let mut pricing = Pricing::<C>::new((ground, places), fixed, stages, known);
        let mut tables = Vec::with_capacity(stages.len());
        for layer in 0..begins[1] {
            tables.push(pricing.price(layer, tables.last())?);
        }
        for (past, guessed) in others {
            let guessed = guessed.join().unwrap_or_else(|panic| resume_unwind(panic));
            put_right(&mut pricing, &mut tables, &guessed, past)?;
        }
        Ok(tables)
    })
}

/// Adds the tables of a part, those guessed from where they are right.
fn put_right<C: Cost>(
    pricing: &mut Pricing<'_, C>,
    tables: &mut Vec<FromStart>,
    guessed: &[FromStart],
    past: usize,
) -> Result<(), TooLarge> {
    let first = tables.len();
    while tables.len() < past {
        let layer = tables.len();
        let table = pricing.price(layer, tables.last())?;
        let rest = guessed.get(layer - first..).unwrap_or_default();
        let met = rest.first().filter(|guess| guess.above == table.above);
        let more = met.map(|guess| table.least - guess.least);
        tables.push(table);
        if let Some(more) = more {
            let right = |guess: &FromStart| FromStart {
                least: guess.least + more,
                above: Arc::clone(&guess.above),
            };
            tables.extend(rest[1..].iter().map(right));
        }
    }
    Ok(())
}

/// What is looked up while stages are priced one after the other.
struct Pricing<'a, C> {
    ground: &'a Ground,
    fixed: &'a Fixed,
    stages: &'a [Stage],
    known: &'a mut Known,
    meets: Option<Meets<'a>>,
    shifts: ShiftTables<C>,
    /// Whether what is known is worked out again and compared.
    compares: bool,
}

impl<'a, C: Cost> Pricing<'a, C> {
    fn new(
        (ground, places): (&'a Ground, &'a Places),
        fixed: &'a Fixed,
        stages: &'a [Stage],
        known: &'a mut Known,
    ) -> Self {
        Self {
            ground,
            fixed,
            stages,
            known,
            meets: Meets::new(&ground.table, places),
            shifts: ShiftTables::default(),
            compares: cfg!(debug_assertions) && stages.len() <= COMPARED,
        }
    }

    /// The table of a layer from that of the layer before.
    fn price(&mut self, layer: usize, last: Option<&FromStart>) -> Result<FromStart, TooLarge> {
        let stage = &self.stages[layer];
        let (Some(last), Some(before)) = (last, layer.checked_sub(1)) else {
            let (least, above) = above_least(first(stage))?;
            return Ok(FromStart { least, above });
        };
        let case =
            Case::of((self.ground, self.fixed), before, (&self.stages[before], stage), &last.above);
        let found = case.as_ref().and_then(|case| self.known.get(case));
        let (rise, above) = match (found, case) {
            (Some(found), _) => {
                if self.compares {
                    assert_eq!(self.work_out(before, last), Ok(found.clone()), "the case says all");
                }
                found
            }
            (None, Some(case)) => {
                let states = Arc::as_ptr(&stage.laid);
                let anew = self.work_out(before, last)?;
                self.known.keep((case, &last.above), states, anew)
            }
            (None, None) => self.work_out(before, last)?,
        };
        Ok(FromStart { least: last.least + rise, above })
    }

    /// The prices of the layer after one, and by how much the least rises.
    fn work_out(&mut self, before: usize, last: &FromStart) -> Result<Prices, TooLarge> {
        let (ground, fixed) = (self.ground, self.fixed);
        let (from, stage) = (&self.stages[before], &self.stages[before + 1]);
        let costs = leaving(ground, fixed, before, from, last)?;
        above_least(if ground.steps[before].reached {
            let kit = (&mut self.shifts, &mut self.meets);
            let from = (from, &costs[..]);
            Behind::new((ground, fixed), kit, before, from, stage)?.costs(&mut self.meets)
        } else {
            over_a_cut(ground, fixed, before + 1, (from, &costs), stage)
        })
    }
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
