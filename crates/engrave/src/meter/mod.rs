//! What can be measured on a finished drawing: a listing of its ink for tests,
//! and faults that a reader would dislike. The meters look at ink alone and
//! know nothing of how it came there.

mod accidentals;
mod area;
mod beams;
mod bows;
mod breaks;
mod columns;
mod contacts;
mod dots;
mod fault;
mod figures;
mod hairpins;
mod hopping;
mod joints;
mod ledgers;
mod lines;
mod listing;
mod misread;
pub mod pages;
mod rows;
mod scan;
mod sides;
mod sizes;
mod stems;
mod struck;
#[cfg(test)]
mod tests;
mod text;
mod words;

pub use accidentals::scattered_accidentals;
pub use area::ink_off_the_line;
pub use beams::slanting_beams;
pub use bows::{bent_slurs, poor_ties};
pub use breaks::bettered_breaks;
pub use columns::{heads_apart, jumpy_spacing};
pub use contacts::collisions;
pub use dots::dots_on_lines;
pub use fault::Fault;
pub use figures::figures_off_lines;
pub use hairpins::crossing_hairpins;
pub use hopping::hopping_digits;
pub use joints::{beams_off_stems, stems_off_heads};
pub use ledgers::orphan_ledgers;
pub use lines::{lone_last_bar, stretch, uneven_lines};
pub use listing::listing;
pub use misread::{DigitDistances, digit_distances, misread_digits};
pub use rows::{wandering_rows, wrong_extents};
pub use sides::heads_on_wrong_sides;
pub use stems::short_stems;
pub use struck::struck_digits;
pub use text::small_text;
pub use words::words_on_ink;

use apoyando_music::Score;

use crate::drawing::{Drawing, StaffSpaces};

/// All faults of the fingering marks of a drawing.
#[must_use]
pub fn fingering_faults(drawing: &Drawing, score: &Score) -> Vec<Fault> {
    let of_size = |drawing: &Drawing| {
        let mut faults: Vec<Fault> = [struck_digits, wandering_rows, wrong_extents]
            .into_iter()
            .flat_map(|meter| meter(drawing))
            .collect();
        faults.extend(misread_digits(drawing, score));
        faults.extend(hopping_digits(drawing, score));
        faults
    };
    sizes::by_size(drawing).iter().flat_map(of_size).collect()
}

/// All faults of the notation of a drawing, on a line so long. A staff that is smaller than
/// others is measured in its own staff spaces, and its places are told in these.
#[must_use]
pub fn notation_faults(drawing: &Drawing, score: &Score, line: StaffSpaces) -> Vec<Fault> {
    let of_size = |drawing: &Drawing| {
        let mut faults: Vec<Fault> = [
            collisions,
            words_on_ink,
            crossing_hairpins,
            stems_off_heads,
            beams_off_stems,
            slanting_beams,
            short_stems,
            orphan_ledgers,
            dots_on_lines,
            figures_off_lines,
            poor_ties,
            bent_slurs,
        ]
        .into_iter()
        .flat_map(|meter| meter(drawing))
        .collect();
        faults.extend(scattered_accidentals(drawing, score));
        faults.extend(heads_on_wrong_sides(drawing, score));
        faults
    };
    let mut faults: Vec<Fault> = sizes::by_size(drawing).iter().flat_map(of_size).collect();
    faults.extend(ink_off_the_line(drawing, line));
    faults.extend(heads_apart(drawing, score));
    faults.extend(jumpy_spacing(drawing, score));
    faults
}
