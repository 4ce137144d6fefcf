//! All strings together, at one loudness.

mod level;
mod limit;
mod sounding;
#[cfg(test)]
mod tests;

use apoyando_fretboard::Instrument;
use apoyando_music::PartIndex;
use rayon::prelude::*;
use rustc_hash::FxHashMap;

pub use level::{LOUDNESS, Loudness, PEAK, levelled, measured};
pub use sounding::{Sounding, SoundingTextError};

use crate::performance::{Performance, Strike};
use crate::strings::{SAMPLE_RATE, ring};
use crate::units::{Decibels, Hertz, Seconds};

/// The pitch of A4 unless told otherwise: ISO 16.
pub const A4: Hertz = Hertz(440.0);

/// In which time a string dies away to a share of 1/e when a finger comes down on it or off
/// it. House, of the order of what is heard.
pub const DAMPING: Seconds = Seconds(0.022);

/// After so many of those nothing is heard: 80 dB.
const DAMPED: f64 = 9.2;

/// How far to the side players sit, of all the way. House.
const APART: f64 = 0.35;

/// Samples for both ears, in pairs.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Stereo {
    /// For the left ear.
    pub left: Vec<f32>,
    /// For the right ear, as many.
    pub right: Vec<f32>,
}

/// The strings of an instrument, each sound made once.
pub struct Studio<'a> {
    instrument: &'a Instrument,
    a4: Hertz,
    sounds: FxHashMap<Sounding, Vec<f32>>,
}

impl<'a> Studio<'a> {
    /// A studio for an instrument, tuned so.
    pub fn new(instrument: &'a Instrument, a4: Hertz) -> Self {
        Self { instrument, a4, sounds: FxHashMap::default() }
    }

    /// Makes the sounds that a performance wants and the studio has not, on all cores.
    pub fn prepare(&mut self, performance: &Performance) {
        let mut wanted: Vec<Sounding> = performance.strikes.iter().map(Sounding::of).collect();
        wanted.sort_unstable();
        wanted.dedup();
        wanted.retain(|sounding| !self.sounds.contains_key(sounding));
        let made = wanted.into_par_iter().filter_map(|sounding| {
            Some((sounding, ring(&sounding.pluck(self.instrument, self.a4)?)))
        });
        let made: Vec<_> = made.collect();
        self.sounds.extend(made);
    }

    /// What is heard of a performance, of the parts that are wanted, as strong as it is played.
    pub fn mix(&mut self, performance: &Performance, wanted: &dyn Fn(PartIndex) -> bool) -> Stereo {
        self.prepare(performance);
        let parts = performance.strikes.iter().map(|it| it.part.0 + 1).max().unwrap_or(0);
        let mut stereo = Stereo::default();
        for strike in performance.strikes.iter().filter(|strike| wanted(strike.part)) {
            if let Some(sound) = self.sounds.get(&Sounding::of(strike)) {
                put(&mut stereo, strike, sound, parts);
            }
        }
        stereo
    }
}

/// The sample at a time.
fn sample(at: Seconds) -> usize {
    (at.0.max(0.0) * f64::from(SAMPLE_RATE)).round() as usize
}

/// Where a player sits, from −1 on the left to 1 on the right.
fn seat(part: PartIndex, parts: u16) -> f64 {
    if parts < 2 {
        return 0.0;
    }
    APART * (2.0 * f64::from(part.0) / f64::from(parts - 1) - 1.0)
}

/// Adds a strike.
fn put(stereo: &mut Stereo, strike: &Strike, sound: &[f32], parts: u16) {
    let begin = sample(strike.at);
    let stop = sample(strike.until).saturating_sub(begin);
    let rate = f64::from(SAMPLE_RATE);
    let fading = (DAMPED * DAMPING.0 * rate) as usize;
    let heard = sound.len().min(stop + fading);
    let end = begin + heard;
    if stereo.left.len() < end {
        stereo.left.resize(end, 0.0);
        stereo.right.resize(end, 0.0);
    }
    let angle = (seat(strike.part, parts) + 1.0) * std::f64::consts::FRAC_PI_4;
    let strength = strike.strength.factor();
    let (left, right) = ((strength * angle.cos()) as f32, (strength * angle.sin()) as f32);
    let less = (-1.0 / (DAMPING.0 * rate)).exp() as f32;
    let mut kept = 1.0f32;
    let ears = stereo.left[begin..end].iter_mut().zip(&mut stereo.right[begin..end]);
    for (at, ((to_left, to_right), sample)) in ears.zip(sound).enumerate() {
        if at >= stop {
            kept *= less;
        }
        *to_left += left * kept * sample;
        *to_right += right * kept * sample;
    }
}

impl Stereo {
    /// How long it is.
    pub fn length(&self) -> Seconds {
        Seconds(self.left.len() as f64 / f64::from(SAMPLE_RATE))
    }

    /// As much louder.
    #[must_use]
    pub fn louder(mut self, by: Decibels) -> Self {
        let factor = by.factor() as f32;
        for sample in self.left.iter_mut().chain(&mut self.right) {
            *sample *= factor;
        }
        self
    }
}
