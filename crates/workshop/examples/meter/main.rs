//! Engraves every piece of a folder in every density of fingering and counts what a
//! reader would dislike on its lines.
//!
//! `cargo run --release -p apoyando-workshop --example meter -- MATERIAL [MOST [PICTURES]]`
//!
//! MATERIAL is a folder of ABC and MusicXML files, in folders by kind; of each folder at
//! most MOST pieces are taken, evenly spread. Pieces are moved onto the guitar as in the
//! example `corpus`. Prints the faults by rule, the first few of each with piece and bars,
//! and how far digits are from their notes. Lines with a fault are drawn as SVG files into
//! the folder PICTURES. Ends with 1 if there is a fault.

#[path = "../corpus/fit.rs"]
mod fit;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use apoyando_engrave::meter::{
    Fault, bettered_breaks, digit_distances, fingering_faults, notation_faults, small_text,
};
use apoyando_engrave::{Engraving, Sheet, StaffSpaces, Style, System, engrave, every_line, svg};
use apoyando_fingering::{EffortTable, Fingering, Level, Pins, Problem};
use apoyando_fretboard::Instrument;
use apoyando_hands::RightPlan;
use apoyando_marks::{Density, Marks, mark};
use apoyando_music::Score;
use rayon::prelude::*;

/// Widths of a line: a page of A4 and one of half its width.
const WIDTHS: [f64; 2] = [97.2, 60.0];
const DENSITIES: [Density; 3] = [Density::EveryNote, Density::WhereNeeded, Density::None];
/// How many faults of a rule are told.
const TOLD: usize = 6;

/// What was seen on the lines of some pieces.
#[derive(Default)]
struct Seen {
    pieces: usize,
    systems: usize,
    /// Systems that were pressed together, which nothing but a wider line helps.
    squeezed: usize,
    faults: BTreeMap<&'static str, Vec<String>>,
    medians: Vec<f64>,
    greatest: f64,
}

impl Seen {
    fn and(mut self, other: Self) -> Self {
        self.pieces += other.pieces;
        self.systems += other.systems;
        self.squeezed += other.squeezed;
        for (rule, told) in other.faults {
            self.faults.entry(rule).or_default().extend(told);
        }
        self.medians.extend(other.medians);
        self.greatest = self.greatest.max(other.greatest);
        self
    }
}

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let Some(material) = arguments.next() else {
        eprintln!("error: type: meter MATERIAL [MOST]");
        return ExitCode::from(2);
    };
    let most = arguments.next().and_then(|text| text.parse().ok()).unwrap_or(usize::MAX);
    let files = match chosen(Path::new(&material), most) {
        Ok(files) => files,
        Err(error) => {
            eprintln!("error: {material}: {error}");
            return ExitCode::from(2);
        }
    };
    let pictures = arguments.next().map(PathBuf::from);
    let pictures = pictures.as_deref();
    if let Some(Err(error)) = pictures.map(std::fs::create_dir_all) {
        eprintln!("error: the folder for pictures: {error}");
        return ExitCode::from(2);
    }
    let seen = files.par_iter().map(|path| piece(path, pictures)).reduce(Seen::default, Seen::and);
    report(seen)
}

fn report(mut seen: Seen) -> ExitCode {
    for (rule, told) in &mut seen.faults {
        told.sort();
        println!("{rule}: {}", told.len());
        told.iter().take(TOLD).for_each(|fault| println!("    {fault}"));
    }
    seen.medians.sort_by(f64::total_cmp);
    let median = seen.medians.get(seen.medians.len() / 2).copied().unwrap_or_default();
    println!(
        "{} pieces, {} lines in three densities and two widths, {} pressed together; digits are {median:.2} from their notes as a rule and at most {:.2}",
        seen.pieces, seen.systems, seen.squeezed, seen.greatest
    );
    let count: usize = seen.faults.values().map(Vec::len).sum();
    println!("{count} faults");
    ExitCode::from(u8::from(count > 0))
}

/// At most so many files of every folder.
fn chosen(folder: &Path, most: usize) -> std::io::Result<Vec<PathBuf>> {
    let (mut files, mut chosen_files) = (Vec::new(), Vec::new());
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            chosen_files.extend(chosen(&path, most)?);
        } else if path.extension().is_some_and(|kind| kind == "abc" || kind == "musicxml") {
            files.push(path);
        }
    }
    files.sort();
    let step = (files.len() / most.max(1)).max(1);
    chosen_files.extend(files.into_iter().step_by(step).take(most));
    Ok(chosen_files)
}

