//! The table of costs from the start, filled from the first layer onwards.
//!
//! With the table of costs to the end it gives the price of the best way
//! through any state: what it costs to get there, the state itself, and what
//! it costs from there.

use std::sync::Arc;

use crate::hand::shifting::{ShiftTable, ShiftTables, hopping};
use crate::hand::{Hold, Played, Shape};

use super::cost::{Cost, TooLarge};
use super::facing::{LANES, ROW, Row, Shifts, narrow, row, shifted, take};
use super::ground::Ground;
use super::known::{COMPARED, Case, Known, Prices};
use super::pair::{Joins, Pair, joined_from, leap, leaves, pair, remembered};
use super::seams::Fixed;
use super::sheet::NEVER;
use super::stage::{Choice, Stage, Stand, Tag};
use super::to_end::begins_anew;

/// The costs from the start to every state of a stage, itself left out.
#[derive(Clone, Debug)]
pub(crate) struct FromStart {
    /// The least of them.
    pub least: i64,
    /// Above the least; [`NEVER`] for states no way leads to.
    above: Arc<[i32]>,
}

impl FromStart {
    pub fn to(&self, stage: &Stage, choice: Choice) -> Option<i64> {
        let above = self.above[stage.index(choice)];
        (above != NEVER).then(|| self.least + i64::from(above))
    }
}

