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

    /// Its ending.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Midi => "mid",
            Self::Wav => "wav",
            Self::Flac => "flac",
        }
    }

    /// What it is called where kinds of content are told.
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Midi => "audio/midi",
            Self::Wav => "audio/wav",
            Self::Flac => "audio/flac",
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
        self.file_in(&mut Studio::new(instrument, A4), score, performance, wanted)
    }

    /// [`file`](Self::file), with the sounds that a studio has already.
    ///
    /// # Errors
    /// If the file cannot be made.
    pub fn file_in(
        self,
        studio: &mut Studio<'_>,
        score: &Score,
        performance: &Performance,
        wanted: &dyn Fn(PartIndex) -> bool,
    ) -> Result<Vec<u8>, SoundFileError> {
        let encode = match self {
            Self::Midi => return Ok(midi(score, performance, wanted)),
            Self::Wav => wav,
            Self::Flac => flac,
        };
        let stereo = levelled(studio.mix(performance, wanted));
        encode(&[&stereo.left, &stereo.right])
    }
}
