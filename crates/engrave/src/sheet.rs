//! What is engraved, and what comes of it.

use std::ops::Range;
use std::sync::Arc;

use apoyando_fingering::Finding;
use apoyando_marks::{Caption, Marks};
use apoyando_music::{PartIndex, Score};

use crate::drawing::Drawing;
use crate::tablature::Fretting;

/// A score with everything that is printed on it.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// The score.
    pub score: &'a Score,
    /// Marks, at most one for each part; parts without any are printed bare.
    pub marks: &'a [Marks],
    /// Chord names, diagrams, degrees and words.
    pub captions: &'a [Caption],
    /// Places of the notes, at most one for each part; they are shown where the
    /// style asks for tablature.
    pub frettings: &'a [Fretting],
}

impl<'a> Sheet<'a> {
    /// A score without marks.
    #[must_use]
    pub const fn bare(score: &'a Score) -> Self {
        Self { score, marks: &[], captions: &[], frettings: &[] }
    }

    /// The marks of a part.
    #[must_use]
    pub fn marks_of(&self, part: PartIndex) -> Option<&'a Marks> {
        self.marks.iter().find(|marks| marks.part == part)
    }

    /// The places of the notes of a part.
    #[must_use]
    pub fn fretting_of(&self, part: PartIndex) -> Option<&'a Fretting> {
        self.frettings.iter().find(|fretting| fretting.part == part)
    }
}

/// One line of music.
#[derive(Clone, PartialEq, Debug)]
pub struct System {
    /// Its ink. The drawing's box holds all of it.
    pub drawing: Drawing,
    /// The bars on it.
    pub bars: Range<u32>,
    /// How many times wider than natural its notes are set, for the line to be
    /// full; 1 is natural, 0 where not even the least distances fit.
    pub stretch: f64,
    /// Whether its bars are whole phrases of four, counted from where its section
    /// begins: such a line may be looser than others.
    pub phrased: bool,
    /// Beats at its end, or at the beginning of the next line, in which no left
    /// hand has anything to do: rests, or open strings that ring. Where there
    /// are two the page can be turned. 0 at the end of the music.
    pub free_beats: f64,
}

/// A set of lines that a score can be broken into.
#[derive(Clone, PartialEq, Debug)]
pub struct Offer {
    /// What its lines cost, in the squared logarithms of stretches; the less
    /// the better. Only offers of the same score can be compared.
    pub cost: f64,
    /// Its lines. A line that several offers have is drawn once.
    pub systems: Vec<Arc<System>>,
}

/// An engraved score.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Engraving {
    /// Its lines, from the first to the last: the best by themselves.
    pub systems: Vec<System>,
    /// Sets of lines to choose from where pages are to be filled, the best by
    /// themselves first; none unless [asked for](crate::engrave_for_pages).
    pub offers: Vec<Offer>,
    /// What did not go as it should.
    pub findings: Vec<Finding>,
}
