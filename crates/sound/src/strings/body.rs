//! The body of the guitar: what is heard of the force at the bridge.

use std::f64::consts::TAU;

use super::SAMPLE_RATE;

/// A resonance: its frequency in hertz, how sharp it is and how strongly it is heard.
struct Resonance(f64, f64, f64);

/// The resonances of a guitar's body: the air in it and the top with it, about an octave
/// apart, then those of the top. Frequencies and sharpness as of concert guitars (Fletcher and
/// Rossing, *The Physics of Musical Instruments*, chapter 9; from memory); strengths: house.
const RESONANCES: [Resonance; 9] = [
    Resonance(99.0, 12.0, 0.55),
    Resonance(196.0, 13.0, 0.40),
    Resonance(238.0, 22.0, 0.35),
    Resonance(318.0, 24.0, 0.30),
    Resonance(412.0, 26.0, 0.45),
    Resonance(548.0, 28.0, 0.35),
    Resonance(736.0, 26.0, 0.35),
    Resonance(1_010.0, 20.0, 0.30),
    Resonance(1_460.0, 16.0, 0.25),
];

/// What is heard between and above the resonances.
const DIRECT: f64 = 0.55;
/// Below this a body as small radiates less and less.
const SMALL: f64 = 85.0;
/// Above this the top moves less and less.
const HEAVY: f64 = 5_200.0;
/// After so many quiet samples nothing more is heard.
const QUIET: f32 = 2e-5;

/// A filter of the second order, in the transposed form.
struct Filter {
    ahead: [f64; 3],
    back: [f64; 2],
    state: [f64; 2],
}

impl Filter {
    /// A peak of 1 at a frequency; Zölzer, *DAFX*, for the forms.
    fn peak(frequency: f64, sharpness: f64) -> Self {
        let angle = TAU * frequency / f64::from(SAMPLE_RATE);
        let alpha = angle.sin() / (2.0 * sharpness);
        let scale = 1.0 / (1.0 + alpha);
        Self {
            ahead: [alpha * scale, 0.0, -alpha * scale],
            back: [-2.0 * angle.cos() * scale, (1.0 - alpha) * scale],
            state: [0.0; 2],
        }
    }

    /// What is above a frequency.
    fn above(frequency: f64) -> Self {
        let angle = TAU * frequency / f64::from(SAMPLE_RATE);
        let alpha = angle.sin() / std::f64::consts::SQRT_2;
        let scale = 1.0 / (1.0 + alpha);
        let edge = f64::midpoint(1.0, angle.cos()) * scale;
        Self {
            ahead: [edge, -2.0 * edge, edge],
            back: [-2.0 * angle.cos() * scale, (1.0 - alpha) * scale],
            state: [0.0; 2],
        }
    }

    /// What is below a frequency, to the first order.
    fn below(frequency: f64) -> Self {
        let kept = (-TAU * frequency / f64::from(SAMPLE_RATE)).exp();
        Self { ahead: [1.0 - kept, 0.0, 0.0], back: [-kept, 0.0], state: [0.0; 2] }
    }

    fn next(&mut self, input: f64) -> f64 {
        let output = self.ahead[0] * input + self.state[0];
        self.state[0] = self.ahead[1] * input - self.back[0] * output + self.state[1];
        self.state[1] = self.ahead[2] * input - self.back[1] * output;
        output
    }
}

/// What is heard of a force at the bridge.
pub fn through(mut force: Vec<f32>) -> Vec<f32> {
    let mut peaks: Vec<(Filter, f64)> = RESONANCES
        .iter()
        .map(|Resonance(at, sharp, gain)| (Filter::peak(*at, *sharp), *gain))
        .collect();
    let (mut small, mut heavy) = (Filter::above(SMALL), Filter::below(HEAVY));
    let mut loudest = 0.0f32;
    for sample in &mut force {
        let input = small.next(f64::from(*sample));
        let rung: f64 = peaks.iter_mut().map(|(peak, gain)| *gain * peak.next(input)).sum();
        *sample = heavy.next(DIRECT * input + rung) as f32;
        loudest = loudest.max(sample.abs());
    }
    let last = force.iter().rposition(|sample| sample.abs() > loudest * QUIET);
    force.truncate(last.map_or(0, |last| last + 1));
    force
}
