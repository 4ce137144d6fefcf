//! WAV: 16 bits, 48 000 samples a second.

use std::io::Cursor;

use hound::{SampleFormat, WavSpec, WavWriter};

use super::{BITS, SoundFileError, step};
use crate::strings::SAMPLE_RATE;

/// A WAV file of channels of one length.
///
/// # Errors
/// If it is longer than such a file can be: 4 GB.
pub fn wav(channels: &[&[f32]]) -> Result<Vec<u8>, SoundFileError> {
    let refused = |error: hound::Error| SoundFileError::Wav(error.to_string());
    let spec = WavSpec {
        channels: channels.len() as u16,
        sample_rate: SAMPLE_RATE,
        bits_per_sample: BITS as u16,
        sample_format: SampleFormat::Int,
    };
    let mut file = Cursor::new(Vec::new());
    let mut writer = WavWriter::new(&mut file, spec).map_err(refused)?;
    let length = channels.iter().map(|channel| channel.len()).min().unwrap_or(0);
    for at in 0..length {
        for channel in channels {
            writer.write_sample(step(channel[at])).map_err(refused)?;
        }
    }
    writer.finalize().map_err(refused)?;
    Ok(file.into_inner())
}
