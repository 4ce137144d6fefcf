//! Tablature: for every string a line, and on it the frets of its tones. Under the
//! notation, which shows the rhythm, it takes its places from there; alone it shows the
//! rhythm itself.

mod alone;
mod brackets;
mod figures;
mod fretting;
mod graces;
mod joins;
mod lines;
mod room;
mod sweeps;

pub use figures::{HEIGHT, Label, small};
pub use fretting::Fretting;
pub use graces::{lay as lay_graces, lay_once as graces_once};
pub use lines::{LINE_GAP, barline_half, barlines, front, half, height, line_near, space_over};
pub use room::request;
pub use sweeps::beside as sweep_beside;

use apoyando_music::PartIndex;
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
        Tablature::None | Tablature::Alone => None,
        Tablature::Under => sheet.fretting_of(staff.part),
    }
}

/// The places of a part whose tablature stands alone; none where something else is wanted,
/// or where the place of no note is known.
pub fn alone_of<'a>(sheet: &Sheet<'a>, style: &Style, part: PartIndex) -> Option<&'a Fretting> {
    let fretting = sheet.fretting_of(part).filter(|_| style.tablature == Tablature::Alone)?;
    let mut notes = sheet.score.notes().iter().filter(|note| note.part == part);
    let silent = notes.clone().next().is_none();
    let known = silent || notes.any(|note| fretting.place_of(note.id).is_some());
    known.then_some(fretting)
}

/// Everything of one staff in one system, notation or tablature alone, except fingering and
/// what stands outside of it.
pub fn stage(sheet: &Sheet<'_>, style: &Style, staff: &Staff, frame: &Frame) -> Stage {
    match alone_of(sheet, style, staff.part) {
        Some(fretting) => alone::stage(sheet.score, style, staff, frame, fretting),
        None => place::stage(sheet.score, staff, frame),
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
    let mut figures = figures::of(sheet.score, fretting, notation, false);
    let scale = figures::small(style);
    let smalls = room::smalls(sheet.score, (staff, frame), fretting, notation, scale);
    for (group, column, _) in &smalls {
        figures.extend(graces::figures(sheet.score, fretting, group, *column));
    }
    figures::put(&mut stage, &figures);
    let here = (staff, frame);
    sweeps::draw(&mut stage, sheet.score, here, fretting, (notation, &figures));
    let joins = Joins { staff, frame, fretting, notation, figures: &figures, all: false };
    joins.draw(&mut stage);
    for (group, _, side) in &smalls {
        graces::slur(&mut stage, &figures, group, *side);
    }
    Some(Under { stage, half: lines::barline_half(fretting.thickest) })
}
