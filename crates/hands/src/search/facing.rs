//! A stage as it is seen from the one before it: by stand, what it costs to go
//! on from each position.

use std::sync::Arc;

use crate::hand::shape::Stay;
pub(crate) use crate::hand::shifting::ROW;
use crate::hand::shifting::{ShiftTable, ShiftTables, hopping};
use crate::hand::{Hold, POSITIONS};
use crate::heard::clock::MOST_HURRY;

use super::cost::{Cost, TooLarge};
use super::ground::Ground;
use super::pair::Led;
use super::sheet::NEVER;
use super::stage::{Stage, Stand};

/// By position.
pub(crate) type Row<C> = [C; ROW];

/// Positions of a stand at most.
pub(crate) const LANES: usize = 8;

/// Costs by lane.
pub(crate) type Lanes<C> = [C; LANES];

/// The tables of shifts of one move, by what leads them.
pub(crate) struct Shifts<C> {
    /// Of a hand that was not idle.
    pub led: [Arc<ShiftTable<C>>; 3],
    /// Which of them is never dearer than the others.
    most_eased: Led,
    /// Of one that was, by hurry from 1; only where the stage before has one.
    pub open: Vec<[Arc<ShiftTable<C>>; 3]>,
}

impl<C: Cost> Shifts<C> {
    /// The least that any shift of a hand that was not idle costs: to the position
    /// beside it where the frets are narrowest.
    pub fn least(&self) -> C {
        let last = POSITIONS - 1;
        let costs = self.led.iter().map(|table| table[last - 1][last].min(table[1][2]));
        costs.min().unwrap_or(C::NEVER)
    }

    /// The cheapest of a hand that was not idle. Short shifts may cost the same by
    /// rounding where long ones do not, so that the ease itself has to tell.
    pub fn least_led(&self) -> &Arc<ShiftTable<C>> {
        &self.led[self.most_eased as usize]
    }

    /// From a stage to the next.
    pub fn of(
        ground: &Ground,
        tables: &mut ShiftTables<C>,
        (layer, stage): (usize, &Stage),
    ) -> Self {
        let step = &ground.steps[layer];
        let kit = (&ground.geometry, &ground.table);
        let open = step.ease + i64::from(ground.table.ease_open);
        let mut at = |hurry: i64, ease: i64| {
            Led::ALL.map(|led| tables.at(kit, hurry, ease + led.ease(ground)))
        };
        Self {
            led: at(step.pace.hurry, step.ease),
            most_eased: most_eased(ground),
            open: if stage.may_be_idle() {
                (1..=MOST_HURRY).map(|hurry| at(hurry, open)).collect()
            } else {
                Vec::new()
            },
        }
    }
}

/// What takes most off a shift.
fn most_eased(ground: &Ground) -> Led {
    Led::ALL.into_iter().max_by_key(|led| led.ease(ground)).unwrap_or(Led::Plain)
}

/// Numbers of a stand by lane, in the width of a table.
pub(crate) fn narrow<C: Cost>(costs: &[i32]) -> Result<Lanes<C>, TooLarge> {
    let mut lanes = [C::NEVER; LANES];
    for (lane, cost) in lanes.iter_mut().zip(costs) {
        *lane = narrow_one(*cost)?;
    }
    Ok(lanes)
}

fn narrow_one<C: Cost>(cost: i32) -> Result<C, TooLarge> {
    match cost {
        NEVER => Ok(C::NEVER),
        cost if i64::from(cost) > C::MOST => Err(TooLarge),
        cost => Ok(C::of(i64::from(cost))),
    }
}

/// Costs of lanes as a row.
pub(crate) fn row<C: Cost>(stand: &Stand, costs: &Lanes<C>) -> Row<C> {
    let mut row = [C::NEVER; ROW];
    // A stand has as many lanes as it has costs; the rest are never.
    let low = usize::from(stand.low).min(ROW - LANES);
    row[low..low + LANES].copy_from_slice(costs);
    row
}

