//! The book folder: a plan in TOML, prose, and pieces in open formats.
//!
//! [`Book::open`] reads all of it into typed form. Whatever the author wrote
//! that is not understood is named with file, line and column, together with
//! what is allowed; all faults are collected, not only the first.

pub mod edit;
mod error;
mod folder;
pub mod journal;
mod level_file;
mod nearest;
mod node;
mod pins_file;
mod plan;
mod read;
mod save;
mod source;
mod template;

pub use error::BookError;
pub use folder::read_file;
pub use level_file::read_level;
pub use pins_file::{PinsFile, RememberedBars, RememberedNote, RememberedTune};
pub use plan::{
    Alternation, Arpeggio, BarPattern, BarRange, BarRangeTextError, Beat, Book, Breaks, Credit,
    Density, DuetPart, Edition, Exercise, FingeredShape, FingeredShapeTextError, FourthFinger,
    House, Item, ItemKind, Language, Minor, NamedLevel, NudgedSign, OpenStrings, Paper, Piece,
    PieceFile, PinPlace, PlannedBar, PlannedNudge, PlannedPin, PlannedRule, PlannedScope,
    PositionChoice, PrintedParts, Progression, Prose, RightHand, RightPattern, Scale, Section,
    SeenRemark, Tablature, Triads,
};
pub use read::house::read_house;
pub use save::{SaveError, save, tidy};
pub use source::SourcePlace;
pub use template::{NewBookError, TEMPLATE, new_book};
