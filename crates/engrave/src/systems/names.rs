//! Names of the parts at the first system.
//!
//! They stand beside its staves. In large print, where the notes need the width of the line,
//! they may stand over them as well; which of both depends on what lines there would be.

use apoyando_music::Score;

use crate::drawing::{Face, Kind, Owner, Stain};
use crate::font::text_width;
use crate::geometry::Stage;
use crate::notate::Staff;
use crate::place::{Frame, Named, ink};
use crate::style::{Print, Style};

/// Room for the bracket of several staves.
const BRACKET: f64 = 1.3;
/// Em of a name beside its staff, its distance to the bracket, and its baseline under the middle
/// line.
const BESIDE_SIZE: f64 = 2.0;
const BESIDE_GAP: f64 = 0.8;
const BESIDE_LOW: f64 = 0.6;
/// Em of a name that stands over its staff: it ends before the first barline.
const OVER_SIZE: f64 = 1.7;
/// White under it.
const OVER_GAP: f64 = 0.9;
/// How far that begins within its staff: clear of the line at the left of the system.
const OVER_IN: f64 = 0.7;
/// The most of a line that stands before its staves.
const MOST: f64 = 0.4;

/// The ways that a score may have its names, the usual one first.
pub(super) fn ways(score: &Score, style: &Style) -> &'static [Named] {
    match style.print {
        Print::Large if score.parts().len() > 1 => &[Named::Over, Named::Beside],
        _ => &[Named::Beside],
    }
}

/// Where the staves of the first line and of later lines begin.
pub(super) fn indents(named: Named, score: &Score, style: &Style) -> (f64, f64) {
    let several = score.parts().len() > 1;
    let bracket = if several { BRACKET } else { 0.0 };
    let widths = score.parts().iter().map(|it| text_width(Face::Regular, BESIDE_SIZE, &it.name));
    let widest = widths.fold(0.0, f64::max);
    let beside = several && named == Named::Beside && widest > 0.0;
    let names = if beside { widest + BESIDE_GAP } else { 0.0 };
    let most = style.line_width.0 * MOST;
    ((style.first_indent.0.max(0.0) + names + bracket).min(most), bracket.min(most))
}

/// The name over a staff, if it stands there.
pub(super) fn over(stage: &mut Stage, score: &Score, staff: &Staff, frame: &Frame) {
    if !frame.first || frame.named != Named::Over {
        return;
    }
    let name = &score.part(staff.part).name;
    let left = frame.left + OVER_IN;
    let right = left + text_width(Face::Regular, OVER_SIZE, name);
    let at = (left, stage.above.reach(left, right) + OVER_GAP);
    let (face, kind) = (Face::Regular, Kind::PartName);
    stage.add(ink::text(name, face, OVER_SIZE, at, kind, Owner::System));
}

/// The name beside the staves of its part, whose middle is at a height, if it stands there.
pub(super) fn beside(score: &Score, staff: &Staff, frame: &Frame, middle: f64) -> Option<Stain> {
    let name = &score.part(staff.part).name;
    if !frame.first || frame.named != Named::Beside || name.is_empty() {
        return None;
    }
    let width = text_width(Face::Regular, BESIDE_SIZE, name);
    let at = ((frame.left - BRACKET - BESIDE_GAP - width).max(0.0), middle - BESIDE_LOW);
    Some(ink::text(name, Face::Regular, BESIDE_SIZE, at, Kind::PartName, Owner::System))
}
