//! What the walk has found: the ways through all layers, and the best of them.

use crate::grip::Posture;
use crate::question::Question;
use crate::ties::rank;
use crate::whole::Cost;

/// The least that is spent to come to a state, and the ways to it: from a state
/// of the layer before, if there is one, at a cost.
pub struct Reached {
    pub spent: Cost,
    pub from: Vec<(Option<usize>, Cost)>,
}

pub struct Best {
    pub price: Cost,
    pub way: Vec<Posture>,
}

/// Postures of all layers, with what leads from one to the next.
pub struct Ways<'a> {
    pub q: &'a Question<'a>,
    pub postures: Vec<Vec<Posture>>,
    pub reached: Vec<Vec<Reached>>,
}

impl Ways<'_> {
    /// The least cost from each posture to the end; none if a posture is not
    /// asked for, or none that is follows.
    fn to_end(&self, asked: &dyn Fn(&Posture) -> bool) -> Vec<Vec<Option<Cost>>> {
        let mut to_end: Vec<Vec<Option<Cost>>> =
            self.postures.iter().map(|layer| vec![None; layer.len()]).collect();
        for layer in (0..self.postures.len()).rev() {
            for index in 0..self.postures[layer].len() {
                if layer + 1 == self.postures.len() {
                    to_end[layer][index] = Some(Cost::default());
                }
                if !asked(&self.postures[layer][index]) {
                    to_end[layer][index] = None;
                }
                let Some(rest) = to_end[layer][index] else { continue };
                for (from, cost) in &self.reached[layer][index].from {
                    if let Some(from) = *from {
                        let known = &mut to_end[layer - 1][from];
                        let through = *cost + rest;
                        *known = Some(known.map_or(through, |known| known.min(through)));
                    }
                }
            }
        }
        to_end
    }

    /// For each posture of a layer the least that a whole sequence with it costs
    /// (model §8: all before it, itself, and all after it).
    pub fn through(&self, layer: usize) -> Vec<(&Posture, Option<Cost>)> {
        let to_end = self.to_end(&|_| true);
        (0..self.postures[layer].len())
            .map(|index| {
                let spent = self.reached[layer][index].spent;
                (&self.postures[layer][index], to_end[layer][index].map(|rest| spent + rest))
            })
            .collect()
    }

    /// Some sequence, from its end to its beginning as `pick` picks one of so many,
    /// with what it has cost.
    pub fn some(&self, pick: &mut dyn FnMut(usize) -> usize) -> (Vec<Posture>, Cost) {
        let mut way = Vec::new();
        let mut cost = Cost::default();
        let mut here = pick(self.postures[self.postures.len() - 1].len());
        for layer in (0..self.postures.len()).rev() {
            way.push(self.postures[layer][here].clone());
            let before = &self.reached[layer][here].from;
            let (from, step) = before[pick(before.len())];
            cost = cost + step;
            here = from.unwrap_or_default();
        }
        way.reverse();
        (way, cost)
    }

    /// The best of the sequences of postures asked for, the first in the order
    /// of ties.
    pub fn best(&self, asked: &dyn Fn(&Posture) -> bool) -> Option<Best> {
        let to_end = self.to_end(asked);
        let entries = self.reached.first()?.iter().zip(&to_end[0]);
        let price = entries.filter_map(|(reached, rest)| Some(reached.spent + (*rest)?)).min()?;
        let mut way: Vec<Posture> = Vec::new();
        let (mut came, mut spent) = (None, Cost::default());
        for (layer, rests) in to_end.iter().enumerate() {
            // From the last posture, those that cost no more than the price.
            let mut next: Vec<(usize, Cost)> = Vec::new();
            for (index, rest) in rests.iter().enumerate() {
                let Some(rest) = *rest else { continue };
                let steps =
                    self.reached[layer][index].from.iter().filter(|(from, _)| *from == came);
                let costs =
                    steps.map(|(_, cost)| *cost).filter(|cost| spent + *cost + rest == price);
                next.extend(costs.map(|cost| (index, cost)));
            }
            let posture = |index: usize| &self.postures[layer][index];
            let (index, cost) = next
                .into_iter()
                .min_by_key(|(index, _)| (rank(self.q, posture(*index)), posture(*index).bound))
                .expect("a best way");
            (came, spent) = (Some(index), spent + cost);
            way.push(posture(index).clone());
        }
        Some(Best { price, way })
    }
}
