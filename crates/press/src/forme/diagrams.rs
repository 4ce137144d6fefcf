//! Chord diagrams side by side.

use typst_library::foundations::{Array, IntoValue, Value, dict};

use super::sane::check;
use super::{Maker, POINTS, Role, points};
use crate::document::DiagramRow;
use crate::error::PressError;

/// Least width of a diagram with its caption, in mm: one word, or a few.
const NARROW: f64 = 20.0;
const WIDE: f64 = 23.5;
/// White between two diagrams, numerals at their sides included, in mm.
const BESIDE: f64 = 2.0;
/// Height of a line of a caption with the space above it, in points.
const CAPTION_LINE: f64 = 15.0;
/// A caption of more characters than this is broken into lines.
const LONG_CAPTION: usize = 12;

impl Maker<'_> {
    pub(super) fn diagrams(
        &mut self,
        place: &str,
        row: &DiagramRow,
        before_music: bool,
    ) -> Result<(), PressError> {
        let staff_space = row.staff_space.0;
        if row.diagrams.is_empty() {
            return Ok(());
        }
        if !(0.3..=20.0).contains(&staff_space) {
            let staff = staff_space * 4.0;
            return Err(PressError::Staff { place: place.to_owned(), staff });
        }
        let space = staff_space * POINTS;
        for (i, diagram) in row.diagrams.iter().enumerate() {
            check(place, i, &diagram.drawing)?;
        }
        let widest = row.diagrams.iter().map(|d| d.drawing.width.0).fold(0.0, f64::max) * space;
        let type_width = self.document.paper.type_width().0 * POINTS;
        let longest = row.diagrams.iter().flat_map(|diagram| diagram.caption.lines());
        let longest = longest.map(|line| line.chars().count()).max().unwrap_or(0);
        let least = if longest > LONG_CAPTION { WIDE } else { NARROW } * self.text_scale();
        let cell = (widest + BESIDE * POINTS).max(least * POINTS).min(type_width);
        let most = (type_width / cell).floor().max(1.0);
        let columns = even(row.diagrams.len(), most as usize);
        // Rows of one list stand on one grid, which fills the width.
        let cell = type_width / most;
        let mut cells = Array::new();
        let mut height = 0.0;
        for (line, diagrams) in row.diagrams.chunks(columns).enumerate() {
            let highest = diagrams.iter().map(|d| d.drawing.above.0).fold(f64::MIN, f64::max);
            let tallest = diagrams.iter().map(|d| d.drawing.height().0).fold(0.0, f64::max);
            height += tallest * space + 10.0 * POINTS;
            for (i, diagram) in diagrams.iter().enumerate() {
                let drawing = &diagram.drawing;
                self.report(place, line * columns + i, drawing, space);
                let scale = self.fitting(drawing, space);
                let plate = self.plate(place, drawing, space * scale);
                let caption = diagram.caption.lines().filter(|line| !line.trim().is_empty());
                let caption = caption.map(|line| self.setter.line(place, line).into_value());
                let caption: Vec<Value> = caption.collect();
                let lines = caption.len();
                cells.push(
                    dict! {
                        "plate" => plate,
                        "shift" => points((drawing.width.0 / 2.0 - diagram.middle.0) * space * scale),
                        "drop" => points((highest - drawing.above.0) * space * scale),
                        "caption" => Array::from_iter(caption),
                    }
                    .into_value(),
                );
                let role = if before_music { Role::BeforeMusic } else { Role::Loose };
                let height = drawing.height().0.max(0.0) * space * scale;
                self.figure(role, height + lines as f64 * CAPTION_LINE * self.text_scale(), None);
            }
        }
        let most = if before_music { 0.3 } else { 0.75 };
        let together = height < most * self.document.paper.type_height().0 * POINTS;
        self.put(
            "diagrams",
            dict! {
                "cell" => points(cell),
                "columns" => columns as i64,
                "together" => together,
                "sticky" => together && before_music,
                "cells" => cells,
            },
        );
        Ok(())
    }
}

/// How many of `count` diagrams stand side by side, where a line holds `most`: as few
/// lines as that makes, and all of them as long, so that none stands alone below many
/// (common practice, no source).
fn even(count: usize, most: usize) -> usize {
    count.div_ceil(count.div_ceil(most.max(1)).max(1)).max(1)
}

#[cfg(test)]
mod tests {
    use super::even;

    #[test]
    fn lines_of_diagrams_are_as_few_and_as_even_as_can_be() {
        for (count, most, columns) in
            [(4, 7, 4), (7, 7, 7), (8, 7, 4), (9, 7, 5), (15, 7, 5), (3, 0, 1)]
        {
            assert_eq!(even(count, most), columns, "{count} in lines of at most {most}");
        }
    }
}
