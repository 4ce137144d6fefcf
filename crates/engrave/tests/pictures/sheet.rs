//! Changed pictures on one sheet, to be looked at.

use super::picture::Picture;

/// White between pictures, in pixels.
const GAP: usize = 12;
/// How many times darker a difference is shown.
const DARKER: u8 = 3;

/// A row for each: before, after, and where they differ.
pub fn of(changed: &[(String, Picture, Picture)]) -> Picture {
    let rows: Vec<[Picture; 3]> = changed
        .iter()
        .map(|(_, before, after)| {
            let mut apart = before.difference(after);
            apart.greys.iter_mut().for_each(|by| *by = 255 - by.saturating_mul(DARKER));
            [before.clone(), after.clone(), apart]
        })
        .collect();
    let widest = rows.iter().flatten().map(|picture| picture.width).max().unwrap_or(0);
    let height = |row: &[Picture; 3]| row.iter().map(|picture| picture.height).max().unwrap_or(0);
    let whole: usize = rows.iter().map(|row| height(row) + GAP).sum();
    let mut sheet = Picture::white(3 * (widest + GAP), whole);
    let mut y = 0;
    for row in &rows {
        for (column, picture) in row.iter().enumerate() {
            sheet.put(picture, column * (widest + GAP), y);
        }
        y += height(row) + GAP;
    }
    sheet
}
