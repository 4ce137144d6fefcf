//! FLAC (RFC 9639): 16 bits.

use flacenc::bitsink::ByteSink;
use flacenc::component::BitRepr;
use flacenc::error::Verify;
use flacenc::source::MemSource;

use super::{BITS, SoundFileError, step};
use crate::strings::SAMPLE_RATE;

/// A FLAC file of channels of one length, 48 000 samples a second.
///
/// # Errors
/// If the encoder refuses it.
pub fn flac(channels: &[&[f32]]) -> Result<Vec<u8>, SoundFileError> {
    flac_at(SAMPLE_RATE, channels)
}

/// A FLAC file of channels of one length, of so many samples a second.
///
/// # Errors
/// If the encoder refuses it.
pub fn flac_at(rate: u32, channels: &[&[f32]]) -> Result<Vec<u8>, SoundFileError> {
    let refused = |error: &dyn std::fmt::Debug| SoundFileError::Flac(format!("{error:?}"));
    let length = channels.iter().map(|channel| channel.len()).min().unwrap_or(0);
    let frames = (0..length).flat_map(|at| channels.iter().map(move |channel| step(channel[at])));
    let samples: Vec<i32> = frames.collect();
    let source = MemSource::from_samples(&samples, channels.len(), BITS as usize, rate as usize);
    let config = flacenc::config::Encoder::default()
        .into_verified()
        .map_err(|(_, error)| refused(&error))?;
    let stream = flacenc::encode_with_fixed_block_size(&config, source, config.block_size)
        .map_err(|error| refused(&error))?;
    let mut sink = ByteSink::new();
    stream.write(&mut sink).map_err(|error| refused(&error))?;
    Ok(sink.into_inner())
}
