//! A single move from a state of one stage to one of the next, priced plainly.

use crate::hand::shifting::{hopping, shifting};
use crate::hand::{Hold, Played, Shape};

use super::ground::Ground;
use super::pair::{Joins, LeftBehind, Pair, joined_from, looking_back, pair};
use super::seams::Fixed;
use super::sheet::NEVER;
use super::stage::{Choice, Stage, Stand, Tag};
use super::to_end::begins_anew;

/// A state and what has to be known of it to move on.
pub(crate) struct Mover<'a> {
    ground: &'a Ground,
    fixed: &'a Fixed,
    layer: usize,
    stage: &'a Stage,
    next: &'a Stage,
    choice: Choice,
    stand: &'a Stand,
    hold: Hold,
    from: Vec<Option<Played>>,
    left: LeftBehind,
}

impl<'a> Mover<'a> {
    pub fn new(
        (ground, fixed): (&'a Ground, &'a Fixed),
        layer: usize,
        (stage, next): (&'a Stage, &'a Stage),
        choice: Choice,
    ) -> Self {
        let stand = stage.stand(choice);
        let from = if ground.joins_into(layer + 1).is_empty() {
            Vec::new()
        } else {
            joined_from(ground, layer, stage, stand.shape)
        };
        let left = LeftBehind::of(ground, layer, stage.shape(stand.shape));
        let hold = stage.hold(stand);
        Self { ground, fixed, layer, stage, next, choice, stand, hold, from, left }
    }

    /// Every state that may follow, with the cost of the move.
    pub fn each(&self, found: impl FnMut(Choice, i64)) {
        self.each_below(i64::MAX, found);
    }

    /// The same but for shapes of which every state costs more than a bound to the
    /// end, the move there included.
    pub fn each_below(&self, most: i64, mut found: impl FnMut(Choice, i64)) {
        let next = self.next;
        if !self.ground.steps[self.layer].reached {
            for choice in next.choices().filter(|choice| self.begins(*choice)) {
                found(choice, 0);
            }
            return;
        }
        let inlet = &next.inlets[self.stage.onward[self.stand.shape as usize] as usize];
        for (bucket, cut) in &inlet.ways {
            for shape in next.buckets[*bucket as usize].shapes.clone() {
                let stands = next.stands_of(shape);
                let (first, past) = (&next.stands[stands.start], &next.stands[stands.end - 1]);
                let totals = &next.totals[first.at as usize..past.lanes().end];
                let floor = totals.iter().copied().min().unwrap_or(NEVER);
                if floor == NEVER || i64::from(floor) + cut > most {
                    continue;
                }
                let of = next.shape(shape);
                let pair = self.pair(shape, of);
                for stand in stands {
                    self.lanes(stand, of, (*cut, &pair), &mut found);
                }
            }
        }
    }

    /// The cost of the move to a state; `None` if it cannot follow.
    pub fn to(&self, n: Choice) -> Option<i64> {
        let next = self.next;
        if !self.ground.steps[self.layer].reached {
            return self.begins(n).then_some(0);
        }
        let shape = next.stand(n).shape;
        let after = next.buckets.partition_point(|b| b.shapes.start <= shape) as u32 - 1;
        let inlet = &next.inlets[self.stage.onward[self.stand.shape as usize] as usize];
        let (_, cut) = inlet.ways.iter().find(|(bucket, _)| *bucket == after)?;
        let of = next.shape(shape);
        let pair = self.pair(shape, of);
        let mut cost = None;
        self.lanes(n.stand as usize, of, (*cut, &pair), &mut |choice, sum| {
            if choice == n {
                cost = Some(sum);
            }
        });
        cost
    }

    fn pair(&self, number: u32, shape: &Shape) -> Pair {
        let joins = Joins { joins: self.ground.joins_into(self.layer + 1), from: &self.from };
        let struck = self.ground.music.layers[self.layer + 1].struck().len();
        let played = self.next.played(number, struck);
        pair(self.ground, self.layer, &self.hold, shape, (joins, played))
    }

