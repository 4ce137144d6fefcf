//! One drawing as a picture, without a page around it.

use apoyando_engrave::Drawing;
use typst_layout::Page;
use typst_library::foundations::{Content, Smart};
use typst_library::layout::{Abs, Sides};
use typst_library::text::Lang;
use typst_library::visualize::Color;

use crate::error::PressError;
use crate::forme::{POINTS, check};
use crate::paper::Millimetres;
use crate::pixels;
use crate::plate::Plate;

/// White around the drawing, in staff spaces. House value.
const AROUND: f64 = 1.0;

/// A drawing as PNG on white, with a staff of so many millimetres, at so many dots
/// per inch.
///
/// # Errors
/// A staff of absurd height, a resolution below 10 or above 1200, a drawing with
/// lengths that are not numbers.
pub fn picture(drawing: &Drawing, staff: Millimetres, dpi: f64) -> Result<Vec<u8>, PressError> {
    if !(10.0..=1200.0).contains(&dpi) {
        return Err(PressError::Resolution { dpi });
    }
    let place = "picture".to_owned();
    if !(3.0..=30.0).contains(&staff.0) {
        return Err(PressError::Staff { place, staff: staff.0 });
    }
    check(&place, 0, drawing)?;
    let space = staff.0 / 4.0 * POINTS;
    let page = Page {
        frame: Plate::new(drawing, space, Lang::ENGLISH).into_frame(),
        bleed: Sides::splat(Abs::pt(AROUND * space)),
        fill: Smart::Custom(Some(Color::WHITE.into())),
        numbering: None,
        supplement: Content::empty(),
        number: 1,
    };
    let options =
        typst_render::RenderOptions { pixel_per_pt: (dpi / 72.0).into(), render_bleed: true };
    let drawn = typst_render::render(&page, &options);
    pixels::png(drawn.data(), (drawn.width(), drawn.height()), dpi)
}
