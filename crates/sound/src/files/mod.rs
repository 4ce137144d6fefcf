//! Files of what is heard: bytes only; who writes them decides where.

mod flac;
mod format;
mod midi;
#[cfg(test)]
mod tests;
mod wav;

pub use flac::{flac, flac_at};
pub use format::Format;
pub use midi::midi;
pub use wav::wav;

/// Bits of a sample in files.
const BITS: u32 = 16;

/// A sample in whole steps; what is beyond is held at the limit.
fn step(sample: f32) -> i32 {
    let most = f32::from(i16::MAX);
    (sample * most).round().clamp(-most - 1.0, most) as i32
}

/// Why a file could not be made.
#[derive(Debug, thiserror::Error)]
pub enum SoundFileError {
    /// Longer than a WAV file can be.
    #[error("the sound cannot be written as WAV: {0}")]
    Wav(String),
    /// The encoder refused it.
    #[error("the sound cannot be written as FLAC: {0}")]
    Flac(String),
}
