//! A stage as the one after it sees it: what it costs to get to each state of
//! that one.
//!
//! The mirror image of [`onward`](super::onward). A stand is come to from the
//! shapes before it, the most promising first, and from no more of them than may
//! still make it cheaper.

use std::ops::Range;
use std::sync::Arc;

use crate::hand::shape::Stay;
use crate::hand::shifting::{ShiftTable, ShiftTables, hopping};
use crate::hand::{Hold, POSITIONS, Played, Shape};

use super::cost::{Cost, TooLarge};
use super::facing::{
    LANES, Lanes, ROW, Row, Shifts, improves, lower, narrow, required, row, shifted, take,
};
use super::ground::Ground;
use super::meets::{Leaves, Meets};
use super::pair::{
    Joins, Leads, Led, Pair, joined_from, leap, leaves, looked_up, pair, remembered,
};
use super::seams::Fixed;
use super::sheet::{NEVER, Sheet};
use super::stage::{Stage, Stand, stays_fit};

/// What it costs to have left a stand, the move itself left out.
enum Left<C> {
    /// A hand in its position; by position if it stays, if it shifts and nothing
    /// leads it, unless fingers stay; by lane; and the least it costs.
    Stopped { stay: Row<C>, moved: Row<C>, costs: Lanes<C>, least: C },
    /// A hand that is away; by position.
    Away { hand: u8, stay: Row<C> },
    /// An idle one, from all its memories at once: by position if it stays, if it
    /// stays in one that is known, and if it shifts, by what leads it.
    Idle { stay: Row<C>, known: Row<C>, moved: [Row<C>; 3] },
}

impl<C: Cost> Left<C> {
    fn stay(&self) -> &Row<C> {
        match self {
            Self::Stopped { stay, .. } | Self::Away { stay, .. } | Self::Idle { stay, .. } => stay,
        }
    }

    /// The same from a position that is known.
    fn known(&self) -> &Row<C> {
        match self {
            Self::Stopped { stay, .. } | Self::Away { stay, .. } => stay,
            Self::Idle { known, .. } => known,
        }
    }
}

/// A shape of the stage before.
struct Source<C> {
    number: u32,
    hold: Hold,
    /// All strings on which its fingers are down.
    stopped: u16,
    /// What its fingers pay wherever they go; `None` if that is not looked up.
    leaves: Option<Leaves>,
    /// What it leaves behind for `leap`.
    left: Option<(u8, u8)>,
    /// How the sounds are played that others are to be joined from.
    from: Vec<Option<Played>>,
    /// No more than it costs to come from it: by position, and to anywhere.
    floor: Row<C>,
    least: C,
    /// The same by position if it is known and the hand stays in it.
    known: Row<C>,
    /// Its stands in which no finger stays, and those in which some do, among all
    /// such.
    bare: Range<usize>,
    staying: Range<usize>,
    /// Strings on which fingers stay in some of them.
    stays_on: OnStrings,
    /// Its fingers that may stay, of those that stay anywhere, among all such.
    offers: Range<usize>,
}

/// Strings by finger, as bits.
type OnStrings = [u16; 4];

/// What shapes have several of, one shape after the other.
#[derive(Default)]
struct Lists {
    /// Stands in which no finger stays.
    bare: Vec<u32>,
    /// Stands in which fingers stay, and where.
    staying: Vec<(u32, OnStrings)>,
    /// Fingers that may stay, by their numbers.
    offers: Vec<u16>,
}

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

/// The sources of a bucket with what letting go costs, the most promising first.
struct Ways<C> {
    all: Vec<(u32, C)>,
    /// By the number of a finger that may stay, those that offer it.
    offering: Vec<Vec<(u32, C)>>,
}

