//! The best way through chosen states of one layer.

use std::cmp::Ordering;

use crate::from_start::FromStart;
use crate::moves::{NEVER, Standing, own};
use crate::solved::Weighed;
use crate::stage::{Choice, Stage};
use crate::walk;

/// Every state of a stage.
pub(crate) fn choices(stage: &Stage) -> impl Iterator<Item = Choice> + '_ {
    let stopped = (0..stage.states.len() as u32).map(Choice::Stopped);
    let air = (0..stage.air.len() as u32)
        .flat_map(|index| (0..stage.tags.len() as u16).map(move |tag| Choice::Air(index, tag)));
    stopped.chain(air)
}

impl Weighed<'_> {
    /// The cheapest way through one of some states of a layer that all have the
    /// same price, and the smallest of the ways that are as cheap (model §5).
    ///
    /// From the layer backwards the states from which one of them is reached
    /// as cheaply as can be are marked. Where the state of the best way is the
    /// only one marked, the best way up to it is the smallest: were there a
    /// smaller one as cheap, the best way would begin with that.
    pub fn through(&self, tables: &[FromStart], layer: usize, states: Vec<Choice>) -> Vec<Choice> {
        let mut marked = vec![states];
        let mut first = layer;
        while first > 0 && marked.last().is_some_and(|m| m[..] != self.way[first..=first]) {
            let before = self.before(tables, first, marked.last().map_or(&[], Vec::as_slice));
            marked.push(before);
            first -= 1;
        }
        let mut way = self.way[..first].to_vec();
        for states in marked.iter().rev() {
            let layer = way.len();
            let last = way.last().copied();
            let reached = states.iter().copied().filter(|state| {
                last.is_none_or(|last| self.is_cheapest(tables, layer, last, *state))
            });
            let stage = &self.stages[layer];
            let smallest =
                reached.reduce(|a, b| match walk::compare(&self.ground, layer, stage, a, b) {
                    Ordering::Greater => b,
                    _ => a,
                });
            let Some(smallest) = smallest else { break };
            way.push(smallest);
        }
        walk::finish(&self.ground, &self.stages, &mut way);
        way
    }

    /// The states of the layer before from which one of these is reached as
    /// cheaply as can be.
    fn before(&self, tables: &[FromStart], layer: usize, states: &[Choice]) -> Vec<Choice> {
        choices(&self.stages[layer - 1])
            .filter(|s| states.iter().any(|n| self.is_cheapest(tables, layer, *s, *n)))
            .collect()
    }

    /// Whether a cheapest way to a state of a layer leads through one of the
    /// layer before.
    fn is_cheapest(&self, tables: &[FromStart], layer: usize, s: Choice, n: Choice) -> bool {
        let (ground, before, stage) = (&self.ground, &self.stages[layer - 1], &self.stages[layer]);
        let (from, to) = (tables[layer - 1].to(s), tables[layer].to(n));
        if from >= NEVER || from > to {
            return false;
        }
        let inlet = &stage.inlets[before.grip(s).onward as usize];
        let bucket = stage.grip(n).bucket;
        let Some((_, cut)) = inlet.ways.iter().find(|(b, _)| *b == bucket) else { return false };
        let standing = Standing::of(ground, layer - 1, before, s, stage);
        if matches!(n, Choice::Air(_, tag) if usize::from(tag) != standing.tag) {
            return false;
        }
        from + own(ground, standing.state) + cut + standing.to(ground, stage.state(n)) == to
    }
}
