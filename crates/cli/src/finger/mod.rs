//! `finger`: scores in, fingering out.

mod answers;
mod house;
mod json;
mod json_answers;
mod json_hand;
mod json_score;
mod json_ways_out;
mod lines;
mod notes;
mod passage;
mod question;
mod request;
mod sound;
mod summary;
mod text;
mod told;

use std::path::Path;

use apoyando_engrave::{Fretting, Sheet, Style};
use apoyando_fingering::{EffortTable, Finding, Severity};
use apoyando_formats::Reading;
use apoyando_formats::musicxml::{self, Layer};
use apoyando_fretboard::{Instrument, Millimetres};
use apoyando_marks::{Density, Marks};
use apoyando_music::Score;
use apoyando_workshop::piece::FingeredPart;
use apoyando_workshop::plan;

use crate::args::{DensityWord, FingerArguments, Format};
use crate::trouble::{Outcome, print, say};
use answers::Answers;
use apoyando_makeup::leaf;
use house::HouseRules;
use request::Setting;

/// One piece with its fingering.
pub struct FingeredPiece {
    /// The score.
    pub score: Score,
    /// Its parts.
    pub parts: Vec<FingeredPart>,
    /// What was asked about each part.
    pub answers: Vec<Answers>,
    /// What concerns the piece as a whole.
    pub findings: Vec<Finding>,
}

/// One file with its pieces.
pub struct FingeredFile {
    /// The file as it was named.
    pub file: String,
    /// Why it could not be read.
    pub error: Option<String>,
    /// Its pieces.
    pub pieces: Vec<FingeredPiece>,
    /// What effort cost in it.
    pub effort: EffortTable,
    /// What concerns the file as a whole.
    pub findings: Vec<Finding>,
}

impl FingeredFile {
    fn unreadable(file: String, error: String) -> Self {
        Self {
            file,
            error: Some(error),
            pieces: Vec::new(),
            effort: EffortTable::default(),
            findings: Vec::new(),
        }
    }

    /// All findings: of the file, its pieces and their parts.
    pub fn all_findings(&self) -> impl Iterator<Item = &Finding> {
        let pieces = self.pieces.iter().flat_map(|piece| {
            piece.findings.iter().chain(piece.parts.iter().flat_map(|part| &part.findings))
        });
        self.findings.iter().chain(pieces)
    }
}

/// Runs the command.
pub fn run(arguments: &FingerArguments) -> Outcome {
    let setting = match Setting::of(arguments) {
        Ok(setting) => setting,
        Err(faults) => {
            for fault in faults {
                say(format_args!("error: {fault}"));
            }
            return Outcome::Broken;
        }
    };
    let mut outcome = Outcome::Good;
    let mut files = Vec::new();
    for path in &arguments.files {
        let file = path.display().to_string();
        let fingered = finger_file(path, file, arguments, &setting);
        if fingered.error.is_some() {
            outcome = Outcome::Broken;
        } else if fingered.all_findings().any(|finding| finding.severity == Severity::Error) {
            outcome = outcome.max(Outcome::Found);
        }
        match arguments.format {
            // Programs get one text, so that it can be parsed as one.
            Format::Json => files.push(fingered),
            Format::Text => {
                text::show(&fingered, &setting, arguments.show);
                if let Err(problem) = write_outputs(arguments, &fingered, &setting.instrument) {
                    say(format_args!("error: {problem}"));
                    outcome = Outcome::Broken;
                }
            }
        }
    }
    if arguments.format == Format::Json {
        for fingered in &files {
            if let Err(problem) = write_outputs(arguments, fingered, &setting.instrument) {
                say(format_args!("error: {problem}"));
                outcome = Outcome::Broken;
            }
        }
        match json::render(&files, &setting.instrument) {
            Ok(text) => print(&text),
            Err(error) => {
                say(format_args!("error: the result cannot be written as JSON: {error}"));
                outcome = Outcome::Broken;
            }
        }
    }
    outcome
}

