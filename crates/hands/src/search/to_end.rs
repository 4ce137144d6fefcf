//! The table of costs to the end, filled from the last layer backwards.

use crate::hand::shifting::ShiftTables;

use super::cost::{Cost, TooLarge, largest_step};
use super::facing::Facing;
use super::ground::Ground;
use super::onward::Onward;
use super::seams::Fixed;
use super::sheet::NEVER;
use super::stage::{Choice, Stage, Tag};

/// Fills the table of every stage.
pub(crate) fn price_all(ground: &Ground, fixed: &Fixed, stages: &mut [Stage]) {
    let mut tables = Widths::of(ground);
    for layer in (0..stages.len()).rev() {
        let (here, after) = stages.split_at_mut(layer + 1);
        if let Some(stage) = here.last_mut() {
            tables.price(ground, fixed, (layer, stage), after.first());
        }
    }
}

/// Fills the tables again after some stages were laid out again, from the last
/// of these backwards as far as anything changes. Gives the first layer whose
/// table is not as it was.
pub(crate) fn price_again(
    ground: &Ground,
    fixed: &Fixed,
    stages: &mut [Stage],
    laid: &[usize],
) -> usize {
    let mut tables = Widths::of(ground);
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

/// Tables of shifts in both widths.
struct Widths {
    narrow: Option<ShiftTables<i16>>,
    wide: ShiftTables<i32>,
}

impl Widths {
    fn of(ground: &Ground) -> Self {
        let fits = largest_step(&ground.table) <= <i16 as Cost>::MOST;
        Self { narrow: fits.then(ShiftTables::default), wide: ShiftTables::default() }
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
            && let Ok(changed) = price(ground, fixed, tables, (layer, &mut *stage), next)
        {
            return changed;
        }
        // Wide numbers hold whatever the largest values of effort come to.
        price(ground, fixed, &mut self.wide, (layer, stage), next).unwrap_or(true)
    }
}

/// Works out the cost to the end from every state of a stage. Says whether that
/// changed anything.
///
/// Costs are kept above the least of the stage, so that a change far off does
/// not change them.
fn price<C: Cost>(
    ground: &Ground,
    fixed: &Fixed,
    tables: &mut ShiftTables<C>,
    (layer, stage): (usize, &mut Stage),
    next: Option<&Stage>,
) -> Result<bool, TooLarge> {
    let mut totals = match next {
        None => vec![0; stage.totals.len()],
        Some(next) if !ground.steps[layer].reached => {
            over_a_cut(ground, fixed, layer, stage, next)
        }
        Some(next) => {
            let facing = Facing::<C>::new(ground, tables, layer, next)?;
            Onward::new(ground, fixed, layer, facing).of(stage)
        }
    };
    let mut least = i64::MAX;
    let free = *fixed == Fixed::default();
    for bucket in &stage.buckets {
        for (index, number) in bucket.shapes.clone().enumerate() {
            for of in stage.stands_of(number) {
                let stand = &stage.stands[of];
                for lane in 0..stand.count {
                    let choice = Choice { stand: of as u32, lane };
                    let total = &mut totals[stand.at as usize + usize::from(lane)];
                    let own = stage.own_in(&bucket.sheet, index, stand, lane);
                    let own = own.filter(|_| free || fixed.allows(ground, layer, stage, choice));
                    *total = match own {
                        Some(own) if *total != NEVER => {
                            let seams =
                                if free { 0 } else { fixed.leaving(ground, layer, stage, choice) };
                            let sum = i64::from(*total) + own + seams;
                            least = least.min(sum);
                            i32::try_from(sum).map_err(|_| TooLarge)?
                        }
                        _ => NEVER,
                    };
                }
            }
        }
    }
    for total in totals.iter_mut().filter(|total| **total != NEVER) {
        *total -= least as i32;
        if i64::from(*total) > C::MOST {
            return Err(TooLarge);
        }
    }
    stage.rise = if least == i64::MAX { 0 } else { least };
    let changed = totals != stage.totals;
    stage.totals = totals;
    Ok(changed)
}

/// Over a cut no move is made; only what seams ask of an idle hand goes on.
fn over_a_cut(
    ground: &Ground,
    fixed: &Fixed,
    layer: usize,
    stage: &Stage,
    next: &Stage,
) -> Vec<i32> {
    let begins: Vec<Choice> =
        next.choices().filter(|choice| begins_anew(next, *choice)).collect();
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
    prepared && stand.lifted == Default::default() && stand.away == 0
}
