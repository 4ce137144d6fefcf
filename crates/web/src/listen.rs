//! The sounds of an item for the browser, and files of it.

use apoyando_fretboard::Instrument;
use apoyando_handout::{QUIETER, fingerings};
use apoyando_music::PartIndex;
use apoyando_sound::files::{Format, SoundFileError, flac};
use apoyando_sound::strings::ring_shortly;
use apoyando_sound::studio::{A4, Sounding};
use apoyando_sound::{Seconds, perform};
use apoyando_workshop::BuiltItem;

/// Sounds for the browser last no longer, and fade over the last of it.
const LONGEST: Seconds = Seconds(6.0);
const FADE: Seconds = Seconds(1.0);

/// Why something cannot be heard.
#[derive(Debug, thiserror::Error)]
pub enum ListenError {
    /// Repeats that lead nowhere.
    #[error(transparent)]
    Order(#[from] apoyando_music::PlayOrderError),
    /// A file that cannot be made.
    #[error(transparent)]
    File(#[from] SoundFileError),
    /// An ending that is none of sound.
    #[error("sound is written as mid, wav or flac, not as {0}")]
    Format(String),
}

/// A sound of the instrument as FLAC; `None` off the instrument.
///
/// # Errors
/// If the file cannot be made.
pub fn sound(
    sounding: Sounding,
    instrument: &Instrument,
) -> Result<Option<Vec<u8>>, SoundFileError> {
    let Some(pluck) = sounding.pluck(instrument, A4) else { return Ok(None) };
    let mut samples = ring_shortly(&pluck, LONGEST, FADE);
    samples.iter_mut().for_each(|sample| *sample *= QUIETER);
    flac(&[&samples]).map(Some)
}

/// What a file of an item is to hold.
pub struct Wanted<'a> {
    /// `mid`, `wav` or `flac`.
    pub ending: &'a str,
    /// Hundredths of the tempo of the score.
    pub tempo: u16,
    /// The parts; all, if none is named.
    pub parts: &'a [u16],
}

/// A file of how an item sounds.
///
/// # Errors
/// If its repeats cannot be unfolded, the format is unknown or the file cannot be made.
pub fn file(
    item: &BuiltItem,
    instrument: &Instrument,
    wanted: &Wanted<'_>,
) -> Result<Vec<u8>, ListenError> {
    let share = f64::from(wanted.tempo.clamp(30, 150)) / 100.0;
    let performance = perform(&item.score, &fingerings(item), instrument)?.paced(share);
    let parts = |part: PartIndex| wanted.parts.is_empty() || wanted.parts.contains(&part.0);
    let format = Format::of_ending(wanted.ending)
        .ok_or_else(|| ListenError::Format(wanted.ending.to_owned()))?;
    Ok(format.file(&item.score, &performance, instrument, &parts)?)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use apoyando_handout::heard;

    use super::*;
    use crate::bench::Bench;

    /// Every sound that the pieces of the demo want can be made.
    #[test]
    fn every_sound_of_the_demo_can_be_made() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let bench = Bench::open(&demo).unwrap();
        let instrument = &bench.book().unwrap().instrument;
        let mut names = std::collections::BTreeSet::new();
        for item in (0..).map_while(|item| bench.item(item)) {
            let heard = heard(item, instrument).unwrap();
            names.extend(heard.sounds().map(str::to_owned));
        }
        assert!(names.len() > 20);
        for name in names {
            assert!(sound(name.parse().unwrap(), instrument).unwrap().is_some(), "{name}");
        }
    }

    #[test]
    fn files_are_slower_and_of_some_parts_as_wanted() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let bench = Bench::open(&demo).unwrap();
        let instrument = &bench.book().unwrap().instrument;
        let duet = (0..).map_while(|item| bench.item(item));
        let duet = duet.into_iter().find(|item| item.score.parts().len() == 2).unwrap();
        let length = |tempo, parts: &[u16]| {
            let wanted = Wanted { ending: "mid", tempo, parts };
            file(duet, instrument, &wanted).unwrap().len()
        };
        assert!(length(100, &[0]) < length(100, &[]));
        let at = |tempo| {
            let wanted = Wanted { ending: "wav", tempo, parts: &[0] };
            file(duet, instrument, &wanted).unwrap().len() as f64
        };
        let longer = at(50) / at(100);
        assert!((1.8..2.05).contains(&longer), "{longer}");
        let none = Wanted { ending: "mp4", tempo: 100, parts: &[] };
        assert!(matches!(file(duet, instrument, &none), Err(ListenError::Format(_))));
    }
}
