//! The music, the costs and the rules of one problem, ready for the search.

use apoyando_fingering::{Pin, Problem};

use crate::clock::{Clock, hurry};
use crate::geometry::Geometry;
use crate::limits::{self, LayerLimits};
use crate::music::{Music, Role};
use crate::state::{Costs, Step};

/// What all stages need.
#[derive(Clone, Debug)]
pub(crate) struct Ground {
    pub music: Music,
    pub costs: Costs,
    pub limits: Vec<LayerLimits>,
    /// From every layer to the next.
    pub steps: Vec<Step>,
    pub level_extension: u8,
    clock: Clock,
}

impl Ground {
    /// Reads a problem whose numbers are in range.
    pub fn of(problem: &Problem<'_>, pins: &[Pin]) -> Self {
        let music = Music::read(problem.score, problem.part);
        let geometry = Geometry::of(problem.instrument, &problem.level.reach);
        let limits = limits::per_layer(problem, &music, &geometry, pins);
        let costs = Costs::new(geometry, problem.effort);
        let clock = Clock::of(problem.score);
        let level_extension = problem.level.extension;
        let mut ground = Self { music, costs, limits, steps: Vec::new(), level_extension, clock };
        ground.steps = ground.all_steps();
        ground
    }

    /// Milliseconds from one layer to a later one.
    pub fn time(&self, from: usize, to: usize) -> i64 {
        self.clock.milliseconds(self.music.layers[from].onset, self.music.layers[to].onset)
    }

    fn all_steps(&self) -> Vec<Step> {
        let music = &self.music;
        let mut latest = music.layers.first().map(|l| l.onset);
        (0..music.layers.len().saturating_sub(1))
            .map(|layer| {
                for sound in &music.sounds[music.layers[layer].struck()] {
                    latest = latest.max(Some(sound.written_end));
                }
                let hurry = hurry(self.time(layer, layer + 1));
                let rest = latest.is_some_and(|end| end < music.layers[layer + 1].onset);
                Step { hurry, since_stopped: hurry, rest }
            })
            .collect()
    }

    /// What letting go of a sound at a layer costs.
    pub fn let_go(&self, sound: usize, layer: usize) -> i64 {
        let (cut, ring) = self.let_go_terms(sound, layer);
        cut.1 + ring
    }

    /// The same as the cut, with the role it is for, and the ring.
    pub fn let_go_terms(&self, sound: usize, layer: usize) -> ((Role, i64), i64) {
        let sound = &self.music.sounds[sound];
        let table = &self.costs.table;
        let value = i64::from(match sound.role {
            Role::Melody => table.cut_melody,
            Role::Bass => table.cut_bass,
            Role::Inner => table.cut_inner,
        });
        let cut = if layer >= sound.written_until {
            0
        } else if layer >= sound.tail_from {
            value * i64::from(table.cut_tail) / 100
        } else {
            value
        };
        let rings = sound.wanted_end > sound.written_end && layer < sound.wanted_until;
        ((sound.role, cut), if rings { i64::from(table.ring) } else { 0 })
    }
}
