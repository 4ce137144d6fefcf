//! A stage as it is seen from the one before it: by stand, what it costs to go
//! on from each position, and by inlet, the shapes that may follow, the most
//! promising first.

use std::sync::Arc;

pub(crate) use crate::hand::shifting::ROW;
use crate::hand::shifting::{ShiftTable, ShiftTables, hopping};
use crate::hand::shape::Stay;
use crate::hand::{Hold, POSITIONS, Shape};
use crate::heard::clock::MOST_HURRY;

use super::cost::{Cost, TooLarge};
use super::ground::Ground;
use super::pair::Led;
use super::sheet::{NEVER, Sheet};
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
    /// Of one that was, by hurry from 1.
    pub open: Vec<[Arc<ShiftTable<C>>; 3]>,
}

impl<C: Cost> Shifts<C> {
    /// The least that any shift of a hand that was not idle costs.
    fn least(&self) -> C {
        let all = self.led.iter().flat_map(|table| &table[1..]);
        all.flat_map(|row| &row[1..POSITIONS]).copied().min().unwrap_or(C::NEVER)
    }

    pub fn of(ground: &Ground, tables: &mut ShiftTables<C>, layer: usize) -> Self {
        let step = &ground.steps[layer];
        let kit = (&ground.geometry, &ground.table);
        let open = step.ease + i64::from(ground.table.ease_open);
        let mut at = |hurry: i64, ease: i64| {
            Led::ALL.map(|led| tables.at(kit, hurry, ease + led.ease(ground)))
        };
        Self {
            led: at(step.pace.hurry, step.ease),
            open: (1..=MOST_HURRY).map(|hurry| at(hurry, open)).collect(),
        }
    }
}

/// Numbers of a stand by lane, in the width of a table.
pub(crate) fn narrow<C: Cost>(costs: &[i32]) -> Result<Lanes<C>, TooLarge> {
    let mut lanes = [C::NEVER; LANES];
    for (lane, cost) in lanes.iter_mut().zip(costs) {
        if *cost != NEVER {
            if i64::from(*cost) > C::MOST {
                return Err(TooLarge);
            }
            *lane = C::of(i64::from(*cost));
        }
    }
    Ok(lanes)
}

/// Costs of lanes as a row.
pub(crate) fn row<C: Cost>(stand: &Stand, costs: &Lanes<C>) -> Row<C> {
    let mut row = [C::NEVER; ROW];
    let low = usize::from(stand.low);
    let count = usize::from(stand.count).min(LANES);
    row[low..low + count].copy_from_slice(&costs[..count]);
    row
}

/// What it costs at least to shift between each position and the lanes of a
/// stand, their costs included.
pub(crate) fn shifted<C: Cost>(stand: &Stand, costs: &Lanes<C>, table: &ShiftTable<C>) -> Row<C> {
    let mut moved = [C::NEVER; ROW];
    let low = usize::from(stand.low);
    for (lane, cost) in costs.iter().enumerate().take(usize::from(stand.count)) {
        if cost.is_never() {
            continue;
        }
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

/// A stand of the next stage.
pub(crate) struct Ahead<C> {
    pub stand: Stand,
    /// By lane; not if it is idle.
    pub costs: Lanes<C>,
    /// If the hand stays in its position: as it is, with a hop to get away, or
    /// growing idle.
    pub stay: Row<C>,
    /// If it shifts and nothing leads it, unless fingers stay; or, if the stand is
    /// away, if it was away at the same place already.
    pub moved: Row<C>,
    /// The least that any of its states costs.
    pub floor: C,
    /// Fingers that must have been there to stay, by their numbers among
    /// [`Facing::stays`].
    needs: u128,
    /// Whether that has to be looked up.
    crowded: bool,
}

/// A shape of the next stage that may follow.
pub(crate) struct Follower<'a> {
    pub number: u32,
    pub shape: &'a Shape,
    pub sheet: &'a Sheet,
    /// Its number in the sheet.
    pub index: usize,
    /// What letting go costs.
    pub cut: i64,
    /// The least that it and letting go cost.
    pub floor: i32,
    /// Fingers that are down or may stay in it, as bits.
    pub fingers: u8,
}

/// Less than a shift costs, however much eases it; no more than any lane of a
/// shape costs, come to from a position.
#[derive(Clone, Copy)]
pub(crate) struct Reach<C>(Row<C>);

impl<C: Cost> Reach<C> {
    /// Whether any lane may become cheaper by what follows, some costs added.
    #[inline(always)]
    pub fn may_improve(&self, best: &Lanes<C>, low: u8, cost: C) -> bool {
        let mut less = *best;
        take(&mut less, &self.0, low, cost);
        less != *best
    }
}

/// The next stage.
pub(crate) struct Facing<'a, C> {
    pub next: &'a Stage,
    /// By stand.
    pub ahead: Vec<Ahead<C>>,
    /// By inlet, from the least floor on.
    pub followers: Vec<Vec<Follower<'a>>>,
    /// By shape.
    pub reach: Vec<Reach<C>>,
    pub shifts: Shifts<C>,
    /// The least that any shift costs.
    pub least_shift: C,
    /// Fingers that stay somewhere, in order.
    stays: Vec<Stay>,
}

