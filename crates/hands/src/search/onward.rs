//! From a stage to the end: the least that what comes after it costs.

use crate::hand::{Hold, Played};
use crate::heard::hurry;

use super::cost::Cost;
use super::facing::{Ahead, Facing, Follower, LANES, Lanes, take};
use super::ground::Ground;
use super::pair::{Joins, Led, Pair, joined_from, leap, leaves, pair, remembered};
use super::seams::Fixed;
use super::sheet::NEVER;
use super::stage::{Stage, Stand, Tag};

/// What comes after a stage.
pub(crate) struct Onward<'a, C> {
    ground: &'a Ground,
    fixed: &'a Fixed,
    layer: usize,
    facing: Facing<'a, C>,
    /// Whether sounds of the next layer are to be joined.
    joining: bool,
    struck: usize,
}

/// A shape of the stage and what has been worked out for it.
struct Leaving<'a, 'b> {
    hold: Hold,
    /// What it leaves behind for `leap`.
    left: Option<(u8, u8)>,
    /// How the sounds are played that others are to be joined from.
    from: Vec<Option<Played>>,
    followers: &'b [Follower<'a>],
    /// By follower, as far as they are known.
    pairs: &'b mut Vec<Option<Pair>>,
}

impl<'a, C: Cost> Onward<'a, C> {
    pub fn new(
        ground: &'a Ground,
        fixed: &'a Fixed,
        layer: usize,
        facing: Facing<'a, C>,
    ) -> Self {
        let joining = !ground.joins_into(layer + 1).is_empty();
        let struck = ground.music.layers[layer + 1].struck().len();
        Self { ground, fixed, layer, facing, joining, struck }
    }

    /// The cost from every state of a stage on, the state itself left out.
    pub fn of(&self, stage: &Stage) -> Vec<i32> {
        let mut totals = vec![NEVER; stage.totals.len()];
        let mut pairs: Vec<Option<Pair>> = Vec::new();
        for bucket in &stage.buckets {
            for (shape, number) in bucket.sheet.shapes.iter().zip(bucket.shapes.clone()) {
                let followers = &self.facing.followers[stage.onward[number as usize] as usize];
                pairs.clear();
                pairs.resize(followers.len(), None);
                let from = if self.joining {
                    joined_from(self.ground, self.layer, stage, number)
                } else {
                    Vec::new()
                };
                let mut leaving = Leaving {
                    hold: shape.hold(),
                    left: leaves(self.ground, self.layer, shape),
                    from,
                    followers,
                    pairs: &mut pairs,
                };
                let stands = &stage.stands[stage.stands_of(number)];
                if shape.is_idle() {
                    for stand in stands {
                        self.idle(&mut leaving, stand, &stage.tags, &mut totals[stand.lanes()]);
                    }
                } else {
                    self.stopped(&mut leaving, stands, &mut totals);
                }
            }
        }
        totals
    }

    /// From a shape that is not idle.
    fn stopped(&self, leaving: &mut Leaving<'a, '_>, stands: &[Stand], totals: &mut [i32]) {
        // What stays changes only what its own fingers do next, so the stands
        // without come first and the others start from what these come to.
        let mut plain: Vec<(&Stand, Lanes<C>)> = Vec::with_capacity(1);
        for stand in stands {
            let best = if stand.away > 0 {
                self.away(leaving, stand)
            } else if stand.stays.is_empty() {
                let best = self.plain(leaving, stand);
                plain.push((stand, best));
                best
            } else {
                let same = plain.iter().find(|(plain, _)| plain.lifted == stand.lifted);
                let mut best = [C::NEVER; LANES];
                if let Some((plain, lanes)) = same {
                    let from = usize::from(stand.low - plain.low);
                    best[..LANES - from].copy_from_slice(&lanes[from..]);
                }
                self.staying(leaving, stand, best)
            };
            for (total, best) in totals[stand.lanes()].iter_mut().zip(best) {
                *total = if best.is_never() { NEVER } else { best.get() as i32 };
            }
        }
    }

    fn plain(&self, leaving: &mut Leaving<'a, '_>, stand: &Stand) -> Lanes<C> {
        let mut best = [C::NEVER; LANES];
        let hold = leaving.hold;
        let offers = self.facing.offers(&hold);
        let mut worst = NEVER;
        for index in 0..leaving.followers.len() {
            let follower = &leaving.followers[index];
            if follower.floor >= worst {
                break;
            }
            if !self.may_improve(follower, &best, stand) {
                continue;
            }
            let pair = self.pair(leaving, index);
            if self.step(leaving, (stand, &hold, offers), (follower, &pair), &mut best) {
                worst = worst_of(&best, stand);
            }
        }
        best
    }

