//! `finger`: what can be asked of it.

use std::path::PathBuf;
use std::str::FromStr;

use apoyando_book::Alternation;
use apoyando_fingering::{FingerPair, HandSize, Reach, Stroke};
use apoyando_fretboard::{Millimetres, TenthsOfMm, Tuning};
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, ValueEnum};

use super::{Format, PatternFlag, PinFlag, PlaceFlag, PositionFlag};

const NOTES: &str = "\
Notes and bars:
  3:2             bar 3, beat 2, voice 1
  3:2½:2          bar 3, beat 2½, voice 2
  3:1:1:G4        the G4, as written, of a chord
  5-8             bars 5 to 8
  2/3:2, 2/5-8    in part 2

Pins:
  finger 1        or 1,2; 4 alone is finger 4; not finger 4 or not 4
  second 3        finger 3 takes the note over while it sounds
  string 2        or 2,3; not string 6
  fret 5          or 3,5; not fret 7; open; not open
  position II     or I,II; not position V
  barre small     or half, full; no barre
  right i         or i,m; not right a";

/// `finger`
#[derive(Args, Debug)]
#[command(after_help = NOTES)]
pub struct FingerArguments {
    /// The scores
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,

    /// What may be asked of the player: first, open, or a TOML file
    #[arg(long, default_value = "open", value_name = "LEVEL", help_heading = "The player")]
    pub level: String,
    /// Widest barre allowed
    #[arg(long, value_enum, help_heading = "The player")]
    pub barre: Option<BarreWord>,
    /// Frets by which a finger may leave its own fret, 0 to 3
    #[arg(long, value_name = "FRETS", value_parser = clap::value_parser!(u8).range(0..=3), help_heading = "The player")]
    pub extension: Option<u8>,
    /// Let another finger take over a note that sounds on
    #[arg(long, help_heading = "The player")]
    pub substitution: bool,
    /// Highest fret allowed
    #[arg(long, value_name = "FRET", value_parser = clap::value_parser!(u8).range(0..=24), help_heading = "The player")]
    pub highest_fret: Option<u8>,
    /// Size of the hand
    #[arg(long, value_parser = hand_words(), help_heading = "The player")]
    pub hand: Option<HandSize>,
    /// Reach of two fingers in millimetres, as in 1-4=118
    #[arg(long = "reach", value_name = "FINGERS=MM", help_heading = "The player")]
    pub reaches: Vec<ReachFlag>,

    /// Open strings from the thickest, sounding; or what is changed in the
    /// usual tuning, as in 6=D or "3=F# 6=D"
    #[arg(
        long,
        value_name = "STRINGS",
        default_value = "E2 A2 D3 G3 B3 E4",
        help_heading = "The guitar"
    )]
    pub tuning: Tuning,
    /// Fret of a capo; frets are then counted from it
    #[arg(long, value_name = "FRET", default_value_t = 0, value_parser = clap::value_parser!(u8).range(0..=12), help_heading = "The guitar")]
    pub capo: u8,
    /// Length of the open strings in millimetres, 300 to 900
    #[arg(long, value_name = "MM", default_value = "650", value_parser = scale_length, help_heading = "The guitar")]
    pub scale_length: Millimetres,
    /// How many frets it has, 5 to 24
    #[arg(long, value_name = "FRETS", default_value_t = 19, value_parser = clap::value_parser!(u8).range(5..=24), help_heading = "The guitar")]
    pub frets: u8,

    /// Keep the hand in a position over bars, or out of it, as in 5-8=II,
    /// 5-8=I,II or 5-8=not V
    #[arg(long = "position", value_name = "BARS=POSITION", help_heading = "Decisions")]
    pub positions: Vec<PositionFlag>,
    /// Pin a note, or all notes of some bars: see below
    #[arg(long = "pin", value_name = "PLACE=WHAT", help_heading = "Decisions")]
    pub pins: Vec<PinFlag>,
    /// Let every pin on a note hold in all like bars too
    #[arg(long, help_heading = "Decisions")]
    pub like_bars: bool,
    /// Right-hand pattern over the onsets of the piece or of some bars, as in
    /// p-i-m-a or 5-8=p-i-m-a
    #[arg(long = "pattern", value_name = "[BARS=]PATTERN", help_heading = "Decisions")]
    pub patterns: Vec<PatternFlag>,
    /// The two fingers that alternate on lines, as in m-a; otherwise i-m
    #[arg(long, value_name = "FINGERS", help_heading = "Decisions")]
    pub pair: Option<Alternation>,
    /// How all strings are plucked; otherwise lines by rest stroke, all else
    /// by free stroke
    #[arg(long, value_parser = stroke_words(), help_heading = "Decisions")]
    pub stroke: Option<Stroke>,
    /// House style: a TOML file with the keys of [house] in a book, or the
    /// book.toml of a book; otherwise that of the book in whose pieces/ a
    /// score lies
    #[arg(long, value_name = "FILE", help_heading = "Decisions")]
    pub house: Option<String>,
    /// Quarter notes a minute
    #[arg(long, value_name = "QUARTERS", value_parser = clap::value_parser!(u16).range(20..=400), help_heading = "Decisions")]
    pub tempo: Option<u16>,

    /// What is shown: a line to every note, the strings as lines, or positions
    /// and effort only; otherwise lines to notes for short pieces and strings
    /// for longer ones
    #[arg(long, value_enum, help_heading = "Results")]
    pub show: Option<ShowWord>,
    /// Other ways for a note, as in 3:2, or for bars, as in 5-8: each the best
    /// there is with that difference, and what it costs more
    #[arg(long = "alternatives", value_name = "PLACE", help_heading = "Results")]
    pub alternatives: Vec<PlaceFlag>,
    /// Why each note is played as it is, or those of one place, as in
    /// --reasons=5-8
    #[arg(long, value_name = "PLACE", num_args = 0..=1, require_equals = true, default_missing_value = "all", help_heading = "Results")]
    pub reasons: Vec<ReasonsFlag>,
    /// What to prepare: shifts and reaches and what helps them, ways back of
    /// repeats, barres, fingers that stay, and the hardest bar
    #[arg(long, help_heading = "Results")]
    pub prepare: bool,
    /// Write fingered MusicXML here; for one piece only
    #[arg(short, long, value_name = "OUT.musicxml", help_heading = "Results")]
    pub output: Option<PathBuf>,
    /// Write pages here; for one piece only
    #[arg(long, value_name = "OUT.pdf", help_heading = "Results")]
    pub pdf: Option<PathBuf>,
    /// Write how it sounds here, in the format of the ending: .mid, .wav or .flac; for one piece
    /// only
    #[arg(long, value_name = "OUT.flac", help_heading = "Results")]
    pub sound: Option<PathBuf>,
    /// How much fingering is printed into MusicXML and PDF
    #[arg(long, value_enum, default_value = "where-needed", help_heading = "Results")]
    pub density: DensityWord,
    /// How results are printed
    #[arg(long, value_enum, default_value = "text", help_heading = "Results")]
    pub format: Format,
}

