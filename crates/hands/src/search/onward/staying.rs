//! On from and to stands in which fingers stay.

use super::{Leaving, Left, Onward};
use crate::search::cost::Cost;
use crate::search::facing::Lanes;
use crate::search::stage::Stand;

impl<C: Cost> Onward<'_, '_, '_, C> {
    /// To stands in which some of the hand's fingers stay, or that need none.
    pub(super) fn held_on(&mut self, leaving: &Leaving<'_>, left: &Left<'_>, best: &mut Lanes<C>) {
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
    pub(super) fn rare(
        &self,
        leaving: &Leaving<'_>,
        left: &Left<'_>,
        (number, stand): (u32, u32),
        best: &mut Lanes<C>,
    ) {
        let at = stand as usize;
        let follows = self.facing.may_follow(at, left.offers, &left.hold)
            && (!self.remembering
                || self.facing.next.stands[at].memory
                    == leaving.left.remembered(left.stand, self.shape(number)));
        if follows {
            self.step_with(left, &self.bench.pairs[number as usize], at, best);
        }
    }

    /// From a stand in which fingers stay, from what it comes to without them,
    /// or from nothing.
    pub(super) fn staying(
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
    pub(super) fn concerned(&self, stand: &Stand) -> impl Iterator<Item = u32> + '_ {
        stand.stays.iter().flat_map(|stay| {
            let key = (stay.finger, stay.string);
            let from = self.down.partition_point(|(f, s, _)| (*f, *s) < key);
            let same = self.down[from..].iter().take_while(move |(f, s, _)| (*f, *s) == key);
            same.map(|(_, _, number)| *number)
        })
    }

    /// To every stand of a shape, the move worked out anew.
    pub(super) fn anew(
        &self,
        leaving: &Leaving<'_>,
        left: &Left<'_>,
        number: u32,
        best: &mut Lanes<C>,
    ) {
        let (cut, follows) = self.bench.cut[number as usize];
        let floor = &self.facing.floors[number as usize];
        if follows != leaving.number || !floor.may_improve(best, left.stand, C::of(i64::from(cut)))
        {
            return;
        }
        let (sheet, index) = self.shapes[number as usize];
        let pair = self.pair_of(left, &leaving.from, (sheet, index as usize)).and(cut);
        let memory = leaving.left.remembered(left.stand, self.shape(number));
        for stand in self.facing.next.stands_of(number) {
            let fits = self.facing.next.stands[stand].memory == memory
                && self.facing.may_follow(stand, left.offers, &left.hold);
            if fits {
                self.step_with(left, &pair, stand, best);
            }
        }
    }
}