/// What it costs at least to shift between each position and the lanes of a
/// stand, their costs included.
pub(crate) fn shifted<C: Cost>(stand: &Stand, costs: &Lanes<C>, table: &ShiftTable<C>) -> Row<C> {
    let mut moved = [C::NEVER; ROW];
    let low = usize::from(stand.low);
    for (lane, cost) in costs.iter().enumerate().take(usize::from(stand.count)) {
        for (to, shift) in moved.iter_mut().zip(&table[low + lane]) {
            *to = (*to).min(shift.plus(*cost));
        }
    }
    moved
}

/// Adds a number to eight lanes of a row and takes the less.
#[inline(always)]
pub(crate) fn take<C: Cost>(best: &mut Lanes<C>, row: &Row<C>, low: u8, cost: C) {
    let from = usize::from(low).min(ROW - LANES);
    let mut lanes = [C::NEVER; LANES];
    lanes.copy_from_slice(&row[from..from + LANES]);
    for (best, lane) in best.iter_mut().zip(lanes) {
        *best = (*best).min(lane.plus(cost));
    }
}

/// The lanes of a stand before anything is known: never, and nothing where it has
/// none, which is never improved on.
#[inline(always)]
pub(crate) fn unpriced<C: Cost>(stand: &Stand) -> Lanes<C> {
    let mut lanes = [C::default(); LANES];
    lanes[..usize::from(stand.count).min(LANES)].fill(C::NEVER);
    lanes
}

/// The most that any lane costs by now.
#[inline(always)]
pub(crate) fn worst_lane<C: Cost>(best: &Lanes<C>) -> C {
    best.iter().copied().max().unwrap_or(C::NEVER)
}

/// What a stand costs by the position from which it is come to.
#[derive(Clone, Copy)]
pub(crate) struct Rows<C> {
    /// If the hand stays in its position: as it is, with a hop to get away, or
    /// growing idle.
    pub stay: Row<C>,
    /// If it shifts and nothing leads it, unless fingers stay; or, if the stand is
    /// away, if it was away at the same place already.
    pub moved: Row<C>,
    /// By lane; not if it is idle.
    pub costs: Lanes<C>,
}

/// No more than it costs to go to a shape.
#[derive(Clone, Copy)]
pub(crate) struct Floor<C> {
    /// By position.
    any: Row<C>,
    /// By position, if the hand does not shift.
    in_place: Row<C>,
    /// By position, to a stand that is away.
    away: Row<C>,
    /// From anywhere.
    pub all: C,
}

impl<C: Cost> Floor<C> {
    /// Whether some lane may become cheaper by going there, some cost added; a
    /// hand that is away does not shift.
    #[inline(always)]
    pub fn may_improve(&self, best: &Lanes<C>, stand: &Stand, cost: C) -> bool {
        let row = if stand.away > 0 { &self.in_place } else { &self.any };
        improves(best, row, stand.low, cost)
    }

    /// The same of the shape's stands that are away.
    #[inline(always)]
    pub fn away_may_improve(&self, best: &Lanes<C>, stand: &Stand, cost: C) -> bool {
        improves(best, &self.away, stand.low, cost)
    }
}

/// The same with a number for each lane besides.
#[inline(always)]
pub(crate) fn take_with<C: Cost>(
    best: &mut Lanes<C>,
    row: &Row<C>,
    low: u8,
    (cost, more): (C, &Lanes<C>),
) {
    let from = usize::from(low).min(ROW - LANES);
    let mut lanes = [C::NEVER; LANES];
    lanes.copy_from_slice(&row[from..from + LANES]);
    for ((best, lane), more) in best.iter_mut().zip(lanes).zip(more) {
        *best = (*best).min(lane.plus(cost).plus(*more));
    }
}

/// Whether eight lanes of a row with a number added are less somewhere.
#[inline(always)]
pub(crate) fn improves<C: Cost>(best: &Lanes<C>, row: &Row<C>, low: u8, cost: C) -> bool {
    let from = usize::from(low).min(ROW - LANES);
    let mut lanes = [C::NEVER; LANES];
    lanes.copy_from_slice(&row[from..from + LANES]);
    let less = |(lane, best): (C, C)| lane.plus(cost) < best;
    lanes.into_iter().zip(*best).fold(false, |any, pair| any | less(pair))
}

