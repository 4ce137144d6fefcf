//! A stage as the one after it sees it: what it costs to get to each state of
//! that one.
//!
//! The mirror image of [`onward`](super::onward). A stand is come to from the
//! shapes before it, the most promising first, and from no more of them than may
//! still make it cheaper.

mod left;
mod sources;

use crate::hand::shape::Stay;
use crate::hand::shifting::ShiftTables;
use crate::hand::{Hold, Played, Shape};

use left::{Left, idle_left};
use sources::{Lists, OnStrings, Source};

use super::cost::{Cost, TooLarge};
use super::facing::{
    LANES, Lanes, ROW, Shifts, improves, narrow, required, row, shifted, unpriced, worst_lane,
};
use super::ground::Ground;
use super::meets::{Leaves, Meets};
use super::pair::{Joins, Leads, Pair, looked_up, looking_back, pair};
use super::seams::Fixed;
use super::sheet::{NEVER, Sheet};
use super::stage::{Stage, Stand};

/// A stage seen from the next one.
pub(crate) struct Behind<'a, C> {
    ground: &'a Ground,
    layer: usize,
    before: &'a Stage,
    /// Costs of every state to get past it.
    costs: &'a [i32],
    next: &'a Stage,
    shifts: Shifts<C>,
    least_shift: C,
    leads: Leads,
    /// By stand of the stage before.
    left: Vec<Left<C>>,
    sources: Vec<Source<C>>,
    lists: Lists,
    /// By finger and place, the number of one that stays there in some stand of the
    /// next stage, from 1.
    numbers: Vec<u16>,
    /// How many those are.
    numbered: usize,
}

/// A shape of the next stage while its stands are priced.
struct Target<'t> {
    number: u32,
    shape: &'t Shape,
    sheet: &'t Sheet,
    index: usize,
    /// By source, the price of the move, and for which shape it was worked out.
    pairs: &'t mut [(u32, Pair)],
}