    fn may_improve(&self, follower: &Follower<'a>, best: &Lanes<C>, stand: &Stand) -> bool {
        let reach = &self.facing.reach[follower.number as usize];
        reach.may_improve(best, stand.low, C::of(follower.cut))
    }

    /// The same with fingers that stay, from what it comes to without them.
    fn staying(
        &self,
        leaving: &mut Leaving<'a, '_>,
        stand: &Stand,
        mut best: Lanes<C>,
    ) -> Lanes<C> {
        let hold = leaving.hold.staying(stand.stays);
        let offers = self.facing.offers(&hold);
        let fingers = stand.stays.fingers();
        let mut worst = worst_of(&best, stand);
        for index in 0..leaving.followers.len() {
            let follower = &leaving.followers[index];
            if follower.floor >= worst {
                break;
            }
            if follower.fingers & fingers == 0 || !self.may_improve(follower, &best, stand) {
                continue;
            }
            let pair = self.pair_of(&hold, &leaving.from, follower);
            if self.step(leaving, (stand, &hold, offers), (follower, &pair), &mut best) {
                worst = worst_of(&best, stand);
            }
        }
        best
    }

    fn away(&self, leaving: &mut Leaving<'a, '_>, stand: &Stand) -> Lanes<C> {
        let mut best = [C::NEVER; LANES];
        let hold = leaving.hold;
        let offers = self.facing.offers(&hold);
        let mut worst = NEVER;
        for index in 0..leaving.followers.len() {
            let follower = &leaving.followers[index];
            if follower.floor >= worst {
                break;
            }
            if !self.may_improve(follower, &best, stand) {
                continue;
            }
            let pair = self.pair(leaving, index);
            if self.step(leaving, (stand, &hold, offers), (follower, &pair), &mut best) {
                worst = worst_of(&best, stand);
            }
        }
        best
    }

