//! The plan of a book, typed: no strings where only a few words are allowed.

mod breaks;
mod edition;
mod house;
mod item;
mod nudge;
mod pins;
mod section;
mod seen;

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use apoyando_fingering::{EffortTable, Level};
use apoyando_fretboard::Instrument;

pub use breaks::{Breaks, PlannedBar};
pub use edition::{Edition, PrintedParts};
pub use house::{
    FingeredShape, FingeredShapeTextError, FourthFinger, House, OpenStrings, Tablature,
};
pub use item::{
    Alternation, Arpeggio, BarPattern, Density, DuetPart, Exercise, Item, ItemKind, Minor, Piece,
    Progression, RightHand, RightPattern, Scale, Triads,
};
pub use nudge::{NudgedSign, PlannedNudge};
pub use pins::{
    BarRange, BarRangeTextError, Beat, PinPlace, PlannedPin, PlannedRule, PlannedScope,
};
pub use section::{PositionChoice, Section};
pub use seen::SeenRemark;

use crate::pins_file::PinsFile;
use crate::source::SourcePlace;

/// A size of paper.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8½ × 11 in.
    Letter,
    /// 9 × 12 in, as music is often sold.
    NineByTwelve,
}

/// The language of the book's own words.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Language {
    /// English.
    #[default]
    English,
}

/// Prose of the book: a file of CommonMark.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Prose {
    /// The file, relative to the folder.
    pub file: String,
    /// What it says.
    pub text: String,
}

/// One line of the credits.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Credit {
    /// What was done: *Engraving*, *Source of the duets*.
    pub what: String,
    /// By whom, or from where.
    pub who: String,
}

/// A level with the name that the author gave it.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct NamedLevel {
    /// The name; may be empty.
    pub name: String,
    /// What may be asked.
    pub level: Level,
}

/// A piece's file as it was found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PieceFile {
    /// The file, relative to the folder.
    pub file: String,
    /// Its content.
    pub bytes: Arc<[u8]>,
    /// What is remembered of its pins, if it was built with pins before.
    pub pins: Option<PinsFile>,
}

impl PieceFile {
    /// The pins file beside a piece, relative to the folder.
    pub fn pins_path(&self) -> String {
        format!("{}.pins.toml", self.file)
    }
}

/// A book folder, read and checked.
#[derive(Clone, PartialEq, Debug)]
pub struct Book {
    /// Where it was read from.
    pub folder: PathBuf,
    /// Where its plan begins.
    pub place: SourcePlace,
    /// Title of the book.
    pub title: String,
    /// Line under the title; may be empty.
    pub subtitle: String,
    /// Who wrote it; may be empty.
    pub author: String,
    /// What its author says of its rights, as it is printed: *© 2026 …*; may be empty.
    pub rights: String,
    /// The language of its own words.
    pub language: Language,
    /// What it is printed on.
    pub paper: Paper,
    /// What it is played on.
    pub instrument: Instrument,
    /// What may be asked of its player.
    pub level: NamedLevel,
    /// What effort costs.
    pub effort: EffortTable,
    /// House style.
    pub house: House,
    /// The ways in which it is printed besides the one the plan describes.
    pub editions: Vec<Edition>,
    /// Prose before the first section.
    pub preface: Vec<Prose>,
    /// The sections, in order.
    pub sections: Vec<Section>,
    /// Credits, in order.
    pub credits: Vec<Credit>,
    /// The pieces, by the names used in the sections.
    pub pieces: BTreeMap<String, PieceFile>,
}
