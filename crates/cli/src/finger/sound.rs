//! How a piece sounds, as a file.

use std::path::Path;

use apoyando_fretboard::Instrument;
use apoyando_sound::files::Format;
use apoyando_sound::perform;

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
    let format = Format::of_ending(ending).ok_or_else(|| {
        format!(
            "{}: sound is written as .mid, .wav or .flac; give one of these endings",
            path.display()
        )
    })?;
    format
        .file(&piece.score, &performance, instrument, &|_| true)
        .map_err(|error| error.to_string())
}
