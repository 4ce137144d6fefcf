//! Peaks held below a ceiling: the gain goes down before they come and up slowly after.

use super::Stereo;
use crate::strings::SAMPLE_RATE;
use crate::units::Decibels;

/// So many samples before a peak the gain begins to go down: 5 ms.
const AHEAD: usize = SAMPLE_RATE as usize / 200;
/// In which time the gain comes back to a share of 1/e of what it was down: 0.15 s.
const BACK: f64 = 0.15;

/// Holds the samples of both ears below a ceiling.
pub fn limited(mut stereo: Stereo, ceiling: Decibels) -> Stereo {
    let ceiling = ceiling.factor() as f32;
    let louder = stereo.left.iter().zip(&stereo.right).map(|(l, r)| l.abs().max(r.abs()));
    let wanted: Vec<f32> = louder.map(|it| if it > ceiling { ceiling / it } else { 1.0 }).collect();
    if wanted.iter().all(|gain| *gain >= 1.0) {
        return stereo;
    }
    let held = recovering(&lowest_ahead(&wanted));
    let mean = running_mean(&held);
    for ((left, right), gain) in stereo.left.iter_mut().zip(&mut stereo.right).zip(mean) {
        *left *= gain;
        *right *= gain;
    }
    stereo
}

/// At each sample the lowest gain from there to a look ahead; each sample comes into the queue
/// and out of it once.
fn lowest_ahead(gains: &[f32]) -> Vec<f32> {
    let mut queue: std::collections::VecDeque<usize> = std::collections::VecDeque::new();
    let mut lowest = vec![1.0; gains.len()];
    for at in (0..gains.len()).rev() {
        while queue.back().is_some_and(|last| gains[*last] >= gains[at]) {
            queue.pop_back();
        }
        queue.push_back(at);
        while queue.front().is_some_and(|first| *first > at + AHEAD) {
            queue.pop_front();
        }
        lowest[at] = queue.front().map_or(1.0, |first| gains[*first]);
    }
    lowest
}

/// The gain goes up only slowly.
fn recovering(gains: &[f32]) -> Vec<f32> {
    let share = 1.0 - (-1.0 / (BACK * f64::from(SAMPLE_RATE))).exp() as f32;
    let mut now = 1.0f32;
    let next = |gain: &f32| {
        now = gain.min(now + (1.0 - now) * share);
        now
    };
    gains.iter().map(next).collect()
}

/// The mean of the samples from a look back up to here: at a peak all of them are as low as
/// it wants.
fn running_mean(gains: &[f32]) -> Vec<f32> {
    // Before the beginning it is as at the beginning.
    let first = gains.first().map_or(1.0, |gain| f64::from(*gain));
    let mut sum = AHEAD as f64 * first;
    let mean = |at: usize| {
        sum += f64::from(gains[at]);
        sum -= if at >= AHEAD { f64::from(gains[at - AHEAD]) } else { first };
        (sum / AHEAD as f64) as f32
    };
    (0..gains.len()).map(mean).collect()
}
