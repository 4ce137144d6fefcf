//! From what was typed to what is asked of the hands.

use apoyando_book::{NamedLevel, PlannedPin, read_level};
use apoyando_fingering::{BarreLimit, EffortTable, HandSize, Level, Reach};
use apoyando_formats::ReadPiece;
use apoyando_fretboard::{Fret, Instrument};
use apoyando_hands::RightPlan;
use apoyando_music::{Base, NoteValue, Tempo};
use apoyando_workshop::{piece, pins};

use super::FingeredPiece;
use crate::args::{BarreWord, FingerArguments, HandWord};

/// The level: a word or a file, narrowed or widened by the flags.
pub fn level(arguments: &FingerArguments) -> Result<Level, Vec<String>> {
    let mut level = match arguments.level.as_str() {
        "first" => Level::first(),
        "open" => Level::open(),
        file => level_file(file)?.level,
    };
    if let Some(barre) = arguments.barre {
        level.barre = match barre {
            BarreWord::None => BarreLimit::None,
            BarreWord::Small => BarreLimit::Small,
            BarreWord::Half => BarreLimit::Half,
            BarreWord::Full => BarreLimit::Full,
        };
    }
    if let Some(extension) = arguments.extension {
        level.extension = extension;
    }
    if let Some(fret) = arguments.highest_fret {
        level.highest_fret = Fret(fret);
    }
    if let Some(hand) = arguments.hand {
        level.reach = Reach::of(match hand {
            HandWord::Small => HandSize::Small,
            HandWord::Medium => HandSize::Medium,
            HandWord::Large => HandSize::Large,
        });
    }
    Ok(level)
}

fn level_file(file: &str) -> Result<NamedLevel, Vec<String>> {
    let text = std::fs::read_to_string(file).map_err(|error| {
        vec![match error.kind() {
            std::io::ErrorKind::NotFound => format!(
                "--level {file}: neither “first” nor “open” nor a file; write one of the words or the name of a TOML file"
            ),
            _ => format!("--level {file}: cannot be read: {error}"),
        }]
    })?;
    read_level(file, &text).map_err(|faults| faults.iter().map(ToString::to_string).collect())
}

/// Fingers one piece.
pub fn finger(
    read: ReadPiece,
    arguments: &FingerArguments,
    level: &Level,
    instrument: &Instrument,
) -> FingeredPiece {
    let score = match arguments.tempo {
        Some(per_minute) => {
            read.score.with_tempo(Tempo { value: NoteValue::plain(Base::Quarter), per_minute })
        }
        None => read.score,
    };
    let planned: Vec<PlannedPin> = arguments
        .positions
        .iter()
        .map(|flag| flag.pin())
        .chain(arguments.pins.iter().map(|flag| flag.pin()))
        .collect();
    let placed = pins::place(&score, &planned);
    let mut findings = read.findings;
    // A flag is no file: it is named by its bar alone.
    findings.extend(placed.findings.into_iter().map(|mut finding| {
        finding.place.line = None;
        finding
    }));
    let mut imported = read.pins.into_iter();
    let right = match &arguments.pattern {
        Some(pattern) => RightPlan::pattern(pattern.0.clone()),
        None => RightPlan::default(),
    };
    let requests = placed
        .pins
        .into_iter()
        .map(|author| {
            let mut pins = imported.next().unwrap_or_default();
            pins.0.extend(author.0);
            piece::PartRequest { level: level.clone(), pins, right: right.clone() }
        })
        .collect();
    let parts = piece::finger(&score, instrument, &EffortTable::default(), requests);
    FingeredPiece { score, parts, findings }
}
