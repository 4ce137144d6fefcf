//! Chords in degrees, to strum and to arpeggiate.

use crate::error::MethodError;
use crate::setting::Setting;
use crate::written::Written;
use apoyando_fingering::RightFinger;
use apoyando_music::Degree;

/// Writes chords with diagrams: struck, then broken by a right-hand pattern; `None` takes one that fits the metre.
///
/// # Errors
/// See [`MethodError`].
pub fn write(
    setting: &Setting<'_>,
    degrees: &[Degree],
    pattern: Option<&[RightFinger]>,
) -> Result<Written, MethodError> {
    let _ = (setting, degrees, pattern);
    todo!("being written")
}
