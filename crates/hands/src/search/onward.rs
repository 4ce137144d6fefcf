//! From a stage to the end: the least that what comes after it costs.
//!
//! The inner loop goes over all pairs of shapes that may follow one another, of
//! which there are many, and does little: it looks up what the fingers do and
//! takes the less of eight positions at a time. What is rare comes afterwards.

use crate::hand::{Hold, Played, Shape};

use super::cost::Cost;
use super::facing::{Facing, LANES, Lanes, Row, shifted, take};
use super::ground::Ground;
use super::meets::{Leaves, Meets};
use super::pair::{
    Joins, Leads, Led, Pair, joined_from, leap, leaves, looked_up, pair, remembered,
};
use super::seams::Fixed;
use super::sheet::{NEVER, Sheet};
use super::stage::{Stage, Stand, Tag};

/// Room for what is worked out for one shape, used again for the next.
#[derive(Debug, Default)]
pub(crate) struct Bench {
    /// By shape of the next stage, the price of the move there, what letting go
    /// costs included.
    pairs: Vec<Pair>,
    /// By shape, for which shape before it this was worked out.
    worked: Vec<u32>,
    /// What letting go costs on the way to it, and for which shape before it that
    /// holds.
    cut: Vec<(i32, u32)>,
}

/// What comes after a stage.
pub(crate) struct Onward<'a, 'm, 'p, C> {
    ground: &'a Ground,
    fixed: &'a Fixed,
    layer: usize,
    facing: Facing<'a, C>,
    /// By shape of the next stage: its sheet and number there.
    shapes: Vec<(&'a Sheet, u32)>,
    /// Fingers and strings on which they are down, with the shapes; in order.
    down: Vec<(u8, u8, u32)>,
    /// Whether sounds of the next layer are to be joined.
    joining: bool,
    /// Whether a stand may have to remember something.
    remembering: bool,
    struck: usize,
    meets: &'m mut Option<Meets<'p>>,
    bench: &'m mut Bench,
    leads: Leads,
}

/// A shape of the stage and what has been worked out for it.
struct Leaving<'s> {
    number: u32,
    hold: Hold,
    /// All strings on which its fingers are down.
    stopped: u16,
    /// What its fingers pay wherever they go; `None` if that is not looked up.
    leaves: Option<Leaves>,
    /// Which buckets may follow, and what letting go costs.
    ways: &'s [(u32, i64)],
    /// What it leaves behind for `leap`.
    left: Option<(u8, u8)>,
    /// How the sounds are played that others are to be joined from.
    from: Vec<Option<Played>>,
}

/// A stand of the shape with its fingers.
struct Left<'s> {
    stand: &'s Stand,
    hold: Hold,
    /// As in [`Leaving`], with the fingers that stay.
    leaves: Option<Leaves>,
    /// Its fingers that may stay.
    offers: u128,
}

