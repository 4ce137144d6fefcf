//! The table of costs to the end, filled from the last layer backwards.

use std::sync::Arc;

use crate::hand::shifting::ShiftTables;

use super::cost::{Cost, TooLarge, largest_step};
use super::facing::Facing;
use super::ground::Ground;
use super::known::{COMPARED, Case, Known};
use super::meets::{Meets, Places};
use super::onward::{Bench, Onward};
use super::seams::Fixed;
use super::sheet::{Lanes, NEVER};
use super::stage::{Choice, Stage, Tag};

/// Fills the table of every stage.
pub(crate) fn price_all(
    (ground, places): (&Ground, &Places),
    fixed: &Fixed,
    stages: &mut [Stage],
    known: &mut Known,
) {
    let mut tables = Widths::of(ground, places);
    let compares = cfg!(debug_assertions) && stages.len() <= COMPARED;
    for layer in (0..stages.len()).rev() {
        let (here, after) = stages.split_at_mut(layer + 1);
        let (stage, next) = (&mut here[layer], after.first());
        let case =
            next.and_then(|next| Case::of((ground, fixed), layer, (stage, next), &next.totals));
        let found = case.as_ref().and_then(|case| known.get(case));
        if found.is_none() || compares {
            tables.price(ground, fixed, (layer, stage), next);
        }
        let anew = (stage.rise, Arc::clone(&stage.totals));
        assert!(
            !compares || found.as_ref().is_none_or(|found| *found == anew),
            "the case says all"
        );
        let states = Arc::as_ptr(&stage.laid);
        (stage.rise, stage.totals) = match (found, case, next) {
            (Some(found), ..) => found,
            (None, Some(case), Some(next)) => known.keep((case, &next.totals), states, anew),
            _ => anew,
        };
    }
}

/// Fills the tables again after some stages were laid out again, from the last
/// of these backwards as far as anything changes. Gives the first layer whose
/// table is not as it was.
pub(crate) fn price_again(
    (ground, places): (&Ground, &Places),
    fixed: &Fixed,
    stages: &mut [Stage],
    laid: &[usize],
) -> usize {
    let mut tables = Widths::of(ground, places);
    let mut first = stages.len();
    let mut changed = false;
    let (Some(lowest), Some(highest)) = (laid.iter().min(), laid.iter().max()) else {
        return first;
    };
    for layer in (0..=*highest).rev() {
        let fresh = laid.binary_search(&layer).is_ok();
        if fresh || changed {
            let (here, after) = stages.split_at_mut(layer + 1);
            let stage = (layer, &mut here[layer]);
            changed = tables.price(ground, fixed, stage, after.first()) || fresh;
            if changed {
                first = layer;
            }
        }
        if !changed && layer < *lowest {
            break;
        }
    }
    first
}

/// What is looked up, in both widths.
struct Widths<'a> {
    narrow: Option<Tables<i16>>,
    wide: Tables<i32>,
    meets: Option<Meets<'a>>,
}

/// What is looked up in one width, and room to work in.
#[derive(Default)]
struct Tables<C> {
    shifts: ShiftTables<C>,
    bench: Bench,
}

impl<'a> Widths<'a> {
    fn of(ground: &'a Ground, places: &'a Places) -> Self {
        let fits = largest_step(ground) <= <i16 as Cost>::MOST;
        Self {
            narrow: fits.then(Tables::default),
            wide: Tables::default(),
            meets: Meets::new(&ground.table, places),
        }
    }

    /// Prices a stage in narrow numbers, or in wide ones if those are too narrow.
    /// Says whether that changed anything.
    fn price(
        &mut self,
        ground: &Ground,
        fixed: &Fixed,
        (layer, stage): (usize, &mut Stage),
        next: Option<&Stage>,
    ) -> bool {
        if let Some(tables) = &mut self.narrow
            && let Ok(changed) =
                price((ground, fixed), (tables, &mut self.meets), (layer, &mut *stage), next)
        {
            return changed;
        }
        // Wide numbers hold whatever the largest values of effort come to.
        let tables = (&mut self.wide, &mut self.meets);
        price((ground, fixed), tables, (layer, stage), next).unwrap_or(true)
    }
}