    /// From a stand that is not idle to those of a follower. Says whether any of
    /// them may follow.
    #[inline]
    fn step(
        &self,
        leaving: &Leaving<'a, '_>,
        (stand, hold, offers): (&Stand, &Hold, u128),
        (follower, pair): (&Follower<'a>, &Pair),
        best: &mut Lanes<C>,
    ) -> bool {
        let low = stand.low;
        let sum = follower.cut
            + pair.fingers
            + leap(self.ground, self.layer, stand, follower.shape);
        let in_place = C::of(sum + pair.slide + pair.join_in_place);
        let moved = C::of(sum + pair.join_moved);
        let lifted = remembered(leaving.left, follower.shape);
        let mut any = false;
        for ahead in &self.facing.ahead[self.facing.next.stands_of(follower.number)] {
            if ahead.stand.lifted != lifted || !ahead.may_follow(offers, hold) {
                continue;
            }
            any = true;
            if stand.away == 0 {
                if ahead.stand.away > 0 {
                    take(best, &ahead.stay, low, moved);
                    continue;
                }
                take(best, &ahead.stay, low, in_place);
                if ahead.stand.is_idle() {
                    continue;
                }
                if pair.led == Led::Plain && ahead.stand.stays.is_empty() {
                    take(best, &ahead.moved, low, moved);
                } else if ahead.floor.plus(self.facing.least_shift).plus(moved) < worst_lane(best, stand) {
                    self.led(ahead, pair.led, (low, moved), best);
                }
            } else if ahead.stand.away == stand.away {
                let still = C::of(sum + pair.slide + pair.join_moved);
                take(best, &ahead.moved, low, still);
            } else {
                take(best, &ahead.stay, low, moved);
            }
        }
        any
    }

    /// A shift led by a finger.
    fn led(&self, ahead: &Ahead<C>, led: Led, (low, cost): (u8, C), best: &mut Lanes<C>) {
        let table = &self.facing.shifts.led[led as usize];
        let first = usize::from(ahead.stand.low);
        let lanes = ahead.costs.iter().enumerate().take(usize::from(ahead.stand.count));
        for (lane, total) in lanes {
            if !total.is_never() {
                take(best, &table[first + lane], low, total.plus(cost));
            }
        }
    }

    fn pair(&self, leaving: &mut Leaving<'a, '_>, index: usize) -> Pair {
        if let Some(pair) = leaving.pairs[index] {
            return pair;
        }
        let pair = self.pair_of(&leaving.hold, &leaving.from, &leaving.followers[index]);
        leaving.pairs[index] = Some(pair);
        pair
    }

    fn pair_of(&self, hold: &Hold, from: &[Option<Played>], follower: &Follower<'a>) -> Pair {
        let joins = Joins { joins: self.ground.joins_into(self.layer + 1), from };
        let played = if self.joining {
            follower.sheet.played(follower.index, self.struck)
        } else {
            &[]
        };
        pair(self.ground, self.layer, hold, follower.shape, (joins, played))
    }

    fn idle(
        &self,
        leaving: &mut Leaving<'a, '_>,
        stand: &Stand,
        tags: &[Tag],
        totals: &mut [i32],
    ) {
        let hold = leaving.hold.staying(stand.stays);
        let offers = self.facing.offers(&hold);
        let concerned = stand.stays.fingers();
        let fits: Vec<(usize, &Tag)> = tags
            .iter()
            .enumerate()
            .filter(|(_, tag)| super::stage::stays_fit(stand.stays, tag.position))
            .collect();
        let mut worst = NEVER;
        for index in 0..leaving.followers.len() {
            let follower = &leaving.followers[index];
            if follower.floor >= worst {
                break;
            }
            let pair = if follower.fingers & concerned == 0 {
                self.pair(leaving, index)
            } else {
                self.pair_of(&hold, &leaving.from, follower)
            };
            let sum = follower.cut
                + pair.fingers
                + leap(self.ground, self.layer, stand, follower.shape);
            let lifted = remembered(leaving.left, follower.shape);
            let mut any = false;
            for ahead in &self.facing.ahead[self.facing.next.stands_of(follower.number)] {
                if ahead.stand.lifted != lifted || !ahead.may_follow(offers, &hold) {
                    continue;
                }
                any = true;
                for (number, tag) in &fits {
                    let cost = if ahead.stand.is_idle() {
                        let after = usize::from(self.facing.next.tag_after[*number]);
                        let total = self.facing.next.totals[ahead.stand.at as usize + after];
                        plus(total, sum + pair.join_in_place)
                    } else {
                        self.out_of_idle(tag, ahead, (sum, &pair))
                    };
                    totals[*number] = totals[*number].min(cost);
                }
            }
            if any {
                let reached = fits.iter().map(|(number, _)| totals[*number]);
                worst = reached.max().unwrap_or(NEVER);
            }
        }
    }

    /// From an idle hand to a stand that is not idle.
    fn out_of_idle(&self, tag: &Tag, ahead: &Ahead<C>, (sum, pair): (i64, &Pair)) -> i32 {
        let layer = self.layer + 1;
        let stand = &ahead.stand;
        let is_away = stand.away > 0;
        let shifts = match (tag.position, is_away) {
            (0, true) => return NEVER,
            (0, false) => None,
            _ => {
                let hurry = match tag.layer {
                    Tag::LONG_AGO => 1,
                    last => hurry(self.ground.time(last as usize, layer)),
                };
                let tables = &self.facing.shifts.open[hurry as usize - 1];
                Some(&tables[pair.led as usize][usize::from(tag.position)])
            }
        };
        let mut best = NEVER;
        for position in stand.low..stand.low + stand.count as u8 {
            let cost = ahead.stay[usize::from(position)];
            if cost.is_never() || !self.fixed.closes(tag, layer, position) {
                continue;
            }
            let more = match shifts {
                None => sum + pair.join_in_place,
                Some(_) if is_away && position == tag.position => sum + pair.join_moved,
                Some(_) if is_away => continue,
                Some(_) if position == tag.position => sum + pair.join_in_place,
                Some(shifts) => sum + pair.join_moved + shifts[usize::from(position)].get(),
            };
            best = best.min(plus(cost.get() as i32, more));
        }
        best
    }
}

/// The most that any lane of a stand costs by now.
fn worst_lane<C: Cost>(best: &Lanes<C>, stand: &Stand) -> C {
    best.iter().take(usize::from(stand.count)).copied().max().unwrap_or(C::NEVER)
}

fn worst_of<C: Cost>(best: &Lanes<C>, stand: &Stand) -> i32 {
    let worst = worst_lane(best, stand);
    if worst.is_never() { NEVER } else { worst.get() as i32 }
}

fn plus(cost: i32, more: i64) -> i32 {
    if cost == NEVER { NEVER } else { i32::try_from(i64::from(cost) + more).unwrap_or(NEVER) }
}
