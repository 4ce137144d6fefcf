//! What it costs to have left a stand, and to go on from there.

use std::sync::Arc;

use super::Behind;
use crate::hand::shifting::{ShiftTable, hopping};
use crate::hand::{POSITIONS, Shape};
use crate::search::cost::{Cost, TooLarge};
use crate::search::facing::{LANES, Lanes, ROW, Row, lower, take, take_with};
use crate::search::ground::Ground;
use crate::search::pair::{Led, Pair};
use crate::search::seams::Fixed;
use crate::search::sheet::NEVER;
use crate::search::stage::{Stage, Stand, stays_fit};

/// What it costs to have left a stand, the move itself left out.
pub(super) enum Left<C> {
    /// A hand in its position; by position if it stays, if it shifts and nothing
    /// leads it, unless fingers stay; by lane; and the least it costs.
    Stopped { stay: Row<C>, moved: Row<C>, costs: Lanes<C>, least: C },
    /// A hand that is away; by position.
    Away { hand: u8, stay: Row<C> },
    /// An idle one, from all its memories at once: by position if it was in none that
    /// is known, if it stays in one that is, and if it shifts, by what leads it.
    Idle { unknown: Row<C>, known: Row<C>, moved: [Row<C>; 3] },
}

impl<C: Cost> Left<C> {
    /// The least of staying, by position.
    pub(super) fn stay(&self) -> Row<C> {
        match self {
            Self::Stopped { stay, .. } | Self::Away { stay, .. } => *stay,
            Self::Idle { unknown, known, .. } => {
                let mut stay = *unknown;
                lower(&mut stay, known);
                stay
            }
        }
    }

    /// The same from a position that is known.
    pub(super) fn known(&self) -> &Row<C> {
        match self {
            Self::Stopped { stay, .. } | Self::Away { stay, .. } => stay,
            Self::Idle { known, .. } => known,
        }
    }
}

/// An idle stand as the stage after sees it: from all its memories at once.
pub(super) fn idle_left<C: Cost>(
    ground: &Ground,
    fixed: &Fixed,
    layer: usize,
    (before, costs): (&Stage, &[i32]),
    shifts: &[[Arc<ShiftTable<C>>; 3]],
) -> Result<Left<C>, TooLarge> {
    let mut unknown = [C::NEVER; ROW];
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
                unknown[position] = unknown[position].min(cost);
            }
            continue;
        }
        let own = usize::from(tag.position);
        if closes(own) {
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
    Ok(Left::Idle { unknown, known, moved })
}

impl<C: Cost> Behind<'_, C> {
    /// What it costs to get away to where a stand is, by lane; nothing unless it is
    /// away.
    pub(super) fn hops(&self, n: &Stand) -> Lanes<C> {
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
    pub(super) fn least_hop(&self, n: &Stand, hops: &Lanes<C>) -> C {
        if n.away == 0 {
            return C::default();
        }
        let hop = hops[..usize::from(n.count).min(LANES)].iter().copied().min();
        let further = C::of(i64::from(self.ground.table.hop_stay));
        hop.map_or(further, |hop| hop.min(further))
    }

    /// `lead_stay` of a stand, by lane, if the hand stays where it is.
    pub(super) fn led(&self, n: &Stand, shape: &Shape) -> Lanes<C> {
        let mut led = [C::default(); LANES];
        let more = C::of(i64::from(self.ground.table.lead_stay));
        match shape.led_from() {
            Some(hand) if n.away == hand => led.fill(more),
            Some(hand) if n.away == 0 => {
                let lane = hand.checked_sub(n.low).and_then(|lane| led.get_mut(usize::from(lane)));
                if let Some(lane) = lane {
                    *lane = more;
                }
            }
            _ => {}
        }
        led
    }

    /// From one stand to another.
    pub(super) fn step(
        &self,
        at: usize,
        n: &Stand,
        (cut, pair): (C, &Pair),
        (hops, led): (&Lanes<C>, &Lanes<C>),
        best: &mut Lanes<C>,
    ) {
        let in_place = cut.plus(pair.in_place());
        let moved = cut.plus(pair.moved());
        match (&self.left[at], n.away) {
            (Left::Away { stay, .. }, 0) => take(best, stay, n.low, moved),
            (Left::Away { hand, stay }, away) if *hand == away => {
                let further = C::of(i64::from(self.ground.table.hop_stay));
                take_with(best, stay, n.low, (cut.plus(pair.still()).plus(further), led));
            }
            (Left::Stopped { stay, moved: plain, costs, .. }, 0) => {
                take_with(best, stay, n.low, (in_place, led));
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
            (Left::Idle { unknown, known, moved: shifted }, 0) => {
                take(best, unknown, n.low, in_place);
                take_with(best, known, n.low, (in_place, led));
                take(best, &shifted[pair.led as usize], n.low, moved);
            }
            (left, _) => {
                let known = &left.known()[usize::from(n.low)..];
                for ((best, known), hop) in best.iter_mut().zip(known).zip(hops) {
                    *best = (*best).min(known.plus(moved).plus(*hop));
                }
            }
        }
    }

    pub(super) fn grow_idle(&self, s: &Stand, n: &Stand, sum: i32, above: &mut [i32]) {
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