/// Works out the cost to the end from every state of a stage. Says whether that
/// changed anything.
///
/// Costs are kept above the least of the stage, so that a change far off does
/// not change them.
fn price<C: Cost>(
    (ground, fixed): (&Ground, &Fixed),
    (tables, meets): (&mut Tables<C>, &mut Option<Meets<'_>>),
    (layer, stage): (usize, &mut Stage),
    next: Option<&Stage>,
) -> Result<bool, TooLarge> {
    let mut totals = match next {
        None => vec![0; stage.states as usize],
        Some(next) if !ground.steps[layer].reached => over_a_cut(ground, fixed, layer, stage, next),
        Some(next) => {
            let facing = Facing::<C>::new(ground, &mut tables.shifts, (layer, stage), next)?;
            Onward::new((ground, fixed), (meets, &mut tables.bench), layer, facing).of(stage)
        }
    };
    let least = add_own(ground, fixed, (layer, stage), &mut totals)?;
    for total in totals.iter_mut().filter(|total| **total != NEVER) {
        *total -= least as i32;
        if i64::from(*total) > C::MOST {
            return Err(TooLarge);
        }
    }
    stage.rise = least;
    let changed = totals[..] != stage.totals[..];
    stage.totals = totals.into();
    Ok(changed)
}

/// Adds what every state costs by itself, and for the seams that begin after it;
/// gives the least sum, 0 if there is none.
pub(crate) fn add_own(
    ground: &Ground,
    fixed: &Fixed,
    (layer, stage): (usize, &Stage),
    totals: &mut [i32],
) -> Result<i64, TooLarge> {
    let mut least = NEVER;
    let mut add = |total: &mut i32, own: i32| {
        *total = match (*total, own) {
            (NEVER, _) | (_, NEVER) => NEVER,
            (total, own) => total.checked_add(own).ok_or(TooLarge)?,
        };
        least = least.min(*total);
        Ok(())
    };
    for bucket in &stage.buckets {
        for (index, number) in bucket.shapes.clone().enumerate() {
            for stand in &stage.stands[stage.stands_of(number)] {
                let totals = &mut totals[stand.lanes()];
                match bucket.sheet.lanes[index] {
                    Lanes::Positions { low, at, .. } if stand.away == 0 => {
                        let from = at as usize + usize::from(stand.low - low);
                        for (total, own) in totals.iter_mut().zip(&bucket.sheet.own[from..]) {
                            add(total, *own)?;
                        }
                    }
                    Lanes::Positions { .. } => {
                        let own = stage.own_in(&bucket.sheet, index, stand, 0);
                        for total in totals {
                            add(total, own.map_or(NEVER, |own| own as i32))?;
                        }
                    }
                    Lanes::Idle { .. } => {
                        for (lane, total) in (0..).zip(totals) {
                            let own = stage.own_in(&bucket.sheet, index, stand, lane);
                            add(total, own.map_or(NEVER, |own| own as i32))?;
                        }
                    }
                }
            }
        }
    }
    if *fixed == Fixed::default() {
        return Ok(if least == NEVER { 0 } else { i64::from(least) });
    }
    let mut least = NEVER;
    for choice in all_lanes(stage) {
        let total = &mut totals[stage.index(choice)];
        if *total == NEVER || !fixed.allows(ground, layer, stage, choice) {
            *total = NEVER;
            continue;
        }
        let seams = fixed.leaving(ground, layer, stage, choice) as i32;
        *total = total.checked_add(seams).ok_or(TooLarge)?;
        least = least.min(*total);
    }
    Ok(if least == NEVER { 0 } else { i64::from(least) })
}

fn all_lanes(stage: &Stage) -> impl Iterator<Item = Choice> + '_ {
    (0u32..)
        .zip(&stage.stands)
        .flat_map(|(stand, of)| (0..of.count).map(move |lane| Choice { stand, lane }))
}

/// Over a cut no move is made; only what seams ask of an idle hand goes on.
fn over_a_cut(
    ground: &Ground,
    fixed: &Fixed,
    layer: usize,
    stage: &Stage,
    next: &Stage,
) -> Vec<i32> {
    let begins: Vec<Choice> = next.choices().filter(|choice| begins_anew(next, *choice)).collect();
    let least = |from: Option<&Tag>| {
        let reached = begins.iter().filter(|choice| {
            if next.is_idle(**choice) {
                let tag = &next.tags[usize::from(choice.lane)];
                let open = from.map_or(Tag::NO_SEAM, |tag| tag.open);
                tag.open == open.min(ground.seam_end(layer + 1))
            } else {
                from.is_none_or(|tag| fixed.closes(tag, layer + 1, next.position(**choice)))
            }
        });
        reached.map(|choice| next.to_end(*choice)).min().unwrap_or(NEVER)
    };
    let stopped = least(None);
    let idle: Vec<i32> = stage.tags.iter().map(|tag| least(Some(tag))).collect();
    let of = |stand: &super::stage::Stand| {
        let idle = if stand.is_idle() { Some(&idle) } else { None };
        (0..usize::from(stand.count)).map(move |lane| idle.map_or(stopped, |idle| idle[lane]))
    };
    stage.stands.iter().flat_map(of).collect()
}

/// Whether a state may be the first of all, or after a cut.
pub(crate) fn begins_anew(stage: &Stage, choice: Choice) -> bool {
    let stand = stage.stand(choice);
    let prepared = stand.stays.fingers() & !stand.prepared == 0;
    prepared && stand.memory == Default::default() && stand.away == 0
}
