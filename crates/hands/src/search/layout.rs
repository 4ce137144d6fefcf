//! Lays out the stages: every state a layer may have, from what comes into it.

use std::sync::Arc;

use super::grips::TooMany;
use super::ground::Ground;
use super::laid::{self, Laid};
use super::offers;
use super::sheets::Sheets;
use super::stage::{MOST_HELD, Sounding, Stage};
use crate::hand::POSITIONS;

/// The layer at which the search had to give up.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct GaveUp(pub usize);

/// Lays out every layer.
///
/// Faults never depend on what went before: letting go of everything is always
/// possible, and holding something only takes choices away. So the least faults
/// of a piece are the least of each layer added up, and only postures with just
/// these need to be looked at.
pub(crate) fn lay_out(ground: &Ground, sheets: &mut Sheets) -> Result<Vec<Stage>, GaveUp> {
    let mut stages: Vec<Stage> = Vec::with_capacity(ground.music.layers.len());
    let mut incoming: Arc<[Sounding]> = Arc::new([0]);
    for layer in 0..ground.music.layers.len() {
        let stage = lay(ground, sheets, layer, incoming, stages.last())?;
        incoming = Arc::clone(&stage.laid.leads_to);
        stages.push(stage);
    }
    Ok(stages)
}

/// Lays out some layers again, given in order, and those after them as far as
/// something else comes into them than before. Gives all that were laid, in
/// order.
pub(crate) fn lay_again(
    ground: &Ground,
    sheets: &mut Sheets,
    stages: &mut [Stage],
    layers: &[usize],
) -> Result<Vec<usize>, GaveUp> {
    let mut laid: Vec<usize> = Vec::new();
    for first in layers {
        let mut layer = *first;
        if laid.last().is_some_and(|last| *last >= layer) {
            continue;
        }
        let mut incoming = Arc::clone(&stages[layer].incoming);
        loop {
            let (before, after) = stages.split_at_mut(layer);
            let stage = lay(ground, sheets, layer, incoming, before.last())?;
            let same = stage.offers_the_same(&after[0], layer, ground);
            let onward = Arc::clone(&stage.laid.leads_to);
            after[0] = stage;
            laid.push(layer);
            let [_, next, ..] = after else { break };
            if same && next.incoming == onward {
                break;
            }
            layer += 1;
            incoming = onward;
        }
    }
    Ok(laid)
}

fn lay(
    ground: &Ground,
    sheets: &mut Sheets,
    layer: usize,
    mut incoming: Arc<[Sounding]>,
    before: Option<&Stage>,
) -> Result<Stage, GaveUp> {
    if ground.music.layers[layer].held.len() > MOST_HELD {
        return Err(GaveUp(layer));
    }
    if !ground.music.is_reached(layer) {
        incoming = Arc::new([0]);
    }
    stage(ground, sheets, layer, incoming, before).map_err(|TooMany| GaveUp(layer))
}

/// Builds the stage of a layer from what comes into it.
fn stage(
    ground: &Ground,
    sheets: &mut Sheets,
    layer: usize,
    incoming: Arc<[Sounding]>,
    before: Option<&Stage>,
) -> Result<Stage, TooMany> {
    let faults = sheets.least_faults(ground, ground.rules[layer])?;
    let mut stage = Stage {
        faults,
        incoming,
        laid: Arc::new(Laid::default()),
        tags: Vec::new(),
        tag_of_position: [0; POSITIONS],
        tag_after: Vec::new(),
        rise: 0,
        totals: Arc::new([]),
    };
    let tags = stage.tag(ground, layer, before);
    let offered =
        before.map_or_else(Default::default, |before| offers::offered(ground, layer, before));
    let takes = (&offered, tags);
    stage.laid = laid::lay(ground, sheets, (layer, faults), &stage.incoming, takes)?;
    Ok(stage)
}

impl Stage {
    /// Whether what the next stage makes of this one is what it made of another:
    /// its memories and the fingers that may stay.
    fn offers_the_same(&self, other: &Self, layer: usize, ground: &Ground) -> bool {
        let next = layer + 1;
        if next >= ground.music.layers.len() {
            return true;
        }
        self.tags == other.tags
            && self.may_be_idle() == other.may_be_idle()
            && self.positions() == other.positions()
            && offers::offered(ground, next, self) == offers::offered(ground, next, other)
    }

    fn positions(&self) -> u32 {
        self.stands.iter().fold(0, |set, stand| set | stand.positions())
    }
}
