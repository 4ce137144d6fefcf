//! Tablature: for every string a line, and on it the frets of its tones. It stands
//! under the notation, which shows the rhythm, and takes its places from there.

mod brackets;
mod figures;
mod fretting;
mod joins;
mod lines;
mod room;
mod sweeps;

pub use fretting::Fretting;
pub use lines::barlines;
pub use room::request;

use joins::Joins;

use crate::geometry::Stage;
use crate::notate::Staff;
use crate::place::{self, Frame};
use crate::sheet::Sheet;
use crate::style::{Style, Tablature};

/// Clear distance from the bottom line of the notation to the top line under it;
/// more where ink needs it.
pub const GAP: f64 = 5.5;

/// Tablature under a staff of notation.
pub struct Under {
    /// The staff, its y counted from its own middle.
    pub stage: Stage,
    /// From its middle to the ends of its barlines.
    pub half: f64,
}

/// The places that are shown under a staff: none where no tablature is wanted, or
/// where nothing is known of the instrument.
fn shown<'a>(sheet: &Sheet<'a>, style: &Style, staff: &Staff) -> Option<&'a Fretting> {
    match style.tablature {
        Tablature::None => None,
        Tablature::Under => sheet.fretting_of(staff.part),
    }
}

/// The tablature under a staff of a system whose notation is complete.
pub fn under(
    sheet: &Sheet<'_>,
    style: &Style,
    staff: &Staff,
    frame: &Frame,
    notation: &Stage,
) -> Option<Under> {
    let fretting = shown(sheet, style, staff)?;
    let mut stage = Stage::new(staff.part, notation.bars.clone(), notation.first, notation.right);
    stage.left = notation.left;
    stage.music = notation.music;
    lines::draw(&mut stage, fretting.thickest, frame);
    place::signs_again(&mut stage, staff, frame, lines::LINE_GAP);
    let figures = figures::of(sheet.score, fretting, notation);
    figures::put(&mut stage, &figures);
    let here = (staff, frame);
    sweeps::draw(&mut stage, sheet.score, here, fretting, (notation, &figures));
    let joins = Joins { staff, frame, fretting, notation, figures: &figures };
    joins.draw(&mut stage);
    Some(Under { stage, half: lines::barline_half(fretting.thickest) })
}
