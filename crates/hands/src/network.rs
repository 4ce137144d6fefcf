//! The states and moves of a solved problem as a plain network, so that an
//! outside solver can look for the cheapest way through the same graph.

use crate::moves::{Standing, own};
use crate::solved::Solved;
use crate::stage::{Choice, Stage};

/// A layered graph. Its nodes are the states of the hand that leave out and
/// break as little as can be, numbered layer by layer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Network {
    /// How many nodes each layer has.
    pub layers: Vec<u32>,
    /// What it costs to begin with each node of the first layer.
    pub first: Vec<i64>,
    /// Moves: from a node to one of the next layer, and the effort of the move
    /// and of the posture it leads to.
    pub moves: Vec<(u32, u32, i64)>,
}

impl Solved<'_> {
    /// The graph that was searched. It is far larger than what the search
    /// keeps: every move is written out.
    pub fn network(&self) -> Network {
        let (ground, stages) = (&self.weighed.ground, &self.weighed.stages);
        let nodes: Vec<Vec<Choice>> = stages.iter().map(choices).collect();
        let layers: Vec<u32> = nodes.iter().map(|layer| layer.len() as u32).collect();
        let first = nodes.first().map_or_else(Vec::new, |layer| {
            layer.iter().map(|choice| own(ground, stages[0].state(*choice))).collect()
        });
        let mut moves = Vec::new();
        let mut start = 0;
        for (layer, pair) in nodes.windows(2).enumerate() {
            let (here, next) = (&stages[layer], &stages[layer + 1]);
            for (from, choice) in pair[0].iter().enumerate() {
                let standing = Standing::of(ground, layer, here, *choice, next);
                let ways = &next.inlets[here.grip(*choice).onward as usize].ways;
                for (to, after) in pair[1].iter().enumerate() {
                    let bucket = next.grip(*after).bucket;
                    let Some((_, cut)) = ways.iter().find(|(way, _)| *way == bucket) else {
                        continue;
                    };
                    if matches!(after, Choice::Air(_, tag) if usize::from(*tag) != standing.tag) {
                        continue;
                    }
                    let state = next.state(*after);
                    let cost = cut + standing.to(ground, state) + own(ground, state);
                    moves.push((start + from as u32, start + layers[layer] + to as u32, cost));
                }
            }
            start += layers[layer];
        }
        Network { layers, first, moves }
    }
}

fn choices(stage: &Stage) -> Vec<Choice> {
    let stopped = (0..stage.states.len() as u32).map(Choice::Stopped);
    let air = (0..stage.air.len() as u32)
        .flat_map(|index| (0..stage.tags.len() as u16).map(move |tag| Choice::Air(index, tag)));
    stopped.chain(air).collect()
}
