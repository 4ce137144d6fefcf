//! What moves from a shape and its stands to the shapes of the next stage cost.

use super::{Leaving, Left, Onward};
use crate::hand::{Hold, Played};
use crate::search::cost::Cost;
use crate::search::pair::{Joins, Pair, looked_up, pair};
use crate::search::sheet::Sheet;
use crate::search::stage::Stand;

impl<C: Cost> Onward<'_, '_, '_, C> {
    /// The price of the move to a shape that may follow.
    #[inline]
    pub(super) fn pair(&mut self, leaving: &Leaving<'_>, number: u32) -> Pair {
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
    pub(super) fn pair_of(
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
    pub(super) fn left<'s>(&mut self, leaving: &Leaving<'_>, stand: &'s Stand) -> Left<'s> {
        let hold = leaving.hold.staying(stand.stays);
        let pace = self.ground.steps[self.layer].pace;
        let meets = leaving.leaves.as_ref().zip(self.meets.as_mut());
        let leaves = meets.map(|(leaves, meets)| meets.staying(pace, leaves, stand));
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
}
