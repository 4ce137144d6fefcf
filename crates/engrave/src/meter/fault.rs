//! What a meter reports.

use crate::geometry::Rect;

/// Something on a drawing that a reader would dislike.
#[derive(Clone, PartialEq, Debug)]
pub struct Fault {
    /// The rule, in kebab-case: `digit-struck`.
    pub rule: &'static str,
    /// Where, in staff spaces of the drawing.
    pub place: Rect,
    /// What is the matter.
    pub message: String,
}
