//! Placement of fingering marks and captions on staves that are otherwise
//! complete. They are put on in the order in which they stand from the staff
//! outwards: left-hand digits, right-hand letters, hold lines, circled strings, positions
//! and barres, captions; each finds its room among all that is there already.

mod captions;
mod circles;
mod clear;
mod digits;
mod extent;
mod fan;
mod figured;
#[cfg(test)]
pub(crate) mod fixture;
mod holds;
mod letters;
mod levels;
mod numerals;
mod rows;
mod runs;
mod sign;
#[cfg(test)]
mod tests;

use apoyando_marks::Marks;
use apoyando_music::Score;

use crate::Sheet;
use crate::geometry::Stage;
use crate::notate::Wishes;
use crate::style::Style;
use crate::tablature;
use sign::Sizes;

/// The room that the notes of the score would like for their marks. Asked for before
/// spacing.
#[must_use]
pub(crate) fn request(sheet: &Sheet<'_>, style: &Style) -> Wishes {
    let mut wishes = Wishes::none(sheet.score.notes().len());
    let sizes = Sizes::of(style);
    for marks in sheet.marks {
        if tablature::alone_of(sheet, style, marks.part).is_some() {
            continue;
        }
        digits::request(sheet.score, marks, &sizes, &mut wishes);
    }
    captions::request(sheet.score, sheet.captions, style, &sizes, &mut wishes);
    wishes
}

/// Puts the fingering marks and captions of a staff on it. Endings, tempo
/// marks and bar numbers come after, outside of them.
pub fn place(sheet: &Sheet<'_>, style: &Style, stage: &mut Stage) {
    let sizes = Sizes::of(style);
    if let Some(marks) = sheet.marks_of(stage.part) {
        if tablature::alone_of(sheet, style, stage.part).is_some() {
            // Figures say which string and fret.
            letters::place(marks, &sizes, stage);
            numerals::place(marks, &sizes, stage);
        } else {
            put_marks(sheet.score, marks, &sizes, stage);
        }
    }
    captions::place(sheet.captions, style, &sizes, stage);
}

/// Puts the marks of a part on its staff.
fn put_marks(score: &Score, marks: &Marks, sizes: &Sizes, stage: &mut Stage) {
    digits::place(score, marks, sizes, stage);
    letters::place(marks, sizes, stage);
    holds::place(marks, sizes, stage);
    circles::place(marks, stage);
    numerals::place(marks, sizes, stage);
}
