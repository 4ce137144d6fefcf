//! What can be measured on a finished drawing: a listing of its ink for tests,
//! and faults that a reader would dislike. The meters look at ink alone and
//! know nothing of how it came there.

mod area;
mod contacts;
mod dots;
mod fault;
mod hopping;
mod joints;
mod listing;
mod misread;
mod rows;
mod scan;
mod struck;
#[cfg(test)]
mod tests;

pub use area::ink_off_the_line;
pub use contacts::collisions;
pub use dots::dots_on_lines;
pub use fault::Fault;
pub use hopping::hopping_digits;
pub use joints::{beams_off_stems, stems_off_heads};
pub use listing::listing;
pub use misread::{DigitDistances, digit_distances, misread_digits};
pub use rows::{wandering_rows, wrong_extents};
pub use struck::struck_digits;

use crate::drawing::Drawing;

/// All faults of the fingering marks of a drawing.
#[must_use]
pub fn fingering_faults(drawing: &Drawing) -> Vec<Fault> {
    [struck_digits, misread_digits, hopping_digits, wandering_rows, wrong_extents]
        .into_iter()
        .flat_map(|meter| meter(drawing))
        .collect()
}
