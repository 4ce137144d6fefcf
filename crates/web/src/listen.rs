//! The sounds of an item for the browser, and recordings of it as it is set there.

use apoyando_fretboard::Instrument;
use apoyando_handout::{QUIETER, RecordingError, Session, Tempo};
use apoyando_music::PartIndex;
use apoyando_sound::Seconds;
use apoyando_sound::files::{Format, SoundFileError, flac};
use apoyando_sound::strings::ring_shortly;
use apoyando_sound::studio::{A4, Sounding};
use apoyando_workshop::BuiltItem;

/// Sounds for the browser last no longer, and fade over the last of it.
const LONGEST: Seconds = Seconds(6.0);
const FADE: Seconds = Seconds(1.0);

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

/// What a recording of an item is to hold.
pub struct Wanted {
    /// Its format.
    pub format: Format,
    /// How fast it is.
    pub tempo: Tempo,
    /// The parts; all, if none is named.
    pub parts: Vec<u16>,
}

/// An item as a file of sound.
///
/// # Errors
/// If its repeats cannot be unfolded or the file cannot be made.
pub fn recorded(
    item: &BuiltItem,
    instrument: &Instrument,
    wanted: &Wanted,
) -> Result<Vec<u8>, RecordingError> {
    let mut session = Session::new(item, instrument)?;
    let parts = |part: PartIndex| wanted.parts.is_empty() || wanted.parts.contains(&part.0);
    Ok(session.record(wanted.format, wanted.tempo, &parts)?)
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
}