fn finger_file(
    path: &Path,
    file: String,
    arguments: &FingerArguments,
    setting: &Setting,
) -> FingeredFile {
    let reading = match read(path, &file) {
        Ok(reading) => reading,
        Err(error) => return FingeredFile::unreadable(file, error),
    };
    // A style that is named outranks that of the book.
    let own = match &arguments.house {
        Some(_) => Ok(None),
        None => HouseRules::of_book(path),
    };
    let rules = match own {
        Ok(own) => own.unwrap_or_else(|| setting.house.clone()),
        Err(faults) => return FingeredFile::unreadable(file, faults.join("; ")),
    };
    let finger = |piece| request::finger(piece, arguments, setting, &rules);
    let pieces = reading.pieces.into_iter().map(finger).collect();
    FingeredFile { file, error: None, pieces, effort: rules.effort, findings: reading.findings }
}

fn read(path: &Path, file: &str) -> Result<Reading, String> {
    let bytes = apoyando_book::read_file(path).map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => {
            format!("{file}: there is no such file; check the name and the folder")
        }
        _ => format!("{file}: cannot be read: {error}"),
    })?;
    apoyando_formats::read(file, &bytes).map_err(|error| error.to_string())
}

/// The marks of every part that has a fingering.
fn marks_of(piece: &FingeredPiece, instrument: &Instrument, density: Density) -> Vec<Marks> {
    piece
        .parts
        .iter()
        .map(|part| match &part.fingering {
            Some(fingering) => apoyando_marks::mark(&piece.score, fingering, instrument, density),
            None => Marks::none(part.part, piece.score.notes().len()),
        })
        .collect()
}

fn write_outputs(
    arguments: &FingerArguments,
    file: &FingeredFile,
    instrument: &Instrument,
) -> Result<(), String> {
    let outputs = arguments.output.as_ref().or(arguments.pdf.as_ref()).or(arguments.sound.as_ref());
    let Some(output) = outputs.filter(|_| file.error.is_none()) else { return Ok(()) };
    let [piece] = &file.pieces[..] else {
        return Err(format!(
            "{}: holds {} pieces, and {} can hold one; give a file with one piece",
            file.file,
            file.pieces.len(),
            output.display()
        ));
    };
    if arguments.files.len() > 1 {
        return Err("several scores cannot be written to one file; name one score".to_owned());
    }
    let density = match arguments.density {
        DensityWord::EveryNote => Density::EveryNote,
        DensityWord::WhereNeeded => Density::WhereNeeded,
        DensityWord::None => Density::None,
    };
    let marks = marks_of(piece, instrument, density);
    if let Some(path) = &arguments.output {
        let text = musicxml_text(piece, &marks, instrument);
        apoyando_book::save(path, text.as_bytes()).map_err(|error| error.to_string())?;
    }
    if let Some(path) = &arguments.pdf {
        let pdf = pages(piece, &marks, instrument)?;
        apoyando_book::save(path, &pdf).map_err(|error| error.to_string())?;
    }
    if let Some(path) = &arguments.sound {
        let bytes = sound::bytes(path, piece, instrument)?;
        apoyando_book::save(path, &bytes).map_err(|error| error.to_string())?;
    }
    Ok(())
}

fn musicxml_text(piece: &FingeredPiece, marks: &[Marks], instrument: &Instrument) -> String {
    let layers: Vec<Layer<'_>> = piece
        .parts
        .iter()
        .zip(marks)
        .filter_map(|(part, marks)| {
            let fingering = part.fingering.as_ref()?;
            Some(Layer { part: part.part, instrument, fingering, marks })
        })
        .collect();
    musicxml::write(&piece.score, &layers)
}

fn pages(
    piece: &FingeredPiece,
    marks: &[Marks],
    instrument: &Instrument,
) -> Result<Vec<u8>, String> {
    let paper = apoyando_press::Paper::A4;
    let staff_height = Millimetres(7.2);
    let style = Style::on_paper(Millimetres(paper.type_width().0), staff_height);
    let fingerings = piece.parts.iter().filter_map(|part| part.fingering.as_ref());
    let frettings: Vec<Fretting> =
        fingerings.map(|layer| Fretting::of(&piece.score, layer, instrument)).collect();
    let sheet = Sheet { marks, frettings: &frettings, ..Sheet::bare(&piece.score) };
    let engraving = apoyando_engrave::engrave_for_pages(&sheet, &style, &[]);
    for finding in &engraving.findings {
        say(finding);
    }
    let music = plan::MusicPlan::new(&piece.score, None, engraving, staff_height);
    let plan = plan::piece(&piece.score, music, instrument);
    apoyando_press::pdf(&leaf(&plan, paper)).map_err(|error| error.to_string())
}