impl<'a, C: Cost> Behind<'a, C> {
    pub fn new(
        (ground, fixed): (&'a Ground, &Fixed),
        (tables, meets): (&mut ShiftTables<C>, &mut Option<Meets<'_>>),
        layer: usize,
        (before, costs): (&'a Stage, &'a [i32]),
        next: &'a Stage,
    ) -> Result<Self, TooLarge> {
        let shifts = Shifts::of(ground, tables, (layer, before));
        let mut left = Vec::with_capacity(before.stands.len());
        for stand in &before.stands {
            let costs = &costs[stand.lanes()];
            left.push(if stand.is_idle() {
                idle_left(ground, fixed, layer, (before, costs), &shifts.open)?
            } else {
                let costs = narrow::<C>(costs)?;
                let stay = row(stand, &costs);
                let least = costs.iter().copied().min().unwrap_or(C::NEVER);
                match stand.away {
                    0 => {
                        let mut moved = [C::NEVER; ROW];
                        if stand.stays.is_empty() {
                            moved = shifted(stand, &costs, &shifts.led[0]);
                        }
                        Left::Stopped { stay, moved, costs, least }
                    }
                    hand => Left::Away { hand, stay },
                }
            });
        }
        let mut numbers = vec![0; Stay::ALL];
        let mut numbered = 0;
        for stay in next.stands.iter().flat_map(required) {
            let number = &mut numbers[stay.number()];
            if *number == 0 {
                numbered += 1;
                *number = numbered;
            }
        }
        let mut behind = Self {
            ground,
            layer,
            before,
            costs,
            next,
            least_shift: shifts.least(),
            shifts,
            leads: Leads::of(ground),
            left,
            sources: Vec::with_capacity(before.onward.len()),
            lists: Lists::default(),
            numbers,
            numbered: usize::from(numbered),
        };
        behind.see(meets);
        Ok(behind)
    }

    /// The cost to get to every state of the next stage.
    pub fn costs(&self, meets: &mut Option<Meets<'_>>) -> Vec<i32> {
        let stage = self.next;
        let mut above = vec![NEVER; stage.states as usize];
        let mut pairs = vec![(u32::MAX, Pair::NONE); self.sources.len()];
        let mut without: Vec<(&Stand, Lanes<C>)> = Vec::new();
        for (bucket, ways) in stage.buckets.iter().zip(self.ways()) {
            for (index, number) in bucket.shapes.clone().enumerate() {
                let (sheet, pairs) = (&*bucket.sheet, &mut pairs[..]);
                let shape = &sheet.shapes[index];
                let mut target = Target { number, shape, sheet, index, pairs };
                // No finger that stays makes it cheaper to get there.
                without.clear();
                for stand in &stage.stands[stage.stands_of(number)] {
                    let above = &mut above[stand.lanes()];
                    let ways = match required(stand).next() {
                        None => &ways.all,
                        Some(stay) => {
                            let number = self.numbers[stay.number()];
                            &ways.offering[usize::from(number) - 1]
                        }
                    };
                    if stand.is_idle() {
                        self.to_idle((stand, ways), &mut target, above);
                        continue;
                    }
                    let mut bound = [C::default(); LANES];
                    let same = |(other, _): &&(&Stand, Lanes<C>)| other.memory == stand.memory;
                    if stand.away == 0
                        && let Some((other, lanes)) = without.iter().find(same)
                    {
                        let from = usize::from(stand.low - other.low);
                        let count = usize::from(stand.count).min(LANES);
                        bound[..count].copy_from_slice(&lanes[from..from + count]);
                    }
                    let best = self.to((stand, ways), &bound, &mut target, meets);
                    if stand.away == 0 && stand.stays.is_empty() {
                        without.push((stand, best));
                    }
                    for (above, best) in above.iter_mut().zip(best) {
                        *above = if best.is_never() { NEVER } else { best.get() as i32 };
                    }
                }
            }
        }
        above
    }

    /// The cost to get to a stand that is not idle, no less than some bound.
    fn to(
        &self,
        (n, ways): (&Stand, &[(u32, C)]),
        bound: &Lanes<C>,
        target: &mut Target<'_>,
        meets: &mut Option<Meets<'_>>,
    ) -> Lanes<C> {
        let shape = target.shape;
        let mut best = unpriced(n);
        let mut worst = C::NEVER;
        let hops = self.hops(n);
        let led = self.led(n, shape);
        // A hand that is away neither shifts nor gets there for nothing.
        let (least_hop, is_away) = (self.least_hop(n, &hops), n.away > 0);
        for (number, cut) in ways {
            let source = &self.sources[*number as usize];
            if source.least.plus(*cut) >= worst {
                break;
            }
            let floor = if is_away { &source.known } else { &source.floor };
            if !source.left.may_leave(n, shape)
                || !improves(&best, floor, n.low, cut.plus(least_hop))
            {
                continue;
            }
            let step = |at: usize, pair: &Pair, best: &mut Lanes<C>| {
                let from = &self.before.stands[at];
                if source.left.leaves(from, n, shape) {
                    let back = self.looking_back((from, source), shape);
                    self.step(at, n, (*cut, &pair.and(back as i32)), (&hops, &led), best);
                }
            };
            let without = n.may_follow(&source.hold);
            if without {
                let pair = self.pair(source, target);
                self.lists.bare[source.bare.clone()]
                    .iter()
                    .for_each(|at| step(*at as usize, &pair, &mut best));
            }
            for (at, concerned) in self.staying((source, without), n, shape) {
                if self.may_improve((&best, worst), at, n, cut.plus(least_hop)) {
                    let pair = if concerned {
                        self.pair_with((source, at), target, meets)
                    } else {
                        self.pair(source, target)
                    };
                    step(at, &pair, &mut best);
                }
            }
            worst = worst_lane(&best);
            if best.iter().zip(bound).all(|(best, bound)| best <= bound) {
                break;
            }
        }
        best
    }

    /// Whether it may be cheaper from a stand in which fingers stay.
    fn may_improve(&self, (best, worst): (&Lanes<C>, C), at: usize, n: &Stand, cut: C) -> bool {
        match &self.left[at] {
            Left::Stopped { stay, least, .. } => {
                let shifting = n.away == 0 && least.plus(self.least_shift).plus(cut) < worst;
                shifting || improves(best, stay, n.low, cut)
            }
            _ => true,
        }
    }

    /// The stands of a source in which fingers stay and that may lead to one, where
    /// that is more than those without come to; and whether these fingers change the
    /// move. Fingers that stay and do nothing next make nothing cheaper.
    fn staying<'s>(
        &'s self,
        (source, without): (&'s Source<C>, bool),
        n: &'s Stand,
        shape: &'s Shape,
    ) -> impl Iterator<Item = (usize, bool)> + 's {
        // Only on its own string does a finger that stays change a move.
        let concerned = |on: &OnStrings| (0..4).any(|finger| on[finger] & shape.down[finger] != 0);
        let none = without && !concerned(&source.stays_on);
        let all = if none { 0..0 } else { source.staying.clone() };
        self.lists.staying[all].iter().filter_map(move |(at, on)| {
            let at = *at as usize;
            let concerned = concerned(on);
            let follows = if without {
                concerned
            } else {
                n.may_follow(&source.hold.staying(self.before.stands[at].stays))
            };
            follows.then_some((at, concerned))
        })
    }

    /// `leap` and `exchange`.
    fn looking_back(&self, (from, source): (&Stand, &Source<C>), shape: &Shape) -> i64 {
        looking_back(self.ground, self.layer, (from, &source.hold.down), shape)
    }

    /// The price of the move from a source to a shape.
    fn pair(&self, source: &Source<C>, target: &mut Target<'_>) -> Pair {
        let known = target.pairs[source.number as usize];
        if known.0 == target.number {
            return known.1;
        }
        let kit = (&source.hold, source.stopped);
        let pair = self.pair_of(kit, source.leaves.as_ref(), &source.from, target);
        target.pairs[source.number as usize] = (target.number, pair);
        pair
    }

    /// The same from a stand with the fingers that stay in it.
    fn pair_with(
        &self,
        (source, at): (&Source<C>, usize),
        target: &Target<'_>,
        meets: &mut Option<Meets<'_>>,
    ) -> Pair {
        let stand = &self.before.stands[at];
        let hold = source.hold.staying(stand.stays);
        let pace = self.ground.steps[self.layer].pace;
        let meets = source.leaves.as_ref().zip(meets.as_mut());
        let leaves = meets.map(|(leaves, meets)| meets.staying(pace, leaves, stand));
        self.pair_of((&hold, source.stopped), leaves.as_ref(), &source.from, target)
    }

    fn pair_of(
        &self,
        hold: (&Hold, u16),
        leaves: Option<&Leaves>,
        from: &[Option<Played>],
        target: &Target<'_>,
    ) -> Pair {
        let (ground, layer) = (self.ground, self.layer);
        if let Some(leaves) = leaves {
            let to = (target.shape, &target.sheet.arrivals[target.index]);
            return looked_up((ground, &self.leads), layer, hold, leaves, to);
        }
        let joins = ground.joins_into(layer + 1);
        let struck = ground.music.layers[layer + 1].struck().len();
        let played =
            if joins.is_empty() { &[][..] } else { target.sheet.played(target.index, struck) };
        pair(ground, layer, hold.0, target.shape, (Joins { joins, from }, played))
    }

    /// The cost to get to an idle stand, with each of its memories.
    fn to_idle(
        &self,
        (n, ways): (&Stand, &[(u32, C)]),
        target: &mut Target<'_>,
        above: &mut [i32],
    ) {
        let shape = target.shape;
        for (number, cut) in ways {
            let source = &self.sources[*number as usize];
            if !source.left.may_leave(n, shape) {
                continue;
            }
            let mut grow = |at: usize, pair: &Pair| {
                let stand = &self.before.stands[at];
                if !source.left.leaves(stand, n, shape) {
                    return;
                }
                let join = if stand.away > 0 { pair.join_moved } else { pair.join_in_place };
                let back = self.looking_back((stand, source), shape);
                let sum = cut.get() + back + i64::from(pair.fingers + join);
                self.grow_idle(stand, n, sum as i32, above);
            };
            // No finger is down next, so that none that stays changes the move.
            let pair = self.pair(source, target);
            let without = n.may_follow(&source.hold);
            if without {
                self.lists.bare[source.bare.clone()]
                    .iter()
                    .for_each(|at| grow(*at as usize, &pair));
            }
            self.staying((source, without), n, shape).for_each(|(at, _)| grow(at, &pair));
        }
    }
}
