//! Basses that stand alone in a single line (section 6).

use std::ops::RangeInclusive;

use apoyando_fingering::{Problem, RightFinger, RightPlan};

use super::struck::Beat;
use super::voices;
use crate::layers::Layers;
use crate::time::Clock;

/// Tells the beats that are basses, which go by the thumb.
pub(super) fn hear(problem: &Problem<'_>, plan: &RightPlan, all: &Layers<'_>, beats: &mut [Beat]) {
    if voices(all, problem).len() > 1 || plan.pair.contains(&RightFinger::P) {
        return;
    }
    let part = Part { all, beats, clock: Clock::of(all.score) };
    let scales = part.scales(problem);
    let accompanies = part.accompanies();
    let found: Vec<usize> = (0..beats.len())
        .filter(|own| {
            let beat = &part.beats[*own];
            let candidate = beat.is_line() && beat.lone().is_some_and(|s| s.string.get() > 3);
            candidate
                && !scales.iter().any(|scale| scale.contains(&beat.layer))
                && (accompanies || part.lies_deep(*own))
        })
        .collect();
    for bass in found {
        beats[bass].lone_bass = true;
    }
}

struct Part<'p> {
    all: &'p Layers<'p>,
    beats: &'p [Beat],
    clock: Clock,
}

impl Part<'_> {
    /// Whether from a layer to another at least so many milliseconds pass for each
    /// step between them, of which there are so many.
    fn takes(&self, (from, to): (usize, usize), steps: usize, each: i128) -> bool {
        let at = |layer: usize| self.all.layers[layer].at;
        self.clock.milliseconds(at(from), at(to)) >= each * steps as i128
    }

    /// Whether the part lies low.
    fn accompanies(&self) -> bool {
        let (Some(first), Some(last)) = (self.beats.first(), self.beats.last()) else {
            return false;
        };
        let lone = self.beats.iter().filter_map(Beat::lone);
        let (thin, thick): (Vec<_>, Vec<_>) = lone.partition(|struck| struck.string.get() <= 3);
        first.layer < last.layer
            && thick.len() >= thin.len()
            && self.takes((first.layer, last.layer), self.beats.len() - 1, 500)
    }

    /// Whether a beat lies an octave or more below both its neighbours.
    fn lies_deep(&self, own: usize) -> bool {
        let lowest = |beat: &Beat| {
            let keys = beat.struck.iter().map(|struck| self.all.sounds[struck.sound].key.0);
            keys.min().unwrap_or(i16::MAX)
        };
        own > 0
            && self.beats.get(own - 1..own + 2).is_some_and(|three| {
                let [before, here, after] = [0, 1, 2].map(|index| lowest(&three[index]));
                before.min(after).saturating_sub(here) >= 12
            })
    }

    /// The runs by step that are scales, as layers of the part.
    fn scales(&self, problem: &Problem<'_>) -> Vec<RangeInclusive<usize>> {
        let tones = problem.score.tones(problem.part);
        // Of each layer with a single sound, its key and where it is written.
        let written: Vec<Option<(i16, i32)>> = (0..self.all.layers.len())
            .map(|layer| match self.all.struck(layer) {
                [sound] => {
                    let pitch = tones.get(sound.tones[0]).pitch;
                    Some((sound.key.0, pitch.staff_step()))
                }
                _ => None,
            })
            .collect();
        let by_step = |from: usize| match (written[from], written[from + 1]) {
            (Some((key, line)), Some((next_key, next_line))) => {
                key != next_key && (line - next_line).abs() <= 1
            }
            _ => false,
        };
        let mut scales = Vec::new();
        let mut begin = 0;
        for layer in 0..written.len() {
            if layer + 1 == written.len() || !by_step(layer) {
                scales.push(begin..=layer);
                begin = layer + 1;
            }
        }
        scales.retain(|run| {
            let steps = run.end() - run.start();
            let to_the_trebles = || {
                let own = self.beats.iter().filter(|beat| run.contains(&beat.layer));
                own.flat_map(|beat| &beat.struck).any(|struck| struck.string.get() <= 3)
            };
            let quick = || !self.takes((*run.start(), *run.end()), steps, 600);
            steps >= 7 || (steps >= 4 && (to_the_trebles() || quick()))
        });
        scales
    }
}
