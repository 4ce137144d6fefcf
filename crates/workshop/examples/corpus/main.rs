//! Fingers and verifies every piece of a folder on all cores.
//!
//! `cargo run --release -p apoyando-workshop --example corpus -- MATERIAL OUTPUT [open|first]`
//!
//! MATERIAL is a folder of ABC and MusicXML files, in folders by kind. Every
//! part is moved onto the guitar by octaves or, failing that, into another key;
//! fingered; and verified. OUTPUT gets
//!
//! - `pieces.tsv`, a line for every part: what became of it and how long it took;
//! - `not-played.tsv`, what could not be read or played as it stands, and why;
//! - `findings.tsv`, what the reader said of the files;
//! - `summary.txt`, the counts, the speed and the slowest pieces.
//!
//! A fault of the program (a panic, a violation, a line that loses a note) ends
//! the run with 1, but not before its end. See `./corpus` for the whole run.

mod fit;
mod piece;
mod report;
mod watch;

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use apoyando_fingering::Level;
use rayon::prelude::*;

use crate::piece::{Row, Studio};
use crate::report::Report;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (material, output, level) = match arguments.as_slice() {
        [material, output] => (material, output, "open"),
        [material, output, level] => (material, output, level.as_str()),
        _ => return wrong("type: corpus MATERIAL OUTPUT [open|first]"),
    };
    let level = match level {
        "open" => Level::open(),
        "first" => Level::first(),
        other => return wrong(&format!("“{other}” is no level; choose open or first")),
    };
    match run(Path::new(material), Path::new(output), level) {
        Ok(0) => ExitCode::SUCCESS,
        Ok(_) => ExitCode::FAILURE,
        Err(error) => wrong(&error),
    }
}

fn wrong(what: &str) -> ExitCode {
    eprintln!("error: {what}");
    ExitCode::from(2)
}

/// Gives the number of faults.
fn run(material: &Path, output: &Path, level: Level) -> Result<usize, String> {
    let mut files = Vec::new();
    collect(material, &mut files)?;
    files.sort();
    if files.is_empty() {
        return Err(format!("{}: there are no ABC or MusicXML files in it", material.display()));
    }
    watch::keep_panics_quiet();
    let studio = Studio::new(level);
    let begin = Instant::now();
    let watch = watch::Watch::over(files.len());
    let mut rows: Vec<Row> = files
        .par_iter()
        .flat_map_iter(|path| {
            let name = path.strip_prefix(material).unwrap_or(path).display().to_string();
            let _entry = watch.begin(&name);
            studio.work(path, &name)
        })
        .collect();
    let wall = begin.elapsed();
    watch.end();
    rows.extend(passed_over(material)?);
    let report = Report { rows: &rows, wall, cores: rayon::current_num_threads() };
    report.write(output).map_err(|error| format!("{}: {error}", output.display()))?;
    println!("{}", report.summary());
    Ok(report.faults())
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) -> Result<(), String> {
    let error = |error| format!("{}: {error}", folder.display());
    for entry in std::fs::read_dir(folder).map_err(error)? {
        let path = entry.map_err(error)?.path();
        if path.is_dir() {
            collect(&path, files)?;
            continue;
        }
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
        if ["abc", "musicxml", "xml", "mxl"].contains(&ending) {
            files.push(path);
        }
    }
    Ok(())
}

/// What whoever gathered the material had to pass over, with the reasons.
fn passed_over(material: &Path) -> Result<Vec<Row>, String> {
    let path = material.join("passed-over.tsv");
    match std::fs::read_to_string(&path) {
        Ok(text) => Ok(text
            .lines()
            .skip(1)
            .filter_map(|line| line.split_once('\t'))
            .map(|(name, reason)| Row::passed_over(name, reason))
            .collect()),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(error) => Err(format!("{}: {error}", path.display())),
    }
}
