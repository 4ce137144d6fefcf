//! The cheapest way from beat to beat: complete dynamic programming, both
//! directions kept. Where a seam joins two beats, the hand of the one written first is
//! remembered up to the other.

use apoyando_fingering::{EffortItem, RightPlan, Term};

use crate::heard::Music;

use super::Asked;
use super::beat::Beats;
use super::cost::{Costs, Grip, Step};
use super::hand::{Hand, THUMB};
use super::rooms::Rooms;
use super::seams::Playing;

/// Dearer than any right hand that is not barred: beats and terms are counted in
/// 32 bits.
const BARRED: i64 = i64::MAX / 4;

/// Every hand of every layer with its price, side by side.
pub(super) struct Table<'a> {
    pub beats: &'a Beats,
    pub costs: &'a Costs<'a>,
    playing: Playing,
    rooms: Rooms,
    grips: Vec<Grip>,
    own: Vec<i64>,
    /// What the seams cost in each state whose beat is the last written of theirs.
    sewn: Vec<i64>,
    /// Hands that a beat is not to take.
    barred: Vec<bool>,
    /// From a state to the end, its hand included.
    onward: Vec<i64>,
}

impl<'a> Table<'a> {
    pub fn new(asked: &Asked<'_>, beats: &'a Beats, costs: &'a Costs<'a>) -> Self {
        let mut own = Vec::with_capacity(beats.hands.len());
        for (layer, beat) in beats.beats.iter().enumerate() {
            own.extend(
                beats.hands[beat.hands()].iter().map(|hand| own_cost(costs, beats, layer, *hand)),
            );
        }
        let playing = Playing::of(asked, beats, costs);
        let rooms = Rooms::of(beats, &playing);
        let grips = beats.hands.iter().map(|hand| Grip::of(*hand)).collect();
        let (onward, sewn) = (vec![0; rooms.states()], vec![0; rooms.states()]);
        let barred = vec![false; own.len()];
        let mut table = Self { beats, costs, playing, rooms, grips, own, sewn, barred, onward };
        table.sew();
        table.look_onward();
        table
    }

    /// Works out what the seams cost.
    fn sew(&mut self) {
        for seam in &self.playing.seams {
            let (near, far) = (seam.near(), seam.far());
            let grips = |beat: usize| &self.grips[self.beats.beats[beat].hands()];
            for room in self.rooms.of_beat(far) {
                for (hand, state) in self.rooms.states_of(far, room).enumerate() {
                    let earlier = if near == far { hand } else { self.rooms.hand(far, room, near) };
                    let (one, other) = (grips(near)[earlier], grips(far)[hand]);
                    let (from, to) = if seam.from == near { (one, other) } else { (other, one) };
                    self.sewn[state] += self.costs.moved(&seam.step, from, to);
                }
            }
        }
    }

    /// Whether a seam begins or ends at a beat.
    pub fn is_sewn(&self, beat: usize) -> bool {
        self.playing.seams.iter().any(|seam| seam.from == beat || seam.to == beat)
    }

    /// Works out what everything costs from each hand to the end.
    pub fn look_onward(&mut self) {
        for layer in (0..self.beats.beats.len()).rev() {
            for room in self.rooms.of_beat(layer) {
                let hands = self.beats.beats[layer].hands().enumerate();
                for ((at, hand), state) in hands.zip(self.rooms.states_of(layer, room)) {
                    let after = match self.barred[hand] {
                        true => BARRED,
                        false => {
                            self.after(layer, self.rooms.onto(layer, room, at), self.grips[hand])
                        }
                    };
                    self.onward[state] = self.own[hand] + self.sewn[state] + after;
                }
            }
        }
    }

    /// Leaves a beat one hand; counts when it is looked onward again.
    pub fn hold(&mut self, beat: usize, only: Hand) {
        for hand in self.beats.beats[beat].hands() {
            self.barred[hand] = self.beats.hands[hand] != only;
        }
    }

    /// Gives a beat all its hands again.
    pub fn free(&mut self, beat: usize) {
        self.barred[self.beats.beats[beat].hands()].fill(false);
    }

    /// What the move from a beat to the next costs.
    fn moved(&self, layer: usize, from: Grip, to: Grip) -> i64 {
        let step = self.playing.steps[layer].as_ref();
        step.map_or(0, |step| self.costs.moved(step, from, to))
    }

    /// The least that everything after a layer costs from one of its hands, into a room of
    /// the next.
    fn after(&self, layer: usize, room: usize, grip: Grip) -> i64 {
        let Some(next) = self.beats.beats.get(layer + 1) else { return 0 };
        let onward = &self.onward[self.rooms.states_of(layer + 1, room)];
        let best = self.grips[next.hands()]
            .iter()
            .zip(onward)
            .map(|(other, onward)| self.moved(layer, grip, *other) + onward);
        best.min().unwrap_or(0)
    }