impl<'a, 'm, 'p, C: Cost> Onward<'a, 'm, 'p, C> {
    pub fn new(
        (ground, fixed): (&'a Ground, &'a Fixed),
        (meets, bench): (&'m mut Option<Meets<'p>>, &'m mut Bench),
        layer: usize,
        facing: Facing<'a, C>,
    ) -> Self {
        let next = facing.next;
        let mut shapes: Vec<(&Sheet, u32)> = Vec::with_capacity(next.onward.len());
        let mut down: Vec<(u8, u8, u32)> = Vec::with_capacity(2 * next.onward.len());
        for bucket in &next.buckets {
            for (index, number) in bucket.shapes.clone().enumerate() {
                shapes.push((&bucket.sheet, index as u32));
                let shape = &bucket.sheet.shapes[index];
                for finger in 0..4u8 {
                    let mut strings = shape.down[usize::from(finger)];
                    while strings != 0 {
                        down.push((finger, strings.trailing_zeros() as u8, number));
                        strings &= strings - 1;
                    }
                }
            }
        }
        down.sort_unstable();
        let count = shapes.len();
        if bench.pairs.len() < count {
            bench.pairs.resize(count, Pair::NONE);
        }
        bench.cut.clear();
        bench.cut.resize(count, (0, u32::MAX));
        bench.worked.clear();
        bench.worked.resize(count, u32::MAX);
        Self {
            ground,
            fixed,
            layer,
            facing,
            shapes,
            down,
            joining: !ground.joins_into(layer + 1).is_empty(),
            remembering: ground.steps.get(layer + 1).is_some_and(|step| step.leap > 0),
            struck: ground.music.layers[layer + 1].struck().len(),
            meets,
            bench,
            leads: Leads::of(ground),
        }
    }

    /// The cost from every state of a stage on, the state itself left out.
    pub fn of(&mut self, stage: &Stage) -> Vec<i32> {
        let mut totals = vec![NEVER; stage.states as usize];
        let next = self.facing.next;
        let pace = self.ground.steps[self.layer].pace;
        for bucket in &stage.buckets {
            for (index, number) in bucket.shapes.clone().enumerate() {
                let shape = &bucket.sheet.shapes[index];
                let leaving = Leaving {
                    number,
                    hold: shape.hold(),
                    stopped: shape.hold().stopped(),
                    leaves: match &mut *self.meets {
                        Some(meets) if !self.joining => {
                            Some(meets.leaving(pace, &bucket.sheet.were[index]))
                        }
                        _ => None,
                    },
                    ways: &next.inlets[stage.onward[number as usize] as usize].ways,
                    left: leaves(self.ground, self.layer, shape),
                    from: if self.joining {
                        joined_from(self.ground, self.layer, stage, number)
                    } else {
                        Vec::new()
                    },
                };
                let stands = &stage.stands[stage.stands_of(number)];
                for (bucket, cut) in leaving.ways {
                    let shapes = next.buckets[*bucket as usize].shapes.clone();
                    let cuts = &mut self.bench.cut[shapes.start as usize..shapes.end as usize];
                    cuts.fill((*cut as i32, number));
                }
                if shape.is_idle() {
                    self.idle(&leaving, stands, &stage.tags, &mut totals);
                } else {
                    self.stopped(&leaving, stands, &mut totals);
                }
            }
        }
        totals
    }

    /// The price of the move to a shape that may follow.
    #[inline]
    fn pair(&mut self, leaving: &Leaving<'_>, number: u32) -> Pair {
        let at = number as usize;
        if self.bench.worked[at] == leaving.number {
            return self.bench.pairs[at];
        }
        let (sheet, index) = self.shapes[at];
        let index = index as usize;
        let pair = match &leaving.leaves {
            Some(leaves) => {
                let hold = (&leaving.hold, leaving.stopped);
                let to = (&sheet.shapes[index], &sheet.arrivals[index]);
                looked_up((self.ground, &self.leads), self.layer, hold, leaves, to)
            }
            None => self.slow_pair(&leaving.hold, &leaving.from, (sheet, index)),
        };
        let pair = pair.and(self.bench.cut[at].0);
        self.bench.pairs[at] = pair;
        self.bench.worked[at] = leaving.number;
        pair
    }

    /// The price of a move with fingers that stay.
    fn pair_of(
        &self,
        left: &Left<'_>,
        from: &[Option<Played>],
        (sheet, index): (&Sheet, usize),
    ) -> Pair {
        let Some(leaves) = &left.leaves else {
            return self.slow_pair(&left.hold, from, (sheet, index));
        };
        let hold = (&left.hold, left.hold.stopped());
        let to = (&sheet.shapes[index], &sheet.arrivals[index]);
        looked_up((self.ground, &self.leads), self.layer, hold, leaves, to)
    }

    /// A stand with its fingers.
    fn left<'s>(&mut self, leaving: &Leaving<'_>, stand: &'s Stand) -> Left<'s> {
        let hold = leaving.hold.staying(stand.stays);
        let pace = self.ground.steps[self.layer].pace;
        let leaves = match (&leaving.leaves, &mut *self.meets) {
            (Some(leaves), Some(meets)) => {
                let mut leaves = leaves.clone();
                for (stay, number) in stand.stays.iter().zip(stand.staying) {
                    leaves = meets.with(pace, &leaves, (stay.finger, number));
                }
                Some(leaves)
            }
            _ => None,
        };
        Left { stand, hold, leaves, offers: self.facing.offers(&hold) }
    }

    /// The same worked out without the tables.
    fn slow_pair(
        &self,
        hold: &Hold,
        from: &[Option<Played>],
        (sheet, index): (&Sheet, usize),
    ) -> Pair {
        let joins = Joins { joins: self.ground.joins_into(self.layer + 1), from };
        let played = if self.joining { sheet.played(index, self.struck) } else { &[] };
        pair(self.ground, self.layer, hold, &sheet.shapes[index], (joins, played))
    }

    /// From a shape that is not idle.
    ///
    /// Fingers that stay change only what they do next themselves, so the stands
    /// without come first and the others start from what these come to.
    fn stopped(&mut self, leaving: &Leaving<'_>, stands: &[Stand], totals: &mut [i32]) {
        let hold = leaving.hold;
        let offers = self.facing.offers(&hold);
        let mut plain: Option<(&Stand, Lanes<C>)> = None;
        for stand in stands {
            let best = if stand.stays.is_empty() {
                let left = Left { stand, hold, leaves: None, offers };
                let best = self.bare(leaving, &left);
                if stand.away == 0 && plain.is_none() {
                    plain = Some((stand, best));
                }
                best
            } else {
                let left = self.left(leaving, stand);
                let same = plain.filter(|(plain, _)| plain.lifted == stand.lifted);
                let mut start = unpriced(stand);
                if let Some((plain, best)) = same {
                    let from = usize::from(stand.low - plain.low);
                    let count = usize::from(stand.count).min(LANES);
                    start[..count].copy_from_slice(&best[from..from + count]);
                }
                self.staying(leaving, &left, same.is_none(), start)
            };
            for (total, best) in totals[stand.lanes()].iter_mut().zip(best) {
                *total = if best.is_never() { NEVER } else { best.get() as i32 };
            }
        }
    }

    /// The stand of a shape of the next stage in which no finger stays, as it
    /// follows; the first one unless something has to be remembered.
    fn bare_stand(&self, leaving: &Leaving<'_>, number: u32) -> usize {
        let next = self.facing.next;
        let first = next.first_stand[number as usize] as usize;
        let lifted = remembered(leaving.left, self.shape(number));
        let fits = |s: &Stand| s.lifted == lifted && s.stays.is_empty() && s.away == 0;
        first + next.stands[next.stands_of(number)].iter().position(fits).unwrap_or(0)
    }

    fn shape(&self, number: u32) -> &'a Shape {
        let (sheet, index) = self.shapes[number as usize];
        &sheet.shapes[index as usize]
    }