    /// Whether a state may begin anew after this one (over a cut).
    fn begins(&self, n: Choice) -> bool {
        if !begins_anew(self.next, n) {
            return false;
        }
        let idle = self.stand.is_idle();
        let tag = idle.then(|| &self.stage.tags[usize::from(self.choice.lane)]);
        if self.next.is_idle(n) {
            let open = tag.map_or(Tag::NO_SEAM, |tag| tag.open);
            let here = self.ground.seam_end(self.layer + 1);
            self.next.tags[usize::from(n.lane)].open == open.min(here)
        } else {
            let position = self.next.position(n);
            tag.is_none_or(|tag| self.fixed.closes(tag, self.layer + 1, position))
        }
    }

    fn lanes(
        &self,
        number: usize,
        shape: &Shape,
        (cut, pair): (i64, &Pair),
        found: &mut impl FnMut(Choice, i64),
    ) {
        let n = &self.next.stands[number];
        if n.memory != self.left.remembered(self.stand, shape) || !n.may_follow(&self.hold) {
            return;
        }
        let from = (self.stand, &self.hold.down);
        let back = looking_back(self.ground, self.layer, from, shape);
        let sum = cut + i64::from(pair.fingers) + back;
        let stand = number as u32;
        if n.is_idle() {
            let lane = self.tag_after();
            let choice = Choice { stand, lane };
            if self.next.own(choice).is_some() {
                let away = self.stage.away(self.choice).is_some();
                let join = if away { pair.join_moved } else { pair.join_in_place };
                found(choice, sum + i64::from(join));
            }
            return;
        }
        for lane in 0..n.count {
            let choice = Choice { stand, lane };
            if self.next.own(choice).is_none() {
                continue;
            }
            if let Some(more) = self.more(choice, pair) {
                found(choice, sum + more);
            }
        }
    }

    /// The memory with which an idle hand goes on from here.
    fn tag_after(&self) -> u16 {
        if self.stand.is_idle() {
            self.next.tag_after[usize::from(self.choice.lane)]
        } else {
            self.next.tag_of_position[usize::from(self.stage.position(self.choice))]
        }
    }

    /// What depends on the places of the hand, if the move can be made.
    fn more(&self, n: Choice, pair: &Pair) -> Option<i64> {
        let (ground, layer) = (self.ground, self.layer);
        let (from, to) = (self.stage.position(self.choice), self.next.position(n));
        let (was, is) = (self.stage.away(self.choice), self.next.away(n));
        let idle = self.stand.is_idle();
        if idle {
            let tag = &self.stage.tags[usize::from(self.choice.lane)];
            if !self.fixed.closes(tag, layer + 1, to) {
                return None;
            }
        }
        let kit = (&ground.geometry, &ground.table);
        let pace = ground.steps[layer].pace;
        let (in_place, moved) = (i64::from(pair.join_in_place), i64::from(pair.join_moved));
        let slide = i64::from(pair.slide) + self.lead_stay(n);
        match (was, is) {
            (None, None) if from == 0 => Some(in_place),
            (None, None) if from == to => Some(slide + in_place),
            (None, None) => {
                let hurry = self.since_stopped();
                let open = if idle { i64::from(ground.table.ease_open) } else { 0 };
                let ease = ground.steps[layer].ease + open + pair.led.ease(ground);
                Some(moved + shifting(kit, (from, to), hurry, ease).sum())
            }
            _ if from != to => None,
            (Some(was), Some(is)) if was == is => {
                Some(slide + moved + i64::from(ground.table.hop_stay))
            }
            (_, Some(hand)) => Some(moved + hopping(kit, (to, hand), pace.hurry)),
            (Some(_), None) => Some(moved),
        }
    }

    /// `lead_stay`, if the hand stays where it is.
    fn lead_stay(&self, n: Choice) -> i64 {
        let hand = self.next.away(n).unwrap_or_else(|| self.next.position(n));
        let leads = self.next.shape(self.next.stand(n).shape).led_from() == Some(hand);
        if leads { i64::from(self.ground.table.lead_stay) } else { 0 }
    }

    /// The hurry of the time since the hand was last not idle.
    pub fn since_stopped(&self) -> i64 {
        if !self.stand.is_idle() {
            return self.ground.steps[self.layer].pace.hurry;
        }
        let tag = &self.stage.tags[usize::from(self.choice.lane)];
        self.ground.hurry_since(tag, self.layer + 1) as i64
    }
}
