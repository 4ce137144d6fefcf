//! The states and moves of a solved problem as a plain network, so that an
//! outside solver can look for the cheapest way through the same graph.

use crate::solved::Solved;

use super::moves::Mover;
use super::stage::{Choice, Stage};
use super::to_end::begins_anew;

/// A layered graph. Its nodes are the states of the hand that leave out and
/// break as little as can be, numbered layer by layer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Network {
    /// How many nodes each layer has.
    pub layers: Vec<u32>,
    /// The nodes of the first layer that it may begin with, and what that costs.
    pub first: Vec<(u32, i64)>,
    /// Moves: from a node to one of the next layer, and the effort of the move
    /// and of the posture it leads to.
    pub moves: Vec<(u32, u32, i64)>,
}

impl Solved<'_> {
    /// The graph that was searched. It is far larger than what the search
    /// keeps: every move is written out. What seams cost is not in it.
    pub fn network(&self) -> Network {
        let search = &self.weighed.search;
        let stages = &search.stages;
        let nodes: Vec<Vec<Choice>> = stages.iter().map(|s| s.choices().collect()).collect();
        let layers: Vec<u32> = nodes.iter().map(|layer| layer.len() as u32).collect();
        let own = |stage: &Stage, choice: Choice| stage.own(choice).unwrap_or(0);
        let first = stages.first().map_or_else(Vec::new, |stage| {
            (0u32..)
                .zip(&nodes[0])
                .filter(|(_, choice)| begins_anew(stage, **choice))
                .map(|(node, choice)| (node, own(stage, *choice)))
                .collect()
        });
        let mut moves = Vec::new();
        let mut start = 0;
        for (layer, pair) in nodes.windows(2).enumerate() {
            let (here, next) = (&stages[layer], &stages[layer + 1]);
            let number = |choice: Choice| {
                start + layers[layer] + pair[1].partition_point(|other| *other < choice) as u32
            };
            for (from, choice) in (start..).zip(&pair[0]) {
                let kit = (&search.ground, &search.fixed);
                Mover::new(kit, layer, (here, next), *choice).each(|to, cost| {
                    moves.push((from, number(to), cost + own(next, to)));
                });
            }
            start += layers[layer];
        }
        Network { layers, first, moves }
    }
}
