//! Prices that are known already: of a layer that is like an earlier one, goes on
//! to one like the next, and to prices like those.
//!
//! What comes after a passage hardly matters for what a hand does long before,
//! and prices are kept above the least of their layer. So where music comes
//! again, its prices soon come out as they were, and from there on nothing has
//! to be worked out until the music is another.

use std::collections::HashMap;
use std::sync::Arc;

use crate::hand::POSITIONS;

use super::ground::{Ground, Step};
use super::laid::Laid;
use super::seams::Fixed;
use super::stage::{Stage, Tag};

/// All that the prices of a layer depend on. Laid out states and prices that are
/// shared are known by where they are kept.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
struct Case {
    here: *const Laid,
    next: *const Laid,
    after: *const i32,
    step: Step,
    /// Whether a stand of the next layer has to remember something.
    remembers: bool,
    /// The memories of an idle hand: its position and the hurry of the time since.
    tags: Vec<(u8, usize)>,
    tag_of_position: [u16; POSITIONS],
    tag_after: Vec<u16>,
}

/// The layers that have been priced.
#[derive(Debug, Default)]
pub(crate) struct Known {
    layers: HashMap<Case, usize>,
    /// By states, the layers whose prices were worked out anew.
    priced: HashMap<*const Laid, Vec<usize>>,
}

impl Known {
    /// Prices a layer, the next one being priced, as another one was priced
    /// before; else by working it out.
    pub fn price(
        &mut self,
        (ground, fixed): (&Ground, &Fixed),
        (layer, stages): (usize, &mut [Stage]),
        work_out: impl FnOnce(&mut [Stage]),
    ) {
        let Some(case) = Case::of(ground, fixed, layer, stages) else {
            work_out(stages);
            return;
        };
        if let Some(known) = self.layers.get(&case) {
            let (rise, totals) = (stages[*known].rise, Arc::clone(&stages[*known].totals));
            if cfg!(debug_assertions) {
                work_out(stages);
                let anew = (stages[layer].rise, &stages[layer].totals);
                assert_eq!(anew, (rise, &totals), "the case says all");
            }
            (stages[layer].rise, stages[layer].totals) = (rise, totals);
            return;
        }
        work_out(stages);
        let priced = self.priced.entry(case.here).or_default();
        // The same prices may come out of another case.
        match priced.iter().find(|other| stages[**other].totals == stages[layer].totals) {
            Some(other) => stages[layer].totals = Arc::clone(&stages[*other].totals),
            None => priced.push(layer),
        }
        self.layers.insert(case, layer);
    }
}

impl Case {
    /// `None` if more than this matters: a seam, a cut, a join.
    fn of(ground: &Ground, fixed: &Fixed, layer: usize, stages: &[Stage]) -> Option<Self> {
        let (stage, next) = (&stages[layer], stages.get(layer + 1)?);
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
            after: next.totals.as_ptr(),
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