    /// `leap` on the way to a shape.
    fn leap(&self, stand: &Stand, number: u32) -> i32 {
        leap(self.ground, self.layer, stand, self.shape(number)) as i32
    }

    /// From a stand in which no finger stays.
    fn bare(&mut self, leaving: &Leaving<'_>, left: &Left<'_>) -> Lanes<C> {
        let mut best = unpriced(left.stand);
        let mut worst = C::NEVER;
        let next = self.facing.next;
        let stand = left.stand;
        let usual = !self.remembering && stand.lifted.get().is_none() && stand.away == 0;
        for (bucket, cut) in leaving.ways {
            let shapes = &next.buckets[*bucket as usize].shapes;
            let cut = C::of(*cut);
            for at in shapes.start as usize..shapes.end as usize {
                let number = self.facing.order[at];
                let floor = &self.facing.floors[number as usize];
                if floor.all.plus(cut) >= worst {
                    break;
                }
                if !floor.may_improve(&best, stand, cut) {
                    continue;
                }
                let pair = self.pair(leaving, number);
                let first = next.first_stand[number as usize] as usize;
                if usual {
                    self.step_in_position(stand.low, (first, &pair), &mut best);
                } else {
                    let first = self.bare_stand(leaving, number);
                    self.step_with(left, &pair, first, &mut best);
                }
                let floor = &self.facing.floors[number as usize];
                if floor.away_may_improve(&best, stand, C::of(i64::from(pair.fingers))) {
                    self.aways(leaving, left, number, &mut best);
                }
                worst = worst_lane(&best);
            }
        }
        self.held_on(leaving, left, &mut best);
        best
    }

