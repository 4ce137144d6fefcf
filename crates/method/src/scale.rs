//! The scale of one octave, up and down.

use crate::error::MethodError;
use crate::setting::Setting;
use crate::written::Written;
use apoyando_music::ScaleKind;

/// Writes a tonic octave of the position up and down. `octave` is that of the lower tonic *as written* in guitar music; `None` takes the lowest in the position.
///
/// # Errors
/// See [`MethodError`].
pub fn write(
    setting: &Setting<'_>,
    kind: ScaleKind,
    octave: Option<i8>,
) -> Result<Written, MethodError> {
    let _ = (setting, kind, octave);
    todo!("being written")
}
