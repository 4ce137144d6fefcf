//! How a piece sounds, as a file.

use std::path::Path;

use apoyando_fretboard::Instrument;
use apoyando_sound::files::{flac, midi, wav};
use apoyando_sound::perform;
use apoyando_sound::studio::{A4, Studio, levelled};

use super::FingeredPiece;

/// The bytes of a file whose ending says its format.
pub fn bytes(
    path: &Path,
    piece: &FingeredPiece,
    instrument: &Instrument,
) -> Result<Vec<u8>, String> {
    let fingerings: Vec<_> = piece.parts.iter().map(|part| part.fingering.as_ref()).collect();
    let performance =
        perform(&piece.score, &fingerings, instrument).map_err(|error| error.to_string())?;
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    if ending == "mid" {
        return Ok(midi(&piece.score, &performance, &|_| true));
    }
    let encode = match ending {
        "wav" => wav,
        "flac" => flac,
        _ => {
            return Err(format!(
                "{}: sound is written as .mid, .wav or .flac; give one of these endings",
                path.display()
            ));
        }
    };
    let stereo = levelled(Studio::new(instrument, A4).mix(&performance, &|_| true));
    encode(&[&stereo.left, &stereo.right]).map_err(|error| error.to_string())
}