impl<'a, C: Cost> Facing<'a, C> {
    pub fn new(
        ground: &Ground,
        tables: &mut ShiftTables<C>,
        layer: usize,
        next: &'a Stage,
    ) -> Result<Self, TooLarge> {
        let shifts = Shifts::of(ground, tables, layer);
        let mut stays: Vec<Stay> = Vec::new();
        for stand in next.stands.iter().filter(|stand| !stand.stays.is_empty()) {
            stays.extend(required(stand));
        }
        stays.sort_unstable();
        stays.dedup();
        let least_shift = shifts.least();
        let mut facing = Self {
            next,
            ahead: Vec::with_capacity(next.stands.len()),
            followers: Vec::new(),
            reach: Vec::with_capacity(next.onward.len()),
            shifts,
            least_shift,
            stays,
        };
        for stand in &next.stands {
            let ahead = facing.see(ground, layer, *stand)?;
            facing.ahead.push(ahead);
        }
        for shape in 0..next.onward.len() as u32 {
            let reach = facing.reach_of(shape);
            facing.reach.push(reach);
        }
        facing.sort();
        Ok(facing)
    }

    fn reach_of(&self, shape: u32) -> Reach<C> {
        let mut floor = C::NEVER;
        let mut row = [C::NEVER; ROW];
        for ahead in &self.ahead[self.next.stands_of(shape)] {
            if ahead.stand.away == 0 && !ahead.stand.is_idle() {
                floor = floor.min(ahead.floor);
            }
            let rows = [&ahead.stay, &ahead.moved];
            for of in rows.into_iter().take(1 + usize::from(ahead.stand.away > 0)) {
                for (slot, cost) in row.iter_mut().zip(of) {
                    *slot = (*slot).min(*cost);
                }
            }
        }
        let shifted = floor.plus(self.least_shift);
        Reach(row.map(|cost| cost.min(shifted)))
    }

    fn see(&self, ground: &Ground, layer: usize, stand: Stand) -> Result<Ahead<C>, TooLarge> {
        let totals = &self.next.totals[stand.lanes()];
        let (mut needs, mut crowded) = (0, false);
        for stay in required(&stand) {
            match self.number(stay) {
                Some(number) if number < 128 => needs |= 1 << number,
                _ => crowded = true,
            }
        }
        let mut ahead = Ahead {
            stand,
            costs: [C::NEVER; LANES],
            stay: [C::NEVER; ROW],
            moved: [C::NEVER; ROW],
            floor: narrow::<C>(&[totals.iter().copied().min().unwrap_or(NEVER)])?[0],
            needs,
            crowded,
        };
        if stand.is_idle() {
            ahead.stay = self.idle_row(totals)?;
            return Ok(ahead);
        }
        ahead.costs = narrow::<C>(totals)?;
        ahead.stay = row(&stand, &ahead.costs);
        if stand.away == 0 {
            if stand.stays.is_empty() {
                ahead.moved = shifted(&stand, &ahead.costs, &self.shifts.led[0]);
            }
            return Ok(ahead);
        }
        let kit = (&ground.geometry, &ground.table);
        let further = C::of(i64::from(ground.table.hop_stay));
        for position in stand.low..stand.low + stand.count as u8 {
            let hop = hopping(kit, (position, stand.away), ground.steps[layer].pace.hurry);
            let at = usize::from(position);
            ahead.moved[at] = ahead.stay[at].plus(further);
            ahead.stay[at] = ahead.stay[at].plus(C::of(hop));
        }
        Ok(ahead)
    }

