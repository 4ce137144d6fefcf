//! `build DIR`: everything into `DIR/out`.

use std::path::Path;

use apoyando_book::save;
use apoyando_formats::musicxml::{self, Layer};
use apoyando_press::Pages;
use apoyando_workshop::{Built, BuiltItem};

use super::{Unopened, open, report, work};
use crate::args::BuildArguments;
use crate::document::document;
use crate::trouble::{Outcome, say};

/// Runs the command.
pub fn run(arguments: &BuildArguments) -> Outcome {
    let book = match open(&arguments.folder) {
        Ok(book) => book,
        Err(Unopened::NoBook(message)) => {
            say(format_args!("error: {message}"));
            return Outcome::Broken;
        }
        Err(Unopened::Faults(findings)) => return report(&findings, arguments.format),
    };
    let built = work(&book);
    let written = write(&built, &book.instrument, &arguments.folder, arguments.png);
    let found = report(&built.findings, arguments.format);
    match written {
        Ok(()) => found,
        Err(problem) => {
            say(format_args!("error: {problem}"));
            Outcome::Broken
        }
    }
}

fn write(
    built: &Built,
    instrument: &apoyando_fretboard::Instrument,
    folder: &Path,
    png: Option<f64>,
) -> Result<(), String> {
    let out = folder.join("out");
    for item in &built.items {
        let path = out.join("musicxml").join(format!("{}.musicxml", item.name));
        save(&path, musicxml_of(item, instrument).as_bytes()).map_err(|e| e.to_string())?;
    }
    let pages = apoyando_press::set(&document(&built.plan)).map_err(|e| e.to_string())?;
    for fault in pages.faults() {
        say(format_args!("warning: {fault}"));
    }
    let pdf = pages.pdf().map_err(|e| e.to_string())?;
    let path = out.join("book.pdf");
    save(&path, &pdf).map_err(|e| e.to_string())?;
    say(format_args!("{}: {} pages", path.display(), pages.count()));
    remember(built, folder)?;
    match png {
        Some(dpi) => pictures(&pages, &out.join("png"), dpi),
        None => Ok(()),
    }
}

/// Which notes the pins mean is put down beside the pieces.
fn remember(built: &Built, folder: &Path) -> Result<(), String> {
    for (file, pins) in &built.remember {
        let path = folder.join(file);
        match pins {
            Some(pins) => save(&path, pins.to_toml().as_bytes()).map_err(|e| e.to_string())?,
            None => std::fs::remove_file(&path)
                .map_err(|e| format!("{}: cannot be removed: {e}", path.display()))?,
        }
    }
    Ok(())
}

/// One picture for every page: `page-001.png`.
fn pictures(pages: &Pages, folder: &Path, dpi: f64) -> Result<(), String> {
    for page in 1..=pages.count() {
        let picture = pages.png(page, dpi).map_err(|e| e.to_string())?;
        let path = folder.join(format!("page-{page:03}.png"));
        save(&path, &picture).map_err(|e| e.to_string())?;
    }
    Ok(())
}

fn musicxml_of(item: &BuiltItem, instrument: &apoyando_fretboard::Instrument) -> String {
    let layers: Vec<Layer<'_>> = item
        .parts
        .iter()
        .zip(&item.marks)
        .filter_map(|(part, marks)| {
            let fingering = part.fingering.as_ref()?;
            Some(Layer { part: part.part, instrument, fingering, marks })
        })
        .collect();
    musicxml::write(&item.score, &layers)
}
