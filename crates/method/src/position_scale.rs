//! The scale through the whole position.

use crate::error::MethodError;
use crate::setting::Setting;
use crate::written::Written;
use apoyando_music::ScaleKind;

/// Writes tonic, up to the highest note of the position, down to its lowest, back to the tonic.
///
/// # Errors
/// See [`MethodError`].
pub fn write(setting: &Setting<'_>, kind: ScaleKind) -> Result<Written, MethodError> {
    let _ = (setting, kind);
    todo!("being written")
}
