//! A take as it was measured.

use super::measured::Measured;
use crate::forme::{Choice, Entry, Forme};

/// A take set with natural gaps, the lines that are best by themselves and
/// nothing on its plates. In the trade a galley holds type that is not yet made
/// up into pages.
#[derive(Clone)]
pub struct Galley {
    /// What was set.
    pub forme: Forme,
    /// What was measured on it.
    pub measured: Measured,
    /// Whether it begins on a right-hand page.
    pub recto: bool,
    /// How many pages it takes.
    pub pages: usize,
    /// The pages, from 1, of its heads that are in the contents.
    pub listed_heads: Vec<usize>,
    /// What the contents list, if it holds them.
    pub listed: Vec<Entry>,
}

impl Galley {
    /// Height of the type area in points.
    pub fn height(&self) -> f64 {
        self.measured.area.1 - self.measured.area.0
    }

    /// The same with no other lines to choose than the best by themselves.
    pub fn without_choice(&self) -> Self {
        let mut galley = self.clone();
        let first = |choices: &Vec<Choice>| choices.iter().take(1).cloned().collect();
        galley.forme.musics = self.forme.musics.iter().map(first).collect();
        galley
    }
}
