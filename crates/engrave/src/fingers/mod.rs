//! Placement of fingering marks and captions on staves that are otherwise
//! complete.

use crate::Sheet;
use crate::geometry::Stage;
use crate::style::Style;

/// Width that every note of the score would like to the left of its
/// accidental (of its head, where it has none), in staff spaces: 0 where it
/// wants none. Asked for before spacing.
#[must_use]
pub fn request(sheet: &Sheet<'_>, _style: &Style) -> Vec<f64> {
    vec![0.0; sheet.score.notes().len()]
}

/// Puts the fingering marks and captions of a staff on it. Endings, tempo
/// marks and bar numbers come after, outside of them.
pub fn place(_sheet: &Sheet<'_>, _style: &Style, _stage: &mut Stage) {}
