//! How loud it all is, and made as loud as it is to be.

use ebur128::{EbuR128, Mode};

use super::Stereo;
use super::limit::limited;
use crate::strings::SAMPLE_RATE;
use crate::units::Decibels;

/// How loud files are: integrated, in LUFS (ITU-R BS.1770).
pub const LOUDNESS: f64 = -16.0;
/// The highest true peak of files, in dBTP.
pub const PEAK: f64 = -1.0;

/// What is kept free below the peak, for what lies between samples.
const SPARE: f64 = 0.4;
/// So close the loudness is brought.
const CLOSE: f64 = 0.05;
/// Tries to come there.
const TRIES: usize = 12;

/// How loud something is, as ITU-R BS.1770 measures it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Loudness {
    /// Integrated, in LUFS; −∞ for what is silent or shorter than 0.4 s.
    pub integrated: f64,
    /// True peak in dBTP.
    pub peak: f64,
}

/// Measures the loudness; `None` where the meter cannot.
pub fn measured(stereo: &Stereo) -> Option<Loudness> {
    let mut meter = EbuR128::new(2, SAMPLE_RATE, Mode::I | Mode::TRUE_PEAK).ok()?;
    meter.add_frames_planar_f32(&[&stereo.left, &stereo.right]).ok()?;
    let peak = meter.true_peak(0).ok()?.max(meter.true_peak(1).ok()?);
    Some(Loudness { integrated: meter.loudness_global().ok()?, peak: Decibels::of_factor(peak).0 })
}

/// Brings it to the loudness of files, its peaks held below theirs. What is too short to have
/// a loudness is brought to the peak.
pub fn levelled(stereo: Stereo) -> Stereo {
    let Some(first) = measured(&stereo) else { return stereo };
    if !first.peak.is_finite() {
        return stereo;
    }
    if !first.integrated.is_finite() {
        return stereo.louder(Decibels(PEAK - SPARE - first.peak));
    }
    let mut more = LOUDNESS - first.integrated;
    let mut ceiling = PEAK - SPARE;
    let mut best = stereo.clone().louder(Decibels(more));
    for _ in 0..TRIES {
        best = limited(stereo.clone().louder(Decibels(more)), Decibels(ceiling));
        let Some(now) = measured(&best) else { break };
        let short = LOUDNESS - now.integrated;
        let over = now.peak - PEAK;
        if short.abs() < CLOSE && over <= 0.0 {
            break;
        }
        more += short;
        ceiling -= over.max(0.0);
    }
    best
}