/// What of the next stage depends on fingers that stay.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Needs {
    /// Fingers that must have been there, by their numbers among
    /// [`Facing::stays`].
    bits: u128,
    /// Whether that has to be looked up.
    crowded: bool,
}

/// The next stage.
pub(crate) struct Facing<'a, C> {
    pub next: &'a Stage,
    /// By stand.
    pub rows: Vec<Rows<C>>,
    pub needs: Vec<Needs>,
    /// By shape, no more than going there costs by any of its stands, fingers left
    /// out.
    pub floors: Vec<Floor<C>>,
    /// The shapes of each bucket, one bucket after the other, the most promising
    /// first.
    pub order: Vec<u32>,
    pub shifts: Shifts<C>,
    /// By finger and place, the number of one that stays there in some stand,
    /// from 1.
    numbers: Vec<u8>,
    /// By their numbers, the stands in which they must have been there, each
    /// under the first of its own; then those that need none.
    pub staying: Vec<Vec<u32>>,
}

/// Fingers that stay are numbered up to this; what is beyond is looked up.
const NUMBERED: usize = 127;

impl<'a, C: Cost> Facing<'a, C> {
    pub fn new(
        ground: &Ground,
        tables: &mut ShiftTables<C>,
        (layer, stage): (usize, &Stage),
        next: &'a Stage,
    ) -> Result<Self, TooLarge> {
        let count = next.stands.len();
        let mut facing = Self {
            next,
            rows: Vec::with_capacity(count),
            needs: vec![Needs::default(); count],
            floors: Vec::with_capacity(next.onward.len()),
            order: Vec::with_capacity(next.onward.len()),
            shifts: Shifts::of(ground, tables, (layer, stage)),
            numbers: vec![0; Stay::ALL],
            staying: vec![Vec::new()],
        };
        for (number, stand) in next.stands.iter().enumerate() {
            if !stand.stays.is_empty() {
                facing.note(number, stand);
            }
            facing.see(ground, layer, stand)?;
        }
        facing.find_floors();
        Ok(facing)
    }

    fn find_floors(&mut self) {
        let next = self.next;
        let least = Arc::clone(self.shifts.least_led());
        let least_shift = self.shifts.least();
        for number in 0..next.onward.len() as u32 {
            let never = [C::NEVER; ROW];
            let mut floor = Floor { any: never, in_place: never, away: never, all: C::NEVER };
            for index in next.stands_of(number) {
                let (stand, rows) = (&next.stands[index], &self.rows[index]);
                if stand.away > 0 || stand.is_idle() {
                    lower(&mut floor.in_place, &rows.stay);
                } else {
                    // `lead_stay` is not for a hand that comes back.
                    lower(&mut floor.in_place, &row(stand, &rows.costs));
                }
                if stand.away > 0 {
                    lower(&mut floor.in_place, &rows.moved);
                    lower(&mut floor.away, &rows.stay);
                    lower(&mut floor.away, &rows.moved);
                } else if !stand.is_idle() {
                    if stand.stays.is_empty() {
                        lower(&mut floor.any, &shifted(stand, &rows.costs, &least));
                    } else {
                        let lane = rows.costs.iter().copied().min().unwrap_or(C::NEVER);
                        lower(&mut floor.any, &[lane.plus(least_shift); ROW]);
                    }
                }
            }
            lower(&mut floor.any, &floor.in_place.clone());
            floor.all = floor.any.iter().copied().min().unwrap_or(C::NEVER);
            for stand in next.stands[next.stands_of(number)].iter().filter(|s| s.is_idle()) {
                // A hand that is idle already brings other memories.
                let least = next.totals[stand.lanes()].iter().min();
                floor.all = floor.all.min(least.map_or(C::NEVER, |least| C::of((*least).into())));
            }
            self.floors.push(floor);
        }
        for bucket in &next.buckets {
            let from = self.order.len();
            self.order.extend(bucket.shapes.clone());
            let floors = &self.floors;
            self.order[from..].sort_unstable_by_key(|number| floors[*number as usize].all);
        }
    }

