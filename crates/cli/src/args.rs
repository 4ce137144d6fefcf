//! What can be typed.

use std::path::PathBuf;
use std::str::FromStr;

use apoyando_book::{BarRange, Beat, PinPlace, PlannedPin, PlannedRule, PlannedScope, SourcePlace};
use apoyando_fingering::{
    LeftFinger, LeftFingerSet, Position, PositionSet, RightFinger, RightFingerSet, StringSet,
};
use apoyando_fretboard::{Fret, StringNumber};
use clap::{Args, Parser, Subcommand, ValueEnum};

/// The workshop of a classical-guitar teacher: a book folder of plain text
/// becomes fingered, engraved pages.
#[derive(Parser, Debug)]
#[command(name = "apoyando", version, propagate_version = true)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Subcommand, Debug)]
pub enum Command {
    /// Make a folder with a small book to begin with
    New(NewArguments),
    /// Say what is wrong with a book; nothing is written
    Check(CheckArguments),
    /// Build a book: pages and scores into its folder out/
    Build(BuildArguments),
    /// Finger scores: MusicXML (.musicxml, .xml, .mxl) or ABC
    Finger(Box<FingerArguments>),
}

/// `new`
#[derive(Args, Debug)]
pub struct NewArguments {
    /// The folder; it must not exist, or be empty
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

/// `check`
#[derive(Args, Debug)]
pub struct CheckArguments {
    /// The book's folder
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// How findings are printed
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `build`
#[derive(Args, Debug)]
pub struct BuildArguments {
    /// The book's folder
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Also draw every page as a picture, at so many dots per inch
    #[arg(long, value_name = "DPI")]
    pub png: Option<f64>,
    /// How findings are printed
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// How results are printed.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
}

/// `finger`
#[derive(Args, Debug)]
pub struct FingerArguments {
    /// The scores
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// What may be asked of the player: first, open, or a TOML file
    #[arg(long, default_value = "open", value_name = "LEVEL")]
    pub level: String,
    /// Widest barre allowed
    #[arg(long, value_enum)]
    pub barre: Option<BarreWord>,
    /// Frets by which a finger may leave its own fret, 0 to 3
    #[arg(long, value_parser = clap::value_parser!(u8).range(0..=3))]
    pub extension: Option<u8>,
    /// Highest fret allowed
    #[arg(long, value_name = "FRET", value_parser = clap::value_parser!(u8).range(0..=24))]
    pub highest_fret: Option<u8>,
    /// Size of the hand
    #[arg(long, value_enum)]
    pub hand: Option<HandWord>,
    /// Keep the hand in a position over bars, as in 5-8=II
    #[arg(long = "position", value_name = "BARS=POSITION")]
    pub positions: Vec<PositionFlag>,
    /// Pin a note, as in 3:2=finger 4, 3:2½:2=string 2, 2/3:1=not finger 3
    #[arg(long = "pin", value_name = "[PART/]BAR:BEAT[:VOICE]=WHAT")]
    pub pins: Vec<PinFlag>,
    /// Right-hand pattern over the onsets of the piece, as in p-i-m-a
    #[arg(long, value_name = "PATTERN")]
    pub pattern: Option<apoyando_book::RightPattern>,
    /// Quarter notes a minute
    #[arg(long, value_name = "QUARTERS", value_parser = clap::value_parser!(u16).range(20..=400))]
    pub tempo: Option<u16>,
    /// Open strings from the thickest, sounding
    #[arg(long, value_name = "PITCHES", default_value = "E2 A2 D3 G3 B3 E4")]
    pub tuning: apoyando_fretboard::Tuning,
    /// Fret of a capo
    #[arg(long, default_value_t = 0, value_parser = clap::value_parser!(u8).range(0..=12))]
    pub capo: u8,
    /// Write fingered MusicXML here; for one piece only
    #[arg(short, long, value_name = "OUT.musicxml")]
    pub output: Option<PathBuf>,
    /// Write pages here; for one piece only
    #[arg(long, value_name = "OUT.pdf")]
    pub pdf: Option<PathBuf>,
    /// How much fingering is printed into MusicXML and PDF
    #[arg(long, value_enum, default_value = "where-needed")]
    pub density: DensityWord,
    /// How results are printed
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// Words for barres.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
#[allow(missing_docs)]
pub enum BarreWord {
    None,
    Small,
    Half,
    Full,
}

/// Words for hands.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
#[allow(missing_docs)]
pub enum HandWord {
    Small,
    Medium,
    Large,
}

/// Words for densities.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
#[allow(missing_docs)]
pub enum DensityWord {
    EveryNote,
    WhereNeeded,
    None,
}

/// `[PART/]rest`.
fn split_part(text: &str) -> Result<(u16, &str), String> {
    match text.split_once('/') {
        // A slash may also stand in a beat like 2 1/3; then a colon is before it.
        Some((part, rest)) if !part.contains(':') => {
            let part = part.trim();
            let number = part.parse().ok().filter(|part| (1..=16).contains(part));
            Ok((number.ok_or_else(|| format!("“{part}” is not a part; count from 1"))?, rest))
        }
        _ => Ok((1, text)),
    }
}

/// `[PART/]BARS=POSITION[,POSITION]`
#[derive(Clone, Debug)]
pub struct PositionFlag {
    part: u16,
    bars: BarRange,
    positions: PositionSet,
}

impl FromStr for PositionFlag {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (place, positions) = text
            .split_once('=')
            .ok_or_else(|| "write bars and position, as in 5-8=II".to_owned())?;
        let (part, bars) = split_part(place)?;
        let bars = bars.parse().map_err(|e: apoyando_book::BarRangeTextError| e.to_string())?;
        let positions = positions
            .split(',')
            .map(|text| text.parse::<Position>().map_err(|error| error.to_string()))
            .collect::<Result<_, _>>()?;
        Ok(Self { part, bars, positions })
    }
}

impl PositionFlag {
    /// The same as a pin of a plan.
    pub fn pin(&self) -> PlannedPin {
        PlannedPin {
            place: SourcePlace::start_of("--position"),
            part: self.part,
            scope: PlannedScope::Bars(self.bars),
            rule: PlannedRule::Positions(self.positions),
        }
    }
}

/// `[PART/]BAR:BEAT[:VOICE[:PITCH]]=WHAT`
#[derive(Clone, Debug)]
pub struct PinFlag(PlannedPin);

impl PinFlag {
    /// The same as a pin of a plan.
    pub fn pin(&self) -> PlannedPin {
        self.0.clone()
    }
}

impl FromStr for PinFlag {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (place, what) = text.split_once('=').ok_or_else(|| {
            "write a note and what it is pinned to, as in 3:2=finger 4".to_owned()
        })?;
        let (part, place) = split_part(place)?;
        let place = pin_place(place)?;
        let rule = pin_rule(what.trim())?;
        let scope = PlannedScope::Note(place);
        Ok(Self(PlannedPin { place: SourcePlace::start_of("--pin"), part, scope, rule }))
    }
}

fn pin_place(text: &str) -> Result<PinPlace, String> {
    let fields: Vec<&str> = text.split(':').map(str::trim).collect();
    let (bar, beat, voice, pitch) = match fields[..] {
        [bar, beat] => (bar, beat, "1", None),
        [bar, beat, voice] => (bar, beat, voice, None),
        [bar, beat, voice, pitch] => (bar, beat, voice, Some(pitch)),
        _ => return Err(format!("“{text}” is not a note; write bar and beat, as in 3:2")),
    };
    Ok(PinPlace {
        bar: bar.parse().map_err(|_| format!("“{bar}” is not the number of a bar"))?,
        beat: beat.parse::<Beat>().map_err(|error| error.to_string())?,
        voice: voice
            .parse()
            .ok()
            .filter(|voice| (1..=8).contains(voice))
            .ok_or_else(|| format!("“{voice}” is not a voice; count from 1"))?,
        pitch: pitch
            .map(|pitch| {
                pitch.parse().map_err(|e: apoyando_music::pitch::PitchTextError| e.to_string())
            })
            .transpose()?,
    })
}

const WHATS: &str =
    "finger 0 to 4, not finger 1, string 1, not string 1, fret 5 or right p, i, m or a";

fn pin_rule(what: &str) -> Result<PlannedRule, String> {
    let unknown = || format!("“{what}” cannot be pinned; write {WHATS}");
    let words: Vec<&str> = what.split_whitespace().collect();
    let (not, words) = match words[..] {
        ["not", ref rest @ ..] => (true, rest),
        ref all => (false, all),
    };
    let [kind, value] = words else { return Err(unknown()) };
    let number = |most: u8| value.parse::<u8>().ok().filter(|n| *n <= most).ok_or_else(unknown);
    Ok(match (*kind, not) {
        ("finger", not) => {
            let finger = LeftFinger::from_digit(number(4)?);
            PlannedRule::LeftFingers(if not {
                LeftFingerSet::ALL.without(finger)
            } else {
                LeftFingerSet::NONE.with(finger)
            })
        }
        ("string", not) => {
            let string = StringNumber::new(number(StringNumber::MOST)?).ok_or_else(unknown)?;
            PlannedRule::Strings(if not {
                StringSet::ALL.without(string)
            } else {
                StringSet::NONE.with(string)
            })
        }
        ("fret", false) => {
            let fret = Fret(number(Fret::MOST.0)?);
            PlannedRule::Frets(apoyando_fingering::FretSet::NONE.with(fret))
        }
        ("right", not) => {
            let mut letters = value.chars();
            let finger = match (letters.next().and_then(RightFinger::from_letter), letters.next()) {
                (Some(finger), None) => finger,
                _ => return Err(unknown()),
            };
            PlannedRule::RightFingers(if not {
                RightFingerSet::ALL.without(finger)
            } else {
                RightFingerSet::NONE.with(finger)
            })
        }
        _ => return Err(unknown()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pins_are_read_as_typed() {
        for text in ["3:2=finger 4", "3:2½:2=string 2", "2/3:1=not finger 3", "1:2 1/3:1:E5=fret 0"]
        {
            assert!(text.parse::<PinFlag>().is_ok(), "{text}");
        }
        for text in
            ["3=finger 4", "3:2", "3:2=finger 5", "3:2=thumb 1", "a/3:2=fret 1", "3:0=fret 1"]
        {
            assert!(text.parse::<PinFlag>().is_err(), "{text}");
        }
    }

    #[test]
    fn positions_are_read_as_typed() {
        assert!("5-8=II".parse::<PositionFlag>().is_ok());
        assert!("2/5=II,III".parse::<PositionFlag>().is_ok());
        assert!("5-8".parse::<PositionFlag>().is_err());
        assert!("5-8=IIII".parse::<PositionFlag>().is_err());
    }

    #[test]
    fn the_command_holds_together() {
        use clap::CommandFactory;
        Arguments::command().debug_assert();
    }
}
