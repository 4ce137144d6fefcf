//! Prices that are known already: of a layer that is like an earlier one, goes on
//! to one like the next, and to prices like those.
//!
//! What comes after a passage hardly matters for what a hand does long before,
//! and prices are kept above the least of their layer. So where music comes
//! again, its prices soon come out as they were, and from there on nothing has
//! to be worked out until the music is another.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::hand::POSITIONS;

use super::ground::{Ground, Step};
use super::laid::Laid;
use super::seams::Fixed;
use super::stage::{Stage, Tag};

/// All that the prices of a layer depend on. Laid out states and prices that are
/// shared are known by where they are kept.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Case {
    here: *const Laid,
    next: *const Laid,
    /// The prices gone on from: of the next layer if they are those to the end,
    /// of this one if they are those from the start.
    from: *const i32,
    step: Step,
    /// Whether a stand of the next layer has to remember something.
    remembers: bool,
    /// The memories of an idle hand: its position and the hurry of the time since.
    tags: Vec<(u8, usize)>,
    tag_of_position: [u16; POSITIONS],
    tag_after: Vec<u16>,
}

/// Prices above the least, and the least above that of the layer gone on from.
pub(crate) type Prices = (i64, Arc<[i32]>);

/// In pieces of so many layers at the most, builds with assertions work out again
/// what is known and compare; in longer ones that would take too long.
pub(crate) const COMPARED: usize = 64;

/// What has been priced, of the same stages under whatever assumptions.
#[derive(Debug, Default)]
pub(crate) struct Known {
    /// With the table gone on from, kept so that no other one takes its place in
    /// memory.
    prices: FxHashMap<Case, (Prices, Arc<[i32]>)>,
    /// All tables there are, by their states.
    tables: FxHashMap<*const Laid, Vec<Arc<[i32]>>>,
}

impl Known {
    /// The prices of a case, if it has come before.
    pub fn get(&self, case: &Case) -> Option<Prices> {
        self.prices.get(case).map(|(prices, _)| prices.clone())
    }

    /// Keeps the prices of a case, of some states. The same table may come out of
    /// another case; then that one is shared.
    pub fn keep(
        &mut self,
        (case, from): (Case, &Arc<[i32]>),
        states: *const Laid,
        (least, table): Prices,
    ) -> Prices {
        let tables = self.tables.entry(states).or_default();
        let table = match tables.iter().find(|other| **other == table) {
            Some(other) => Arc::clone(other),
            None => {
                tables.push(Arc::clone(&table));
                table
            }
        };
        let prices = (least, table);
        self.prices.insert(case, (prices.clone(), Arc::clone(from)));
        prices
    }
}

impl Case {
    /// The move from a layer to the next, gone on from a table of prices. `None` if
    /// more than this matters: a seam, a cut, a join.
    pub fn of(
        (ground, fixed): (&Ground, &Fixed),
        layer: usize,
        (stage, next): (&Stage, &Stage),
        from: &[i32],
    ) -> Option<Self> {
        let step = ground.steps[layer];
        let open = |stage: &Stage| stage.tags.iter().any(|tag| tag.open != Tag::NO_SEAM);
        let known = step.reached
            && ground.joins_into(layer + 1).is_empty()
            && !open(stage)
            && !open(next)
            && !fixed.concerns(ground, layer);
        known.then(|| Self {
            here: Arc::as_ptr(&stage.laid),
            next: Arc::as_ptr(&next.laid),
            from: from.as_ptr(),
            step,
            remembers: ground.steps.get(layer + 1).is_some_and(|step| step.leap > 0),
            tags: stage
                .tags
                .iter()
                .map(|tag| (tag.position, ground.hurry_since(tag, layer + 1)))
                .collect(),
            tag_of_position: next.tag_of_position,
            tag_after: next.tag_after.clone(),
        })
    }
}