    /// From a hand in its position to a stand in which no finger stays.
    #[inline(always)]
    fn step_in_position(&self, low: u8, (number, pair): (usize, &Pair), best: &mut Lanes<C>) {
        let rows = &self.facing.rows[number];
        take(best, &rows.stay, low, pair.in_place());
        if pair.led == Led::Plain {
            take(best, &rows.moved, low, pair.moved());
        } else {
            self.led(number, pair.led, (low, pair.moved()), best);
        }
    }

    /// To the stands of a shape that are away.
    fn aways(&self, leaving: &Leaving<'_>, left: &Left<'_>, number: u32, best: &mut Lanes<C>) {
        let stands = self.facing.next.stands_of(number);
        for stand in stands.rev() {
            if self.facing.next.stands[stand].away == 0 {
                break;
            }
            self.rare(leaving, left, (number, stand as u32), best);
        }
    }

    /// To stands in which some of the hand's fingers stay, or that need none.
    fn held_on(&mut self, leaving: &Leaving<'_>, left: &Left<'_>, best: &mut Lanes<C>) {
        let last = self.facing.staying.len() - 1;
        let mut offers = left.offers | 1 << last;
        while offers != 0 {
            let of = offers.trailing_zeros() as usize;
            for index in 0..self.facing.staying[of].len() {
                let stand = self.facing.staying[of][index];
                let number = self.facing.next.stands[stand as usize].shape;
                let (cut, follows) = self.bench.cut[number as usize];
                let cut = C::of(i64::from(cut));
                let floor = &self.facing.floors[number as usize];
                if follows == leaving.number && floor.may_improve(best, left.stand, cut) {
                    self.pair(leaving, number);
                    self.rare(leaving, left, (number, stand), best);
                }
            }
            offers &= offers - 1;
        }
    }

    /// To a stand that may or may not follow, the move to whose shape is known.
    fn rare(
        &self,
        leaving: &Leaving<'_>,
        left: &Left<'_>,
        (number, stand): (u32, u32),
        best: &mut Lanes<C>,
    ) {
        let at = stand as usize;
        let follows = self.facing.may_follow(at, left.offers, &left.hold)
            && (!self.remembering
                || self.facing.next.stands[at].lifted
                    == remembered(leaving.left, self.shape(number)));
        if follows {
            self.step_with(left, &self.bench.pairs[number as usize], at, best);
        }
    }

    fn step_with(&self, left: &Left<'_>, pair: &Pair, number: usize, best: &mut Lanes<C>) {
        let (from, to) = (left.stand, &self.facing.next.stands[number]);
        let rows = &self.facing.rows[number];
        let pair = pair.and(self.leap(from, to.shape));
        let low = from.low;
        if from.away > 0 && from.away == to.away {
            take(best, &rows.moved, low, pair.still());
        } else if from.away > 0 || to.away > 0 {
            take(best, &rows.stay, low, pair.moved());
        } else {
            take(best, &rows.stay, low, pair.in_place());
            if pair.led == Led::Plain && to.stays.is_empty() {
                take(best, &rows.moved, low, pair.moved());
            } else if !to.is_idle() {
                self.led(number, pair.led, (low, pair.moved()), best);
            }
        }
    }

    /// A shift, led by a finger or by nothing.
    fn led(&self, number: usize, led: Led, (low, cost): (u8, C), best: &mut Lanes<C>) {
        let to = &self.facing.next.stands[number];
        let table = &self.facing.shifts.led[led as usize];
        let lanes = &self.facing.rows[number].costs[..usize::from(to.count).min(LANES)];
        let shifts = &table[usize::from(to.low)..];
        for (total, row) in lanes.iter().zip(shifts) {
            take(best, row, low, total.plus(cost));
        }
    }

    /// From a stand in which fingers stay, from what it comes to without them,
    /// or from nothing.
    fn staying(
        &mut self,
        leaving: &Leaving<'_>,
        left: &Left<'_>,
        fresh: bool,
        mut best: Lanes<C>,
    ) -> Lanes<C> {
        if fresh {
            let next = self.facing.next;
            for (bucket, _) in leaving.ways {
                for number in next.buckets[*bucket as usize].shapes.clone() {
                    self.anew(leaving, left, number, &mut best);
                }
            }
            return best;
        }
        for number in self.concerned(left.stand) {
            self.anew(leaving, left, number, &mut best);
        }
        self.held_on(leaving, left, &mut best);
        best
    }