impl<'a, C: Cost> Behind<'a, C> {
    pub fn new(
        (ground, fixed): (&'a Ground, &Fixed),
        (tables, meets): (&mut ShiftTables<C>, &mut Option<Meets<'_>>),
        layer: usize,
        (before, costs): (&'a Stage, &'a [i32]),
        next: &'a Stage,
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

    /// Gathers what has to be known of the shapes of the stage before.
    fn see(&mut self, meets: &mut Option<Meets<'_>>) {
        let (ground, layer, before) = (self.ground, self.layer, self.before);
        let pace = ground.steps[layer].pace;
        let joining = !ground.joins_into(layer + 1).is_empty();
        let least = Arc::clone(self.shifts.least_led());
        for bucket in &before.buckets {
            for (index, number) in bucket.shapes.clone().enumerate() {
                let shape = &bucket.sheet.shapes[index];
                let hold = shape.hold();
                let mut source = Source {
                    number,
                    hold,
                    stopped: hold.stopped(),
                    leaves: match meets {
                        Some(meets) if !joining => {
                            Some(meets.leaving(pace, &bucket.sheet.were[index]))
                        }
                        _ => None,
                    },
                    left: leaves(ground, layer, shape),
                    from: if joining {
                        joined_from(ground, layer, before, number)
                    } else {
                        Vec::new()
                    },
                    floor: [C::NEVER; ROW],
                    least: C::NEVER,
                    known: [C::NEVER; ROW],
                    bare: 0..0,
                    staying: 0..0,
                    stays_on: [0; 4],
                    offers: 0..0,
                };
                let lists = &self.lists;
                let from = (lists.bare.len(), lists.staying.len(), lists.offers.len());
                for at in before.stands_of(number) {
                    let stand = &before.stands[at];
                    self.offer(from.2, &hold, stand);
                    // Fingers that stay make nothing cheaper but what they do next.
                    if !stand.stays.is_empty() {
                        let mut strings: OnStrings = [0; 4];
                        for stay in stand.stays.iter() {
                            strings[usize::from(stay.finger)] |= 1 << stay.string;
                            source.stays_on[usize::from(stay.finger)] |= 1 << stay.string;
                        }
                        self.lists.staying.push((at as u32, strings));
                    } else {
                        self.lists.bare.push(at as u32);
                        lower(&mut source.floor, self.left[at].stay());
                        lower(&mut source.known, self.left[at].known());
                        match &self.left[at] {
                            Left::Stopped { costs, .. } => {
                                lower(&mut source.floor, &shifted(stand, costs, &least));
                            }
                            Left::Away { .. } => {}
                            Left::Idle { moved, .. } => {
                                moved.iter().for_each(|moved| lower(&mut source.floor, moved));
                            }
                        }
                    }
                    let least = self.costs[stand.lanes()].iter().copied().min();
                    let least = least.filter(|least| *least != NEVER);
                    source.least = source.least.min(least.map_or(C::NEVER, |l| C::of(l.into())));
                }
                let lists = &self.lists;
                source.bare = from.0..lists.bare.len();
                source.staying = from.1..lists.staying.len();
                source.offers = from.2..lists.offers.len();
                self.sources.push(source);
            }
        }
    }

    /// Adds the fingers of a stand that may stay; those of its shape have been added
    /// from somewhere on.
    fn offer(&mut self, from: usize, hold: &Hold, stand: &Stand) {
        if self.numbered == 0 {
            return;
        }
        let offers = &mut self.lists.offers;
        let mut add = |stay: Stay| {
            let number = self.numbers[stay.number()];
            if number > 0 && !offers[from..].contains(&(number - 1)) {
                offers.push(number - 1);
            }
        };
        stand.stays.iter().for_each(&mut add);
        for finger in (0..4u8).filter(|finger| hold.touching & (1 << finger) == 0) {
            let mut strings = hold.down[usize::from(finger)];
            while strings != 0 {
                let string = strings.trailing_zeros() as u8;
                add(Stay { finger, string, fret: hold.fret[usize::from(finger)] });
                strings &= strings - 1;
            }
        }
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
                    let same = |(other, _): &&(&Stand, Lanes<C>)| other.lifted == stand.lifted;
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

    /// By bucket of the next stage, from where it is come to.
    fn ways(&self) -> impl Iterator<Item = Ways<C>> {
        let mut by_inlet: Vec<Vec<u32>> = vec![Vec::new(); self.next.inlets.len()];
        for (number, inlet) in (0..).zip(&self.before.onward) {
            by_inlet[*inlet as usize].push(number);
        }
        let mut all: Vec<Vec<(u32, C)>> = vec![Vec::new(); self.next.buckets.len()];
        for (inlet, from) in self.next.inlets.iter().zip(&by_inlet) {
            for (bucket, cut) in &inlet.ways {
                let cut = C::of(*cut);
                all[*bucket as usize].extend(from.iter().map(|number| (*number, cut)));
            }
        }
        all.into_iter().map(|mut all| {
            all.sort_unstable_by_key(|(number, cut)| self.least(*number, *cut));
            let mut offering = vec![Vec::new(); self.numbered];
            for way in &all {
                for number in &self.lists.offers[self.sources[way.0 as usize].offers.clone()] {
                    offering[usize::from(*number)].push(*way);
                }
            }
            Ways { all, offering }
        })
    }

    fn least(&self, source: u32, cut: C) -> C {
        self.sources[source as usize].least.plus(cut)
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
        let mut best = [C::default(); LANES];
        best[..usize::from(n.count).min(LANES)].fill(C::NEVER);
        let mut worst = C::NEVER;
        let hops = self.hops(n);
        // A hand that is away neither shifts nor gets there for nothing.
        let (least_hop, is_away) = (self.least_hop(n, &hops), n.away > 0);
        for (number, cut) in ways {
            let source = &self.sources[*number as usize];
            if source.least.plus(*cut) >= worst {
                break;
            }
            let floor = if is_away { &source.known } else { &source.floor };
            if n.lifted != remembered(source.left, shape)
                || !improves(&best, floor, n.low, cut.plus(least_hop))
            {
                continue;
            }
            let step = |at: usize, pair: &Pair, best: &mut Lanes<C>| {
                let leap = leap(self.ground, self.layer, &self.before.stands[at], shape);
                self.step(at, n, (*cut, &pair.and(leap as i32)), &hops, best);
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
            worst = best.iter().copied().max().unwrap_or(C::NEVER);
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
        let leaves = match (&source.leaves, meets) {
            (Some(leaves), Some(meets)) => {
                let mut leaves = leaves.clone();
                for (stay, number) in stand.stays.iter().zip(stand.staying) {
                    leaves = meets.with(pace, &leaves, (stay.finger, number));
                }
                Some(leaves)
            }
            _ => None,
        };
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

    /// What it costs to get away to where a stand is, by lane; nothing unless it is
    /// away.
    fn hops(&self, n: &Stand) -> Lanes<C> {
        let mut hops = [C::default(); LANES];
        if n.away > 0 {
            let kit = (&self.ground.geometry, &self.ground.table);
            let hurry = self.ground.steps[self.layer].pace.hurry;
            for (position, hop) in (n.low..).zip(&mut hops).take(usize::from(n.count)) {
                *hop = C::of(hopping(kit, (position, n.away), hurry));
            }
        }
        hops
    }

    /// The least of the same, or of being away on.
    fn least_hop(&self, n: &Stand, hops: &Lanes<C>) -> C {
        if n.away == 0 {
            return C::default();
        }
        let hop = hops[..usize::from(n.count).min(LANES)].iter().copied().min();
        let further = C::of(i64::from(self.ground.table.hop_stay));
        hop.map_or(further, |hop| hop.min(further))
    }

    /// From one stand to another.
    fn step(
        &self,
        at: usize,
        n: &Stand,
        (cut, pair): (C, &Pair),
        hops: &Lanes<C>,
        best: &mut Lanes<C>,
    ) {
        let in_place = cut.plus(pair.in_place());
        let moved = cut.plus(pair.moved());
        match (&self.left[at], n.away) {
            (Left::Away { stay, .. }, 0) => take(best, stay, n.low, moved),
            (Left::Away { hand, stay }, away) if *hand == away => {
                let further = C::of(i64::from(self.ground.table.hop_stay));
                take(best, stay, n.low, cut.plus(pair.still()).plus(further));
            }
            (Left::Stopped { stay, moved: plain, costs, .. }, 0) => {
                take(best, stay, n.low, in_place);
                let stand = &self.before.stands[at];
                if pair.led == Led::Plain && stand.stays.is_empty() {
                    take(best, plain, n.low, moved);
                    return;
                }
                let table = &self.shifts.led[pair.led as usize];
                let lanes = &costs[..usize::from(stand.count).min(LANES)];
                for (cost, row) in lanes.iter().zip(&table[usize::from(stand.low)..]) {
                    take(best, row, n.low, cost.plus(moved));
                }
            }
            (Left::Idle { stay, moved: led, .. }, 0) => {
                take(best, stay, n.low, in_place);
                take(best, &led[pair.led as usize], n.low, moved);
            }
            (left, _) => {
                let known = &left.known()[usize::from(n.low)..];
                for ((best, known), hop) in best.iter_mut().zip(known).zip(hops) {
                    *best = (*best).min(known.plus(moved).plus(*hop));
                }
            }
        }
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
            if n.lifted != remembered(source.left, shape) {
                continue;
            }
            let mut grow = |at: usize, pair: &Pair| {
                let stand = &self.before.stands[at];
                let join = if stand.away > 0 { pair.join_moved } else { pair.join_in_place };
                let leap = leap(self.ground, self.layer, stand, shape);
                let sum = cut.get() + leap + i64::from(pair.fingers + join);
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

    fn grow_idle(&self, s: &Stand, n: &Stand, sum: i32, above: &mut [i32]) {
        let idle = s.is_idle();
        for (lane, cost) in self.costs[s.lanes()].iter().enumerate() {
            if *cost == NEVER {
                continue;
            }
            let tag = usize::from(if idle {
                self.next.tag_after[lane]
            } else {
                self.next.tag_of_position[usize::from(s.low) + lane]
            });
            if stays_fit(n.stays, self.next.tags[tag].position) {
                above[tag] = above[tag].min(cost + sum);
            }
        }
    }
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
            for position in (1..POSITIONS).filter(|p| closes(*p)) {
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
            for position in (1..POSITIONS).filter(|p| closes(*p)) {
                let shift = table[own][position];
                moved[position] = moved[position].min(cost.plus(shift));
            }
        }
    }
    Ok(Left::Idle { stay, known, moved })
}
