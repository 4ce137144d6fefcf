//! Seams (model §5): a passage played again is come to from elsewhere.
//!
//! What a seam costs depends on the hand at both its ends, which may be far
//! apart. It is settled by assuming how the hand begins at the later end: under
//! such an assumption the cost of a seam depends on its earlier end alone.

use std::collections::BTreeMap;

use crate::hand::shifting::{Shifting, shifting};
use crate::heard::{SeamAt, hurry};

use super::ground::Ground;
use super::settle::Settled;
use super::stage::{Choice, Stage, Tag};

/// How the hand begins where a seam ends.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(crate) struct Begins {
    /// The position of the first posture there that is not idle; 0 if there is
    /// none.
    pub position: u8,
    /// Whether it is idle at first.
    pub idle: bool,
}

/// What is assumed of the ends of seams; seams that end elsewhere cost nothing.
///
/// Where nothing is assumed, what is found is a lower bound, and exact if there
/// are no seams.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Fixed {
    /// By the layer at which a seam ends.
    begins: BTreeMap<usize, Begins>,
    /// The states of a layer that are left, in order.
    only: Option<(usize, Vec<Choice>)>,
}

impl Fixed {
    /// Of the states of one layer only some are left.
    pub fn only(mut self, only: Option<(usize, &[Choice])>) -> Self {
        self.only = only.map(|(layer, choices)| {
            let mut choices = choices.to_vec();
            choices.sort_unstable();
            (layer, choices)
        });
        self
    }

    /// With one more assumption.
    pub fn and(&self, end: usize, begins: Begins) -> Self {
        let mut fixed = self.clone();
        fixed.begins.insert(end, begins);
        fixed
    }

    /// What is assumed of an end.
    pub fn at(&self, end: usize) -> Option<Begins> {
        self.begins.get(&end).copied()
    }

    /// What a state pays for the seams that begin after it.
    pub fn leaving(&self, ground: &Ground, layer: usize, stage: &Stage, choice: Choice) -> i64 {
        if self.begins.is_empty() {
            return 0;
        }
        let before = (stage.position(choice), stage.is_idle(choice));
        let seams = ground.music.order.seams.iter().filter(|seam| seam.from == layer);
        let costs = seams.filter_map(|seam| {
            let begins = self.at(seam.to)?;
            shift(ground, seam, before, begins).map(Shifting::sum)
        });
        costs.sum()
    }

    /// Whether a state agrees with what is assumed.
    pub fn allows(&self, ground: &Ground, layer: usize, stage: &Stage, choice: Choice) -> bool {
        if let Some((only, choices)) = &self.only
            && *only == layer
            && choices.binary_search(&choice).is_err()
        {
            return false;
        }
        if self.begins.is_empty() {
            return true;
        }
        let idle = stage.is_idle(choice);
        if let Some(begins) = self.at(layer)
            && (begins.idle != idle || (!idle && begins.position != stage.position(choice)))
        {
            return false;
        }
        if !idle || layer + 1 < ground.music.layers.len() {
            return true;
        }
        // It is idle to the end.
        let tag = &stage.tags[usize::from(choice.lane)];
        self.passed(tag, layer + 1).all(|begins| begins.position == 0)
    }

    /// Whether an idle hand may stop at a layer in a position, by what is assumed
    /// of the ends at which it has been idle.
    pub fn closes(&self, tag: &Tag, layer: usize, position: u8) -> bool {
        self.begins.is_empty() || self.passed(tag, layer).all(|begins| begins.position == position)
    }

    /// What is assumed of the ends before a layer at which the hand has been
    /// idle since.
    fn passed(&self, tag: &Tag, layer: usize) -> impl Iterator<Item = Begins> + use<'_> {
        let from = (tag.open as usize).min(layer);
        self.begins.range(from..layer).map(|(_, begins)| *begins)
    }
}

/// The shift of a seam between a hand, idle or not, in a position, and how it
/// begins again; `None` if it does not shift.
pub(crate) fn shift(
    ground: &Ground,
    seam: &SeamAt,
    (from, idle): (u8, bool),
    begins: Begins,
) -> Option<Shifting> {
    let to = begins.position;
    if from == 0 || to == 0 || from == to {
        return None;
    }
    let open = if idle || begins.idle { ground.table.ease_open } else { 0 };
    let ease = i64::from(ground.table.ease_phrase + open);
    let at = ground.music.layers[seam.from].onset;
    let hurry = hurry(ground.clock.lasting(at, seam.lasts));
    Some(shifting((&ground.geometry, &ground.table), (from, to), hurry, ease))
}

/// How the hand of a way begins at a layer.
pub(crate) fn begins(stages: &[Stage], way: &[Choice], layer: usize) -> Begins {
    let idle = |layer: &usize| stages[*layer].is_idle(way[*layer]);
    let stopped = (layer..way.len()).find(|layer| !idle(layer));
    Begins {
        position: stopped.map_or(0, |layer| stages[layer].position(way[layer])),
        idle: idle(&layer),
    }
}

/// All that a way does at the ends of seams, assumed.
pub(crate) fn all_assumed(ground: &Ground, stages: &[Stage], settled: &Settled) -> Fixed {
    let mut fixed = settled.fixed.clone();
    for seam in &ground.music.order.seams {
        fixed.begins.insert(seam.to, begins(stages, &settled.way, seam.to));
    }
    fixed
}

/// What the seams of a way cost that nothing is assumed of, and the end at which
/// most of it is.
pub(crate) fn unpaid(
    ground: &Ground,
    stages: &[Stage],
    way: &[Choice],
    fixed: &Fixed,
) -> Option<(usize, i64)> {
    let mut by_end: BTreeMap<usize, i64> = BTreeMap::new();
    for seam in ground.music.order.seams.iter().filter(|seam| fixed.at(seam.to).is_none()) {
        let (stage, choice) = (&stages[seam.from], way[seam.from]);
        let before = (stage.position(choice), stage.is_idle(choice));
        if let Some(shift) = shift(ground, seam, before, begins(stages, way, seam.to)) {
            *by_end.entry(seam.to).or_default() += shift.sum();
        }
    }
    let sum: i64 = by_end.values().sum();
    let (end, _) = by_end.into_iter().max_by_key(|(_, cost)| *cost)?;
    (sum > 0).then_some((end, sum))
}
