//! Ossias: what may be played instead of some bars.

use apoyando_music::DraftEvent;

use super::{Lane, beside, lanes, slurs, split_hands, ties};
use crate::ReadError;
use crate::report::Report;
use crate::rough::{RoughBar, RoughPart};
use crate::time::Time;

/// Gives a part its ossias, voice by voice.
pub(super) fn settle(
    part: &mut RoughPart,
    lengths: &[Time],
    grain: &mut i64,
    (file, bars): (&str, &[RoughBar]),
    report: &mut Report,
) -> Result<Vec<Vec<Vec<DraftEvent>>>, ReadError> {
    let mut voices: Vec<Lane> = Vec::new();
    for (number, voice) in std::mem::take(&mut part.ossia).into_iter().enumerate() {
        let lanes = lanes::lanes(voice, number + 1, report).map_err(|f| f.at(file, bars))?;
        voices.extend(lanes);
    }
    for lane in &mut voices {
        beside::fit(lane, lengths, grain, "ossia", report);
        ties::mend(lane, report);
        slurs::mend(lane, report);
    }
    voices.retain(|lane| lane.iter().any(|bar| !bar.is_empty()));
    report.bar = None;
    Ok(voices.into_iter().map(|lane| split_hands(lane).0).collect())
}