/// Fills the table of every stage.
pub(crate) fn price_all<C: Cost>(
    ground: &Ground,
    fixed: &Fixed,
    stages: &[Stage],
    known: &mut Known,
) -> Result<Vec<FromStart>, TooLarge> {
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
        let work_out = |shifts: &mut ShiftTables<C>| {
            let costs = leaving(ground, fixed, before, pair.0, last)?;
            above_least(if ground.steps[before].reached {
                Behind::new(ground, fixed, shifts, before, pair.0, &costs)?.into(stage)
            } else {
                over_a_cut(ground, fixed, layer, (pair.0, &costs), stage)
            })
        };
        let case = Case::of((ground, fixed), before, pair, &last.above);
        let found = case.as_ref().and_then(|case| known.get(case));
        let (rise, above) = match (found, case) {
            (Some(found), _) => {
                if compares {
                    assert_eq!(work_out(&mut shifts), Ok(found.clone()), "the case says all");
                }
                found
            }
            (None, Some(case)) => {
                let states = Arc::as_ptr(&stage.laid);
                known.keep((case, &last.above), states, work_out(&mut shifts)?)
            }
            (None, None) => work_out(&mut shifts)?,
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
    let mut costs = vec![NEVER; table.above.len()];
    for choice in stage.choices() {
        let index = stage.index(choice);
        let (Some(own), true) = (stage.own(choice), fixed.allows(ground, layer, stage, choice))
        else {
            continue;
        };
        if table.above[index] != NEVER {
            let sum =
                i64::from(table.above[index]) + own + fixed.leaving(ground, layer, stage, choice);
            costs[index] = i32::try_from(sum).map_err(|_| TooLarge)?;
        }
    }
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

/// A stand seen from the stage after it.
struct Left<C> {
    /// By position: not shifting.
    stay: Row<C>,
    /// Shifting, by what leads it; not if it is away.
    moved: Option<[Row<C>; 3]>,
    /// Not shifting from a known position.
    known: Row<C>,
    away: Option<u8>,
}

/// A stage seen from the next one.
struct Behind<'a, C> {
    ground: &'a Ground,
    layer: usize,
    before: &'a Stage,
    /// Costs of every state to get past it.
    costs: &'a [i32],
    /// By stand.
    left: Vec<Left<C>>,
}

impl<'a, C: Cost> Behind<'a, C> {
    fn new(
        ground: &'a Ground,
        fixed: &Fixed,
        tables: &mut ShiftTables<C>,
        layer: usize,
        before: &'a Stage,
        costs: &'a [i32],
    ) -> Result<Self, TooLarge> {
        let shifts = Shifts::of(ground, tables, layer);
        let mut left = Vec::with_capacity(before.stands.len());
        for stand in &before.stands {
            let costs = &costs[stand.lanes()];
            left.push(if stand.is_idle() {
                idle_left(ground, fixed, layer, (before, costs), &shifts.open)?
            } else {
                let costs = narrow::<C>(costs)?;
                let stay = row(stand, &costs);
                let (moved, away) = match stand.away {
                    0 => {
                        let led = |table: &Arc<ShiftTable<C>>| shifted(stand, &costs, table);
                        (Some([0, 1, 2].map(|by| led(&shifts.led[by]))), None)
                    }
                    hand => (None, Some(hand)),
                };
                Left { stay, moved, known: stay, away }
            });
        }
        Ok(Self { ground, layer, before, costs, left })
    }

    /// The cost to get to every state of a stage.
    fn into(self, stage: &Stage) -> Vec<i32> {
        let mut above = vec![NEVER; stage.states as usize];
        let sources = self.sources(stage);
        let struck = self.ground.music.layers[self.layer + 1].struck().len();
        let joins = self.ground.joins_into(self.layer + 1);
        for (bucket, sources) in stage.buckets.iter().zip(&sources) {
            for (index, number) in bucket.shapes.clone().enumerate() {
                let shape = &bucket.sheet.shapes[index];
                let played =
                    if joins.is_empty() { &[][..] } else { bucket.sheet.played(index, struck) };
                let stands = &stage.stands[stage.stands_of(number)];
                for source in sources {
                    let joins = Joins { joins, from: &source.from };
                    let kit = (joins, played);
                    let plain = pair(self.ground, self.layer, &source.hold, shape, kit);
                    for from in self.before.stands_of(source.number) {
                        let stand = &self.before.stands[from];
                        let hold = source.hold.staying(stand.stays);
                        let concerned =
                            stand.stays.iter().any(|s| shape.is_down(usize::from(s.finger)));
                        let pair = if concerned {
                            pair(self.ground, self.layer, &hold, shape, kit)
                        } else {
                            plain
                        };
                        let sum = source.cut
                            + i64::from(pair.fingers)
                            + leap(self.ground, self.layer, stand, shape);
                        let lifted = remembered(source.left, shape);
                        let fits = |n: &&Stand| n.lifted == lifted && n.may_follow(&hold);
                        for n in stands.iter().filter(fits) {
                            let above = &mut above[n.lanes()];
                            self.step((from, stand), (stage, n), (sum, &pair), above);
                        }
                    }
                }
            }
        }
        above
    }

    /// From one stand to another.
    fn step(
        &self,
        (from, s): (usize, &Stand),
        (stage, n): (&Stage, &Stand),
        (sum, pair): (i64, &Pair),
        above: &mut [i32],
    ) {
        let left = &self.left[from];
        let in_place = sum + i64::from(pair.slide + pair.join_in_place);
        let moved = sum + i64::from(pair.join_moved);
        match n.away {
            _ if n.is_idle() => {
                let sum = if left.away.is_some() { moved } else { in_place };
                self.grow_idle(s, (stage, n), sum, above);
            }
            0 => {
                let mut best = [C::NEVER; LANES];
                let stay = if left.away.is_some() { moved } else { in_place };
                take(&mut best, &left.stay, n.low, C::of(stay));
                if let Some(shifts) = &left.moved {
                    take(&mut best, &shifts[pair.led as usize], n.low, C::of(moved));
                }
                for (above, best) in above.iter_mut().zip(best) {
                    if !best.is_never() {
                        *above = (*above).min(best.get() as i32);
                    }
                }
            }
            hand => {
                for (position, above) in (n.low..).zip(above) {
                    let cost = left.known[usize::from(position)];
                    if cost.is_never() {
                        continue;
                    }
                    let more = if left.away == Some(hand) {
                        moved + i64::from(pair.slide + self.ground.table.hop_stay)
                    } else {
                        let kit = (&self.ground.geometry, &self.ground.table);
                        let hurry = self.ground.steps[self.layer].pace.hurry;
                        moved + hopping(kit, (position, hand), hurry)
                    };
                    *above = (*above).min(cost.get() as i32 + more as i32);
                }
            }
        }
    }

    fn grow_idle(&self, s: &Stand, (stage, n): (&Stage, &Stand), sum: i64, above: &mut [i32]) {
        let idle = s.is_idle();
        for lane in 0..s.count {
            let cost = self.costs[s.at as usize + usize::from(lane)];
            if cost == NEVER {
                continue;
            }
            let tag = if idle {
                stage.tag_after[usize::from(lane)]
            } else {
                stage.tag_of_position[usize::from(s.low) + usize::from(lane)]
            };
            if super::stage::stays_fit(n.stays, stage.tags[usize::from(tag)].position) {
                let above = &mut above[usize::from(tag)];
                *above = (*above).min(cost + sum as i32);
            }
        }
    }

    /// By bucket of the next stage, the shapes from which it is come to.
    fn sources(&self, stage: &Stage) -> Vec<Vec<Source<'a>>> {
        let mut by_inlet: Vec<Vec<(u32, &Shape)>> = vec![Vec::new(); stage.inlets.len()];
        for bucket in &self.before.buckets {
            for (index, number) in bucket.shapes.clone().enumerate() {
                let inlet = self.before.onward[number as usize] as usize;
                by_inlet[inlet].push((number, &bucket.sheet.shapes[index]));
            }
        }
        let no_joins = self.ground.joins_into(self.layer + 1).is_empty();
        let mut sources: Vec<Vec<Source<'a>>> = Vec::new();
        sources.resize_with(stage.buckets.len(), Vec::new);
        for (inlet, from) in stage.inlets.iter().zip(&by_inlet) {
            for (bucket, cut) in &inlet.ways {
                let sources = &mut sources[*bucket as usize];
                sources.extend(from.iter().map(|(number, shape)| Source {
                    number: *number,
                    hold: shape.hold(),
                    left: leaves(self.ground, self.layer, shape),
                    cut: *cut,
                    from: if no_joins {
                        Vec::new()
                    } else {
                        joined_from(self.ground, self.layer, self.before, *number)
                    },
                    life: std::marker::PhantomData,
                }));
            }
        }
        sources
    }
}

