//! Diagrams side by side.

use apoyando_fingering::Shape;

use super::DiagramStyle;
use super::grid::Grid;
use crate::drawing::{Drawing, StaffSpaces};

/// Distance of two grids in string gaps. House value.
const BETWEEN: f64 = 2.4;

/// Diagrams in rows no wider than `width`, each row a drawing: nuts aligned,
/// all with as many frets, their grids at equal distances.
#[must_use]
pub fn row(shapes: &[Shape], style: &DiagramStyle, width: StaffSpaces) -> Vec<Drawing> {
    let style = &style.for_all(shapes);
    let drawn: Vec<(Drawing, f64)> = shapes
        .iter()
        .map(|shape| {
            let grid = Grid::of(shape, style);
            (grid.draw(style), grid.middle(style).0)
        })
        .collect();
    let left = drawn.iter().map(|(_, middle)| *middle).fold(0.0, f64::max);
    let right = drawn.iter().map(|(drawing, middle)| drawing.width.0 - middle).fold(0.0, f64::max);
    let pitch = left + right + BETWEEN / 2.0 * style.gap.0;
    let room = ((width.0 - left - right) / pitch).floor().max(0.0) as usize + 1;
    drawn
        .chunks(room)
        .map(|chunk| {
            let mut row = Drawing::default();
            let mut descriptions = Vec::with_capacity(chunk.len());
            for (place, (drawing, middle)) in chunk.iter().enumerate() {
                let x = left - middle + place as f64 * pitch;
                let stains = drawing.stains.iter().cloned();
                row.stains.extend(stains.map(|stain| stain.moved(x, 0.0)));
                row.width = row.width.max(StaffSpaces(x + drawing.width.0));
                row.above = row.above.max(drawing.above);
                row.below = row.below.max(drawing.below);
                descriptions.push(drawing.description.as_str());
            }
            row.description = descriptions.join("; ");
            row
        })
        .collect()
}
