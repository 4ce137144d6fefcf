//! Sections: what belongs to one key.

use apoyando_fingering::Position;
use apoyando_music::Key;

use super::item::Item;
use super::{NamedLevel, Prose};
use crate::source::SourcePlace;

/// The position of a section or an exercise.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum PositionChoice {
    /// The program advises one.
    #[default]
    Auto,
    /// The author has decided.
    At(Position),
}

/// A section of the book.
#[derive(Clone, PartialEq, Debug)]
pub struct Section {
    /// The name of its file without ending.
    pub name: String,
    /// Where it begins.
    pub place: SourcePlace,
    /// Its heading.
    pub title: String,
    /// Its key; needed by every exercise.
    pub key: Option<Key>,
    /// Its position.
    pub position: PositionChoice,
    /// What may be asked in it; never more than the book allows.
    pub level: NamedLevel,
    /// Prose under its heading.
    pub intro: Vec<Prose>,
    /// Its items, in order.
    pub items: Vec<Item>,
}
