//! The sounds that pages carry with them.

use std::collections::{BTreeMap, BTreeSet};

use apoyando_fretboard::Instrument;
use apoyando_sound::Seconds;
use apoyando_sound::files::{SoundFileError, flac_at};
use apoyando_sound::strings::{SAMPLE_RATE, halved, ring_shortly};
use apoyando_sound::studio::{A4, Sounding};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use rayon::prelude::*;

/// How far below full scale sounds for the browser are, so that many together are not too loud.
pub const QUIETER: f32 = 0.25;

/// A page is as large as its sounds. In a lesson hardly a note lasts longer than this, at the
/// tempos at which it is practised; one that does dies away sooner than on the guitar.
const LONGEST: Seconds = Seconds(2.5);
const FADE: Seconds = Seconds(0.9);

/// Sounds by their names, each made once, as FLAC of 24 000 samples a second in base64
/// (RFC 4648). What is off the instrument is left out.
///
/// # Errors
/// If a file cannot be made.
pub fn sounds<'n>(
    names: impl Iterator<Item = &'n str>,
    instrument: &Instrument,
) -> Result<BTreeMap<String, String>, SoundFileError> {
    let names: BTreeSet<&str> = names.collect();
    let made = names.into_par_iter().filter_map(|name| {
        let sounding: Sounding = name.parse().ok()?;
        let pluck = sounding.pluck(instrument, A4)?;
        let mut samples = halved(&ring_shortly(&pluck, LONGEST, FADE));
        samples.iter_mut().for_each(|sample| *sample *= QUIETER);
        let file = flac_at(SAMPLE_RATE / 2, &[&samples]);
        Some(file.map(|bytes| (name.to_owned(), STANDARD.encode(bytes))))
    });
    made.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sound_is_made_once_and_is_small() {
        let names = ["6-0-1-thumb-middle", "1-3-1-free-middle", "6-0-1-thumb-middle", "9-0-1-x-y"];
        let made = sounds(names.into_iter(), &Instrument::guitar()).unwrap();
        assert_eq!(made.keys().collect::<Vec<_>>(), ["1-3-1-free-middle", "6-0-1-thumb-middle"]);
        for sound in made.values() {
            let bytes = STANDARD.decode(sound).unwrap();
            assert_eq!(&bytes[..4], b"fLaC");
            assert!(bytes.len() < 120_000, "{}", bytes.len());
            let packed = u64::from_be_bytes(bytes[18..26].try_into().unwrap());
            assert_eq!(packed >> 44, 24_000);
            assert!(packed & 0xf_ffff_ffff <= 60_000);
        }
        let again = sounds(names.into_iter(), &Instrument::guitar()).unwrap();
        assert_eq!(again, made, "the same bytes twice");
    }
}
