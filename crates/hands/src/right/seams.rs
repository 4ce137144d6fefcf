//! The beats in the order in which they are played: what follows what (model §6).

use apoyando_music::{BarIndex, Moment};

use super::Asked;
use super::beat::Beats;
use super::cost::{Costs, Step};
use crate::heard::order::Order;

/// A move to a beat that is not written next.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seam {
    pub from: usize,
    pub to: usize,
    pub step: Step,
}

impl Seam {
    /// The one of its beats that is written first.
    pub fn near(&self) -> usize {
        self.from.min(self.to)
    }

    /// The one of its beats that is written last.
    pub fn far(&self) -> usize {
        self.from.max(self.to)
    }
}

/// Which beats follow one another.
#[derive(Debug)]
pub(super) struct Playing {
    /// From every beat but the last to the next, where that is reached.
    pub steps: Vec<Option<Step>>,
    pub seams: Vec<Seam>,
}

impl Playing {
    pub fn of(asked: &Asked<'_>, beats: &Beats, costs: &Costs<'_>) -> Self {
        let layer = |beat: usize| &asked.music.layers[beats.beats[beat].layer];
        let onsets: Vec<(BarIndex, Moment)> =
            (0..beats.beats.len()).map(|beat| (layer(beat).bar, layer(beat).onset)).collect();
        let order = Order::of(asked.problem.score, &onsets);
        let steps = (1..onsets.len())
            .map(|to| {
                let time = || (asked.time)(beats.beats[to - 1].layer, beats.beats[to].layer);
                order.is_reached(to).then(|| costs.step(beats, (to - 1, to), time()))
            })
            .collect();
        let seams = order.seams.iter().map(|seam| {
            let time = asked.clock.lasting(onsets[seam.from].1, seam.lasts);
            let step = costs.step(beats, (seam.from, seam.to), time);
            Seam { from: seam.from, to: seam.to, step }
        });
        Self { steps, seams: seams.collect() }
    }

    /// The earlier beats that a seam joins with a beat or with one after it, in order. They are
    /// few: repeats are never nested, every segno is that of the jumps nearest to it, and
    /// a coda is gone to once.
    pub fn remembered(&self, beat: usize) -> Vec<usize> {
        let over = self.seams.iter().filter(|seam| seam.near() < beat && beat <= seam.far());
        let mut beats: Vec<usize> = over.map(Seam::near).collect();
        beats.sort_unstable();
        beats.dedup();
        beats
    }
}
