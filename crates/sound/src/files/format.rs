//! A performance as a file of one of the formats.

use apoyando_fretboard::Instrument;
use apoyando_music::{PartIndex, Score};

use super::{SoundFileError, flac, midi, wav};
use crate::performance::Performance;
use crate::studio::{A4, Studio, levelled};

/// A format of files of sound.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    /// What is played, without its sound.
    Midi,
    /// Samples as they are.
    Wav,
    /// Samples packed without loss.
    Flac,
}

impl Format {
    /// The format that an ending tells: `mid`, `wav`, `flac`.
    pub fn of_ending(ending: &str) -> Option<Self> {
        match ending {
            "mid" => Some(Self::Midi),
            "wav" => Some(Self::Wav),
            "flac" => Some(Self::Flac),
            _ => None,
        }
    }

    /// A file of a performance, of the parts that are wanted; samples at the loudness of files.
    ///
    /// # Errors
    /// If the file cannot be made.
    pub fn file(
        self,
        score: &Score,
        performance: &Performance,
        instrument: &Instrument,
        wanted: &dyn Fn(PartIndex) -> bool,
    ) -> Result<Vec<u8>, SoundFileError> {
        let encode = match self {
            Self::Midi => return Ok(midi(score, performance, wanted)),
            Self::Wav => wav,
            Self::Flac => flac,
        };
        let stereo = levelled(Studio::new(instrument, A4).mix(performance, wanted));
        encode(&[&stereo.left, &stereo.right])
    }
}
