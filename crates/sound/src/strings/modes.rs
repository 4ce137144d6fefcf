//! Modes that swing and die away, all at once.
//!
//! Each mode is a hand on a dial that is turned on and shortened from sample to sample. The
//! hands lie in rows of their own kind, so that the processor turns several at a time;
//! those that are heard no more are taken off.

use super::SAMPLE_RATE;
use crate::units::Hertz;

/// A partial of a plucked string.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Mode {
    /// How fast it swings.
    pub frequency: Hertz,
    /// How fast it dies, in shares of its amplitude a second.
    pub decay: f64,
    /// Its amplitude at the beginning.
    pub strength: f64,
}

/// Hands turned at a time.
const LANES: usize = 8;
/// Samples between two looks at which are still heard.
const BLOCK: usize = 512;
/// A mode below this share of the strongest at the beginning is heard no more: 90 dB.
const SILENT: f32 = 3e-5;
/// The finger lets go of the string within so many samples.
const RELEASE: usize = 48;

/// Eight hands.
#[derive(Clone, Copy)]
struct Hands {
    cos: [f32; LANES],
    sin: [f32; LANES],
    turn_cos: [f32; LANES],
    turn_sin: [f32; LANES],
}

impl Hands {
    fn of(modes: &[Mode]) -> Self {
        let none = [0.0; LANES];
        let mut hands = Self { cos: none, sin: none, turn_cos: none, turn_sin: none };
        for (lane, mode) in modes.iter().enumerate() {
            let angle = std::f64::consts::TAU * mode.frequency.0 / f64::from(SAMPLE_RATE);
            let kept = (-mode.decay / f64::from(SAMPLE_RATE)).exp();
            hands.cos[lane] = mode.strength as f32;
            hands.turn_cos[lane] = (kept * angle.cos()) as f32;
            hands.turn_sin[lane] = (kept * angle.sin()) as f32;
        }
        hands
    }

    /// Turns all hands on, and says where they were.
    fn turn(&mut self) -> f32 {
        let mut sum = [0.0f32; LANES];
        for (lane, sum) in sum.iter_mut().enumerate() {
            let (cos, sin) = (self.cos[lane], self.sin[lane]);
            *sum = cos;
            self.cos[lane] = cos * self.turn_cos[lane] - sin * self.turn_sin[lane];
            self.sin[lane] = sin * self.turn_cos[lane] + cos * self.turn_sin[lane];
        }
        sum.iter().sum()
    }

    fn loudest(&self) -> f32 {
        let size = |lane: usize| self.cos[lane].hypot(self.sin[lane]);
        (0..LANES).map(size).fold(0.0, f32::max)
    }
}

/// What the modes give together, until they are heard no more or `longest` samples are made.
pub fn swing(modes: &[Mode], longest: usize) -> Vec<f32> {
    let mut sorted = modes.to_vec();
    // Those that live longest together, so that whole rows can be taken off.
    sorted.sort_by(|a, b| a.decay.total_cmp(&b.decay));
    let mut rows: Vec<Hands> = sorted.chunks(LANES).map(Hands::of).collect();
    let silent = rows.iter().map(Hands::loudest).fold(0.0, f32::max) * SILENT;
    let mut samples: Vec<f32> = Vec::new();
    while !rows.is_empty() && samples.len() < longest {
        let begin = samples.len();
        samples.resize(begin + BLOCK, 0.0);
        for row in &mut rows {
            for sample in &mut samples[begin..] {
                *sample += row.turn();
            }
        }
        rows.retain(|row| row.loudest() > silent);
    }
    let fade = samples.iter_mut().take(RELEASE).enumerate();
    for (at, sample) in fade {
        let share = (at + 1) as f32 / RELEASE as f32;
        *sample *= share * share * (3.0 - 2.0 * share);
    }
    samples
}