/// All pieces of a file. What cannot be read or played is no matter of the page.
fn piece(path: &Path, pictures: Option<&Path>) -> Seen {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let Ok(bytes) = std::fs::read(path) else { return Seen::default() };
    let Ok(reading) = apoyando_formats::read(&name, &bytes) else { return Seen::default() };
    let scores = reading.pieces.iter().filter_map(|piece| on_the_guitar(&piece.score));
    scores.map(|score| lines(&name, &score, pictures)).fold(Seen::default(), Seen::and)
}

/// A score with all its parts on the guitar.
fn on_the_guitar(score: &Score) -> Option<Score> {
    let ranges: Vec<_> = score.part_indices().filter_map(|part| fit::range(score, part)).collect();
    let range = (ranges.iter().map(|r| r.0).min()?, ranges.iter().map(|r| r.1).max()?);
    let by = *fit::moves(range, &Instrument::guitar()).first()?;
    if by == 0 { Some(score.clone()) } else { score.moved(by) }
}

fn fingered(score: &Score) -> Vec<Fingering> {
    let (instrument, level) = (Instrument::guitar(), Level::open());
    let (effort, pins) = (EffortTable::default(), Pins::default());
    let parts = score.part_indices();
    parts
        .filter_map(|part| {
            let problem = Problem {
                score,
                part,
                instrument: &instrument,
                level: &level,
                pins: &pins,
                effort: &effort,
                house: &apoyando_fingering::NO_HOUSE,
            };
            let solution = apoyando_hands::finger(&problem, &RightPlan::default()).ok()?;
            Some(solution.fingering)
        })
        .collect()
}

/// Whether a bar of a line was wider than that and pressed together.
fn is_pressed(engraving: &Engraving, system: &System, score: &Score) -> bool {
    let bars = system.bars.start as usize..system.bars.end as usize;
    score.bars()[bars]
        .iter()
        .any(|bar| engraving.findings.iter().any(|finding| finding.place.bar == Some(bar.number)))
}

fn lines(name: &str, score: &Score, pictures: Option<&Path>) -> Seen {
    let mut seen = Seen { pieces: 1, ..Seen::default() };
    let (instrument, fingerings) = (Instrument::guitar(), fingered(score));
    for density in DENSITIES {
        let marks = |fingering| mark(score, fingering, &instrument, density);
        let marks: Vec<Marks> = fingerings.iter().map(marks).collect();
        let sheet = Sheet { marks: &marks, ..Sheet::bare(score) };
        for width in WIDTHS {
            let style = Style { line_width: StaffSpaces(width), ..Style::default() };
            let engraving = engrave(&sheet, &style);
            let breaks = between_lines(&engraving, &sheet, &style, density);
            for (number, system) in engraving.systems.iter().enumerate() {
                seen.systems += 1;
                if is_pressed(&engraving, system, score) {
                    seen.squeezed += 1;
                    continue;
                }
                let drawing = &system.drawing;
                let mut faults: Vec<Fault> = fingering_faults(drawing, score);
                if density == Density::None {
                    faults = notation_faults(drawing, score, style.line_width);
                }
                faults.extend(small_text(drawing, style.staff_height));
                let here = breaks.iter().filter(|(line, _)| *line == number);
                faults.extend(here.map(|(_, fault)| fault.clone()));
                if let (Some(folder), false) = (pictures, faults.is_empty()) {
                    let file = format!("{name}_{density:?}_{width}_{}.svg", system.bars.start + 1);
                    // A picture that cannot be written is missed by whoever looks for it.
                    let _ = std::fs::write(folder.join(file), svg(drawing));
                }
                for Fault { rule, message, place } in faults {
                    let bars = (system.bars.start + 1, system.bars.end);
                    let told = format!(
                        "{name}, {density:?}, {width} wide, bars {} to {}, at ({:.1}, {:.1}): {message}",
                        bars.0, bars.1, place.left, place.low
                    );
                    seen.faults.entry(rule).or_default().push(told);
                }
                if density == Density::EveryNote {
                    let distances = digit_distances(drawing, score);
                    seen.medians.push(distances.median);
                    seen.greatest = seen.greatest.max(distances.greatest);
                }
            }
        }
    }
    seen
}

/// Lines of a piece that other breaks would better. Digits need their room whatever the
/// stretch, so that lines without any are measured.
fn between_lines(
    engraving: &Engraving,
    sheet: &Sheet<'_>,
    style: &Style,
    density: Density,
) -> Vec<(usize, Fault)> {
    if density != Density::None {
        return Vec::new();
    }
    bettered_breaks(&engraving.systems, sheet.score, || every_line(sheet, style))
}
