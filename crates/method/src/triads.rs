//! Triads on three adjacent strings.

use crate::error::MethodError;
use crate::setting::Setting;
use crate::written::Written;
use apoyando_music::Degree;

/// Writes the triad of a degree on every three adjacent strings with both inversions: those the level allows with a rest after each, all of them listed.
///
/// # Errors
/// See [`MethodError`].
pub fn write(setting: &Setting<'_>, degree: Degree) -> Result<Written, MethodError> {
    let _ = (setting, degree);
    todo!("being written")
}
