//! On from an idle hand, with each of its memories.

use super::{Leaving, Left, Memory, Onward, plus};
use crate::search::cost::Cost;
use crate::search::facing::{Row, shifted};
use crate::search::pair::Pair;
use crate::search::sheet::NEVER;
use crate::search::stage::{Stand, Tag, stays_fit};

impl<C: Cost> Onward<'_, '_, '_, C> {
    /// From an idle shape, with each of its memories.
    pub(super) fn idle(
        &mut self,
        leaving: &Leaving<'_>,
        stands: &[Stand],
        memories: &[Memory],
        totals: &mut [i32],
    ) {
        let next = self.facing.next;
        let mut without: Vec<&Stand> = Vec::new();
        for stand in stands {
            let left = self.left(leaving, stand);
            let fits = |(_, of): &(usize, &Memory)| stays_fit(stand.stays, of.tag.position);
            let own = memories.iter().enumerate().take(usize::from(stand.count));
            let own: Vec<(usize, &Memory)> = own.filter(fits).collect();
            let same = without.iter().find(|other| other.memory == stand.memory);
            if let Some(other) = same {
                // As in `stopped`.
                for (number, _) in &own {
                    totals[stand.at as usize + number] = totals[other.at as usize + number];
                }
                let totals = &mut totals[stand.lanes()];
                for number in self.concerned(stand) {
                    self.idle_anew(leaving, (&left, &own), number, totals);
                }
                let mut offers = left.offers;
                while offers != 0 {
                    for of in &self.facing.staying[offers.trailing_zeros() as usize] {
                        let number = next.stands[*of as usize].shape;
                        self.idle_anew(leaving, (&left, &own), number, totals);
                    }
                    offers &= offers - 1;
                }
                continue;
            }
            if stand.stays.is_empty() {
                without.push(stand);
            }
            let totals = &mut totals[stand.lanes()];
            for (bucket, _) in leaving.ways {
                let shapes = &next.buckets[*bucket as usize].shapes;
                for at in shapes.start as usize..shapes.end as usize {
                    let number = self.facing.order[at];
                    if !self.idle_anew(leaving, (&left, &own), number, totals) {
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
        (left, own): (&Left<'_>, &[(usize, &Memory)]),
        number: u32,
        totals: &mut [i32],
    ) -> bool {
        let (cut, follows) = self.bench.cut[number as usize];
        let worst = own.iter().map(|(slot, _)| totals[*slot]).max().unwrap_or(0);
        let least = self.facing.floors[number as usize].all;
        let promising = !least.is_never() && plus(least.get() as i32, cut.into()) < worst;
        if follows != leaving.number || !promising {
            return promising;
        }
        let (sheet, index) = self.shapes[number as usize];
        let pair = self.pair_of(left, &leaving.from, (sheet, index as usize));
        let pair = pair.and(cut + self.looking_back(left, number));
        let memory = leaving.left.remembered(left.stand, self.shape(number));
        for stand in self.facing.next.stands_of(number) {
            let fits = self.facing.next.stands[stand].memory == memory
                && self.facing.may_follow(stand, left.offers, &left.hold);
            if fits {
                self.out_of_idle(own, stand, &pair, totals);
            }
        }
        true
    }

    /// From an idle hand, with some memories, to a stand.
    fn out_of_idle(
        &self,
        own: &[(usize, &Memory)],
        number: usize,
        pair: &Pair,
        totals: &mut [i32],
    ) {
        let to = &self.facing.next.stands[number];
        let in_place = i64::from(pair.fingers + pair.join_in_place);
        let moved = i64::from(pair.fingers + pair.join_moved);
        if to.is_idle() {
            for (slot, _) in own {
                let after = usize::from(self.facing.next.tag_after[*slot]);
                let cost = self.facing.next.totals[to.at as usize + after];
                totals[*slot] = totals[*slot].min(plus(cost, in_place));
            }
            return;
        }
        let stay: &Row<C> = &self.facing.rows[number].stay;
        let mut shifts: [Option<Row<C>>; 4] = [None; 4];
        for (slot, Memory { tag, hurry }) in own {
            let total = &mut totals[*slot];
            let from = usize::from(tag.position);
            if tag.open != Tag::NO_SEAM {
                *total = (*total).min(self.after_seam((tag, *hurry), number, pair));
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
            let row = shifts[*hurry - 1].get_or_insert_with(|| {
                let table = &self.facing.shifts.open[*hurry - 1][pair.led as usize];
                shifted(to, &self.facing.rows[number].costs, table)
            });
            if !row[from].is_never() {
                *total = (*total).min(plus(row[from].get() as i32, moved));
            }
        }
    }

    /// The same where the hand has been idle since the end of a seam, of which
    /// something may be assumed.
    fn after_seam(&self, (tag, hurry): (&Tag, usize), number: usize, pair: &Pair) -> i32 {
        let layer = self.layer + 1;
        let to = &self.facing.next.stands[number];
        let in_place = i64::from(pair.fingers + pair.join_in_place);
        let moved = i64::from(pair.fingers + pair.join_moved);
        let from = tag.position;
        let shifts = &self.facing.shifts.open[hurry - 1][pair.led as usize][usize::from(from)];
        let mut best = NEVER;
        let rows = &self.facing.rows[number];
        for (lane, position) in (to.low..to.low + to.count as u8).enumerate() {
            let stays = to.away > 0 || from == position;
            let cost = if stays { rows.stay[usize::from(position)] } else { rows.costs[lane] };
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
