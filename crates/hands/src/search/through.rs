//! The best way through chosen states of one layer.

use std::cmp::Ordering;

use super::from_start::FromStart;
use super::moves::Mover;
use super::solution::Search;
use super::stage::Choice;
use super::walk;

impl Search {
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
        walk::finish((&self.ground, &self.fixed), &self.stages, &mut way);
        way
    }

    /// The states of the layer before from which one of these is reached as
    /// cheaply as can be.
    fn before(&self, tables: &[FromStart], layer: usize, states: &[Choice]) -> Vec<Choice> {
        self.stages[layer - 1]
            .choices()
            .filter(|s| {
                let mover = self.mover(layer - 1, *s);
                states.iter().any(|n| self.leads(tables, layer, (&mover, *s), *n))
            })
            .collect()
    }

    fn mover(&self, layer: usize, choice: Choice) -> Mover<'_> {
        let stages = (&self.stages[layer], &self.stages[layer + 1]);
        Mover::new((&self.ground, &self.fixed), layer, stages, choice)
    }

    /// Whether a cheapest way to a state of a layer leads through one of the
    /// layer before.
    fn is_cheapest(&self, tables: &[FromStart], layer: usize, s: Choice, n: Choice) -> bool {
        self.leads(tables, layer, (&self.mover(layer - 1, s), s), n)
    }

    fn leads(
        &self,
        tables: &[FromStart],
        layer: usize,
        (mover, s): (&Mover<'_>, Choice),
        n: Choice,
    ) -> bool {
        let (before, stage) = (&self.stages[layer - 1], &self.stages[layer]);
        let (Some(from), Some(to)) = (tables[layer - 1].to(before, s), tables[layer].to(stage, n))
        else {
            return false;
        };
        let (ground, fixed) = (&self.ground, &self.fixed);
        if from > to || !fixed.allows(ground, layer - 1, before, s) {
            return false;
        }
        let own = before.own(s).unwrap_or(0) + fixed.leaving(ground, layer - 1, before, s);
        mover.to(n).is_some_and(|cost| from + own + cost == to)
    }
}
