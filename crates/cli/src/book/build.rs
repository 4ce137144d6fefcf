//! `build DIR`: everything into `DIR/out`.

use std::path::Path;

use apoyando_book::{Book, Edition, save};
use apoyando_fretboard::Instrument;
use apoyando_handout::{Session, Tempo};
use apoyando_press::Pages;
use apoyando_sound::files::Format;
use apoyando_workshop::plan::{Block, MusicPlan};
use apoyando_workshop::{Built, BuiltItem, musicxml};
use rayon::prelude::*;

use super::{Unopened, all_findings, open, report, work};
use crate::args::BuildArguments;
use crate::trouble::{Outcome, say};
use apoyando_makeup::{document, in_one};

/// Resolution of the pictures of items: good on a screen, fair on paper.
const PICTURE_DPI: f64 = 200.0;

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
    let chosen = match chosen(&book, &arguments.edition) {
        Ok(chosen) => chosen,
        Err(message) => {
            say(format_args!("error: {message}"));
            return Outcome::Broken;
        }
    };
    let built = work(&book, &chosen);
    let written = write(&built, &book.instrument, arguments);
    let found = report(&all_findings(&built), arguments.format);
    match written {
        Ok(()) => found,
        Err(problem) => {
            say(format_args!("error: {problem}"));
            Outcome::Broken
        }
    }
}

/// The editions that are asked for; all if none is.
fn chosen(book: &Book, names: &[String]) -> Result<Vec<Edition>, String> {
    let all = book.every_edition();
    if names.is_empty() {
        return Ok(all);
    }
    let known = |edition: &Edition, name: &str| match edition.name.as_str() {
        "" => name == "main",
        other => name == other,
    };
    for name in names {
        if !all.iter().any(|edition| known(edition, name)) {
            let there: Vec<&str> = book.editions.iter().map(|it| it.name.as_str()).collect();
            let there = [&["main"], &there[..]].concat().join(", ");
            let plan = book.place.file.as_ref();
            return Err(format!(
                "{plan} has no edition “{name}”, only: {there}; add it as [[editions]] with name = \"{name}\""
            ));
        }
    }
    let asked = |edition: &Edition| names.iter().any(|name| known(edition, name));
    Ok(all.into_iter().filter(asked).collect())
}

fn write(
    editions: &[Built],
    instrument: &Instrument,
    arguments: &BuildArguments,
) -> Result<(), String> {
    let out = arguments.folder.join("out");
    // Pages are set in one go, which leaves room for the rest beside it.
    let (items, pages) = rayon::join(
        || write_items(editions, instrument, arguments, &out),
        || editions.iter().try_for_each(|built| write_edition(built, &out, arguments.png)),
    );
    items.and(pages)
}

/// What is made of every item by itself, and of every section for students.
fn write_items(
    editions: &[Built],
    instrument: &Instrument,
    arguments: &BuildArguments,
    out: &Path,
) -> Result<(), String> {
    // Scores and pins are the same in all editions.
    if let Some(built) = editions.first() {
        for item in &built.items {
            let path = out.join("musicxml").join(format!("{}.musicxml", item.name));
            save(&path, musicxml(item, instrument).as_bytes()).map_err(|e| e.to_string())?;
        }
        remember(built, &arguments.folder)?;
        drawn(built, &out.join("pictures"))?;
        if arguments.sound {
            recorded(built, instrument, &out.join("sound"))?;
        }
    }
    // Students have the book as its plan describes it.
    match editions.iter().find(|built| built.plan.edition.name.is_empty()) {
        Some(main) => students(main, instrument, out),
        None => Ok(()),
    }
}

/// Every item as one picture: `NAME.svg`, and `NAME.png` of the same name.
fn drawn(built: &Built, folder: &Path) -> Result<(), String> {
    // Items stand in the order of their blocks.
    let blocks = built.plan.sections.iter().flat_map(|section| &section.blocks);
    let musics: Vec<&MusicPlan> = blocks.filter_map(Block::music).collect();
    let done: Result<Vec<()>, String> = built
        .items
        .par_iter()
        .zip(musics)
        .map(|(item, music)| {
            let whole = in_one(music);
            let file = |ending: &str| folder.join(format!("{}.{ending}", item.name));
            let svg = apoyando_engrave::svg(&whole);
            save(&file("svg"), svg.as_bytes()).map_err(|e| e.to_string())?;
            let staff = apoyando_press::Millimetres(music.staff_height.0);
            let png =
                apoyando_press::picture(&whole, staff, PICTURE_DPI).map_err(|e| e.to_string())?;
            save(&file("png"), &png).map_err(|e| e.to_string())
        })
        .collect();
    done.map(drop)
}

/// How every item sounds: `NAME.mid`, and `NAME.flac` of the same name.
fn recorded(built: &Built, instrument: &Instrument, folder: &Path) -> Result<(), String> {
    let recorded = |item: &BuiltItem| -> Result<(), String> {
        let said = |error: &dyn std::fmt::Display| format!("{}: {error}", item.title);
        let mut session = Session::new(item, instrument).map_err(|e| said(&e))?;
        for format in [Format::Midi, Format::Flac] {
            let bytes = session.record(format, Tempo::FULL, &|_| true).map_err(|e| said(&e))?;
            let path = folder.join(format!("{}.{}", item.name, format.ending()));
            save(&path, &bytes).map_err(|e| e.to_string())?;
        }
        Ok(())
    };
    built.items.par_iter().try_for_each(|item| recorded(item))?;
    say(format_args!("{}: {} recordings", folder.display(), built.items.len()));
    Ok(())
}

/// A page for students of every section, `students/SECTION.html`.
fn students(main: &Built, instrument: &Instrument, out: &Path) -> Result<(), String> {
    let pages = apoyando_handout::handouts(main, instrument).map_err(|e| e.to_string())?;
    let folder = out.join("students");
    for page in &pages {
        let path = folder.join(format!("{}.html", page.section));
        save(&path, page.html.as_bytes()).map_err(|e| e.to_string())?;
    }
    say(format_args!("{}: {} pages for students", folder.display(), pages.len()));
    Ok(())
}

/// The pages of one edition.
fn write_edition(built: &Built, out: &Path, png: Option<f64>) -> Result<(), String> {
    let stem = built.plan.edition.file_stem();
    let pages = apoyando_press::set(&document(&built.plan)).map_err(|e| e.to_string())?;
    for fault in pages.faults() {
        say(format_args!("warning: {fault}"));
    }
    let pdf = pages.pdf().map_err(|e| e.to_string())?;
    let path = out.join(format!("{stem}.pdf"));
    save(&path, &pdf).map_err(|e| e.to_string())?;
    say(format_args!("{}: {} pages", path.display(), pages.count()));
    match png {
        Some(dpi) => pictures(&pages, &out.join("png").join(stem), dpi),
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