    /// Notes which fingers a stand needs, under the first of them; last come those
    /// that need none.
    fn note(&mut self, number: usize, stand: &Stand) {
        let mut needs = Needs::default();
        let mut first = None;
        for stay in required(stand) {
            let known = self.numbers[stay.number()];
            let of = match known {
                0 if self.staying.len() <= NUMBERED => {
                    let last = self.staying.len() - 1;
                    self.staying.insert(last, Vec::new());
                    self.numbers[stay.number()] = self.staying.len() as u8 - 1;
                    last
                }
                0 => {
                    needs.crowded = true;
                    continue;
                }
                known => usize::from(known) - 1,
            };
            needs.bits |= 1 << of;
            first.get_or_insert(of);
        }
        self.needs[number] = needs;
        let last = self.staying.len() - 1;
        self.staying[first.unwrap_or(last)].push(number as u32);
    }

    fn see(&mut self, ground: &Ground, layer: usize, stand: &Stand) -> Result<(), TooLarge> {
        let totals = &self.next.totals[stand.lanes()];
        if stand.is_idle() {
            let mut row = [C::NEVER; ROW];
            for (slot, tag) in row.iter_mut().zip(self.next.tag_of_position).skip(1) {
                *slot = narrow_one(totals[usize::from(tag)])?;
            }
            let (moved, costs) = ([C::NEVER; ROW], [C::NEVER; LANES]);
            self.rows.push(Rows { stay: row, moved, costs });
            return Ok(());
        }
        let costs = narrow::<C>(totals)?;
        let mut stay = row(stand, &costs);
        let mut moved = [C::NEVER; ROW];
        let led_from = self.next.shape(stand.shape).led_from();
        let lead_stay = C::of(i64::from(ground.table.lead_stay));
        if stand.away > 0 {
            let kit = (&ground.geometry, &ground.table);
            let mut further = C::of(i64::from(ground.table.hop_stay));
            if led_from == Some(stand.away) {
                further = further.plus(lead_stay);
            }
            let hurry = ground.steps[layer].pace.hurry;
            for position in stand.low..stand.low + stand.count as u8 {
                let at = usize::from(position);
                moved[at] = stay[at].plus(further);
                stay[at] = stay[at].plus(C::of(hopping(kit, (position, stand.away), hurry)));
            }
        } else if stand.stays.is_empty() {
            moved = shifted(stand, &costs, &self.shifts.led[0]);
        }
        if let Some(position) = led_from.filter(|_| stand.away == 0)
            && let Some(stay) = stay.get_mut(usize::from(position))
        {
            *stay = stay.plus(lead_stay);
        }
        self.rows.push(Rows { stay, moved, costs });
        Ok(())
    }

    /// The fingers of a hold that may stay, by their numbers.
    pub fn offers(&self, hold: &Hold) -> u128 {
        let mut offers = 0;
        if self.staying.len() == 1 {
            return offers;
        }
        for finger in 0..4u8 {
            let mut strings = hold.on[usize::from(finger)];
            if hold.touching & (1 << finger) != 0 {
                continue;
            }
            while strings != 0 {
                let string = strings.trailing_zeros() as u8;
                let stay = Stay { finger, string, fret: hold.fret[usize::from(finger)] };
                let number = self.numbers[stay.number()];
                if number > 0 {
                    offers |= 1 << (number - 1);
                }
                strings &= strings - 1;
            }
        }
        offers
    }

    /// Whether the fingers of a stand may stay after a hold (M3).
    #[inline]
    pub fn may_follow(&self, stand: usize, offers: u128, hold: &Hold) -> bool {
        let needs = &self.needs[stand];
        needs.bits & !offers == 0 && (!needs.crowded || self.next.stands[stand].may_follow(hold))
    }
}

#[inline(always)]
pub(crate) fn lower<C: Cost>(row: &mut Row<C>, other: &Row<C>) {
    for (slot, cost) in row.iter_mut().zip(other) {
        *slot = (*slot).min(*cost);
    }
}

/// Fingers that must have been there to stay.
pub(crate) fn required(stand: &Stand) -> impl Iterator<Item = Stay> {
    let prepared = stand.prepared;
    stand.stays.iter().filter(move |stay| prepared & (1 << stay.finger) == 0)
}