    /// What an idle stand costs by the position in which the hand grows idle.
    fn idle_row(&self, totals: &[i32]) -> Result<Row<C>, TooLarge> {
        let mut row = [C::NEVER; ROW];
        for (position, slot) in row.iter_mut().enumerate().take(POSITIONS).skip(1) {
            let cost = totals[usize::from(self.next.tag_of_position[position])];
            *slot = narrow::<C>(&[cost])?[0];
        }
        Ok(row)
    }

    fn sort(&mut self) {
        let next = self.next;
        let floors: Vec<C> = (0..next.onward.len() as u32)
            .map(|shape| {
                let stands = &self.ahead[next.stands_of(shape)];
                stands.iter().map(|ahead| ahead.floor).min().unwrap_or(C::NEVER)
            })
            .collect();
        let fingers = |number: u32, shape: &Shape| {
            let stands = &next.stands[next.stands_of(number)];
            let down = (0..4u8).filter(|f| shape.is_down(usize::from(*f)));
            let down = down.fold(0, |set, finger| set | 1 << finger);
            stands.iter().fold(down, |set, stand| set | stand.stays.fingers())
        };
        let by_shape: Vec<u8> = next
            .buckets
            .iter()
            .flat_map(|bucket| bucket.shapes.clone().zip(&bucket.sheet.shapes))
            .map(|(number, shape)| fingers(number, shape))
            .collect();
        for inlet in &next.inlets {
            let mut followers: Vec<Follower<'a>> = Vec::new();
            for (bucket, cut) in &inlet.ways {
                let bucket = &next.buckets[*bucket as usize];
                for (index, number) in bucket.shapes.clone().enumerate() {
                    let floor = floors[number as usize];
                    if floor.is_never() {
                        continue;
                    }
                    followers.push(Follower {
                        number,
                        shape: &bucket.sheet.shapes[index],
                        sheet: &bucket.sheet,
                        index,
                        cut: *cut,
                        floor: floor.get() as i32 + *cut as i32,
                        fingers: by_shape[number as usize],
                    });
                }
            }
            followers.sort_unstable_by_key(|follower| follower.floor);
            self.followers.push(followers);
        }
    }

    fn number(&self, stay: Stay) -> Option<usize> {
        self.stays.binary_search(&stay).ok()
    }

    /// The fingers of a hold that may stay, by their numbers.
    pub fn offers(&self, hold: &Hold) -> u128 {
        if self.stays.is_empty() {
            return 0;
        }
        let mut offers = 0;
        for finger in 0..4u8 {
            let mut strings = hold.on[usize::from(finger)];
            if hold.touching & (1 << finger) != 0 {
                continue;
            }
            while strings != 0 {
                let string = strings.trailing_zeros() as u8;
                let stay = Stay { finger, string, fret: hold.fret[usize::from(finger)] };
                if let Some(number) = self.number(stay).filter(|number| *number < 128) {
                    offers |= 1 << number;
                }
                strings &= strings - 1;
            }
        }
        offers
    }
}

impl<C> Ahead<C> {
    /// Whether its fingers may stay after a hold (M3).
    #[inline]
    pub fn may_follow(&self, offers: u128, hold: &Hold) -> bool {
        self.needs & !offers == 0 && (!self.crowded || self.stand.may_follow(hold))
    }
}

/// Fingers that must have been there to stay.
fn required(stand: &Stand) -> impl Iterator<Item = Stay> {
    let prepared = stand.prepared;
    stand.stays.iter().filter(move |stay| prepared & (1 << stay.finger) == 0)
}