    /// From the beginning to each state, its hand included.
    pub fn forward(&self) -> Vec<i64> {
        let mut forward = self.sewn.clone();
        for (layer, beat) in self.beats.beats.iter().enumerate() {
            for room in self.rooms.of_beat(layer) {
                for (hand, state) in beat.hands().zip(self.rooms.states_of(layer, room)) {
                    let before = self.before(&forward, (layer, room), self.grips[hand]);
                    forward[state] += self.own[hand] + before;
                }
            }
        }
        forward
    }

    /// The least that everything before a layer costs up to one of its hands in a room.
    fn before(&self, forward: &[i64], (layer, room): (usize, usize), grip: Grip) -> i64 {
        let Some(past) = layer.checked_sub(1) else { return 0 };
        let grips = &self.grips[self.beats.beats[past].hands()];
        let states = self.rooms.of_beat(past).flat_map(|before| {
            let states = self.rooms.states_of(past, before).enumerate();
            states.filter(move |(at, _)| self.rooms.onto(past, before, *at) == room)
        });
        let best = states.map(|(at, state)| self.moved(past, grips[at], grip) + forward[state]);
        best.min().unwrap_or(0)
    }

    /// The least that a hand costs that a beat without seams may not be able to take.
    pub fn through(&self, forward: &[i64], layer: usize, hand: Hand) -> i64 {
        let grip = Grip::of(hand);
        let around = self.rooms.of_beat(layer).map(|room| {
            // Nobody remembers what a beat without seams does.
            let next = self.rooms.onto(layer, room, 0);
            self.before(forward, (layer, room), grip) + self.after(layer, next, grip)
        });
        own_cost(self.costs, self.beats, layer, hand) + around.min().unwrap_or(0)
    }

    /// The cheapest hand of each layer, the smallest of equals; and the price
    /// of all.
    pub fn cheapest(&self, plan: &RightPlan) -> (Vec<Hand>, i64) {
        let ranks = ranks(plan);
        let mut chosen: Vec<Hand> = Vec::with_capacity(self.beats.beats.len());
        let mut before: Option<Grip> = None;
        let (mut room, mut price) = (0, None);
        for (layer, beat) in self.beats.beats.iter().enumerate() {
            let states = self.rooms.states_of(layer, room);
            let best = beat
                .hands()
                .zip(states)
                .enumerate()
                .map(|(at, (hand, state))| {
                    let moved =
                        before.map_or(0, |before| self.moved(layer - 1, before, self.grips[hand]));
                    let rank = self.beats.hands[hand]
                        .fingers()
                        .fold(0u64, |rank, f| rank << 3 | u64::from(ranks[usize::from(f)]));
                    (self.onward[state] + moved, rank, hand, at)
                })
                .min();
            let Some((total, _, hand, at)) = best else { continue };
            price.get_or_insert(total);
            before = Some(self.grips[hand]);
            room = self.rooms.onto(layer, room, at);
            chosen.push(self.beats.hands[hand]);
        }
        (chosen, price.unwrap_or(0))
    }

    /// Every item of the effort of a way.
    pub fn bill(&self, music: &Music, way: &[Hand]) -> Vec<EffortItem> {
        let mut items: Vec<EffortItem> = Vec::new();
        for (layer, hand) in way.iter().enumerate() {
            let first = items.len();
            let at = music.layers[self.beats.beats[layer].layer].onset;
            let mut add = |term: Term, amount: i64| {
                if amount == 0 {
                    return;
                }
                match items[first..].iter_mut().find(|item| item.term == term) {
                    Some(item) => item.amount += amount,
                    None => items.push(EffortItem { term, at, amount }),
                }
            };
            self.costs.own(self.beats, layer, *hand, &mut add);
            let mut moved = |from: usize, step: &Step| {
                let grips = (Grip::of(way[from]), Grip::of(*hand));
                self.costs.move_terms(step, grips, &mut add);
            };
            if let Some(before) = layer.checked_sub(1)
                && let Some(step) = &self.playing.steps[before]
            {
                moved(before, step);
            }
            for seam in self.playing.seams.iter().filter(|seam| seam.to == layer) {
                moved(seam.from, &seam.step);
            }
        }
        items
    }
}

fn own_cost(costs: &Costs<'_>, beats: &Beats, layer: usize, hand: Hand) -> i64 {
    let mut cost = 0;
    costs.own(beats, layer, hand, |_, amount| cost += amount);
    cost
}

/// p first, then the pair in its order, then the others in the order i m a.
fn ranks(plan: &RightPlan) -> [u8; 4] {
    [0, 1, 2, 3].map(|finger| match plan.pair.iter().position(|own| *own as u8 == finger) {
        _ if finger == THUMB => 0,
        Some(place) => 1 + place as u8,
        None => 3 + finger,
    })
}
