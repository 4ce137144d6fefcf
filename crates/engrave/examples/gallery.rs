//! Writes the gallery as SVG files into the folder named on the command line,
//! to be looked at.

#[path = "../tests/scores/gallery.rs"]
mod gallery;
#[path = "../tests/scores/mod.rs"]
mod scores;

use apoyando_engrave::{Drawing, Sheet, StaffSpaces, Style, engrave, svg};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".to_owned());
    let only = std::env::args().nth(2);
    for (name, score) in gallery::all() {
        if only.as_ref().is_some_and(|only| only != name) {
            continue;
        }
        let engraving = engrave(&Sheet::bare(&score), &Style::default());
        for finding in &engraving.findings {
            println!("{name}: {finding}");
        }
        let page: Vec<&Drawing> = engraving.systems.iter().map(|s| &s.drawing).collect();
        for (number, drawing) in page.into_iter().enumerate() {
            let mut drawing = drawing.clone();
            drawing.above += StaffSpaces(1.0);
            drawing.below += StaffSpaces(1.0);
            let path = std::path::Path::new(&folder).join(format!("{name}_{number}.svg"));
            std::fs::write(path, svg(&drawing))?;
        }
    }
    Ok(())
}
