//! The cheapest way from beat to beat: complete dynamic programming, both
//! directions kept.

use apoyando_fingering::{EffortItem, RightPlan, Term};

use crate::heard::Music;

use super::beat::Beats;
use super::cost::{Costs, Grip, Step};
use super::hand::{Hand, THUMB};

/// Dearer than any right hand that is not barred: beats and terms are counted in
/// 32 bits.
const BARRED: i64 = i64::MAX / 4;

/// Every hand of every layer with its price, side by side.
pub(super) struct Table<'a> {
    pub beats: &'a Beats,
    pub costs: &'a Costs<'a>,
    pub steps: Vec<Step>,
    grips: Vec<Grip>,
    own: Vec<i64>,
    /// Hands that a beat is not to take.
    barred: Vec<bool>,
    /// From a hand to the end, the hand included.
    onward: Vec<i64>,
}

impl<'a> Table<'a> {
    pub fn new(
        beats: &'a Beats,
        costs: &'a Costs<'a>,
        milliseconds: &dyn Fn(usize, usize) -> i64,
    ) -> Self {
        let steps = beats
            .beats
            .windows(2)
            .enumerate()
            .map(|(beat, pair)| costs.step(beats, beat, milliseconds(pair[0].layer, pair[1].layer)))
            .collect();
        let mut own = Vec::with_capacity(beats.hands.len());
        for (layer, beat) in beats.beats.iter().enumerate() {
            own.extend(
                beats.hands[beat.hands()].iter().map(|hand| own_cost(costs, beats, layer, *hand)),
            );
        }
        let grips = beats.hands.iter().map(|hand| Grip::of(*hand)).collect();
        let (onward, barred) = (vec![0; own.len()], vec![false; own.len()]);
        let mut table = Self { beats, costs, steps, grips, own, barred, onward };
        table.look_onward();
        table
    }

    /// Works out what everything costs from each hand to the end.
    pub fn look_onward(&mut self) {
        for layer in (0..self.beats.beats.len()).rev() {
            for hand in self.beats.beats[layer].hands() {
                let after =
                    if self.barred[hand] { BARRED } else { self.after(layer, self.grips[hand]) };
                self.onward[hand] = self.own[hand] + after;
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

    /// The least that everything after a layer costs from one of its hands.
    pub fn after(&self, layer: usize, grip: Grip) -> i64 {
        let Some(step) = self.steps.get(layer) else { return 0 };
        let next = self.beats.beats[layer + 1].hands();
        let best = self.grips[next.clone()]
            .iter()
            .zip(&self.onward[next])
            .map(|(other, onward)| self.costs.moved(step, grip, *other) + onward);
        best.min().unwrap_or(0)
    }

    /// From the beginning to each hand, the hand included.
    pub fn forward(&self) -> Vec<i64> {
        let mut forward = self.own.clone();
        for (layer, beat) in self.beats.beats.iter().enumerate() {
            for hand in beat.hands() {
                forward[hand] += self.before(&forward, layer, self.grips[hand]);
            }
        }
        forward
    }

    /// The least that everything before a layer costs up to one of its hands.
    pub fn before(&self, forward: &[i64], layer: usize, grip: Grip) -> i64 {
        let Some(step) = layer.checked_sub(1).map(|before| &self.steps[before]) else { return 0 };
        let past = self.beats.beats[layer - 1].hands();
        let best = self.grips[past.clone()]
            .iter()
            .zip(&forward[past])
            .map(|(other, forward)| self.costs.moved(step, *other, grip) + forward);
        best.min().unwrap_or(0)
    }

    /// The cheapest hand of each layer, the smallest of equals; and the price
    /// of all.
    pub fn cheapest(&self, plan: &RightPlan) -> (Vec<Hand>, i64) {
        let ranks = ranks(plan);
        let mut chosen: Vec<Hand> = Vec::with_capacity(self.beats.beats.len());
        let mut before: Option<Grip> = None;
        let mut price = None;
        for (layer, beat) in self.beats.beats.iter().enumerate() {
            let best = beat
                .hands()
                .map(|hand| {
                    let moved = before.map_or(0, |before| {
                        self.costs.moved(&self.steps[layer - 1], before, self.grips[hand])
                    });
                    let rank = self.beats.hands[hand]
                        .fingers()
                        .fold(0u64, |rank, f| rank << 3 | u64::from(ranks[usize::from(f)]));
                    (self.onward[hand] + moved, rank, hand)
                })
                .min();
            let Some((total, _, hand)) = best else { continue };
            price.get_or_insert(total);
            before = Some(self.grips[hand]);
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
            if let Some(before) = layer.checked_sub(1) {
                let grips = (Grip::of(way[before]), Grip::of(*hand));
                self.costs.move_terms(&self.steps[before], grips, &mut add);
            }
        }
        items
    }
}

pub(super) fn own_cost(costs: &Costs<'_>, beats: &Beats, layer: usize, hand: Hand) -> i64 {
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