/// For which notes reasons are given.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum ReasonsFlag {
    /// For all.
    All,
    /// For one note, or those of some bars.
    At(PlaceFlag),
}

impl FromStr for ReasonsFlag {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        if text == "all" { Ok(Self::All) } else { text.parse().map(Self::At) }
    }
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

/// Words for densities.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
#[allow(missing_docs)]
pub enum DensityWord {
    EveryNote,
    WhereNeeded,
    None,
}

/// What is shown of a fingering.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub enum ShowWord {
    /// A line to every note
    Notes,
    /// The strings as lines
    Strings,
    /// Positions, shifts, barres and effort
    Summary,
}

fn hand_words() -> impl TypedValueParser<Value = HandSize> {
    PossibleValuesParser::new(HandSize::ALL.map(|info| info.name)).map(|word| {
        HandSize::ALL.iter().find(|info| info.name == word).map_or(HandSize::Medium, |i| i.size)
    })
}

fn stroke_words() -> impl TypedValueParser<Value = Stroke> {
    PossibleValuesParser::new(["rest", "free"])
        .map(|word| if word == "rest" { Stroke::Rest } else { Stroke::Free })
}

fn scale_length(text: &str) -> Result<Millimetres, String> {
    text.parse::<f64>()
        .ok()
        .filter(|length| (300.0..=900.0).contains(length))
        .map(Millimetres)
        .ok_or_else(|| format!("“{text}” is no scale length; write millimetres from 300 to 900"))
}

/// `FINGERS=MM`
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ReachFlag {
    /// The fingers.
    pub pair: FingerPair,
    /// How far apart they can be.
    pub reach: TenthsOfMm,
}

impl FromStr for ReachFlag {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (pair, reach) = text
            .split_once('=')
            .ok_or_else(|| "write fingers and millimetres, as in 1-4=118".to_owned())?;
        let pair =
            pair.parse().map_err(|e: apoyando_fingering::FingerPairTextError| e.to_string())?;
        let (least, most) = (Reach::LEAST, Reach::MOST);
        let reach = reach.trim();
        reach
            .parse::<f64>()
            .ok()
            .filter(|reach| (least.0..=most.0).contains(reach))
            .map(|reach| Self { pair, reach: Millimetres(reach).to_tenths() })
            .ok_or_else(|| {
                format!("“{reach}” is no reach; write millimetres from {least} to {most}")
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reaches_are_read_as_typed() {
        let flag: ReachFlag = "1-4=118.5".parse().unwrap();
        assert_eq!((flag.pair.to_string(), flag.reach), ("1-4".to_owned(), TenthsOfMm(1185)));
        for text in ["1-4", "4-1=100", "1-4=wide", "1-4=14", "1-4=251", "1-4=NaN", "1-4=-20"] {
            assert!(text.parse::<ReachFlag>().is_err(), "{text}");
        }
    }

    #[test]
    fn scale_lengths_are_read_as_typed() {
        assert_eq!(scale_length("580"), Ok(Millimetres(580.0)));
        for text in ["", "long", "299", "901", "NaN", "inf"] {
            assert!(scale_length(text).is_err(), "{text}");
        }
    }
}
