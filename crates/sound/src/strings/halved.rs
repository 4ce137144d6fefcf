//! Half as many samples, for sounds that are to be small.
//!
//! A page that carries its sounds with it is as large as they are. The top of a guitar moves
//! little above 5 kHz, and what is heard of a plucked nylon string above 10 kHz is next to
//! nothing, so 24 000 samples a second hold all of it. Before every other sample is left out,
//! all that would fold back must be gone: a half-band low-pass, whose every second tap is 0.

use std::f64::consts::PI;
use std::sync::LazyLock;

/// Taps to one side of the middle that are not 0; so many samples of delay are taken back.
const PAIRS: usize = 16;
/// Shape of the window: 80 dB of attenuation. Kaiser, *IEEE ISCAS* (1974) 20–23.
const SHAPE: f64 = 7.857;

/// The taps at odd distances from the middle, the nearest first. The middle itself is ½.
static TAPS: LazyLock<[f32; PAIRS]> = LazyLock::new(|| {
    let reach = (2 * PAIRS) as f64;
    let tap = |pair: usize| {
        let distance = (2 * pair + 1) as f64;
        let window = bessel(SHAPE * (1.0 - (distance / reach).powi(2)).sqrt()) / bessel(SHAPE);
        (PI * distance / 2.0).sin() / (PI * distance) * window
    };
    let taps: [f64; PAIRS] = std::array::from_fn(tap);
    // What does not change stays as loud: all taps together are 1.
    let sides: f64 = 2.0 * taps.iter().sum::<f64>();
    taps.map(|tap| (tap * 0.5 / sides) as f32)
});

/// The modified Bessel function of the first kind and order 0, by its series.
fn bessel(x: f64) -> f64 {
    let mut term = 1.0;
    let mut sum = 1.0;
    for rank in 1..40 {
        term *= (x / 2.0 / f64::from(rank)).powi(2);
        sum += term;
    }
    sum
}

/// The same sound at half the rate. Nothing up to 10 kHz of 48 000 samples a second is
/// changed by more than a thousandth, and nothing above 14 kHz is left.
pub fn halved(samples: &[f32]) -> Vec<f32> {
    let reach = 2 * PAIRS;
    // Silence before and after it.
    let mut padded = vec![0.0; samples.len() + 2 * reach];
    padded[reach..reach + samples.len()].copy_from_slice(samples);
    let one = |window: &[f32]| {
        let sides = TAPS.iter().enumerate().map(|(pair, tap)| {
            let by = 2 * pair + 1;
            tap * (window[reach - by] + window[reach + by])
        });
        0.5 * window[reach] + sides.sum::<f32>()
    };
    padded.windows(2 * reach + 1).step_by(2).take(samples.len().div_ceil(2)).map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strings::SAMPLE_RATE;

    /// A tone of a frequency, and how strong it is in the middle once it is halved: over a tenth
    /// of a second, which is whole waves of every frequency that ends in 0.
    fn left(frequency: f64) -> f64 {
        let step = 2.0 * PI * frequency / f64::from(SAMPLE_RATE);
        let tone: Vec<f32> = (0..9600).map(|at| (step * f64::from(at)).sin() as f32).collect();
        let halved = halved(&tone);
        assert_eq!(halved.len(), 4800);
        let middle = &halved[1000..3400];
        let power: f64 = middle.iter().map(|it| f64::from(*it).powi(2)).sum();
        (2.0 * power / middle.len() as f64).sqrt()
    }

    #[test]
    fn what_is_heard_stays_and_what_would_fold_back_goes() {
        for frequency in [80.0, 440.0, 3_000.0, 9_900.0] {
            assert!((left(frequency) - 1.0).abs() < 1e-3, "{frequency}: {}", left(frequency));
        }
        for frequency in [14_100.0, 18_000.0, 22_000.0] {
            assert!(left(frequency) < 2e-4, "{frequency}: {}", left(frequency));
        }
    }

    /// Every second sample of a slow tone is as it was: nothing is moved in time.
    #[test]
    fn nothing_comes_later() {
        let step = 2.0 * PI * 200.0 / f64::from(SAMPLE_RATE);
        let tone: Vec<f32> = (0..4800).map(|at| (step * f64::from(at)).sin() as f32).collect();
        let halved = halved(&tone);
        for at in 100..2300 {
            assert!((halved[at] - tone[2 * at]).abs() < 1e-3, "{at}");
        }
    }
}