    /// Shapes the move to which fingers that stay may change: only on its own
    /// string does one.
    fn concerned(&self, stand: &Stand) -> impl Iterator<Item = u32> + '_ {
        stand.stays.iter().flat_map(|stay| {
            let key = (stay.finger, stay.string);
            let from = self.down.partition_point(|(f, s, _)| (*f, *s) < key);
            let same = self.down[from..].iter().take_while(move |(f, s, _)| (*f, *s) == key);
            same.map(|(_, _, number)| *number)
        })
    }

    /// To every stand of a shape, the move worked out anew.
    fn anew(&self, leaving: &Leaving<'_>, left: &Left<'_>, number: u32, best: &mut Lanes<C>) {
        let (cut, follows) = self.bench.cut[number as usize];
        let floor = &self.facing.floors[number as usize];
        if follows != leaving.number || !floor.may_improve(best, left.stand, C::of(i64::from(cut)))
        {
            return;
        }
        let (sheet, index) = self.shapes[number as usize];
        let pair = self.pair_of(left, &leaving.from, (sheet, index as usize)).and(cut);
        let lifted = remembered(leaving.left, self.shape(number));
        for stand in self.facing.next.stands_of(number) {
            let fits = self.facing.next.stands[stand].lifted == lifted
                && self.facing.may_follow(stand, left.offers, &left.hold);
            if fits {
                self.step_with(left, &pair, stand, best);
            }
        }
    }

    /// From an idle shape, with each of its memories.
    fn idle(&mut self, leaving: &Leaving<'_>, stands: &[Stand], tags: &[Tag], totals: &mut [i32]) {
        let next = self.facing.next;
        let mut plain: Option<&Stand> = None;
        for stand in stands {
            let left = self.left(leaving, stand);
            let fits =
                |(_, tag): &(usize, &Tag)| super::stage::stays_fit(stand.stays, tag.position);
            let tags: Vec<(usize, &Tag)> = tags.iter().enumerate().filter(fits).collect();
            let same = plain.filter(|plain| plain.lifted == stand.lifted);
            if let Some(plain) = same {
                // As in `stopped`.
                for (number, _) in &tags {
                    totals[stand.at as usize + number] = totals[plain.at as usize + number];
                }
                let totals = &mut totals[stand.lanes()];
                for number in self.concerned(stand) {
                    self.idle_anew(leaving, (&left, &tags), number, totals);
                }
                let mut offers = left.offers;
                while offers != 0 {
                    for of in &self.facing.staying[offers.trailing_zeros() as usize] {
                        let number = next.stands[*of as usize].shape;
                        self.idle_anew(leaving, (&left, &tags), number, totals);
                    }
                    offers &= offers - 1;
                }
                continue;
            }
            if stand.stays.is_empty() && plain.is_none() {
                plain = Some(stand);
            }
            let totals = &mut totals[stand.lanes()];
            for (bucket, _) in leaving.ways {
                let shapes = &next.buckets[*bucket as usize].shapes;
                for at in shapes.start as usize..shapes.end as usize {
                    let number = self.facing.order[at];
                    if !self.idle_anew(leaving, (&left, &tags), number, totals) {
                        break;
                    }
                }
            }
        }
    }

    /// To every stand of a shape, the move worked out anew. Says whether it might
    /// have been worth it.
    fn idle_anew(
        &self,
        leaving: &Leaving<'_>,
        (left, tags): (&Left<'_>, &[(usize, &Tag)]),
        number: u32,
        totals: &mut [i32],
    ) -> bool {
        let (cut, follows) = self.bench.cut[number as usize];
        let worst = tags.iter().map(|(slot, _)| totals[*slot]).max().unwrap_or(0);
        let least = self.facing.floors[number as usize].all;
        let promising = !least.is_never() && plus(least.get() as i32, cut.into()) < worst;
        if follows != leaving.number || !promising {
            return promising;
        }
        let (sheet, index) = self.shapes[number as usize];
        let pair = self.pair_of(left, &leaving.from, (sheet, index as usize));
        let pair = pair.and(cut + self.leap(left.stand, number));
        let lifted = remembered(leaving.left, self.shape(number));
        for stand in self.facing.next.stands_of(number) {
            let fits = self.facing.next.stands[stand].lifted == lifted
                && self.facing.may_follow(stand, left.offers, &left.hold);
            if fits {
                self.out_of_idle(tags, stand, &pair, totals);
            }
        }
        true
    }

    /// From an idle hand, with some memories, to a stand.
    fn out_of_idle(&self, tags: &[(usize, &Tag)], number: usize, pair: &Pair, totals: &mut [i32]) {
        let layer = self.layer + 1;
        let to = &self.facing.next.stands[number];
        let in_place = i64::from(pair.fingers + pair.join_in_place);
        let moved = i64::from(pair.fingers + pair.join_moved);
        if to.is_idle() {
            for (tag, _) in tags {
                let after = usize::from(self.facing.next.tag_after[*tag]);
                let cost = self.facing.next.totals[to.at as usize + after];
                totals[*tag] = totals[*tag].min(plus(cost, in_place));
            }
            return;
        }
        let stay: &Row<C> = &self.facing.rows[number].stay;
        let mut shifts: [Option<Row<C>>; 4] = [None; 4];
        for (slot, tag) in tags {
            let total = &mut totals[*slot];
            let from = usize::from(tag.position);
            if tag.open != Tag::NO_SEAM {
                *total = (*total).min(self.after_seam(tag, number, pair));
                continue;
            }
            if to.away > 0 {
                if from > 0 && !stay[from].is_never() {
                    *total = (*total).min(plus(stay[from].get() as i32, moved));
                }
                continue;
            }
            if from == 0 {
                let least =
                    self.facing.rows[number].costs.iter().copied().min().unwrap_or(C::NEVER);
                if !least.is_never() {
                    *total = (*total).min(plus(least.get() as i32, in_place));
                }
                continue;
            }
            if !stay[from].is_never() {
                *total = (*total).min(plus(stay[from].get() as i32, in_place));
            }
            let hurry = self.ground.hurry_since(tag, layer);
            let row = shifts[hurry - 1].get_or_insert_with(|| {
                let table = &self.facing.shifts.open[hurry - 1][pair.led as usize];
                shifted(to, &self.facing.rows[number].costs, table)
            });
            if !row[from].is_never() {
                *total = (*total).min(plus(row[from].get() as i32, moved));
            }
        }
    }

    /// The same where the hand has been idle since the end of a seam, of which
    /// something may be assumed.
    fn after_seam(&self, tag: &Tag, number: usize, pair: &Pair) -> i32 {
        let layer = self.layer + 1;
        let to = &self.facing.next.stands[number];
        let in_place = i64::from(pair.fingers + pair.join_in_place);
        let moved = i64::from(pair.fingers + pair.join_moved);
        let from = tag.position;
        let hurry = self.ground.hurry_since(tag, layer);
        let shifts = &self.facing.shifts.open[hurry - 1][pair.led as usize][usize::from(from)];
        let mut best = NEVER;
        for position in to.low..to.low + to.count as u8 {
            let cost = self.facing.rows[number].stay[usize::from(position)];
            if cost.is_never() || !self.fixed.closes(tag, layer, position) {
                continue;
            }
            let more = match (to.away > 0, from) {
                (true, from) if from == position => moved,
                (true, _) => continue,
                (false, 0) => in_place,
                (false, from) if from == position => in_place,
                (false, _) => moved + shifts[usize::from(position)].get(),
            };
            best = best.min(plus(cost.get() as i32, more));
        }
        best
    }
}

/// The lanes of a stand before anything is known: never, and nothing where it has
/// none, which is never improved on.
#[inline(always)]
fn unpriced<C: Cost>(stand: &Stand) -> Lanes<C> {
    let mut lanes = [C::default(); LANES];
    lanes[..usize::from(stand.count).min(LANES)].fill(C::NEVER);
    lanes
}

/// The most that any lane costs by now.
#[inline(always)]
fn worst_lane<C: Cost>(best: &Lanes<C>) -> C {
    best.iter().copied().max().unwrap_or(C::NEVER)
}

fn plus(cost: i32, more: i64) -> i32 {
    if cost == NEVER { NEVER } else { i32::try_from(i64::from(cost) + more).unwrap_or(NEVER) }
}
