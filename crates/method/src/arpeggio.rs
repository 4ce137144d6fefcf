//! The tonic arpeggio with its shape.

use crate::error::MethodError;
use crate::setting::Setting;
use crate::written::Written;
use apoyando_fingering::RightFinger;

/// Writes the tonic chord's shape broken by a right-hand pattern; `None` takes one that fits the metre.
///
/// # Errors
/// See [`MethodError`].
pub fn write(
    setting: &Setting<'_>,
    pattern: Option<&[RightFinger]>,
) -> Result<Written, MethodError> {
    let _ = (setting, pattern);
    todo!("being written")
}