/// A shape from which a bucket is come to.
struct Source<'a> {
    number: u32,
    hold: Hold,
    left: Option<(u8, u8)>,
    /// What letting go costs.
    cut: i64,
    from: Vec<Option<Played>>,
    life: std::marker::PhantomData<&'a ()>,
}

/// An idle stand as the stage after sees it: from all its memories at once.
fn idle_left<C: Cost>(
    ground: &Ground,
    fixed: &Fixed,
    layer: usize,
    (before, costs): (&Stage, &[i32]),
    shifts: &[[Arc<ShiftTable<C>>; 3]],
) -> Result<Left<C>, TooLarge> {
    let mut stay = [C::NEVER; ROW];
    let mut known = [C::NEVER; ROW];
    let mut moved = [[C::NEVER; ROW]; 3];
    for (tag, cost) in before.tags.iter().zip(costs) {
        if *cost == NEVER {
            continue;
        }
        if i64::from(*cost) > C::MOST {
            return Err(TooLarge);
        }
        let cost = C::of(i64::from(*cost));
        let closes = |position: usize| fixed.closes(tag, layer + 1, position as u8);
        if tag.position == 0 {
            for position in (1..crate::hand::POSITIONS).filter(|p| closes(*p)) {
                stay[position] = stay[position].min(cost);
            }
            continue;
        }
        let own = usize::from(tag.position);
        if closes(own) {
            stay[own] = stay[own].min(cost);
            known[own] = known[own].min(cost);
        }
        let hurry = ground.hurry_since(tag, layer + 1);
        for (moved, table) in moved.iter_mut().zip(&shifts[hurry - 1]) {
            for position in (1..crate::hand::POSITIONS).filter(|p| closes(*p)) {
                let shift = table[own][position];
                moved[position] = moved[position].min(cost.plus(shift));
            }
        }
    }
    Ok(Left { stay, moved: Some(moved), known, away: None })
}
