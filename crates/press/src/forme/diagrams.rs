//! Chord diagrams side by side, and tables of shapes.

use typst_library::foundations::{Array, IntoValue, dict};

use super::sane::check;
use super::{Maker, POINTS, Role, points};
use crate::document::{DiagramRow, ShapeTable};
use crate::error::PressError;

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
        let cell = (widest + 5.0 * POINTS).max(20.0 * POINTS).min(type_width);
        let columns = ((type_width / cell).floor() as usize).max(1);
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
                cells.push(
                    dict! {
                        "plate" => plate,
                        "drop" => points((highest - drawing.above.0) * space * scale),
                        "caption" => self.optional(place, Some(&diagram.caption)),
                    }
                    .into_value(),
                );
                let role = if before_music { Role::BeforeMusic } else { Role::Loose };
                self.figure(role, drawing.height().0.max(0.0) * space * scale, None);
            }
        }
        let together = before_music && height < 0.3 * self.document.paper.type_height().0 * POINTS;
        self.put(
            "diagrams",
            dict! {
                "cell" => points(cell),
                "columns" => columns as i64,
                "together" => together,
                "cells" => cells,
            },
        );
        Ok(())
    }

    pub(super) fn shapes(&mut self, place: &str, table: &ShapeTable) {
        if table.rows.is_empty() {
            return;
        }
        let title = self.optional(place, Some(&table.title));
        let mut contents = |text: &str| self.setter.line(place, text).into_value();
        let heads = Array::from_iter(table.heads.iter().map(|head| contents(head)));
        let cells = table.rows.iter().flat_map(|row| {
            [&row.name, &row.shape, &row.verdict, &row.reason].map(|text| contents(text))
        });
        let cells = Array::from_iter(cells);
        self.put("shapes", dict! { "title" => title, "heads" => heads, "cells" => cells });
    }
}
